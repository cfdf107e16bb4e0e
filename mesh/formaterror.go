package mesh

import "fmt"

// Kind says what is wrong with a file that could not be read.
type Kind int

// The kinds of FormatError.
const (
	// KindEmpty is a file of no bytes.
	KindEmpty Kind = iota + 1
	// KindText is a text that is no ASCII STL.
	KindText
	// KindImage is a picture (PNG, JPEG, GIF or WebP).
	KindImage
	// KindArchive is a ZIP archive, such as a 3MF file.
	KindArchive
	// KindTruncated is a binary file shorter than its header promises.
	KindTruncated
	// KindOverlong is a binary file longer than its header promises.
	KindOverlong
	// KindNoTriangles is a sound file of 0 triangles.
	KindNoTriangles
	// KindNotFinite is a coordinate that is infinite or not a number.
	KindNotFinite
	// KindSyntax is an ASCII file that breaks the rules of the format.
	KindSyntax
)

// FormatError says why a file could not be read as STL. Its text is one line
// and says what can be done.
type FormatError struct {
	Kind Kind
	// Triangle counts from 1; 0 where no single triangle is to blame.
	Triangle int
	// Offset is the byte offset of the first bad byte of a binary file.
	Offset int64
	// Line is the line of an ASCII file, from 1; 0 in a binary one.
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
