package main

import (
	"archive/zip"
	"bytes"
	"compress/gzip"
	"fmt"
	"os"
	"path/filepath"
	"strings"

	"playgauge/mesh"
)

// writePacked writes, of the models in a folder: tight.stl by gzip, free.stl
// as 3MF in inches, and an archive of both, a damaged one and a letter.
func writePacked(folder string) error {
	read := func(name string) []byte {
		data, err := os.ReadFile(filepath.Join(folder, name))
		if err != nil {
			return nil // what is made of it will be missed
		}
		return data
	}
	var gz bytes.Buffer
	z := gzip.NewWriter(&gz)
	if _, err := z.Write(read("tight.stl")); err != nil {
		return err
	}
	if err := z.Close(); err != nil {
		return err
	}
	soup, err := mesh.ReadSTL(bytes.NewReader(read("free.stl")))
	if err != nil {
		return err
	}
	plate, err := zipped(
		[2]string{"_rels/.rels", `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">` +
			`<Relationship Target="/3D/plate.model" Id="r" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>`},
		[2]string{"3D/plate.model", model3MF(soup, "inch")})
	if err != nil {
		return err
	}
	box, err := zipped(
		[2]string{"READ ME.txt", "Dear neighbour, print these.\n"},
		[2]string{"gate/free.stl", string(read("free.stl"))},
		[2]string{"gate/tight.stl.gz", gz.String()},
		[2]string{"cut.stl", string(read("free.stl")[:500])})
	if err != nil {
		return err
	}
	for name, data := range map[string][]byte{"tight.stl.gz": gz.Bytes(), "plate.3mf": plate, "box.zip": box} {
		if err := os.WriteFile(filepath.Join(folder, name), data, 0o666); err != nil {
			return err
		}
	}
	return nil
}

// model3MF is a model part with every corner a vertex of its own.
func model3MF(s *mesh.Soup, unit string) string {
	var v, t strings.Builder
	for i := 0; i < len(s.XYZ); i += 3 {
		fmt.Fprintf(&v, `<vertex x="%g" y="%g" z="%g"/>`, s.XYZ[i], s.XYZ[i+1], s.XYZ[i+2])
		if i%9 == 0 {
			fmt.Fprintf(&t, `<triangle v1="%d" v2="%d" v3="%d"/>`, i/3, i/3+1, i/3+2)
		}
	}
	return `<model unit="` + unit + `" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"><resources><object id="1"><mesh><vertices>` +
		v.String() + `</vertices><triangles>` + t.String() + `</triangles></mesh></object></resources><build><item objectid="1"/></build></model>`
}

// zipped is an archive of pairs of name and content.
func zipped(entries ...[2]string) ([]byte, error) {
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, e := range entries {
		w, err := z.Create(e[0])
		if err != nil {
			return nil, err
		}
		if _, err := w.Write([]byte(e[1])); err != nil {
			return nil, err
		}
	}
	if err := z.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
