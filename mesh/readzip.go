package mesh

import (
	"archive/zip"
	"bytes"
	"errors"
	"io"
	"slices"
	"strings"
)

// modelEndings are the ends of names that claim a model.
var modelEndings = []string{".stl", ".obj", ".ply", ".3mf"}

// ClaimsModel says whether a file's name claims that it is a model, packed by
// gzip or not.
func ClaimsModel(name string) bool {
	return hasEnding(strings.TrimSuffix(strings.ToLower(name), ".gz"), modelEndings)
}

// appleDouble begins the files in which macOS keeps what is not content
// (RFC 1740); archives hold one for each file, with the same ending.
const appleDouble = "\x00\x05\x16\x07"

// openZip finds the models of an archive. Names are never used as paths.
func (o opener) openZip(r io.ReaderAt, size int64) ([]Source, error) {
	z, err := zip.NewReader(within{r, size}, size)
	if errors.Is(err, zip.ErrFormat) || errors.Is(err, io.ErrUnexpectedEOF) || errors.Is(err, io.EOF) {
		return nil, formatErrorf(KindArchive, "the ZIP archive is cut short or damaged: the list of its files cannot be read; download it again")
	}
	if err != nil {
		return nil, err
	}
	parts := newParts(o, z)
	root, err := parts.root()
	if err != nil {
		return nil, err
	}
	if root != "" {
		return one(func() (*Soup, error) { return parts.read(root) }), nil
	}
	if o.inZip {
		return nil, formatErrorf(KindArchive, "this is an archive within an archive; unpack it")
	}
	o.inZip = true
	var models []Source
	files := 0
	for _, f := range z.File {
		if f.FileInfo().IsDir() {
			continue
		}
		files++
		if o.isModel(f) {
			models = append(models, Source{f.Name, func() (*Soup, error) { return o.readEntry(f) }})
		}
	}
	if len(models) > 0 {
		return models, nil
	}
	if slices.ContainsFunc(z.File, func(f *zip.File) bool { return hasEnding(f.Name, []string{".model"}) }) {
		return nil, formatErrorf(KindArchive, "this seems to be a 3MF file, but nothing in it says which part is the model (%s); export it again", relsPart)
	}
	return nil, formatErrorf(KindArchive, "the archive holds no model (%s)", count(files, "file"))
}

// within turns what a damaged directory asks for beyond the file into an error
// that says so.
type within struct {
	r    io.ReaderAt
	size int64
}

func (w within) ReadAt(p []byte, off int64) (int, error) {
	if off < 0 || off > w.size {
		return 0, zip.ErrFormat
	}
	return w.r.ReadAt(p, off)
}

// isModel says whether an entry is read: where it is a model or another
// archive by content, or claims to be a model by its name, so that a damaged
// one is not passed over.
func (o opener) isModel(f *zip.File) bool {
	claims := ClaimsModel(f.Name)
	if locked(f) {
		return claims
	}
	r, err := f.Open()
	if err != nil {
		return claims
	}
	defer r.Close()
	var head [sniffBytes]byte
	n, err := io.ReadFull(o.budget.reader(r), head[:])
	if err != nil && err != io.ErrUnexpectedEOF && err != io.EOF {
		return claims
	}
	switch sniff(head[:n], int64(f.UncompressedSize64)) {
	case kindSTLBinary, kindSTLASCII, kindOBJ, kindPLY, kindZip, kindGzip:
		return true
	case kindOther:
		return claims && !bytes.HasPrefix(head[:n], []byte(appleDouble))
	}
	return claims
}

// readEntry unpacks an entry into memory and reads the model in it.
func (o opener) readEntry(f *zip.File) (*Soup, error) {
	if locked(f) {
		return nil, errLocked()
	}
	r, err := f.Open()
	if err != nil {
		return nil, unpackError(err)
	}
	defer r.Close()
	data, err := o.unpack(r, believed(f))
	if err != nil {
		return nil, err
	}
	models, err := o.open(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, err
	}
	return models[0].Read() // archives within archives are refused
}

// believed is the unpacked size of an entry, no more than deflate could make
// of its packed bytes.
func believed(f *zip.File) int64 {
	const most = 1032 // bytes out of one (zlib technical details)
	packed := min(f.CompressedSize64, 1<<40)
	return int64(min(f.UncompressedSize64, most*packed))
}

func locked(f *zip.File) bool { return f.Flags&1 != 0 }

func errLocked() *FormatError {
	return formatErrorf(KindArchive, "it is locked by a password; unpack it yourself")
}

// hasEnding compares in small letters.
func hasEnding(name string, endings []string) bool {
	name = strings.ToLower(name)
	return slices.ContainsFunc(endings, func(e string) bool { return strings.HasSuffix(name, e) })
}
