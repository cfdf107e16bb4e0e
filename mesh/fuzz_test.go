package mesh

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
)

// checkRead holds what must be so for any bytes: no more memory is taken than
// allowed, an error is one line that names a place, and what was read is
// finite, can be written and read again, and can be built or is refused.
func checkRead(t *testing.T, most int64, read func() (*Soup, error)) {
	t.Helper()
	var s *Soup
	var err error
	if taken := roughlyAllocated(func() { s, err = read() }); taken > most {
		t.Errorf("it allocates %d bytes, more than %d", taken, most)
	}
	if err != nil {
		checkPlace(t, err)
		return
	}
	if s.Triangles() == 0 || len(s.XYZ)%9 != 0 {
		t.Fatalf("%d numbers", len(s.XYZ))
	}
	for i, x := range s.XYZ {
		if x-x != 0 {
			t.Fatalf("number %d is %v", i, x)
		}
	}
	for _, w := range s.Warnings {
		if strings.ContainsAny(w, "\r\n") {
			t.Errorf("a warning of two lines: %q", w)
		}
	}
	if s.Triangles() > 500 {
		return
	}
	var b bytes.Buffer
	if err := WriteSTL(&b, s); err != nil {
		t.Fatal(err)
	}
	again, err := ReadSTL(bytes.NewReader(b.Bytes()))
	if err != nil || !slices.Equal(again.XYZ, s.XYZ) {
		t.Fatalf("read again: %v", err)
	}
	if _, err := Build(s, Placement{}); err != nil {
		var place *PlacementError
		var format *FormatError
		if !errors.As(err, &place) && !errors.As(err, &format) {
			t.Errorf("built: %v", err)
		}
	}
}

// checkPlace wants a one-line *FormatError; one about something in a file says
// where it is.
func checkPlace(t *testing.T, err error) {
	t.Helper()
	var e *FormatError
	if !errors.As(err, &e) || strings.ContainsAny(e.Error(), "\n\r") {
		t.Fatalf("no one-line FormatError: %q", err)
	}
	switch e.Kind {
	case KindSyntax, KindReference, KindNotFinite:
		for _, place := range []string{"line ", "byte ", "part", "its model is"} {
			if strings.Contains(e.Error(), place) {
				return
			}
		}
		t.Errorf("no place in %q", e)
	}
}

// Lists that grow as they are filled come to five times what they end as; a
// byte of a face makes a triangle of 36 at most.
func mostOf(data []byte) int64 { return 5*triangleBytes*int64(len(data)) + 2<<20 }

func FuzzReadOBJ(f *testing.F) {
	for _, s := range []string{
		"", tetraOBJ, quadOBJ + "f 1 2 3 4\n", quadOBJ + "f -1/1/1 -2//1 \\\n -3 # end\n", "v nan 1e99 0\n", "f 1 2 3", "v 1 2",
		"v 0 0 0\nv 4 0 0\nv 4 4 0\nv 2 1 0\nv 0 4 0\nf 1 2 3 4 5\n", "v 0 0 0\nf 1 1 1 1 1 1 1 1 1 1\n", "v 1e38 0 0\nv -1e38 3e38 0\nv 0 0 1\nv 1 1 1\nf 1 2 3 4 1 3\n",
		"#" + strings.Repeat("x", 2000) + "\nv 1 1 1\n\\\nf\\", "\xef\xbb\xbfo \xff\nvt\nf 99999999999999999999 1 1",
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		checkRead(t, mostOf(data), func() (*Soup, error) { return readOBJ(bytes.NewReader(data), int64(len(data))) })
	})
}

func FuzzReadPLY(f *testing.F) {
	f.Add([]byte(tetraPLY))
	f.Add([]byte(plyHead("ascii") + plySquare))
	f.Add([]byte(plyHead("ascii", "vertex 4", "vertex 99999999999", "\n", "\r\n") + plySquare))
	f.Add(binaryPLY(plyHead("binary_little_endian"), binary.LittleEndian, []float32{0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0}, byte(4), []int32{0, 1, 2, 3}))
	f.Add(binaryPLY(plyHead("binary_big_endian", "list uchar int", "list double uchar"), binary.BigEndian, []float32{0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, float32(math.NaN())}, 4.0, []byte{0, 1, 2, 3}))
	f.Add(binaryPLY(plyHead("binary_little_endian", "float", "char", "list uchar int", "list uint uchar"), binary.LittleEndian, make([]byte, 12), uint32(math.MaxUint32), []byte{0, 1, 2}))
	f.Add([]byte("ply\rformat ascii 1.0\relement tristrips 1\rproperty list int int vertex_indices\rend_header\r"))
	f.Fuzz(func(t *testing.T, data []byte) {
		checkRead(t, mostOf(data), func() (*Soup, error) { return readPLY(bytes.NewReader(data), int64(len(data))) })
	})
}

// FuzzRead3MF makes the model part of a package.
func FuzzRead3MF(f *testing.F) {
	tetra := xmlMesh(facets{{vec(0, 0, 0), vec(0, 1, 0), vec(1, 0, 0)}, {vec(0, 0, 0), vec(1, 0, 0), vec(0, 0, 1)}, {vec(1, 0, 0), vec(0, 1, 0), vec(0, 0, 1)}, {vec(0, 1, 0), vec(0, 0, 0), vec(0, 0, 1)}})
	for _, m := range []string{
		"", "<", model3("", ""), model3(object3(1, tetra), `<item objectid="1"/>`),
		model3(object3(1, tetra), `<item objectid="1" transform="-1 0 0 0 1 0 0 0 1 1e30 0 0"/><item objectid="1"/>`),
		model3(object3(1, tetra)+object3(2, `<components><component objectid="1"/><component objectid="1" transform="0 1 0 1 0 0 0 0 1 3 3 3"/></components>`), `<item objectid="2"/>`),
		model3(object3(1, `<components><component objectid="1"/></components>`), `<item objectid="1"/>`),
		model3(`<object id="1" type="support">`+tetra+`</object>`, `<item objectid="1"/>`),
		model3("", `<item p:path="/3D/toy.model" objectid="1"/>`), model3("", `<item p:path="/_rels/.rels" objectid="1"/>`),
		"<!DOCTYPE a [<!ENTITY b 'c'>]>" + model3(object3(1, tetra), `<item objectid="1"/>`),
		strings.Repeat("<model xmlns='"+coreNS+"'>", 70),
	} {
		f.Add(m)
	}
	f.Fuzz(func(t *testing.T, model string) {
		// What tells that this part is the model, and how it is packed, are
		// left to FuzzOpen: they take longer than the rest.
		data := packedBy(t, zip.Store, relsTo("/3D/toy.model"), file{"3D/toy.model", model})
		// The tags of XML take a kilobyte of scratch each.
		most := newBudget(int64(len(data))).limit + 300*int64(len(model)) + 4<<20
		checkRead(t, most, func() (*Soup, error) {
			z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
			if err != nil {
				return nil, err
			}
			o := opener{budget: newBudget(int64(len(data)))}
			return newParts(o, z).read(partName("3D/toy.model"))
		})
	})
}

// FuzzOpen reads every model of any file.
func FuzzOpen(f *testing.F) {
	files := tetraFiles(f)
	for _, format := range []string{"stl binary", "stl ascii", "obj", "ply ascii", "3mf"} {
		data := files[format]
		f.Add(data)
		f.Add(gzipped(f, data))
		f.Add(packed(f, file{"a/" + format, string(data)}, file{"b.stl", string(data[:len(data)/2])}))
	}
	f.Add(packed(f))
	f.Add(packed(f, file{"a.zip", string(packed(f, file{"b.obj", tetraOBJ}))}))
	f.Fuzz(func(t *testing.T, data []byte) {
		var models []Source
		var err error
		most := 4*newBudget(int64(len(data))).limit + mostOf(data)
		if taken := roughlyAllocated(func() { models, err = Open(bytes.NewReader(data), int64(len(data))) }); taken > most {
			t.Errorf("it allocates %d bytes, more than %d", taken, most)
		}
		if err != nil {
			checkPlace(t, err)
			return
		}
		if len(models) == 0 {
			t.Error("no model and no error")
		}
		for _, m := range models {
			checkRead(t, most, m.Read)
		}
	})
}
