package mesh

import "fmt"

// Kind says what is wrong with a file that could not be read.
type Kind int

// The kinds of FormatError.
const (
	// KindEmpty is a file of no bytes.
	KindEmpty Kind = iota + 1
	// KindText is a text that is no model.
	KindText
	// KindImage is a picture (PNG, JPEG, GIF or WebP).
	KindImage
	// KindArchive is an archive that cannot be unpacked, or without a model.
	KindArchive
	// KindTruncated is a binary file shorter than its header promises.
	KindTruncated
	// KindOverlong is a binary file longer than its header promises.
	KindOverlong
	// KindNoTriangles is a sound file of 0 triangles.
	KindNoTriangles
	// KindNotFinite is a coordinate that is infinite or not a number.
	KindNotFinite
	// KindSyntax is a file that breaks the rules of its format.
	KindSyntax
	// KindReference names something that is not in the file: a vertex, an
	// object, a part of a package.
	KindReference
	// KindUnsupported is a sound file that asks for more than is read.
	KindUnsupported
	// KindLimit is a file that would take more memory or time than its size
	// allows.
	KindLimit
)

// FormatError says why a file could not be read. Its text is one line
// and says what can be done.
type FormatError struct {
	Kind Kind
	// Triangle counts from 1; 0 where no single triangle is to blame.
	Triangle int
	// Offset is the byte offset of the first bad byte of a binary file.
	Offset int64
	// Line is the line of a text, from 1; 0 in a binary file.
	Line int
	Msg  string
}

func (e *FormatError) Error() string { return e.Msg }

func formatErrorf(k Kind, format string, args ...any) *FormatError {
	return &FormatError{Kind: k, Msg: fmt.Sprintf(format, args...)}
}

func syntaxErrorf(line int, format string, args ...any) *FormatError {
	return &FormatError{Kind: KindSyntax, Line: line,
		Msg: fmt.Sprintf("line %d: ", line) + fmt.Sprintf(format, args...)}
}
