package mesh

import (
	"bufio"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"strings"
)

const (
	// maxXMLDepth is how deep elements may nest; 3MF nests eight.
	maxXMLDepth = 64
	// maxXMLToken is how many bytes one tag, text or comment may take: the
	// decoder holds it whole. A drawing's source kept as metadata has some
	// hundred thousand.
	maxXMLToken = 8 << 20
)

// xmlReader reads the elements of a part of a package. The decoder knows no
// entities but the five of XML, and a document type, where others are
// declared, is refused (as the Open Packaging Conventions do).
type xmlReader struct {
	part  string
	d     *xml.Decoder
	guard *tokenGuard
	c     io.Closer
	depth int
}

// newXMLReader reads a part of about size bytes.
func newXMLReader(part string, r io.Reader, size int64, c io.Closer) *xmlReader {
	g := &tokenGuard{r: buffered(r, size)}
	d := xml.NewDecoder(g)
	d.CharsetReader = func(charset string, _ io.Reader) (io.Reader, error) { return nil, encodingError(charset) }
	return &xmlReader{part: part, d: d, guard: g, c: c}
}

// close gives back what unpacks; it has nothing left to report.
func (x *xmlReader) close() { _ = x.c.Close() }

func (x *xmlReader) line() int {
	line, _ := x.d.InputPos()
	return line
}

// fail is an error at the place read last.
func (x *xmlReader) fail(k Kind, format string, args ...any) error {
	line := x.line()
	return &FormatError{Kind: k, Line: line,
		Msg: place3MF(x.part, line) + ": " + fmt.Sprintf(format, args...)}
}

// next is the next start or end of an element, or io.EOF behind the last.
func (x *xmlReader) next() (xml.Token, error) {
	for {
		x.guard.n = 0
		t, err := x.d.Token()
		if err != nil {
			return nil, x.worded(err)
		}
		switch t.(type) {
		case xml.StartElement:
			if x.depth++; x.depth > maxXMLDepth {
				return nil, x.fail(KindLimit, "elements nest more than %d deep; export the model again", maxXMLDepth)
			}
			return t, nil
		case xml.EndElement:
			x.depth--
			return t, nil
		case xml.Directive:
			return nil, x.fail(KindSyntax, "a document type is declared, which a package must not hold; export the model again")
		}
	}
}

func (x *xmlReader) worded(err error) error {
	var syntax *xml.SyntaxError
	var coded encodingError
	switch {
	case err == io.EOF:
		return err
	case errors.Is(err, errLongToken):
		return x.fail(KindLimit, "a tag or a text of more than %d MiB; export the model again", maxXMLToken>>20)
	case errors.As(err, &coded):
		return x.fail(KindUnsupported, "its letters are coded as %q, which is not read; export the model again", shortened([]byte(coded)))
	case errors.As(err, &syntax):
		return x.fail(KindSyntax, "no sound XML: %s; export the model again", syntax.Msg)
	case strings.HasPrefix(err.Error(), "xml: unsupported version"): // of no type
		return x.fail(KindUnsupported, "XML of another version than 1.0, which is not read; export the model again")
	}
	var fe *FormatError
	if unpacked := unpackError(err); errors.As(unpacked, &fe) {
		return fe
	}
	return err
}

// encodingError is how letters are coded that is not UTF-8.
type encodingError string

func (e encodingError) Error() string { return "encoding " + string(e) }

// start is the next start of an element.
func (x *xmlReader) start() (xml.StartElement, error) {
	for {
		t, err := x.next()
		if err != nil {
			return xml.StartElement{}, err
		}
		if s, ok := t.(xml.StartElement); ok {
			return s, nil
		}
	}
}

// child is the next start of an element within the one that is open; ok is
// false at its end, which is passed.
func (x *xmlReader) child() (s xml.StartElement, ok bool, err error) {
	t, err := x.next()
	if err != nil {
		if err == io.EOF {
			err = x.fail(KindSyntax, "no sound XML: it ends too early; export the model again")
		}
		return s, false, err
	}
	s, ok = t.(xml.StartElement)
	return s, ok, nil
}

// skip passes the rest of the element that is open.
func (x *xmlReader) skip() error {
	for depth := 1; depth > 0; {
		_, ok, err := x.child()
		if err != nil {
			return err
		}
		if ok {
			depth++
		} else {
			depth--
		}
	}
	return nil
}

// attr is an attribute without a namespace; empty where there is none.
func attr(s xml.StartElement, name string) string { return attrIn(s, "", name) }

func attrIn(s xml.StartElement, space, name string) string {
	for i := range s.Attr {
		if a := &s.Attr[i]; a.Name.Local == name && a.Name.Space == space {
			return a.Value
		}
	}
	return ""
}

// tokenGuard bounds how much is read for one token.
type tokenGuard struct {
	r *bufio.Reader
	n int
}

var errLongToken = errors.New("a token is too long")

// ReadByte is what the decoder reads by.
func (g *tokenGuard) ReadByte() (byte, error) {
	if g.n++; g.n > maxXMLToken {
		return 0, errLongToken
	}
	return g.r.ReadByte()
}

// Read is there since the decoder asks for an io.Reader.
func (g *tokenGuard) Read(p []byte) (int, error) {
	n, err := g.r.Read(p[:min(len(p), maxXMLToken-g.n)])
	g.n += n
	return n, err
}
