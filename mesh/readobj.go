package mesh

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"
)

// objStatements are the words a line of an OBJ file may begin with
// (Wavefront, Advanced Visualizer manual, appendix B1; from memory). Only
// vertices and faces are read.
var objStatements = func() map[string]bool {
	m := map[string]bool{}
	for _, w := range []string{
		"v", "vt", "vn", "vp", "cstype", "deg", "bmat", "step",
		"p", "l", "f", "curv", "curv2", "surf", "parm", "trim", "hole", "scrv", "sp", "end", "con",
		"g", "s", "mg", "o", "bevel", "c_interp", "d_interp", "lod",
		"usemtl", "mtllib", "usemap", "maplib", "shadow_obj", "trace_obj", "ctech", "stech",
	} {
		m[w] = true
	}
	return m
}()

// beginsAsOBJ says whether a text's first line that is no comment begins with
// an OBJ statement; comments alone are left to the reader.
func beginsAsOBJ(text []byte) bool {
	comments := false
	for line := range bytes.Lines(text) {
		words := bytes.Fields(line)
		switch {
		case len(words) == 0:
		case words[0][0] == '#':
			comments = true
		default:
			return objStatements[string(words[0])]
		}
	}
	return comments
}

// readOBJ reads the faces of an OBJ file of size bytes, all objects and groups
// together.
func readOBJ(r io.Reader, size int64) (*Soup, error) {
	p := objReader{w: newWords(r, size), faces: faces{soup: Soup{Format: "obj"}}}
	for p.statement() {
	}
	if p.w.err != nil {
		return nil, p.w.err
	}
	if p.soup.Triangles() == 0 {
		if len(p.vertices) == 0 {
			return nil, formatErrorf(KindText, "this is a text, not a model: no vertex and no face is in it; download the model file itself, or export it as STL")
		}
		return nil, formatErrorf(KindNoTriangles, "the file holds %s and no face; export it as a mesh of triangles", vertexCount(len(p.vertices)/3))
	}
	return p.finished(), nil
}

type objReader struct {
	w *wordReader
	faces
	corners []int32
}

// statement reads one, and says whether there may be more.
func (p *objReader) statement() bool {
	word := p.w.next()
	switch {
	case p.w.err != nil || word == nil:
		return false
	case word[0] == '#':
		p.skip()
	case string(word) == "v":
		p.vertex()
	case string(word) == "f":
		p.face()
	case objStatements[string(word)]:
		p.skip()
	default:
		p.w.err = syntaxErrorf(p.w.line, "%q begins no statement of an OBJ file; export the model again", shortened(word))
	}
	return p.w.err == nil
}

// word is the next word of the statement, nil at its end or where a comment
// begins. A backslash at the end of a line goes on in the next.
func (p *objReader) word() []byte {
	word := p.w.nextInLine()
	for len(word) == 1 && word[0] == '\\' {
		if word = p.w.nextInLine(); word == nil {
			word = p.w.nextInLine()
		}
	}
	switch {
	case len(word) > 0 && word[0] == '#':
		p.skip()
		return nil
	case len(word) >= maxWord:
		p.w.err = syntaxErrorf(p.w.line, "a word of %d bytes or more; this is no model, or a damaged one", maxWord)
		return nil
	}
	return word
}

func (p *objReader) skip() {
	for p.w.nextInLine() != nil {
	}
}

// vertex reads three coordinates; a weight and colours may follow.
func (p *objReader) vertex() {
	line := p.w.line
	for range 3 {
		word := p.word()
		if p.w.err != nil {
			return
		}
		x, err := coordinate(word, line, "vertex", len(p.vertices)/3+1)
		if err != nil {
			p.w.err = err
			return
		}
		p.vertices = append(p.vertices, x)
	}
	p.skip()
}

func (p *objReader) face() {
	line := p.w.line
	p.corners = p.corners[:0]
	for word := p.word(); word != nil; word = p.word() {
		i, err := p.corner(word, line)
		if err != nil {
			p.w.err = err
			return
		}
		p.corners = append(p.corners, i)
	}
	if p.w.err != nil {
		return
	}
	if len(p.corners) < 3 {
		p.w.err = syntaxErrorf(line, "a face of %d corners; export the model again", len(p.corners))
		return
	}
	if !p.add(p.corners) {
		p.w.err = tooManyCorners(fmt.Sprintf("line %d", line), len(p.corners))
	}
}

// corner reads the first number of v, v/vt, v//vn or v/vt/vn: from 1, or
// counted back from the last vertex so far where it is below 0.
func (p *objReader) corner(word []byte, line int) (int32, error) {
	number, _, _ := bytes.Cut(word, []byte("/"))
	i, err := strconv.ParseInt(string(number), 10, 64)
	if err != nil && !errors.Is(err, strconv.ErrRange) {
		return 0, syntaxErrorf(line, "%q stands where the number of a vertex should be; export the model again", shortened(word))
	}
	n := int64(len(p.vertices) / 3)
	at := i - 1
	if i < 0 {
		at = n + i
	}
	if at < 0 || at >= n {
		e := syntaxErrorf(line, "a face asks for vertex %s, and there are %d so far; export the model again", number, n)
		e.Kind = KindReference
		return 0, e
	}
	return int32(at), nil
}

// coordinate reads a decimal; word is nil where it is missing. The error says
// of which vertex, from 1, it is.
func coordinate(word []byte, line int, what string, number int) (float32, error) {
	if word == nil {
		return 0, syntaxErrorf(line, "%s %d has too few coordinates; export the model again", what, number)
	}
	plain := true
	for _, c := range word {
		if (c < '0' || c > '9') && c != '.' && c != '-' && c != '+' && c != 'e' && c != 'E' {
			plain = false
		}
	}
	notFinite := !plain && saysNotFinite(word)
	if plain {
		x, err := strconv.ParseFloat(string(word), 32)
		if err == nil {
			return float32(x), nil
		}
		notFinite = errors.Is(err, strconv.ErrRange)
	}
	if notFinite {
		return 0, &FormatError{Kind: KindNotFinite, Line: line,
			Msg: fmt.Sprintf("line %d: %s %d has the coordinate %q, not a finite number; export the model again", line, what, number, shortened(word))}
	}
	return 0, syntaxErrorf(line, "%q stands where a coordinate of %s %d should be; export the model again", shortened(word), what, number)
}

// shortened keeps a quotation to what a person reads.
func shortened(word []byte) []byte {
	const shown = 32
	if len(word) <= shown {
		return word
	}
	return append(word[:shown:shown], "..."...)
}

func vertexCount(n int) string {
	if n == 1 {
		return "1 vertex"
	}
	return fmt.Sprintf("%d vertices", n)
}
