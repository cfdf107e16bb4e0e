package mesh

import (
	"bufio"
	"encoding/binary"
	"fmt"
	"io"
	"math"

	"github.com/hschendel/stl"

	"playgauge/mesh/parallel"
)

// Sizes of the binary form in bytes: a header of 80 bytes and a count of 4,
// then a record of 50 a triangle (Library of Congress, fdd000505).
const (
	headBytes   = 84
	recordBytes = 50
	// cornerBytes is where the corners stand in a record, after the normal.
	cornerBytes = 12
)

// readBuffer is the most that the buffer between a file and its decoder holds.
const readBuffer = 1 << 16

// buffered reads size bytes; of a small file the buffer holds no more.
func buffered(r io.Reader, size int64) *bufio.Reader {
	return bufio.NewReaderSize(r, int(min(size, readBuffer)))
}

// ReadSTL reads a binary or an ASCII STL file from its first to its last
// byte. A size of exactly 84+50n bytes, n being the count in the header,
// decides for binary, also where the header begins with "solid". Every solid
// of an ASCII file is read. Normals and attributes are ignored.
//
// A file that is no STL, or a damaged one, gives a *FormatError; other
// errors come from r. Memory is bounded by a multiple of the file's size.
func ReadSTL(r io.ReadSeeker) (*Soup, error) {
	size, err := r.Seek(0, io.SeekEnd)
	if err != nil {
		return nil, err
	}
	if _, err := r.Seek(0, io.SeekStart); err != nil {
		return nil, err
	}
	head, err := headOf(r, size)
	if err != nil {
		return nil, err
	}
	switch k := sniff(head, size); k {
	case kindSTLBinary:
		return readBinary(r, int((size-headBytes)/recordBytes))
	case kindSTLASCII:
		return readASCII(r, size)
	default:
		return nil, refuse(k, head, size)
	}
}

// stlRun is the number of triangles that are decoded one after the other; runs
// are decoded side by side.
const stlRun = 1 << 15

// readBinary reads n triangles, n being known to fit the size of the file.
func readBinary(r io.ReadSeeker, n int) (*Soup, error) {
	if n == 0 {
		return nil, noTriangles()
	}
	xyz := make([]float32, 9*n)
	at, ok := r.(io.ReaderAt)
	if !ok || n <= stlRun {
		if _, err := r.Seek(headBytes, io.SeekStart); err != nil {
			return nil, err
		}
		if err := readRecords(r, xyz, 0); err != nil {
			return nil, err
		}
		return &Soup{Format: "stl binary", XYZ: xyz}, nil
	}
	errs := make([]error, parallel.Runs(n, stlRun))
	parallel.Each(len(errs), func(i int) {
		from, to := stlRun*i, min(stlRun*(i+1), n)
		part := io.NewSectionReader(at, headBytes+recordBytes*int64(from), recordBytes*int64(to-from))
		errs[i] = readRecords(part, xyz[9*from:9*to], from)
	})
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return &Soup{Format: "stl binary", XYZ: xyz}, nil
}

// readRecords reads as many records as there is room for their coordinates;
// first is the number of the first in the whole file, from 0.
func readRecords(r io.Reader, xyz []float32, first int) error {
	n := len(xyz) / 9
	buf := make([]byte, recordBytes*min(n, readBuffer/recordBytes))
	for done := 0; done < n; {
		records := buf[:min(len(buf), recordBytes*(n-done))]
		if got, err := io.ReadFull(r, records); err == io.EOF || err == io.ErrUnexpectedEOF {
			return fmt.Errorf("the file changed while it was read: it ends after %d triangles", first+done+got/recordBytes)
		} else if err != nil {
			return err
		}
		if bad := decode(records, xyz[9*done:]); bad >= 0 {
			at := first + done + bad/9
			off := headBytes + recordBytes*int64(at) + cornerBytes + 4*int64(bad%9)
			return &FormatError{Kind: KindNotFinite, Triangle: at + 1, Offset: off,
				Msg: fmt.Sprintf("triangle %d (byte %d): a coordinate is %v; export the model again", at+1, off, xyz[9*done+bad])}
		}
		done += len(records) / recordBytes
	}
	return nil
}

// decode reads the corners of records, nine coordinates each, and returns which
// is the first that is no finite number, -1 if all are.
func decode(records []byte, xyz []float32) (bad int) {
	// The exponent is all ones in what is not finite: 1 more carries to the sign.
	const exponent, one = 0x7f800000, 0x00800000
	for i := range len(records) / recordBytes {
		corners := records[recordBytes*i+cornerBytes:][:36]
		x := xyz[9*i:][:9]
		carry := uint32(0)
		for k := range x {
			b := binary.LittleEndian.Uint32(corners[4*k:])
			carry |= b&exponent + one
			x[k] = math.Float32frombits(b)
		}
		if carry>>31 == 0 {
			continue
		}
		for k, v := range x {
			if v-v != 0 {
				return 9*i + k
			}
		}
	}
	return -1
}

func noTriangles() *FormatError {
	return formatErrorf(KindNoTriangles, "the file holds 0 triangles; export the model again")
}

// WriteSTL writes a soup as binary STL, with normals from its corners (zero
// for a facet without area).
func WriteSTL(w io.Writer, s *Soup) error {
	n := s.Triangles()
	if uint64(n) > math.MaxUint32 {
		return fmt.Errorf("%d triangles are more than an STL file can hold", n)
	}
	// The header must not begin with "solid".
	solid := stl.Solid{Name: "binary STL, millimetres", Triangles: make([]stl.Triangle, n)}
	for i := range n {
		t, c := &solid.Triangles[i], s.XYZ[9*i:9*i+9]
		for k := range 9 {
			t.Vertices[k/3][k%3] = c[k]
		}
		t.Normal = normal32(c)
	}
	b := bufio.NewWriterSize(w, readBuffer)
	if err := solid.WriteAll(b); err != nil {
		return err
	}
	return b.Flush()
}

// normal32 is the unit normal of nine coordinates.
func normal32(c []float32) stl.Vec3 {
	var u, v [3]float64
	for k := range 3 {
		u[k] = float64(c[3+k]) - float64(c[k])
		v[k] = float64(c[6+k]) - float64(c[k])
	}
	var n [3]float64
	for k := range 3 {
		i, j := (k+1)%3, (k+2)%3
		n[k] = float64(u[i]*v[j]) - float64(u[j]*v[i])
	}
	l := math.Sqrt(float64(n[0]*n[0]) + float64(n[1]*n[1]) + float64(n[2]*n[2]))
	if l == 0 {
		return stl.Vec3{}
	}
	return stl.Vec3{float32(n[0] / l), float32(n[1] / l), float32(n[2] / l)}
}
