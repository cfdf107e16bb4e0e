package mesh

import (
	"bufio"
	"bytes"
	"io"
)

const spaces = " \t\n\v\f\r"

var utf8Mark = []byte("\xef\xbb\xbf")

func isSpace(c byte) bool { return c == ' ' || c >= '\t' && c <= '\r' }

// maxWord is the longest keyword or number taken, in bytes. The longest
// float32 written out in full has fewer than 200.
const maxWord = 1024

// isWord compares a word with a keyword in lower case, in any case.
func isWord(word []byte, keyword string) bool {
	return len(word) == len(keyword) && hasPrefix(word, keyword)
}

func hasPrefix(word []byte, keyword string) bool {
	if len(word) < len(keyword) {
		return false
	}
	for i := range len(keyword) {
		c := word[i]
		if c >= 'A' && c <= 'Z' {
			c += 'a' - 'A'
		}
		if c != keyword[i] {
			return false
		}
	}
	return true
}

// wordReader splits a text at white space and counts its lines.
type wordReader struct {
	b    *bufio.Reader
	line int // of the last word, from 1
	word []byte
	err  error // the first error; at the end of the file there is none
}

// newWords reads a text of size bytes, after its byte order mark if it has one.
func newWords(r io.Reader, size int64) *wordReader {
	w := &wordReader{b: buffered(r, size), line: 1}
	if mark, err := w.b.Peek(len(utf8Mark)); err == nil && bytes.Equal(mark, utf8Mark) {
		_, _ = w.b.Discard(len(utf8Mark)) // buffered already
	}
	return w
}

// next is the next word, or nil at the end. It is valid until the next call.
func (w *wordReader) next() []byte { return w.scan(false) }

// nextInLine is the next word of the line, or nil at the end of the line,
// which it passes.
func (w *wordReader) nextInLine() []byte { return w.scan(true) }

func (w *wordReader) scan(inLine bool) []byte {
	w.word = w.word[:0]
	for {
		c, err := w.b.ReadByte()
		if err != nil {
			if err != io.EOF {
				w.err = err
			}
			break
		}
		if !isSpace(c) {
			if len(w.word) == maxWord && (inLine || w.word[0] == '#') {
				continue // the rest of a name or a comment
			}
			if len(w.word) == maxWord {
				w.err = syntaxErrorf(w.line, "a word of more than %d bytes; this is no model, or a damaged one", maxWord)
				return nil
			}
			w.word = append(w.word, c)
			continue
		}
		if len(w.word) > 0 {
			if c == '\n' || c == '\r' {
				// The line is counted when the break is met as a blank.
				_ = w.b.UnreadByte() // a byte was just read
			}
			break
		}
		if c == '\r' {
			// A lone carriage return ends a line; one before a line feed
			// is part of that line's end.
			if after, err := w.b.Peek(1); err == nil && after[0] == '\n' {
				_, _ = w.b.Discard(1) // buffered already
			}
		}
		if c == '\n' || c == '\r' {
			w.line++
			if inLine {
				return nil
			}
		}
	}
	if len(w.word) == 0 {
		return nil
	}
	return w.word
}
