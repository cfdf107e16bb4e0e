package mesh

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"compress/gzip"
	"errors"
	"io"
)

// Source is a model in a file, not read yet.
type Source struct {
	// Name is what an archive calls the model, for people to read: it may
	// hold any bytes and is no path to open. Empty where the file itself is
	// the model.
	Name string
	read func() (*Soup, error)
}

// Read reads the model. A damaged one gives a *FormatError; other errors come
// from the reader under Open, which must still be open.
func (s Source) Read() (*Soup, error) { return s.read() }

// Open finds the models in a file of size bytes: the file itself (STL, OBJ,
// PLY or 3MF), or each model in a ZIP archive, in the order of its directory.
// Either may be packed by gzip. The kind is decided by content: names say
// nothing, except that an entry of an archive that is no model is told of
// only if its name claims that it is one.
//
// A file without a model gives a *FormatError; other errors come from r. What
// is read takes memory of at most a stated multiple of size (see the
// developers' notes), however far it unpacks: archives have a budget of
// 100 times their size and 64 MiB.
//
// The sources share r and the budget: read one at a time.
func Open(r io.ReaderAt, size int64) ([]Source, error) {
	o := opener{budget: newBudget(size)}
	return o.open(r, size)
}

// opener opens a file, or a file within one.
type opener struct {
	budget        *budget
	inZip, inGzip bool
}

func (o opener) open(r io.ReaderAt, size int64) ([]Source, error) {
	head, err := headOf(io.NewSectionReader(r, 0, size), size)
	if err != nil {
		return nil, err
	}
	whole := func() *io.SectionReader { return io.NewSectionReader(r, 0, size) }
	switch k := sniff(head, size); k {
	case kindSTLBinary, kindSTLASCII:
		return one(func() (*Soup, error) { return ReadSTL(whole()) }), nil
	case kindOBJ:
		return one(func() (*Soup, error) { return readOBJ(whole(), size) }), nil
	case kindPLY:
		return one(func() (*Soup, error) { return readPLY(whole(), size) }), nil
	case kindZip:
		return o.openZip(r, size)
	case kindGzip:
		return o.openGzip(whole())
	default:
		return nil, refuse(k, head, size)
	}
}

func one(read func() (*Soup, error)) []Source { return []Source{{read: read}} }

// openGzip unpacks into memory, where readers can go back to the start.
func (o opener) openGzip(r io.Reader) ([]Source, error) {
	if o.inGzip {
		return nil, formatErrorf(KindArchive, "this is packed by gzip within gzip; unpack it")
	}
	o.inGzip = true
	z, err := gzip.NewReader(r)
	if err != nil {
		return nil, unpackError(err)
	}
	data, err := o.unpack(z, 0)
	if err != nil {
		return nil, err
	}
	return o.open(bytes.NewReader(data), int64(len(data)))
}

// unpack reads all of r within the budget; hint is the size it should come
// to, as far as it is to be believed.
func (o opener) unpack(r io.Reader, hint int64) ([]byte, error) {
	var b bytes.Buffer
	b.Grow(int(min(hint, o.budget.left)) + bytes.MinRead)
	if _, err := b.ReadFrom(o.budget.reader(r)); err != nil {
		return nil, unpackError(err)
	}
	return b.Bytes(), nil
}

// unpackError words the errors of the libraries that unpack; others are
// passed on.
func unpackError(err error) error {
	var corrupt flate.CorruptInputError
	switch {
	case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF):
		return formatErrorf(KindTruncated, "the archive is cut short; download it again")
	case errors.As(err, &corrupt):
		return formatErrorf(KindArchive, "the archive is damaged, at byte %d of the packed data; download it again", int64(corrupt))
	case errors.Is(err, gzip.ErrHeader), errors.Is(err, zip.ErrFormat):
		return formatErrorf(KindArchive, "the archive is damaged, in what says how it is packed; download it again")
	case errors.Is(err, gzip.ErrChecksum), errors.Is(err, zip.ErrChecksum):
		return formatErrorf(KindArchive, "the archive is damaged: its contents do not add up to its checksum; download it again")
	case errors.Is(err, zip.ErrAlgorithm):
		return formatErrorf(KindArchive, "it is packed in a way that is not read; unpack it yourself")
	}
	return err
}
