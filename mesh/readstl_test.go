package mesh

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"testing/iotest"

	"pgregory.net/rapid"
)

// binarySTL is a binary file that promises n triangles and holds the bytes
// of those given.
func binarySTL(head string, promised uint32, tris ...[9]float32) []byte {
	b := make([]byte, 80, 84+50*len(tris))
	copy(b, head)
	b = binary.LittleEndian.AppendUint32(b, promised)
	for _, t := range tris {
		b = append(b, make([]byte, 12)...)
		for _, x := range t {
			b = binary.LittleEndian.AppendUint32(b, math.Float32bits(x))
		}
		b = append(b, 0xff, 0xff)
	}
	return b
}

var (
	tri1 = [9]float32{0, 0, 0, 1, 0, 0, 0, 1, 0}
	tri2 = [9]float32{0, 0, 1.5, 1e-3, 0, 1, 0, -1, 1}
)

const facet1 = "facet normal 0 0 1\n outer loop\n  vertex 0 0 0\n  vertex 1 0 0\n  vertex 0 1 0\n endloop\nendfacet\n"
const facet2 = "facet normal 0 0 1\n outer loop\n  vertex 0 0 1.5\n  vertex 1e-3 0 1\n  vertex 0 -1 1\n endloop\nendfacet\n"

func TestReadSTL(t *testing.T) {
	one, both := tri1[:], slices.Concat(tri1[:], tri2[:])
	crlf := func(s string) string { return strings.ReplaceAll(s, "\n", "\r\n") }
	tests := []struct {
		name   string
		data   string
		format string
		xyz    []float32
	}{
		{"binary", string(binarySTL("made by hand", 2, tri1, tri2)), "stl binary", both},
		{"binary that begins with solid", string(binarySTL("solid facet vertex", 2, tri1, tri2)), "stl binary", both},
		{"binary, header of a picture", string(binarySTL("\x89PNG\r\n\x1a\n", 1, tri1)), "stl binary", one},
		{"ascii", "solid one\n" + facet1 + facet2 + "endsolid one\n", "stl ascii", both},
		{"no name", "solid\n" + facet1 + "endsolid\n", "stl ascii", one},
		{"no blank before the name", "solid_one\n" + facet1 + "endsolid\n", "stl ascii", one},
		{"no line end at the end", "solid\n" + facet1 + "endsolid", "stl ascii", one},
		{"blank lines and a byte order mark", "\xef\xbb\xbf\n\n  solid x\n\n" + facet1 + "\n\nendsolid\n\n", "stl ascii", one},
		{"blanks first", " \t\r\n solid x\n" + facet1 + "endsolid\n", "stl ascii", one},
		{"upper case", strings.ToUpper("solid x\n" + facet2 + "endsolid x\n"), "stl ascii", tri2[:]},
		{"mixed case", "Solid x\n" + strings.ReplaceAll(facet1, "facet", "Facet") + "EndSolid x\n", "stl ascii", one},
		{"CRLF", crlf("solid x\n" + facet1 + facet2 + "endsolid x\n"), "stl ascii", both},
		{"CR", strings.ReplaceAll("solid x\n"+facet1+facet2+"endsolid x\n", "\n", "\r"), "stl ascii", both},
		{"several solids", "solid a\n" + facet1 + "endsolid a\nsolid b\n" + facet2 + "endsolid b\n", "stl ascii", both},
		{"a solid without facets among others", "solid a\nendsolid a\nsolid b\n" + facet2 + "endsolid b\n", "stl ascii", tri2[:]},
		{"several solids without endsolid between", "solid a\n" + facet1 + "solid b\n" + facet2 + "endsolid b\n", "stl ascii", both},
		{"name of many words", "solid my facet endsolid model solid\n" + facet1 + "endsolid my facet endsolid\n", "stl ascii", one},
		{"name in another script", "solid K\xf6rper \xe7\n" + facet1 + "endsolid\n", "stl ascii", one},
		{"one line", strings.ReplaceAll("solid x "+facet1+facet2+"endsolid x", "\n", " "), "stl ascii", both},
		{"one line, two solids", strings.ReplaceAll("solid x "+facet1+"endsolid x solid y "+facet2+"endsolid y", "\n", " "), "stl ascii", both},
		{"a line of 200 KiB", "solid " + strings.Repeat("long name ", 20<<10) + "\n" + facet1 + "endsolid\n", "stl ascii", one},
		{"a word of 200 KiB", "solid " + strings.Repeat("x", 200<<10) + "\n" + facet1 + "endsolid\n", "stl ascii", one},
		{"normal not a number", "solid\n" + strings.Replace(facet1, "0 0 1", "-nan(ind) nan 1.#IND", 1) + "endsolid\n", "stl ascii", one},
		{"numbers in other forms", "solid\n" + strings.NewReplacer("vertex 0 0 0", "vertex +0.0 -0 .0e+5", "vertex 1 ", "vertex 1.000E+00 ").Replace(facet1) + "endsolid\n", "stl ascii", one},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s, err := ReadSTL(strings.NewReader(tt.data))
			if err != nil {
				t.Fatal(err)
			}
			if s.Format != tt.format || !slices.Equal(s.XYZ, tt.xyz) {
				t.Errorf("got %s %v, want %s %v", s.Format, s.XYZ, tt.format, tt.xyz)
			}
		})
	}
}

func TestReadSTLRefuses(t *testing.T) {
	nan, inf := float32(math.NaN()), float32(math.Inf(1))
	bad := func(i int, x float32) [9]float32 {
		t := tri1
		t[i] = x
		return t
	}
	// FACTS of the format: 84+50n bytes, 684 for 12 triangles (Library of
	// Congress, fdd000505).
	twelve := binarySTL("", 12, slices.Repeat([][9]float32{tri1}, 12)...)
	if len(twelve) != 684 {
		t.Fatalf("12 triangles take %d bytes", len(twelve))
	}
	tests := []struct {
		name string
		data string
		want FormatError // Msg is a part of the message
	}{
		{"empty", "", FormatError{Kind: KindEmpty, Msg: "empty"}},
		{"text", "The quick brown fox\njumps", FormatError{Kind: KindText, Msg: `(it begins "The quick brown fox")`}},
		{"a web page", "\n<!DOCTYPE html><html><head><title>Not found</title>", FormatError{Kind: KindText, Msg: `"<!DOCTYPE html><html><head><titl..."`}},
		{"text that begins with solid", "Solid advice:\nnever eat yellow snow\n", FormatError{Kind: KindText, Line: 2, Msg: `"never" in line 2`}},
		{"solid and nothing else", "solid", FormatError{Kind: KindText, Msg: "no facet"}},
		{"png", "\x89PNG\r\n\x1a\n" + strings.Repeat("\x00", 200), FormatError{Kind: KindImage, Msg: "picture"}},
		{"jpeg", "\xff\xd8\xff\xe0" + strings.Repeat("\x00", 200), FormatError{Kind: KindImage, Msg: "picture"}},
		{"gif", "GIF89a" + strings.Repeat("\x00", 200), FormatError{Kind: KindImage, Msg: "picture"}},
		{"webp", "RIFF\x10\x00\x00\x00WEBPVP8 " + strings.Repeat("\x00", 200), FormatError{Kind: KindImage, Msg: "picture"}},
		{"zip", "PK\x03\x04" + strings.Repeat("\x00", 200), FormatError{Kind: KindArchive, Msg: "archive"}},
		{"too short", "\x00\x01\x02", FormatError{Kind: KindTruncated, Offset: 3, Msg: "3 bytes"}},
		{"0 triangles", string(binarySTL("", 0)), FormatError{Kind: KindNoTriangles, Msg: "0 triangles"}},
		{"0 triangles, ascii", "solid x\nendsolid x\n", FormatError{Kind: KindNoTriangles, Msg: "0 triangles"}},
		{"cut short", string(twelve[:684-60]), FormatError{Kind: KindTruncated, Offset: 624, Msg: "header promises 12 triangles, its 624 bytes hold 10;"}},
		{"cut short by a byte", string(twelve[:683]), FormatError{Kind: KindTruncated, Offset: 683, Msg: "header promises 12 triangles, its 683 bytes hold 11;"}},
		{"cut short, begins with solid", string(binarySTL("solid facet", 3, tri1)), FormatError{Kind: KindTruncated, Offset: 134, Msg: "promises 3 triangles, its 134 bytes hold 1;"}},
		{"only a header, of 4 billion", string(binarySTL("", math.MaxUint32)), FormatError{Kind: KindTruncated, Offset: 84, Msg: "promises 4294967295 triangles, its 84 bytes hold 0;"}},
		{"too long", string(twelve) + "more", FormatError{Kind: KindOverlong, Offset: 684, Msg: "4 bytes too long: its header promises 12 triangles, its 688 bytes hold 12;"}},
		{"too long by triangles", string(binarySTL("", 1, tri1, tri2, tri2)), FormatError{Kind: KindOverlong, Offset: 134, Msg: "100 bytes too long: its header promises 1 triangles, its 234 bytes hold 3;"}},
		{"NaN", string(binarySTL("", 2, tri1, bad(4, nan))), FormatError{Kind: KindNotFinite, Triangle: 2, Offset: 84 + 50 + 12 + 16, Msg: "triangle 2 (byte 162): a coordinate is NaN"}},
		{"infinity", string(binarySTL("", 2, bad(0, -inf), bad(4, nan))), FormatError{Kind: KindNotFinite, Triangle: 1, Offset: 96, Msg: "triangle 1 (byte 96): a coordinate is -Inf"}},
		{"NaN in ascii", "solid x\n" + facet1 + strings.Replace(facet2, "1.5", "nan", 1) + "endsolid\n", FormatError{Kind: KindNotFinite, Triangle: 2, Line: 11, Msg: `triangle 2 (line 11): a coordinate is "nan"`}},
		{"infinity in ascii", "solid x\n" + strings.Replace(facet2, "1.5", "-INF", 1) + "endsolid\n", FormatError{Kind: KindNotFinite, Triangle: 1, Line: 4, Msg: `"-INF"`}},
		{"NaN as some compilers write it", "solid x\n" + strings.Replace(facet2, "1.5", "-1.#IND", 1) + "endsolid\n", FormatError{Kind: KindNotFinite, Triangle: 1, Line: 4, Msg: `"-1.#IND"`}},
		{"past float32", "solid x\n" + facet1 + strings.Replace(facet2, "1.5", "1e39", 1) + "endsolid\n", FormatError{Kind: KindNotFinite, Triangle: 2, Line: 11, Msg: `"1e39"`}},
		{"no number", "solid x\r\n" + facet1 + strings.Replace(facet2, "1.5", "1-5", 1) + "endsolid\n", FormatError{Kind: KindSyntax, Triangle: 2, Line: 11, Msg: `line 11: "1-5" stands where a number should be, in triangle 2`}},
		{"comma", "solid x\n" + strings.Replace(facet2, "1.5", "1,5", 1) + "endsolid\n", FormatError{Kind: KindSyntax, Triangle: 1, Line: 4, Msg: `line 4: "1,5"`}},
		{"a corner missing", "solid x\n" + strings.Replace(facet1, "  vertex 0 1 0\n", "", 1) + "endsolid\n", FormatError{Kind: KindSyntax, Triangle: 1, Line: 6, Msg: `line 6: "endloop" stands where "vertex" should be`}},
		{"a number missing", "solid x\n" + strings.Replace(facet1, "vertex 0 1 0", "vertex 0 1", 1) + "endsolid\n", FormatError{Kind: KindSyntax, Triangle: 1, Line: 7, Msg: `line 7: "endloop" stands where a number should be`}},
		{"cut within a facet", "solid x\n" + facet1 + facet2[:40], FormatError{Kind: KindSyntax, Triangle: 2, Line: 11, Msg: "the file ends within triangle 2"}},
		{"cut between facets", "solid x\n" + facet1 + facet2, FormatError{Kind: KindSyntax, Line: 16, Msg: `cut short after 2 triangles: "endsolid" is missing`}},
		{"rubbish between facets", "solid x\n" + facet1 + "rubbish\n" + facet2 + "endsolid\n", FormatError{Kind: KindSyntax, Line: 9, Msg: `line 9: "rubbish"`}},
		{"rubbish at the end", "solid x\n" + facet1 + "endsolid x\nrubbish\n", FormatError{Kind: KindSyntax, Line: 10, Msg: `"rubbish"`}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s, err := ReadSTL(strings.NewReader(tt.data))
			var e *FormatError
			if !errors.As(err, &e) {
				t.Fatalf("got %v, %v", s, err)
			}
			if e.Kind != tt.want.Kind || e.Triangle != tt.want.Triangle || e.Offset != tt.want.Offset || e.Line != tt.want.Line || !strings.Contains(e.Error(), tt.want.Msg) {
				t.Errorf("got  %#v\nwant %#v", *e, tt.want)
			}
			if strings.ContainsAny(e.Error(), "\n\r") {
				t.Errorf("more than a line: %q", e)
			}
		})
	}
}

// oneByte reads a byte at a time.
type oneByte struct {
	io.Reader
	io.Seeker
}

func TestReadSTLTakesShortReads(t *testing.T) {
	for _, data := range [][]byte{binarySTL("", 2, tri1, tri2), []byte("solid\n" + facet1 + facet2 + "endsolid\n")} {
		r := bytes.NewReader(data)
		s, err := ReadSTL(oneByte{iotest.OneByteReader(r), r})
		if err != nil || !slices.Equal(s.XYZ, slices.Concat(tri1[:], tri2[:])) {
			t.Errorf("got %v, %v", s, err)
		}
	}
}

func TestReadSTLReadsFromTheStart(t *testing.T) {
	r := bytes.NewReader(binarySTL("", 1, tri1))
	if _, err := r.Seek(100, io.SeekStart); err != nil {
		t.Fatal(err)
	}
	if s, err := ReadSTL(r); err != nil || s.Triangles() != 1 {
		t.Errorf("got %v, %v", s, err)
	}
}

// failing gives up after some bytes.
type failing struct {
	*bytes.Reader
	after int64
}

var errBroken = errors.New("the disk is gone")

func (f failing) Read(p []byte) (int, error) {
	at, _ := f.Seek(0, io.SeekCurrent)
	if at >= f.after {
		return 0, errBroken
	}
	return f.Reader.Read(p[:min(int64(len(p)), f.after-at)])
}

func TestReadSTLPassesErrorsOn(t *testing.T) {
	ascii := []byte("solid\n" + strings.Repeat(facet1, 20) + "endsolid\n")
	files := [][]byte{binarySTL("", 200, slices.Repeat([][9]float32{tri1}, 200)...), ascii}
	for _, data := range files {
		for _, after := range []int64{0, 40, 84, 1500} {
			if _, err := ReadSTL(failing{bytes.NewReader(data), after}); !errors.Is(err, errBroken) {
				t.Errorf("after %d bytes: %v", after, err)
			}
		}
	}
}

func TestWriteSTLReadsBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 20).Draw(t, "triangles")
		s := &Soup{Format: "stl binary"}
		for range 9 * n {
			s.XYZ = append(s.XYZ, rapid.Float32().Draw(t, "x"))
		}
		var b bytes.Buffer
		if err := WriteSTL(&b, s); err != nil {
			t.Fatal(err)
		}
		if b.Len() != 84+50*n {
			t.Fatalf("%d triangles make %d bytes", n, b.Len())
		}
		if bytes.HasPrefix(bytes.ToLower(b.Bytes()), []byte("solid")) {
			t.Fatal("the header begins with solid")
		}
		got, err := ReadSTL(bytes.NewReader(b.Bytes()))
		if err != nil {
			t.Fatal(err)
		}
		for i, x := range s.XYZ {
			if math.Float32bits(got.XYZ[i]) != math.Float32bits(x) {
				t.Fatalf("number %d is %v, was %v", i, got.XYZ[i], x)
			}
		}
		again := got.Format == s.Format && len(got.XYZ) == len(s.XYZ)
		if !again {
			t.Fatalf("got %s, %d numbers", got.Format, len(got.XYZ))
		}
	})
}

func TestWriteSTLNormals(t *testing.T) {
	var b bytes.Buffer
	if err := WriteSTL(&b, &Soup{XYZ: []float32{0, 0, 0, 0, 3, 0, 0, 0, 5, 1, 1, 1, 1, 1, 1, 2, 2, 2}}); err != nil {
		t.Fatal(err)
	}
	for i, want := range [][3]float32{{1, 0, 0}, {0, 0, 0}} {
		for k := range 3 {
			got := math.Float32frombits(binary.LittleEndian.Uint32(b.Bytes()[84+50*i+4*k:]))
			if got != want[k] {
				t.Errorf("normal of triangle %d, number %d: %v, want %v", i, k, got, want[k])
			}
		}
	}
}

func TestWriteSTLPassesErrorsOn(t *testing.T) {
	r, w := io.Pipe()
	r.CloseWithError(errBroken)
	if err := WriteSTL(w, soup(box(0, 0, 0, 1, 1, 1))); !errors.Is(err, errBroken) {
		t.Errorf("got %v", err)
	}
}

func FuzzReadSTL(f *testing.F) {
	f.Add([]byte{})
	f.Add(binarySTL("", 2, tri1, tri2))
	f.Add(binarySTL("solid", 1, tri1))
	f.Add(binarySTL("", math.MaxUint32, tri1))
	f.Add(binarySTL("", 1, [9]float32{float32(math.NaN())}))
	f.Add([]byte("solid x\n" + facet1 + "endsolid x\nsolid y\n" + facet2 + "endsolid\n"))
	f.Add([]byte("solid facet normal 0 0 0 outer loop vertex 1 2 3 vertex nan 1e99 3"))
	f.Add([]byte("PK\x03\x04"))
	f.Add([]byte("\x89PNG\r\n\x1a\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		// The library takes 4 KiB of scratch for each line, of which one
		// triangle of 70 bytes or more becomes one; the rest is buffers.
		most := int64(100*len(data) + 2<<20)
		var s *Soup
		var err error
		if taken := roughlyAllocated(func() { s, err = ReadSTL(bytes.NewReader(data)) }); taken > most {
			t.Errorf("%d bytes make it allocate %d", len(data), taken)
		}
		if err != nil {
			var e *FormatError
			if !errors.As(err, &e) || strings.ContainsAny(e.Error(), "\n\r") {
				t.Errorf("not a one-line FormatError: %q", err)
			}
			return
		}
		if s.Triangles() == 0 || len(s.XYZ)%9 != 0 {
			t.Errorf("%d numbers", len(s.XYZ))
		}
		for i, x := range s.XYZ {
			if x-x != 0 {
				t.Errorf("number %d is %v", i, x)
			}
		}
		// What was read can be written and read again.
		var b bytes.Buffer
		if err := WriteSTL(&b, s); err != nil {
			t.Fatal(err)
		}
		if again, err := ReadSTL(bytes.NewReader(b.Bytes())); err != nil || !slices.Equal(again.XYZ, s.XYZ) {
			t.Errorf("read again: %v", err)
		}
	})
}
