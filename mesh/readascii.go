package mesh

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/hschendel/stl"
)

// readASCII reads every solid of an ASCII file of size bytes.
//
// The library decodes the numbers, but it stops at the first endsolid, wants
// lower case, a name and short lines, and loses the line of an error. So it
// is fed a plain form of the file: one solid, one facet a line.
func readASCII(r io.ReadSeeker, size int64) (*Soup, error) {
	var c collector
	src := &plainReader{r: r, size: size, stop: &c}
	err := stl.CopyAll(src, &c)
	if src.words != nil && src.words.err != nil {
		return nil, src.words.err
	}
	if err == nil && !c.bad {
		if len(c.xyz) == 0 {
			return nil, noTriangles()
		}
		return &Soup{Format: "stl ascii", XYZ: c.xyz}, nil
	}
	// A number was bad: read again, slowly, to find its line.
	src.strict = true
	if _, err := src.Seek(0, io.SeekStart); err != nil {
		return nil, err
	}
	if _, err := io.Copy(io.Discard, src); err != nil {
		return nil, err
	}
	if err == nil {
		err = errors.New("a coordinate is not finite")
	}
	why, _, _ := strings.Cut(err.Error(), "\n")
	return nil, formatErrorf(KindSyntax, "not readable as ASCII STL: %s", why)
}

// collector takes the triangles that the library decodes, up to the first with
// a coordinate that is no finite number.
type collector struct {
	xyz []float32
	bad bool
}

func (c *collector) SetName(string)          {}
func (c *collector) SetBinaryHeader([]byte)  {}
func (c *collector) SetASCII(bool)           {}
func (c *collector) SetTriangleCount(uint32) {}

func (c *collector) AppendTriangle(t stl.Triangle) {
	for _, v := range t.Vertices {
		for _, x := range v {
			c.bad = c.bad || x-x != 0
		}
	}
	if !c.bad {
		for _, v := range t.Vertices {
			c.xyz = append(c.xyz, v[:]...)
		}
	}
}

// plainReader turns an ASCII file into the form that the library reads.
type plainReader struct {
	r      io.ReadSeeker
	size   int64
	stop   *collector
	strict bool // decode every number, to find the bad one

	words   *wordReader
	inside  bool // between solid and endsolid
	facets  int
	header  bool // the first line has been written
	done    bool
	pending []byte
	out     []byte
}

// Seek to the start begins anew. Any other tells the library that the size
// does not fit a binary file.
func (p *plainReader) Seek(offset int64, whence int) (int64, error) {
	if whence != io.SeekStart || offset != 0 {
		return 0, nil
	}
	if _, err := p.r.Seek(0, io.SeekStart); err != nil {
		return 0, err
	}
	p.words = newWords(p.r, p.size)
	p.inside, p.facets, p.header, p.done, p.pending = false, 0, false, false, nil
	return 0, nil
}

// Read before the first Seek is the library's look at a binary header: there
// is none.
func (p *plainReader) Read(b []byte) (int, error) {
	if p.words == nil || p.stop.bad && !p.strict {
		return 0, io.EOF
	}
	for len(p.pending) == 0 {
		if p.done {
			return 0, io.EOF
		}
		p.next()
		if p.words.err != nil {
			return 0, p.words.err
		}
	}
	n := copy(b, p.pending)
	p.pending = p.pending[n:]
	return n, nil
}

// next writes the next line of the plain form to pending.
func (p *plainReader) next() {
	w := p.words
	if !p.header {
		p.header, p.pending = true, append(p.out[:0], "solid s\n"...)
		return
	}
	word := w.next()
	switch {
	case w.err != nil:
	case word == nil:
		p.end()
	case isWord(word, "facet"):
		p.facet()
	case isWord(word, "solid") || !p.inside && p.facets == 0 && hasPrefix(word, "solid"):
		p.inside = true
		p.name()
	case isWord(word, "endsolid"):
		p.inside = false
		p.name()
	default:
		if p.facets == 0 {
			w.err = p.noFacet(word)
			return
		}
		w.err = syntaxErrorf(w.line, "%q stands where a facet should begin; export the model again", word)
	}
}

// noFacet is the error of a text that begins with "solid" and goes on with
// something else.
func (p *plainReader) noFacet(word []byte) *FormatError {
	e := formatErrorf(KindText, "this is a text, not an STL model: %q in line %d stands where a facet should begin; download the model file itself, or export it as STL", word, p.words.line)
	e.Line = p.words.line
	return e
}

// end closes the one solid at the end of the file.
func (p *plainReader) end() {
	if p.inside {
		if p.facets == 0 {
			p.words.err = formatErrorf(KindText, "this is a text, not an STL model: no facet follows \"solid\"; download the model file itself, or export it as STL")
			return
		}
		p.words.err = syntaxErrorf(p.words.line, "the file is cut short after %s: \"endsolid\" is missing; download or export it again", count(p.facets, "triangle"))
		return
	}
	p.done, p.pending = true, append(p.out[:0], "endsolid s\n"...)
}

// name skips the rest of the line, which is a name, unless a facet begins in
// it: some files are one long line.
func (p *plainReader) name() {
	w := p.words
	for {
		word := w.nextInLine()
		if w.err != nil || word == nil {
			return
		}
		for isWord(word, "facet") {
			if word = w.nextInLine(); isWord(word, "normal") {
				p.afterNormal()
				return
			}
			if w.err != nil || word == nil {
				return
			}
		}
	}
}

// facet writes one facet; the word "facet" has been read.
func (p *plainReader) facet() {
	if p.expect("normal") {
		p.afterNormal()
	}
}

func (p *plainReader) afterNormal() {
	// The normal is not needed, and often not a number: it is left out.
	for range 3 {
		if word := p.words.next(); p.words.err != nil {
			return
		} else if word == nil || isWord(word, "outer") {
			p.unexpected("a number", word)
			return
		}
	}
	out := append(p.out[:0], "facet normal 0 0 0 outer loop"...)
	if !p.expect("outer") || !p.expect("loop") {
		return
	}
	for range 3 {
		if !p.expect("vertex") {
			return
		}
		out = append(out, " vertex"...)
		for range 3 {
			word := p.words.next()
			if p.words.err != nil || !p.number(word) {
				return
			}
			out = append(append(out, ' '), word...)
		}
	}
	if !p.expect("endloop") || !p.expect("endfacet") {
		return
	}
	out = append(out, " endloop endfacet\n"...)
	p.facets++
	p.out, p.pending = out, out
}

// number checks one coordinate. The library accepts "nan", "inf" and numbers
// in other bases, so only digits, signs, points and exponents may pass.
func (p *plainReader) number(word []byte) bool {
	if word == nil {
		p.unexpected("a number", word)
		return false
	}
	for _, c := range word {
		if (c < '0' || c > '9') && c != '.' && c != '-' && c != '+' && c != 'e' && c != 'E' {
			if saysNotFinite(word) {
				p.notFinite(word)
			} else {
				p.unexpected("a number", word)
			}
			return false
		}
	}
	if !p.strict {
		return true
	}
	if _, err := strconv.ParseFloat(string(word), 32); errors.Is(err, strconv.ErrRange) {
		p.notFinite(word)
		return false
	} else if err != nil {
		p.unexpected("a number", word)
		return false
	}
	return true
}

// saysNotFinite knows how programs write what is no number: nan, -nan(ind),
// inf, Infinity, 1.#QNAN, -1.#IND.
func saysNotFinite(word []byte) bool {
	word = bytes.TrimLeft(word, "+-")
	return hasPrefix(word, "nan") || hasPrefix(word, "inf") || hasPrefix(word, "1.#")
}

func (p *plainReader) notFinite(word []byte) {
	p.words.err = &FormatError{Kind: KindNotFinite, Triangle: p.facets + 1, Line: p.words.line,
		Msg: fmt.Sprintf("triangle %d (line %d): a coordinate is %q, not a finite number; export the model again", p.facets+1, p.words.line, word)}
}

func (p *plainReader) expect(keyword string) bool {
	word := p.words.next()
	if p.words.err != nil {
		return false
	}
	if !isWord(word, keyword) {
		p.unexpected(strconv.Quote(keyword), word)
		return false
	}
	return true
}

func (p *plainReader) unexpected(want string, got []byte) {
	w := p.words
	if got == nil {
		w.err = syntaxErrorf(w.line, "the file ends within triangle %d; download or export it again", p.facets+1)
	} else {
		w.err = syntaxErrorf(w.line, "%q stands where %s should be, in triangle %d; export the model again", got, want, p.facets+1)
	}
	if e, ok := w.err.(*FormatError); ok {
		e.Triangle = p.facets + 1
	}
}
