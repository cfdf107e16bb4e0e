package mesh

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
)

// plyHead is a header for four vertices and a face, or whatever is replaced.
func plyHead(format string, replace ...string) string {
	return strings.NewReplacer(replace...).Replace("ply\nformat " + format + " 1.0\ncomment made by a test\nelement vertex 4\n" +
		"property float x\nproperty float y\nproperty float z\nelement face 1\nproperty list uchar int vertex_indices\nend_header\n")
}

// binaryPLY appends values of fixed size to a header.
func binaryPLY(head string, order binary.ByteOrder, values ...any) []byte {
	b := []byte(head)
	for _, v := range values {
		var err error
		if b, err = binary.Append(b, order, v); err != nil {
			panic(err)
		}
	}
	return b
}

const plySquare = "0 0 0\n1 0 0\n1 1 0\n0 1 0\n4 0 1 2 3\n"

func TestReadPLY(t *testing.T) {
	square := []float32{0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 0, 0, 1, 1, 0, 0, 1, 0}
	coordinates := []float32{0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0}
	face := []any{coordinates, byte(4), []int32{0, 1, 2, 3}}
	little, big := "binary_little_endian", "binary_big_endian"
	for name, tt := range map[string]struct {
		data   []byte
		format string
	}{
		"ascii":                {[]byte(plyHead("ascii") + plySquare), "ply ascii"},
		"ascii, CRLF":          {[]byte(strings.ReplaceAll(plyHead("ascii")+plySquare, "\n", "\r\n")), "ply ascii"},
		"ascii, CR":            {[]byte(strings.ReplaceAll(plyHead("ascii")+plySquare, "\n", "\r")), "ply ascii"},
		"ascii, no line end":   {[]byte(strings.TrimSpace(plyHead("ascii") + plySquare)), "ply ascii"},
		"little endian":        {binaryPLY(plyHead(little), binary.LittleEndian, face...), "ply binary"},
		"big endian":           {binaryPLY(plyHead(big), binary.BigEndian, face...), "ply binary"},
		"little endian, CRLF":  {binaryPLY(strings.ReplaceAll(plyHead(little), "\n", "\r\n"), binary.LittleEndian, face...), "ply binary"},
		"CR, then a line feed": {binaryPLY(strings.ReplaceAll(plyHead(little, "property float x", "property char a\nproperty float x"), "\n", "\r"), binary.LittleEndian, byte('\n'), coordinates[:3], byte(1), coordinates[3:6], byte(2), coordinates[6:9], byte(3), coordinates[9:], byte(4), []int32{0, 1, 2, 3}), "ply binary"},
		"other types": {binaryPLY(plyHead(little, "float", "float64", "list uchar int vertex_indices", "list ushort uint8 vertex_index"), binary.LittleEndian,
			[]float64{0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0}, uint16(4), []byte{0, 1, 2, 3}), "ply binary"},
		"whole numbers": {binaryPLY(plyHead(big, "float", "int16", "list uchar int", "list int short"), binary.BigEndian,
			[]int16{0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0}, int32(4), []int16{0, 1, 2, 3}), "ply binary"},
		"more properties, another order": {[]byte(plyHead("ascii", "property float x\nproperty float y", "property uchar red\nproperty float y\nproperty list char float w\nproperty float x") +
			"9 0 2 7 7 0 0\n9 0 0 1 0\n9 1 0 1 0\n9 1 1 5 0 0\n4 0 1 2 3\n"), "ply ascii"},
		"other elements": {[]byte(plyHead("ascii", "element face", "element edge 2\nproperty int a\nproperty list uchar int b\nelement nothing 9\nelement face") +
			"0 0 0\n1 0 0\n1 1 0\n0 1 0\n7 1 7\n8 0\n4 0 1 2 3\n"), "ply ascii"},
		"two faces": {[]byte(plyHead("ascii", "face 1", "face 2") + "0 0 0\n1 0 0\n1 1 0\n0 1 0\n3 0 1 2\n3 0 2 3\n"), "ply ascii"},
	} {
		s, err := openOne(tt.data)
		if err != nil {
			t.Errorf("%s: %v", name, err)
		} else if s.Format != tt.format || !slices.Equal(s.XYZ, square) {
			t.Errorf("%s: %s %v", name, s.Format, s.XYZ)
		}
	}
}

func TestReadPLYRefuses(t *testing.T) {
	nan := float32(math.NaN())
	ascii := func(replace ...string) []byte { return []byte(plyHead("ascii", replace...) + plySquare) }
	little := func(values ...any) []byte {
		return binaryPLY(plyHead("binary_little_endian"), binary.LittleEndian, values...)
	}
	quad := []float32{0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 1, 0}
	for _, tt := range []struct {
		name string
		data []byte
		kind Kind
		says string
	}{
		{"the first word alone", []byte("ply\n"), KindTruncated, "ends within its header, in line 2"},
		{"an endless header", []byte("ply\n" + strings.Repeat("comment\n", 10000)), KindLimit, "a header of more than 65536 bytes"},
		{"more after the first word", []byte("ply\r \nformat ascii 1.0\n"), KindTruncated, "ends within its header"},
		{"no format", ascii("format ascii 1.0", "comment"), KindSyntax, "line 10: the header does not say the format"},
		{"an unknown format", ascii("format ascii", "format utf8"), KindSyntax, `line 2: "format utf8 1.0" is no line`},
		{"an unknown version", ascii("ascii 1.0", "ascii 2.0"), KindSyntax, `line 2`},
		{"an unknown line", ascii("comment made", "made"), KindSyntax, `line 3: "made by a test" is no line`},
		{"an unknown type", ascii("float x", "complex x"), KindSyntax, `line 5: "property complex x"`},
		{"an unknown type of a list", ascii("list uchar", "list uword"), KindSyntax, "line 9"},
		{"a property of nothing", ascii("element vertex 4", "comment"), KindSyntax, "line 5"},
		{"a count that is none", ascii("vertex 4", "vertex four"), KindSyntax, `line 4: "element vertex four"`},
		{"a count below 0", ascii("vertex 4", "vertex -4"), KindSyntax, "line 4"},
		{"an element twice", ascii("element face", "element vertex"), KindSyntax, `line 8: element "vertex" is there twice`},
		{"no z", ascii("float z", "float zed"), KindSyntax, "line 4: the vertices have no x, y and z"},
		{"x twice", ascii("float z", "float z\nproperty float x"), KindSyntax, "the vertices have no x, y and z, each once"},
		{"no corners", ascii("vertex_indices", "corners"), KindSyntax, "line 8: the faces have no vertex_indices"},
		{"strips", ascii("element face", "element tristrips"), KindUnsupported, "stored as strips"},
		{"faces first", []byte(plyHead("ascii", "element vertex 4\nproperty float x\nproperty float y\nproperty float z\n", "", "end_header\n", "element vertex 4\nproperty float x\nproperty float y\nproperty float z\nend_header\n") + "4 0 1 2 3\n"), KindSyntax, "the faces stand before the vertices"},
		{"a cloud of points", []byte(plyHead("ascii", "face 1", "face 0") + plySquare), KindNoTriangles, "4 vertices and no face, a cloud of points"},
		{"nothing at all", []byte(plyHead("ascii", "face 1", "face 0", "vertex 4", "vertex 0")), KindNoTriangles, "0 triangles"},
		{"4 billion vertices", ascii("vertex 4", "vertex 4294967295"), KindTruncated, `line 4: the header promises 4294967295 of "vertex", and the 34 bytes behind it hold 5 at most`},
		{"more than can be counted", ascii("vertex 4", "vertex 9223372036854775807"), KindTruncated, "promises 9223372036854775807"},
		{"cut short", []byte(plyHead("ascii") + plySquare[:20]), KindTruncated, "line 4: the header promises 4"},
		{"cut short in a face", []byte(plyHead("ascii") + plySquare[:26] + "4 0 1"), KindTruncated, "a list of 4 values in face 1, and"},
		{"cut short in a face, binary", little(quad, byte(4), []int32{0, 1, 2}), KindTruncated, fmt.Sprintf("byte %d: a list", len(plyHead("binary_little_endian"))+48) + " of 4 values in face 1, and 12 bytes are left"},
		{"words", []byte(plyHead("ascii") + strings.Replace(plySquare, "1 1 0", "1 l 0", 1)), KindSyntax, `line 13: "l" stands where a number should be`},
		{"not a number", []byte(plyHead("ascii") + strings.Replace(plySquare, "1 1 0", "1 nan 0", 1)), KindNotFinite, "line 13: vertex 3 has the coordinate NaN"},
		{"not a number, binary", little(quad[:11], nan, byte(4), []int32{0, 1, 2, 3}), KindNotFinite, "vertex 4 has the coordinate NaN"},
		{"past float32", []byte(plyHead("ascii") + strings.Replace(plySquare, "1 1 0", "1 1e39 0", 1)), KindNotFinite, "vertex 3 has the coordinate 1e+39"},
		{"a vertex that is not there", []byte(plyHead("ascii") + strings.Replace(plySquare, "2 3", "2 4", 1)), KindReference, "line 15: face 1 asks for vertex 4, and there are 4, from 0"},
		{"a vertex below 0, binary", little(quad, byte(4), []int32{0, 1, 2, -1}), KindReference, "face 1 asks for vertex -1"},
		{"half a vertex", []byte(plyHead("ascii") + strings.Replace(plySquare, "2 3", "2 2.5", 1)), KindReference, "vertex 2.5"},
		{"a face of two", []byte(plyHead("ascii") + strings.Replace(plySquare, "4 0 1 2 3", "2 0 1", 1)), KindSyntax, "face 1 has 2 corners"},
		{"a list of less than nothing", binaryPLY(plyHead("binary_little_endian", "list uchar", "list char"), binary.LittleEndian, quad, int8(-1)), KindTruncated, "a list of -1 values"},
		{"a list of half a value", []byte(plyHead("ascii") + strings.Replace(plySquare, "4 0 1 2 3", "3.5 0 1 2 3", 1)), KindTruncated, "a list of 3.5 values"},
		{"an endless list", binaryPLY(plyHead("binary_little_endian", "list uchar", "list float"), binary.LittleEndian, quad, float32(math.Inf(1))), KindTruncated, "a list of +Inf values"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s, err := openOne(tt.data)
			checkRefused(t, s, err, tt.kind, tt.says)
		})
	}
}

// Any split of the header's bytes from the data must not matter: the size
// that counts are held against is what stands behind the header.
func TestPLYCountsAgainstBytes(t *testing.T) {
	for n := range 12 {
		data := bytes.Repeat([]byte("0 0 0\n"), n)
		_, err := openOne([]byte(plyHead("ascii", "vertex 4", "vertex 7", "face 1", "face 0") + string(data)))
		if short := n < 7; short != strings.Contains(fmt.Sprint(err), "the header promises 7") {
			t.Errorf("%d of 7 vertices: %v", n, err)
		}
	}
}
