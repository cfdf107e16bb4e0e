package mesh

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
)

const quadOBJ = "v 0 0 0\nv 1 0 0\nv 1 1 0\nv 0 1 0\n"

func TestReadOBJ(t *testing.T) {
	square := []float32{0, 0, 0, 1, 0, 0, 1, 1, 0, 0, 0, 0, 1, 1, 0, 0, 1, 0}
	for name, text := range map[string]string{
		"a face of four":           quadOBJ + "f 1 2 3 4\n",
		"two triangles":            quadOBJ + "f 1 2 3\nf 1 3 4\n",
		"textures and normals":     quadOBJ + "vt 0 0\nvn 0 0 1\nf 1/1/1 2/1/1 3//1 4/1\n",
		"counted back":             quadOBJ + "f -4 -3 -2 -1\n",
		"counted back, as read":    "v 0 0 0\nv 1 0 0\nv 1 1 0\nf -3 -2 -1\nv 0 1 0\nf -4 -2 -1\n",
		"colours":                  "v 0 0 0 1 0.5 0\nv 1 0 0 1 1 1\nv 1 1 0 0 0 0\nv 0 1 0 1 1 1\nf 1 2 3 4",
		"weights":                  "v 0 0 0 1\nv 1 0 0 1\nv 1 1 0 1\nv 0 1 0 1\nf 1 2 3 4",
		"comments and groups":      "# made\n\n#\nmtllib a.mtl\no plate\n" + quadOBJ + "g top\nusemtl red\ns off\nf 1 2 3 4 # the top\nl 1 2\np 1\n",
		"CRLF":                     strings.ReplaceAll(quadOBJ+"f 1 2 3 4\n", "\n", "\r\n"),
		"CR":                       strings.ReplaceAll(quadOBJ+"f 1 2 3 4\n", "\n", "\r"),
		"blanks before":            "   " + strings.ReplaceAll(quadOBJ, "v ", "\tv   ") + " f  1 2 3 4",
		"a line goes on":           quadOBJ + "f 1 2 \\\n 3 \\\r\n 4\n",
		"a byte order mark":        "\xef\xbb\xbf" + quadOBJ + "f 1 2 3 4\n",
		"a long comment before":    strings.Repeat("# a comment that goes on\n", 500) + quadOBJ + "f 1 2 3 4\n",
		"a comment of a long word": "#" + strings.Repeat("=", 1<<16) + "\n" + quadOBJ + "f 1 2 3 4\n",
	} {
		s, err := openOne([]byte(text))
		if err != nil {
			t.Errorf("%s: %v", name, err)
		} else if s.Format != "obj" || s.Unit != "" || !slices.Equal(s.XYZ, square) || len(s.Warnings) != 0 {
			t.Errorf("%s: %s %v %q", name, s.Format, s.XYZ, s.Warnings)
		}
	}
}

func TestReadOBJWarns(t *testing.T) {
	s := opened(t, []byte("v 0 10 0\nv -5.88 -8.09 0\nv 9.51 3.09 0\nv -9.51 3.09 0\nv 5.88 -8.09 0\nf 1 2 3 4 5\n"))
	if want := []string{"1 face of more than three corners crosses itself or has no area; divided all the same"}; !slices.Equal(s.Warnings, want) {
		t.Errorf("%q", s.Warnings)
	}
}

func TestReadOBJRefuses(t *testing.T) {
	star := func(n int) string {
		var b strings.Builder
		face := "f"
		for i := range n {
			a, r := 2*math.Pi*float64(i)/float64(n), float64(5+5*(i%2))
			fmt.Fprintf(&b, "v %g %g 0\n", r*math.Cos(a), r*math.Sin(a))
			face += fmt.Sprintf(" %d", i+1)
		}
		return b.String() + face + "\n"
	}
	for _, tt := range []struct {
		name, text string
		kind       Kind
		says       string
	}{
		{"comments alone", "# nothing\n# here\n", KindText, "no vertex and no face"},
		{"points alone", quadOBJ, KindNoTriangles, "holds 4 vertices and no face"},
		{"a vertex alone", "v 1 2 3\n", KindNoTriangles, "holds 1 vertex and no face"},
		{"not a statement", quadOBJ + "f 1 2 3\nhello there\n", KindSyntax, `line 6: "hello" begins no statement`},
		{"a coordinate missing", "v 0 0 0\nv 1 0\nf 1 2 1\n", KindSyntax, "line 2: vertex 2 has too few coordinates"},
		{"a coordinate that is none", "v 0 0,5 0\n", KindSyntax, `line 1: "0,5" stands where a coordinate of vertex 1`},
		{"not a number", "v 0 0 0\nv 0 -nan(ind) 0\n", KindNotFinite, `line 2: vertex 2 has the coordinate "-nan(ind)"`},
		{"infinite", "v 0 0 0\nv 0 1e999 0\n", KindNotFinite, `vertex 2 has the coordinate "1e999"`},
		{"hexadecimal", "v 0 0x10 0\n", KindSyntax, `"0x10"`},
		{"vertex 0", quadOBJ + "f 0 1 2\n", KindReference, "line 5: a face asks for vertex 0, and there are 4 so far"},
		{"a vertex too high", quadOBJ + "f 1 2 5\n", KindReference, "vertex 5, and there are 4"},
		{"a vertex far too high", quadOBJ + "f 1 2 99999999999999999999\n", KindReference, "vertex 99999999999999999999"},
		{"counted back too far", quadOBJ + "f 1 2 -5\n", KindReference, "vertex -5"},
		{"a vertex still to come", "v 0 0 0\nv 1 0 0\nf 1 2 3\nv 0 1 0\n", KindReference, "vertex 3, and there are 2 so far"},
		{"a vertex that is none", quadOBJ + "f 1 2 x\n", KindSyntax, `"x" stands where the number of a vertex`},
		{"a face of two", quadOBJ + "f 1 2\n", KindSyntax, "line 5: a face of 2 corners"},
		{"a face of none", quadOBJ + "f\n", KindSyntax, "a face of 0 corners"},
		{"a long word", quadOBJ + "f 1 2 " + strings.Repeat("1", 5000) + "\n", KindSyntax, "a word of 1024 bytes or more"},
		{"a star of too many corners", star(1002), KindLimit, "line 1003: a face of 1002 corners that is not convex (1000 are taken)"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			s, err := openOne([]byte(tt.text))
			checkRefused(t, s, err, tt.kind, tt.says)
		})
	}
	if s := opened(t, []byte(star(1000))); s.Triangles() != 998 {
		t.Errorf("a star of 1000 corners makes %d triangles", s.Triangles())
	}
}
