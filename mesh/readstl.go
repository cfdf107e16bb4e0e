package mesh

import (
	"bufio"
	"encoding/binary"
	"errors"
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

// readBuffer is the most that the buffer between a file and its decoder holds,
// which asks for a few bytes at a time.
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
		if err := readRun(r, xyz, 0); err != nil {
			return nil, err
		}
		return &Soup{Format: "stl binary", XYZ: xyz}, nil
	}
	errs := make([]error, parallel.Runs(n, stlRun))
	parallel.Each(len(errs), func(i int) {
		from, to := stlRun*i, min(stlRun*(i+1), n)
		errs[i] = readRun(newSTLPart(at, from, to), xyz[9*from:9*to], from)
	})
	for _, err := range errs {
		if err != nil {
			return nil, err
		}
	}
	return &Soup{Format: "stl binary", XYZ: xyz}, nil
}

// readRun decodes a file, or what looks like one, into the coordinates of all
// of its triangles; first is the number of the first in the whole file, from 0.
func readRun(r io.ReadSeeker, xyz []float32, first int) error {
	n := len(xyz) / 9
	c := collector{xyz: xyz[:0:len(xyz)]}
	src := &rewound{r: r, buf: buffered(nil, headBytes+recordBytes*int64(n)), stop: &c}
	if _, err := src.Seek(0, io.SeekStart); err != nil {
		return err
	}
	err := stl.CopyAll(src, &c)
	if c.bad != nil {
		at := first + c.triangles()
		off := headBytes + recordBytes*int64(at) + cornerBytes + 4*int64(c.bad.number)
		return &FormatError{Kind: KindNotFinite, Triangle: at + 1, Offset: off,
			Msg: fmt.Sprintf("triangle %d (byte %d): a coordinate is %v; export the model again", at+1, off, c.bad.value)}
	}
	if src.err != nil {
		return src.err
	}
	if err != nil {
		return err
	}
	if c.triangles() != n {
		return fmt.Errorf("the file changed while it was read: %d triangles of %d", first+c.triangles(), first+n)
	}
	return nil
}

// stlPart is the file that some of a file's triangles would be.
type stlPart struct {
	head [headBytes]byte
	body *io.SectionReader
	at   int64
}

// newSTLPart is triangles from to to, counted from 0, without the last.
func newSTLPart(r io.ReaderAt, from, to int) *stlPart {
	p := &stlPart{body: io.NewSectionReader(r, headBytes+recordBytes*int64(from), recordBytes*int64(to-from))}
	binary.LittleEndian.PutUint32(p.head[headBytes-4:], uint32(to-from))
	return p
}

func (p *stlPart) Read(b []byte) (n int, err error) {
	if p.at < headBytes {
		n = copy(b, p.head[p.at:])
	} else {
		n, err = p.body.ReadAt(b, p.at-headBytes)
	}
	p.at += int64(n)
	return n, err
}

func (p *stlPart) Seek(offset int64, whence int) (int64, error) {
	switch whence {
	case io.SeekCurrent:
		offset += p.at
	case io.SeekEnd:
		offset += headBytes + p.body.Size()
	}
	if offset < 0 {
		return 0, errors.New("seek before the start")
	}
	p.at = offset
	return offset, nil
}

func noTriangles() *FormatError {
	return formatErrorf(KindNoTriangles, "the file holds 0 triangles; export the model again")
}

// collector takes the triangles that the library decodes.
type collector struct {
	xyz []float32
	bad *notFinite
}

// notFinite is the first coordinate that is no number, of the triangle after
// those that were taken.
type notFinite struct {
	number int // 0 to 8
	value  float32
}

func (c *collector) triangles() int { return len(c.xyz) / 9 }

func (c *collector) SetName(string)          {}
func (c *collector) SetBinaryHeader([]byte)  {}
func (c *collector) SetASCII(bool)           {}
func (c *collector) SetTriangleCount(uint32) {}

func (c *collector) AppendTriangle(t stl.Triangle) {
	if c.bad != nil {
		return
	}
	v := &t.Vertices
	// The sum is finite only if every term is (or an overflow, which the
	// loop clears).
	sum := v[0][0] + v[0][1] + v[0][2] + v[1][0] + v[1][1] + v[1][2] + v[2][0] + v[2][1] + v[2][2]
	if sum-sum != 0 {
		for i := range 9 {
			if x := v[i/3][i%3]; x-x != 0 {
				c.bad = &notFinite{number: i, value: x}
				return
			}
		}
	}
	c.xyz = append(c.xyz,
		v[0][0], v[0][1], v[0][2], v[1][0], v[1][1], v[1][2], v[2][0], v[2][1], v[2][2])
}

// rewound buffers a file for the library, keeps the error that the library
// would lose, and ends the stream once the collector has met a bad number.
type rewound struct {
	r    io.ReadSeeker
	buf  *bufio.Reader
	stop *collector
	err  error
}

func (s *rewound) Seek(offset int64, whence int) (int64, error) {
	at, err := s.r.Seek(offset, whence)
	s.buf.Reset(s.r)
	return at, err
}

func (s *rewound) Read(p []byte) (int, error) {
	if s.stop.bad != nil {
		return 0, io.EOF
	}
	n, err := io.ReadFull(s.buf, p)
	if n > 0 && (err == io.ErrUnexpectedEOF || err == io.EOF) {
		return n, nil
	}
	if err != nil && err != io.EOF {
		s.err = err
	}
	return n, err
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
