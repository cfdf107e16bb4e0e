package mesh

import (
	"bytes"
	"io"
	"strings"
)

// plyLines reads the lines of a PLY header and leaves the reader at the byte
// behind the last one. A line ends with a line feed, a carriage return or
// both; which of them, the first line says, since binary data may begin with
// a line feed.
type plyLines struct {
	b     *wordReader
	bytes int64
	line  int
	text  string
	ends  string // what ends a line; empty before the first
}

// next is the words of the next line.
func (l *plyLines) next() ([]string, error) {
	var text []byte
	for {
		c, err := l.b.b.ReadByte()
		if err == io.EOF {
			return nil, formatErrorf(KindTruncated, "the file ends within its header, in line %d; download or export it again", l.line+1)
		}
		if err != nil {
			return nil, err
		}
		if l.bytes++; l.bytes > maxPLYHeader {
			return nil, formatErrorf(KindLimit, "a header of more than %d bytes; this is no PLY model, or a damaged one", maxPLYHeader)
		}
		text = append(text, c)
		if l.ends == "" && (c == '\n' || c == '\r') {
			l.ends = string(c)
			if after, err := l.b.b.Peek(1); err == nil && c == '\r' && after[0] == '\n' {
				l.ends = "\r\n"
			}
		}
		if l.ends != "" && bytes.HasSuffix(text, []byte(l.ends)) {
			break
		}
	}
	l.line++
	l.text = strings.TrimSpace(string(text))
	return strings.Fields(l.text), nil
}
