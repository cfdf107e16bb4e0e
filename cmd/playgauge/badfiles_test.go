package main

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"compress/gzip"
	"encoding/binary"
	"flag"
	"fmt"
	"maps"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

var updateBad = flag.Bool("update-bad", false, "rewrite the bad files and what is said of them")

// badFolder holds files that no one should hand in, badList what vet says of
// each: its name, the exit status and the messages.
const (
	badFolder = "../../testdata/bad"
	badList   = "../../testdata/bad.txt"
)

// TestBadFiles vets every bad file: one clear line each, the right exit
// status, nothing on standard output. The files are those that badFiles makes.
func TestBadFiles(t *testing.T) {
	files := badFiles(t)
	names := slices.Sorted(maps.Keys(files))
	if len(names) < 60 {
		t.Errorf("%d files", len(names))
	}
	if *updateBad {
		if err := os.RemoveAll(badFolder); err != nil {
			t.Fatal(err)
		}
		if err := os.MkdirAll(badFolder, 0o777); err != nil {
			t.Fatal(err)
		}
		for name, data := range files {
			if err := os.WriteFile(filepath.Join(badFolder, name), data, 0o666); err != nil {
				t.Fatal(err)
			}
		}
	}
	there, err := os.ReadDir(badFolder)
	if err != nil {
		t.Fatal(err)
	}
	if len(there) != len(names) {
		t.Errorf("%d files are there, %d are made", len(there), len(names))
	}
	var list strings.Builder
	for _, name := range names {
		file := filepath.Join(badFolder, name)
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(data, files[name]) {
			t.Errorf("%s is not as it is made; see -update-bad", name)
		}
		if len(data) > 4096 {
			t.Errorf("%s takes %d bytes", name, len(data))
		}
		var stdout, stderr strings.Builder
		status := run([]string{"vet", file}, strings.NewReader(""), &stdout, &stderr)
		said := strings.ReplaceAll(stderr.String(), "playgauge: vet: "+file, name)
		if stdout.Len() > 0 || strings.Count(said, "\n") != 1 && !strings.HasPrefix(name, "several-") || strings.Contains(said, "playgauge: ") {
			t.Errorf("%s: %q, %q", name, stdout.String(), said)
		}
		for line := range strings.Lines(said) {
			fmt.Fprintf(&list, "%d %s", status, line)
		}
	}
	if *updateBad {
		if err := os.WriteFile(badList, []byte(list.String()), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(badList)
	if err != nil {
		t.Fatal(err)
	}
	got := strings.Split(list.String(), "\n")
	for i, line := range strings.Split(strings.ReplaceAll(string(want), "\r\n", "\n"), "\n") {
		if i >= len(got) || got[i] != line {
			t.Errorf("line %d of %s is\n%s\nwant\n%s", i+1, badList, at(got, i), line)
		}
	}
	if n := strings.Count(string(want), "\n"); n != len(got)-1 {
		t.Errorf("%d lines, want %d", len(got)-1, n)
	}
}

func at(lines []string, i int) string {
	if i < len(lines) {
		return lines[i]
	}
	return ""
}

// tetra is a tetrahedron, nine numbers a triangle.
var tetra = []float32{
	0, 0, 0, 0, 9, 0, 9, 0, 0,
	0, 0, 0, 9, 0, 0, 0, 0, 9,
	9, 0, 0, 0, 9, 0, 0, 0, 9,
	0, 9, 0, 0, 0, 0, 0, 0, 9,
}

// badFiles makes the files: a few hundred bytes each, the same on every
// system and with every compiler.
func badFiles(t *testing.T) map[string][]byte {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	stl := func(promised int, xyz []float32) []byte {
		b := binary.LittleEndian.AppendUint32(make([]byte, 80), uint32(promised))
		for ; len(xyz) >= 9; xyz = xyz[9:] {
			b = append(b, make([]byte, 12)...)
			for _, x := range xyz[:9] {
				b = binary.LittleEndian.AppendUint32(b, math.Float32bits(x))
			}
			b = append(b, 0, 0)
		}
		return b
	}
	scaled := func(by float32) []byte {
		xyz := slices.Clone(tetra)
		for i := range xyz {
			xyz[i] *= by
		}
		return stl(4, xyz)
	}
	with := func(i int, x float32) []byte {
		xyz := slices.Clone(tetra)
		xyz[i] = x
		return stl(4, xyz)
	}
	const facet = "facet normal 0 0 1\n outer loop\n  vertex 0 0 0\n  vertex 9 0 0\n  vertex 0 9 0\n endloop\nendfacet\n"
	ascii := func(old, to string) []byte {
		return []byte("solid leaf\n" + strings.Replace(facet, old, to, 1) + facet + "endsolid leaf\n")
	}
	const obj = "v 0 0 0\nv 9 0 0\nv 0 9 0\nv 0 0 9\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 3 1 4\n"
	const plyFaces = "element face 1\nproperty list uchar int vertex_indices\n"
	const plyHead = "ply\nformat ascii 1.0\nelement vertex 3\nproperty float x\nproperty float y\nproperty float z\n" + plyFaces + "end_header\n"
	const ply = plyHead + "0 0 0\n9 0 0\n0 9 0\n3 0 1 2\n"
	replaced := func(text, old, to string) []byte { return []byte(strings.Replace(text, old, to, 1)) }

	const rels = `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Target="/a.model" Id="r" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>`
	plate := func(model string) []byte {
		return stored(t, entry{"_rels/.rels", rels}, entry{"a.model", model})
	}
	const vertices = `<vertices><vertex x="0" y="0" z="0"/><vertex x="9" y="0" z="0"/><vertex x="0" y="9" z="0"/></vertices>`
	const triangle = `<triangles><triangle v1="0" v2="1" v3="2"/></triangles>`
	const core = `<model xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02">`
	object := func(inside string) string {
		return core + `<resources><object id="1">` + inside + `</object></resources><build><item objectid="1"/></build></model>`
	}
	leaf := object("<mesh>" + vertices + triangle + "</mesh>")
	item := func(transform string) []byte {
		return plate(strings.Replace(leaf, `<item objectid="1"`, `<item objectid="1" transform="`+transform+`"`, 1))
	}
	chain := func(n int, component string) []byte {
		b := core + "<resources><object id=\"1\"><mesh>" + vertices + triangle + "</mesh></object>"
		for i := 2; i <= n; i++ {
			b += fmt.Sprintf(`<object id="%d"><components>%s</components></object>`, i, strings.ReplaceAll(component, "#", fmt.Sprint(i-1)))
		}
		return plate(b + fmt.Sprintf(`</resources><build><item objectid="%d"/></build></model>`, n))
	}
	toy := scaled(1)
	archive := stored(t, entry{"leaf.stl", string(toy)})
	directory := bytes.Index(archive, []byte("PK\x01\x02"))
	patched := func(b []byte, at int, to ...byte) []byte {
		c := bytes.Clone(b)
		copy(c[at:], to)
		return c
	}
	gz := gzipStored(t, obj)

	return map[string][]byte{
		// Nothing, and what is no model at all.
		"empty.stl":           {},
		"one-byte.stl":        {7},
		"web-page.stl":        []byte("<!DOCTYPE html>\n<html><head><title>Sign in</title></head></html>\n"),
		"letter.stl":          []byte("Solid oak, says the letter.\nIt says no more.\n"),
		"note.obj":            []byte("# A note\n\nThe hinge is in the shed.\n"),
		"comments.obj":        []byte("# a leaf\n# of a tree\n"),
		"settings.json":       []byte(`{"units": "mm"}`),
		"toolpath.gcode":      []byte("G28\nG1 X10 Y10 F3000\n"),
		"escape.stl":          []byte("\x1b[31mred\x1b[0m\n"),
		"wide-letters.stl":    []byte("\xff\xfes\x00o\x00l\x00i\x00d\x00"),
		"noise.stl":           bytes.Repeat([]byte{0x00, 0xfe, 0x81, 0x42}, 50),
		"picture-png.stl":     []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"),
		"picture-jpeg.stl":    []byte("\xff\xd8\xff\xe0\x00\x10JFIF\x00"),
		"picture-webp.stl":    []byte("RIFF\x10\x00\x00\x00WEBPVP8 "),
		"archive-7z.stl":      []byte("7z\xbc\xaf\x27\x1c\x00\x04"),
		"archive-rar.stl":     []byte("Rar!\x1a\x07\x01\x00"),
		"archive-tar.stl":     slices.Concat([]byte("leaf.stl"), make([]byte, 249), []byte("ustar\x0000")),
		"archive-xz.stl":      []byte("\xfd7zXZ\x00\x00\x04"),
		"archive-bzip2.stl":   []byte("BZh91AY&SY"),
		"archive-zstd.stl":    []byte("\x28\xb5\x2f\xfd\x24\x00"),
		"point-cloud.ply":     replaced(strings.Replace(ply, plyFaces, "", 1), "3 0 1 2\n", ""),
		"point-cloud.obj":     []byte("v 0 0 0\nv 9 0 0\nv 0 9 0\n"),
		"wire.obj":            []byte("v 0 0 0\nv 9 0 0\nl 1 2\n"),
		"curved-surfaces.obj": []byte("v 0 0 0\nv 9 0 0\ncstype bezier\ndeg 1 1\nsurf 0 1 0 1 1 2 1 2\nend\n"),

		// Binary STL.
		"stl-no-triangles.stl":     stl(0, nil),
		"stl-cut-short.stl":        stl(4, tetra)[:200],
		"stl-cut-by-a-byte.stl":    stl(4, tetra)[:283],
		"stl-too-long.stl":         append(stl(4, tetra), "and more"...),
		"stl-four-billion.stl":     stl(math.MaxUint32, tetra),
		"stl-not-a-number.stl":     with(12, nan),
		"stl-infinite.stl":         with(35, inf),
		"stl-points.stl":           scaled(0),
		"stl-lines.stl":            stl(1, []float32{0, 0, 0, 1, 1, 1, 2, 2, 2}),
		"stl-beyond-reach.stl":     scaled(1e30),
		"stl-a-corner-far-off.stl": with(9, 2e6),
		"stl-50-metres-tall.stl":   scaled(50_000 / 9.0),
		"stl-in-metres.stl":        scaled(0.005),
		"stl-flat.stl":             stl(2, []float32{0, 0, 5, 9, 0, 5, 0, 9, 5, 0, 0, 5, 0, 9, 5, 9, 0, 5}),

		// ASCII STL.
		"ascii-nothing-in-it.stl":   []byte("solid leaf\nendsolid leaf\n"),
		"ascii-cut-short.stl":       []byte("solid leaf\n" + facet + facet[:50]),
		"ascii-no-end.stl":          []byte("solid leaf\n" + facet),
		"ascii-a-word.stl":          ascii("9 0 0", "9 zero 0"),
		"ascii-comma.stl":           ascii("9 0 0", "9,5 0 0"),
		"ascii-hexadecimal.stl":     ascii("9 0 0", "0x9 0 0"),
		"ascii-not-a-number.stl":    ascii("9 0 0", "nan 0 0"),
		"ascii-infinite.stl":        ascii("9 0 0", "9 0 -1.#INF"),
		"ascii-too-large.stl":       ascii("9 0 0", "9e99 0 0"),
		"ascii-two-corners.stl":     ascii("  vertex 9 0 0\n", ""),
		"ascii-four-corners.stl":    ascii("vertex 9 0 0\n", "vertex 9 0 0\n  vertex 9 9 0\n"),
		"ascii-half-a-corner.stl":   ascii("9 0 0", "9 0"),
		"ascii-rubbish-between.stl": ascii("endfacet\n", "endfacet\nand then\n"),
		"ascii-long-word.stl":       ascii("9 0 0", strings.Repeat("9", 2000)+" 0 0"),

		// OBJ.
		"obj-vertex-0.obj":         replaced(obj, "f 1 3 2", "f 0 3 2"),
		"obj-vertex-too-high.obj":  replaced(obj, "f 1 3 2", "f 1 3 5"),
		"obj-vertex-too-low.obj":   replaced(obj, "f 1 3 2", "f -5 3 2"),
		"obj-huge-vertex.obj":      replaced(obj, "f 1 3 2", "f 1 3 99999999999999999999"),
		"obj-not-a-number.obj":     replaced(obj, "v 9 0 0", "v nan 0 0"),
		"obj-too-large.obj":        replaced(obj, "v 9 0 0", "v 1e300 0 0"),
		"obj-comma.obj":            replaced(obj, "v 9 0 0", "v 9,5 0 0"),
		"obj-short-vertex.obj":     replaced(obj, "v 9 0 0", "v 9 0"),
		"obj-short-face.obj":       replaced(obj, "f 1 3 2", "f 1 3"),
		"obj-unknown.obj":          replaced(obj, "f 1 3 2", "face 1 3 2"),
		"obj-of-points.obj":        []byte("v 1 1 1\nf 1 1 1 1\n"),
		"obj-backslash-at-end.obj": []byte(obj + "f 1 2 \\"),

		// PLY.
		"ply-header-only.ply":      []byte(plyHead),
		"ply-no-end.ply":           []byte(plyHead[:60]),
		"ply-unknown-format.ply":   replaced(ply, "ascii", "packed"),
		"ply-unknown-type.ply":     replaced(ply, "float y", "bignum y"),
		"ply-no-z.ply":             replaced(ply, "property float z", "property float w"),
		"ply-too-many.ply":         replaced(ply, "vertex 3", "vertex 4294967295"),
		"ply-less-than-none.ply":   replaced(ply, "vertex 3", "vertex -3"),
		"ply-vertex-too-high.ply":  replaced(ply, "3 0 1 2", "3 0 1 3"),
		"ply-long-list.ply":        replaced(ply, "3 0 1 2", "250 0 1 2"),
		"ply-not-a-number.ply":     replaced(ply, "9 0 0", "nan 0 0"),
		"ply-a-word.ply":           replaced(ply, "9 0 0", "nine 0 0"),
		"ply-binary-cut-short.ply": replaced(ply, "ascii", "binary_little_endian"),
		"ply-strips.ply":           replaced(ply, plyFaces, "element tristrips 1\nproperty list int int vertex_indices\n"),

		// 3MF.
		"3mf-no-list.3mf":               stored(t, entry{"3D/3dmodel.model", leaf}),
		"3mf-model-missing.3mf":         stored(t, entry{"_rels/.rels", rels}),
		"3mf-model-outside.3mf":         stored(t, entry{"_rels/.rels", strings.Replace(rels, "/a.model", "../../../etc/passwd", 1)}),
		"3mf-model-elsewhere.3mf":       stored(t, entry{"_rels/.rels", strings.Replace(rels, `"/a.model"`, `"http://example.com/a.model" TargetMode="External"`, 1)}),
		"3mf-list-no-xml.3mf":           stored(t, entry{"_rels/.rels", "a.model"}),
		"3mf-no-xml.3mf":                plate("v 0 0 0\n"),
		"3mf-xml-cut-short.3mf":         plate(leaf[:300]),
		"3mf-another-root.3mf":          plate("<svg/>"),
		"3mf-entities.3mf":              plate(`<!DOCTYPE m [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;&a;"><!ENTITY c "&b;&b;&b;&b;">]>` + strings.Replace(leaf, "<model ", `<model unit="&c;" `, 1)),
		"3mf-entity-of-a-file.3mf":      plate(`<!DOCTYPE m [<!ENTITY f SYSTEM "file:///etc/passwd">]>` + leaf),
		"3mf-deep-xml.3mf":              plate(core + strings.Repeat("<a>", 100)),
		"3mf-unknown-unit.3mf":          plate(strings.Replace(leaf, "<model ", `<model unit="ell" `, 1)),
		"3mf-needs-more.3mf":            plate(strings.Replace(leaf, "<model ", `<model xmlns:x="urn:lattice" requiredextensions="x" `, 1)),
		"3mf-nothing-built.3mf":         plate(strings.Replace(leaf, `<item objectid="1"/>`, "", 1)),
		"3mf-object-missing.3mf":        plate(strings.Replace(leaf, `<item objectid="1"/>`, `<item objectid="2"/>`, 1)),
		"3mf-no-mesh.3mf":               plate(object("")),
		"3mf-supports-only.3mf":         plate(strings.Replace(leaf, `<object id="1"`, `<object id="1" type="support"`, 1)),
		"3mf-vertex-too-high.3mf":       plate(strings.Replace(leaf, `v3="2"`, `v3="3"`, 1)),
		"3mf-not-a-number.3mf":          plate(strings.Replace(leaf, `x="9"`, `x="NaN"`, 1)),
		"3mf-within-itself.3mf":         plate(object(`<components><component objectid="1"/></components>`)),
		"3mf-doubled-again-again.3mf":   chain(30, `<component objectid="#"/><component objectid="#"/>`),
		"3mf-transform-not-finite.3mf":  item("inf 0 0 0 1 0 0 0 1 0 0 0"),
		"3mf-transform-nan.3mf":         item("1 0 0 0 nan 0 0 0 1 0 0 0"),
		"3mf-transform-flat.3mf":        item("1 0 0 0 1 0 0 0 0 0 0 0"),
		"3mf-transform-short.3mf":       item("1 0 0 1"),
		"3mf-transform-too-far.3mf":     item("1e37 0 0 0 1e37 0 0 0 1e37 1e39 0 0"),
		"3mf-part-of-part-missing.3mf":  plate(strings.Replace(leaf, `<item objectid="1"`, `<item xmlns:p="http://schemas.microsoft.com/3dmanufacturing/production/2015/06" p:path="/../../b.model" objectid="1"`, 1)),
		"3mf-checksum.3mf":              flipped(plate(leaf), `x="9"`, 3),
		"3mf-cut-short.3mf":             plate(leaf)[:500],
		"3mf-wrong-letters.3mf":         plate(strings.Replace(leaf, "<model ", "<model name=\"\xff\xfe\" ", 1)),
		"3mf-encoding.3mf":              plate(`<?xml version="1.0" encoding="ebcdic"?>` + leaf),
		"3mf-object-twice.3mf":          plate(strings.Replace(leaf, "</resources>", `<object id="1"/></resources>`, 1)),
		"3mf-object-of-no-number.3mf":   plate(strings.Replace(leaf, `objectid="1"`, `objectid="one"`, 1)),
		"3mf-triangle-first.3mf":        plate(object("<mesh>" + triangle + vertices + "</mesh>")),
		"3mf-packed-by-gzip-twice.3mf":  gzipStored(t, string(gzipStored(t, string(plate(leaf))))),
		"several-3mf-and-stl-in-it.zip": stored(t, entry{"a/cut.stl", string(toy[:100])}, entry{"../../b.3mf", string(plate("<svg/>"))}, entry{"c.txt", "hello"}, entry{"\x1b[2J.obj", "v 0 0\n"}),

		// Archives.
		"zip-of-nothing.zip":       stored(t),
		"zip-of-notes.zip":         stored(t, entry{"a.txt", "hello"}, entry{"b/c.md", "# hello\n\nhello\n"}),
		"zip-in-zip.zip":           stored(t, entry{"inner.zip", string(archive)}),
		"zip-cut-short.zip":        archive[:len(archive)-10],
		"zip-locked.zip":           patched(archive, directory+8, 1),
		"zip-other-packing.zip":    patched(archive, directory+10, 99),
		"zip-checksum.zip":         patched(archive, directory+16, 1, 2, 3, 4),
		"zip-says-four-gb.zip":     patched(archive, directory+24, 0xfe, 0xff, 0xff, 0xff),
		"zip-far-directory.zip":    patched(archive, len(archive)-6, 0xff, 0xff, 0xff, 0x7f),
		"zip-many-entries.zip":     patched(archive, len(archive)-14, 0xff, 0xfe, 0xff, 0xfe),
		"zip-no-deflate.zip":       patched(archive, directory+10, 8),
		"gzip-cut-short.obj.gz":    gz[:len(gz)-12],
		"gzip-header.obj.gz":       gz[:6],
		"gzip-checksum.obj.gz":     patched(gz, len(gz)-8, 1, 2, 3, 4),
		"gzip-damaged.obj.gz":      patched(gz, 10, 0xff),
		"gzip-twice.obj.gz":        gzipStored(t, string(gz)),
		"gzip-of-a-letter.obj.gz":  gzipStored(t, "Dear neighbour,\n"),
		"gzip-other-method.obj.gz": patched(gz, 2, 9),
	}
}

type entry struct{ name, data string }

// stored is an archive whose entries are not packed, so that its bytes are
// the same with every compiler.
func stored(t *testing.T, entries ...entry) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, e := range entries {
		w, err := z.CreateHeader(&zip.FileHeader{Name: e.name, Method: zip.Store})
		if err == nil {
			_, err = w.Write([]byte(e.data))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func gzipStored(t *testing.T, data string) []byte {
	t.Helper()
	var b bytes.Buffer
	z, err := gzip.NewWriterLevel(&b, flate.NoCompression)
	if err == nil {
		_, err = z.Write([]byte(data))
	}
	if err == nil {
		err = z.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// flipped changes a bit of the i-th byte from where a text begins.
func flipped(b []byte, text string, i int) []byte {
	c := bytes.Clone(b)
	if at := bytes.Index(c, []byte(text)); at >= 0 {
		c[at+i] ^= 1
	}
	return c
}
