package mesh

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"io"
)

// kind is what the first bytes and the size of a file make of it.
type kind int

const (
	kindNothing kind = iota
	kindSTLBinary
	kindSTLASCII
	kindOBJ
	kindPLY
	kindZip
	kindGzip
	kindImage
	kindPacked // an archive of a form that is not read
	kindText
	kindOther
)

// sniffBytes is how much of a file is looked at to tell its kind.
const sniffBytes = 4096

// headOf reads the first bytes of a file and leaves it behind them.
func headOf(r io.Reader, size int64) ([]byte, error) {
	head := make([]byte, min(size, sniffBytes))
	if _, err := io.ReadFull(r, head); err != nil {
		return nil, fmt.Errorf("reading the first bytes: %w", err)
	}
	return head, nil
}

func sniff(head []byte, size int64) kind {
	starts := func(magic string) bool { return bytes.HasPrefix(head, []byte(magic)) }
	switch {
	case size == 0:
		return kindNothing
	case size >= headBytes && size == headBytes+recordBytes*int64(promised(head)):
		return kindSTLBinary
	case isImage(head):
		return kindImage
	case starts("PK\x03\x04") || starts("PK\x05\x06"):
		return kindZip
	case starts("\x1f\x8b"):
		return kindGzip
	case packedAs(head) != "":
		return kindPacked
	case starts("ply\n") || starts("ply\r"):
		return kindPLY
	case !isText(head):
		return kindOther
	}
	start := bytes.TrimLeft(bytes.TrimPrefix(head, utf8Mark), spaces)
	switch {
	// An ASCII name may stand without a blank, so the word is not asked to
	// end: what follows decides.
	case hasPrefix(start, "solid"):
		return kindSTLASCII
	case beginsAsOBJ(start):
		return kindOBJ
	}
	return kindText
}

// promised is the number of triangles in the header of a binary STL file.
func promised(head []byte) uint32 { return binary.LittleEndian.Uint32(head[headBytes-4 : headBytes]) }

func isImage(head []byte) bool {
	for _, magic := range []string{"\x89PNG\r\n\x1a\n", "\xff\xd8\xff", "GIF87a", "GIF89a"} {
		if bytes.HasPrefix(head, []byte(magic)) {
			return true
		}
	}
	return len(head) >= 12 && string(head[:4]) == "RIFF" && string(head[8:12]) == "WEBP"
}

// packedAs names the form of an archive that is not read; "" for others.
func packedAs(head []byte) string {
	const tarAt = 257 // POSIX.1-1988 "ustar" header block
	for _, a := range []struct {
		name, magic string
		at          int
	}{
		{"7z", "7z\xbc\xaf\x27\x1c", 0},
		{"RAR", "Rar!\x1a\x07", 0},
		{"tar", "ustar", tarAt},
		{"xz", "\xfd7zXZ\x00", 0},
		{"bzip2", "BZh", 0},
		{"Zstandard", "\x28\xb5\x2f\xfd", 0},
	} {
		if len(head) > a.at && bytes.HasPrefix(head[a.at:], []byte(a.magic)) {
			return a.name
		}
	}
	return ""
}

// isText says whether the bytes hold no control character but white space.
// The count of a binary header always holds one below 150 million triangles.
func isText(head []byte) bool {
	for _, c := range head {
		if c < ' ' && !isSpace(c) {
			return false
		}
	}
	return true
}

// refuse words the error for a file that is no model, or not of the kind
// that was asked for.
func refuse(k kind, head []byte, size int64) *FormatError {
	switch k {
	case kindNothing:
		return formatErrorf(KindEmpty, "the file is empty; download or export it again")
	case kindImage:
		return formatErrorf(KindImage, "this is a picture, not a model; download the model file itself")
	case kindPacked:
		return formatErrorf(KindArchive, "this is an archive in %s form, which is not read; unpack it", packedAs(head))
	case kindZip, kindGzip:
		return formatErrorf(KindArchive, "this is an archive, not an STL model; unpack it")
	case kindOBJ, kindPLY, kindText:
		return notModelText(head)
	}
	if size < headBytes {
		return &FormatError{Kind: KindTruncated, Offset: size,
			Msg: fmt.Sprintf("%s are too few for an STL file, whose header alone takes %d; download or export it again", count(int(size), "byte"), headBytes)}
	}
	n := int64(promised(head))
	want, held := headBytes+recordBytes*n, (size-headBytes)/recordBytes
	if size < want {
		return &FormatError{Kind: KindTruncated, Offset: size,
			Msg: fmt.Sprintf("the file is cut short, or no model: its header promises %d triangles, its %d bytes hold %d; download or export it again", n, size, held)}
	}
	return &FormatError{Kind: KindOverlong, Offset: want,
		Msg: fmt.Sprintf("the file is %d bytes too long: its header promises %d triangles, its %d bytes hold %d; download or export it again, if it is an STL model at all", size-want, n, size, held)}
}

// notModelText quotes how a text begins, so that a saved web page gives
// itself away.
func notModelText(head []byte) *FormatError {
	const shown = 32
	start := bytes.TrimSpace(bytes.TrimPrefix(head, utf8Mark))
	if i := bytes.IndexAny(start, "\r\n"); i >= 0 {
		start = start[:i]
	}
	if len(start) > shown {
		start = append(start[:shown:shown], "..."...)
	}
	return formatErrorf(KindText, "this is a text, not a model (it begins %q); download the model file itself, or export it as STL", start)
}
