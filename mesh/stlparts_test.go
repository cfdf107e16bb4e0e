package mesh

import (
	"bytes"
	"encoding/binary"
	"errors"
	"io"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/hschendel/stl"
)

// manyTriangles is a binary STL file of more triangles than are decoded one
// after the other, of any finite numbers.
func manyTriangles() (file []byte, n int) {
	n = 3*stlRun + 17
	rng := rand.New(rand.NewPCG(7, 1))
	file = make([]byte, headBytes, headBytes+recordBytes*n)
	binary.LittleEndian.PutUint32(file[headBytes-4:], uint32(n))
	for range n {
		for range 12 {
			file = binary.LittleEndian.AppendUint32(file, math.Float32bits(float32(rng.NormFloat64())))
		}
		file = append(file, 0, 0)
	}
	return file, n
}

// Parts of a file that are decoded side by side make what the library makes of
// the whole, and so does a reader that can only be read from end to end.
func TestLargeSTLIsTheLibrarys(t *testing.T) {
	file, n := manyTriangles()
	want, err := stl.ReadAll(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	for name, r := range map[string]io.ReadSeeker{
		"parts": bytes.NewReader(file),
		"whole": struct{ io.ReadSeeker }{bytes.NewReader(file)},
	} {
		s, err := ReadSTL(r)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if s.Triangles() != n || s.Format != "stl binary" {
			t.Fatalf("%s: %d triangles of %d, %q", name, s.Triangles(), n, s.Format)
		}
		for i, tr := range want.Triangles {
			for k := range 9 {
				if s.XYZ[9*i+k] != tr.Vertices[k/3][k%3] {
					t.Fatalf("%s: triangle %d: %v, want %v", name, i, s.XYZ[9*i:9*i+9], tr.Vertices)
				}
			}
		}
	}
}

// Of several bad numbers the first of the file is told, wherever it stands.
func TestLargeSTLTellsItsFirstBadNumber(t *testing.T) {
	file, n := manyTriangles()
	nan := math.Float32bits(float32(math.NaN()))
	for _, bad := range [][]int{{0}, {stlRun - 1}, {stlRun}, {2*stlRun + 3, n - 1}, {n - 1}, {stlRun + 9, stlRun + 4, 2 * stlRun}} {
		broken := slices.Clone(file)
		for _, at := range bad {
			binary.LittleEndian.PutUint32(broken[headBytes+recordBytes*at+cornerBytes+8:], nan)
		}
		first := slices.Min(bad)
		_, err := ReadSTL(bytes.NewReader(broken))
		var e *FormatError
		if !errors.As(err, &e) || e.Kind != KindNotFinite || e.Triangle != first+1 || e.Offset != int64(headBytes+recordBytes*first+cornerBytes+8) {
			t.Errorf("bad numbers in triangles %v: %v", bad, err)
		}
	}
}

// torn is a file of which some bytes cannot be read.
type torn struct {
	*bytes.Reader
	from int64
}

var errTorn = errors.New("torn")

func (r torn) ReadAt(p []byte, off int64) (int, error) {
	if off+int64(len(p)) > r.from {
		return 0, errTorn
	}
	return r.Reader.ReadAt(p, off)
}

func TestLargeSTLPassesErrorsOn(t *testing.T) {
	file, _ := manyTriangles()
	if _, err := ReadSTL(torn{bytes.NewReader(file), int64(len(file)) / 2}); !errors.Is(err, errTorn) {
		t.Errorf("a file that cannot be read to its end gives %v", err)
	}
	// It is cut short while it is read.
	short := headed{bytes.NewReader(file), bytes.NewReader(file[:len(file)-recordBytes*5])}
	if _, err := ReadSTL(short); err == nil {
		t.Error("a file that lost its end was read")
	}
}

// headed is as large as one reader, of which another holds the bytes at places.
type headed struct {
	io.ReadSeeker
	io.ReaderAt
}
