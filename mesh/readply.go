package mesh

import (
	"bufio"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
)

// readPLY reads the vertices and the faces of a PLY file of size bytes and
// passes over everything else in it.
func readPLY(r io.Reader, size int64) (*Soup, error) {
	w := newWords(r, size)
	h, err := readPLYHeader(w)
	if err != nil {
		return nil, err
	}
	p := plyReader{header: h, left: size - h.bytes}
	if h.order == nil {
		p.soup.Format = "ply ascii"
		p.values = &plyText{w: w}
		p.spare = 1
	} else {
		p.soup.Format = "ply binary"
		p.values = &plyBinary{b: w.b, order: h.order, at: h.bytes}
	}
	for i := range h.elements {
		if err := p.element(&h.elements[i]); err != nil {
			return nil, err
		}
	}
	if p.soup.Triangles() == 0 {
		if len(p.vertices) > 0 {
			return nil, formatErrorf(KindNoTriangles, "the file holds %s and no face, a cloud of points; export it as a mesh of triangles", vertexCount(len(p.vertices)/3))
		}
		return nil, noTriangles()
	}
	return p.finished(), nil
}

// plyReader reads the elements of a PLY file.
type plyReader struct {
	header plyHeader
	// left is how many bytes are left for the elements still to come, spare
	// what they may seem to take more: in a text the last value goes without
	// a separator.
	left, spare int64
	values      plyValues
	faces
	corners []int32
}

// plyValues yields the values behind the header one by one.
type plyValues interface {
	// next is the next value, of the type the header says.
	next(t plyType) (float64, error)
	// place says where the last value stands.
	place() string
}

// element reads all of one kind.
func (p *plyReader) element(e *plyElement) error {
	least := e.leastBytes(p.header.order != nil)
	if least == 0 || e.count == 0 {
		return nil // takes no bytes, so there is nothing to read
	}
	if most := (p.left + p.spare) / least; e.count > most {
		return &FormatError{Kind: KindTruncated, Line: e.line,
			Msg: fmt.Sprintf("line %d: the header promises %d of %q, and the %d bytes behind it hold %d at most; download or export it again", e.line, e.count, shortened([]byte(e.name)), max(p.left, 0), most)}
	}
	p.left -= e.count * least
	switch e.name {
	case "vertex":
		p.vertices = make([]float32, 0, 3*e.count)
	case "face":
		if p.vertices == nil {
			return syntaxErrorf(e.line, "the faces stand before the vertices; export the model again")
		}
	}
	for i := range e.count {
		if err := p.row(e, i+1); err != nil {
			return err
		}
	}
	return nil
}

// row reads one element: number i, from 1.
func (p *plyReader) row(e *plyElement, i int64) error {
	var at [3]float64
	for k := range e.properties {
		q := &e.properties[k]
		switch {
		case q.list && q == e.corners:
			if err := p.face(q, i); err != nil {
				return err
			}
		case q.list:
			n, err := p.listLength(q, e.name, i)
			if err != nil {
				return err
			}
			for range n {
				if _, err := p.value(q.of, e.name, i); err != nil {
					return err
				}
			}
		default:
			x, err := p.value(q.of, e.name, i)
			if err != nil {
				return err
			}
			if q.axis >= 0 {
				at[q.axis] = x
			}
		}
	}
	if e.name != "vertex" {
		return nil
	}
	for _, x := range at {
		v := float32(x)
		if v-v != 0 {
			return &FormatError{Kind: KindNotFinite, Msg: fmt.Sprintf("%s: vertex %d has the coordinate %g, not a finite number; export the model again", p.values.place(), i, x)}
		}
		p.vertices = append(p.vertices, v)
	}
	return nil
}

func (p *plyReader) face(q *plyProperty, i int64) error {
	n, err := p.listLength(q, "face", i)
	if err != nil {
		return err
	}
	p.corners = p.corners[:0]
	for range n {
		x, err := p.value(q.of, "face", i)
		if err != nil {
			return err
		}
		if has := len(p.vertices) / 3; !(x >= 0 && x < float64(has)) || x != math.Trunc(x) {
			return formatErrorf(KindReference, "%s: face %d asks for vertex %g, and there are %d, from 0; export the model again", p.values.place(), i, x, has)
		}
		p.corners = append(p.corners, int32(x))
	}
	if n < 3 {
		return formatErrorf(KindSyntax, "%s: face %d has %s; export the model again", p.values.place(), i, count(n, "corner"))
	}
	if !p.add(p.corners) {
		return tooManyCorners(fmt.Sprintf("face %d", i), n)
	}
	return nil
}

// listLength reads how long a list is; that many values must fit into what is
// left of the file.
func (p *plyReader) listLength(q *plyProperty, of string, i int64) (int, error) {
	x, err := p.value(q.counted, of, i)
	if err != nil {
		return 0, err
	}
	least := q.of.leastBytes(p.header.order != nil)
	if !(x >= 0) || x != math.Trunc(x) || x*float64(least) > float64(p.left+p.spare) {
		return 0, formatErrorf(KindTruncated, "%s: a list of %g values in %s %d, and %d bytes are left for all; download or export it again", p.values.place(), x, of, i, max(p.left, 0))
	}
	p.left -= int64(x) * least
	return int(x), nil
}

// value is the next value; the error says of which element it is.
func (p *plyReader) value(t plyType, of string, i int64) (float64, error) {
	x, err := p.values.next(t)
	if errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF) {
		return 0, formatErrorf(KindTruncated, "the file ends within %s %d; download or export it again", of, i)
	}
	return x, err
}

// plyText reads values as words.
type plyText struct{ w *wordReader }

func (p *plyText) place() string { return fmt.Sprintf("line %d", p.w.line) }

func (p *plyText) next(plyType) (float64, error) {
	word := p.w.next()
	if p.w.err != nil {
		return 0, p.w.err
	}
	if word == nil {
		return 0, io.EOF
	}
	x, err := strconv.ParseFloat(string(word), 64)
	if err != nil && !errors.Is(err, strconv.ErrRange) {
		return 0, syntaxErrorf(p.w.line, "%q stands where a number should be; export the model again", shortened(word))
	}
	return x, nil
}

// plyBinary reads values of fixed size.
type plyBinary struct {
	b     *bufio.Reader
	order binary.ByteOrder
	at    int64 // offset of the next value
	last  int64 // of the last
	buf   [8]byte
}

func (p *plyBinary) place() string { return fmt.Sprintf("byte %d", p.last) }

func (p *plyBinary) next(t plyType) (float64, error) {
	b := p.buf[:plyTypes[t].bytes]
	if _, err := io.ReadFull(p.b, b); err != nil {
		return 0, err
	}
	p.last = p.at
	p.at += int64(len(b))
	return plyTypes[t].decode(p.order, b), nil
}
