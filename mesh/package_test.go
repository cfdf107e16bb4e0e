package mesh

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"fmt"
	"runtime"
	"runtime/metrics"
	"strings"
	"testing"
)

// file is an entry of an archive made by a test.
type file struct{ name, data string }

// packed is a ZIP archive of files.
func packed(t failer, files ...file) []byte { return packedBy(t, zip.Deflate, files...) }

func packedBy(t failer, method uint16, files ...file) []byte {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range files {
		w, err := z.CreateHeader(&zip.FileHeader{Name: f.name, Method: method})
		if err == nil {
			_, err = w.Write([]byte(f.data))
		}
		if err != nil {
			t.Fatalf("%v", err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatalf("%v", err)
	}
	return b.Bytes()
}

func gzipped(t failer, data []byte) []byte {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	if _, err := z.Write(data); err != nil {
		t.Fatalf("%v", err)
	}
	if err := z.Close(); err != nil {
		t.Fatalf("%v", err)
	}
	return b.Bytes()
}

// relsTo is the root relationships of a package whose model is target.
func relsTo(target string) file {
	return file{"_rels/.rels", `<?xml version="1.0" encoding="UTF-8"?>
<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">
 <Relationship Target="/Metadata/picture.png" Id="r0" Type="http://schemas.openxmlformats.org/package/2006/relationships/metadata/thumbnail"/>
 <Relationship Target="` + target + `" Id="r1" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/>
</Relationships>`}
}

// package3MF is a 3MF file of one model part.
func package3MF(t failer, model string) []byte {
	return packed(t, relsTo("/3D/toy.model"), file{"3D/toy.model", model})
}

// model3 is a model part: its resources and its build.
func model3(resources, build string) string {
	return `<?xml version="1.0" encoding="UTF-8"?>
<model xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02" xmlns:p="http://schemas.microsoft.com/3dmanufacturing/production/2015/06">
<resources>` + resources + `</resources>
<build>` + build + `</build>
</model>`
}

// xmlMesh is facets as a <mesh>, with every corner a vertex of its own
// or shared where equal.
func xmlMesh(f facets) string {
	var vertices, triangles strings.Builder
	number := map[string]int{}
	for _, t := range f {
		var at [3]int
		for k, p := range t {
			v := fmt.Sprintf(`<vertex x="%g" y="%g" z="%g"/>`, p.X, p.Y, p.Z)
			if _, ok := number[v]; !ok {
				number[v] = len(number)
				vertices.WriteString(v)
			}
			at[k] = number[v]
		}
		fmt.Fprintf(&triangles, `<triangle v1="%d" v2="%d" v3="%d"/>`, at[0], at[1], at[2])
	}
	return "<mesh><vertices>" + vertices.String() + "</vertices><triangles>" + triangles.String() + "</triangles></mesh>"
}

func object3(id int, inside string) string {
	return fmt.Sprintf(`<object id="%d">%s</object>`, id, inside)
}

// opened is the one model of a file.
func opened(t *testing.T, data []byte) *Soup {
	t.Helper()
	s, err := openOne(data)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func openOne(data []byte) (*Soup, error) {
	models, err := Open(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, err
	}
	if len(models) != 1 {
		return nil, fmt.Errorf("%d models", len(models))
	}
	return models[0].Read()
}

// allocated is how many bytes f takes in all, whether given back or not.
func allocated(f func()) int64 {
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	f()
	runtime.ReadMemStats(&after)
	return int64(after.TotalAlloc - before.TotalAlloc)
}

// roughlyAllocated is allocated without stopping the world, which would take
// longer than most reads: off by what the runtime counts only by the span, some
// ten kilobytes of each size that f allocates.
func roughlyAllocated(f func()) int64 {
	sample := []metrics.Sample{{Name: "/gc/heap/allocs:bytes"}}
	metrics.Read(sample)
	before := sample[0].Value.Uint64()
	f()
	metrics.Read(sample)
	return int64(sample[0].Value.Uint64() - before)
}

// asciiFacet is a triangle as ASCII STL has it.
func asciiFacet(c [9]float32) string {
	return fmt.Sprintf("facet normal 0 0 0\nouter loop\nvertex %g %g %g\nvertex %g %g %g\nvertex %g %g %g\nendloop\nendfacet\n",
		c[0], c[1], c[2], c[3], c[4], c[5], c[6], c[7], c[8])
}
