package mesh

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"compress/gzip"
	"errors"
	"io"
	"slices"
	"strings"
	"testing"
)

const tetraOBJ = "# a tetrahedron\nv 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\nf 1 3 2\nf 1 2 4\nf 2 3 4\nf 3 1 4\n"

const tetraPLY = "ply\nformat ascii 1.0\nelement vertex 4\nproperty float x\nproperty float y\nproperty float z\n" +
	"element face 4\nproperty list uchar int vertex_indices\nend_header\n" +
	"0 0 0\n1 0 0\n0 1 0\n0 0 1\n3 0 2 1\n3 0 1 3\n3 1 2 3\n3 2 0 3\n"

// tetraFiles are the same four triangles in every form.
func tetraFiles(t failer) map[string][]byte {
	obj, err := readOBJ(strings.NewReader(tetraOBJ), int64(len(tetraOBJ)))
	if err != nil {
		t.Fatalf("%v", err)
	}
	var stl bytes.Buffer
	if err := WriteSTL(&stl, obj); err != nil {
		t.Fatalf("%v", err)
	}
	tetra := `<mesh><vertices><vertex x="0" y="0" z="0"/><vertex x="1" y="0" z="0"/><vertex x="0" y="1" z="0"/><vertex x="0" y="0" z="1"/></vertices>` +
		`<triangles><triangle v1="0" v2="2" v3="1"/><triangle v1="0" v2="1" v3="3"/><triangle v1="1" v2="2" v3="3"/><triangle v1="2" v2="0" v3="3"/></triangles></mesh>`
	ascii := "solid t\n"
	for x := obj.XYZ; len(x) > 0; x = x[9:] {
		ascii += asciiFacet([9]float32(x))
	}
	return map[string][]byte{
		"stl binary": stl.Bytes(),
		"stl ascii":  []byte(ascii + "endsolid t\n"),
		"obj":        []byte(tetraOBJ),
		"ply ascii":  []byte(tetraPLY),
		"3mf":        package3MF(t, model3(object3(1, tetra), `<item objectid="1"/>`)),
	}
}

// Every form, by itself, by gzip, in an archive, by gzip in an archive and in
// an archive by gzip, under names that say something else, gives the same
// triangles.
func TestOpenEveryForm(t *testing.T) {
	files := tetraFiles(t)
	want := opened(t, files["stl binary"]).XYZ
	for format, data := range files {
		for how, packing := range map[string][]byte{
			"plain":                data,
			"gzip":                 gzipped(t, data),
			"zip":                  packed(t, file{"model.txt", string(data)}),
			"gzip in zip":          packed(t, file{"model", string(gzipped(t, data))}),
			"zip in gzip":          gzipped(t, packed(t, file{"a/b/model.png", string(data)})),
			"zip with other files": packed(t, file{"READ ME.txt", "Print it slowly."}, file{"empty/", ""}, file{"model.stl", string(data)}, file{"picture.png", "\x89PNG\r\n\x1a\n..."}),
		} {
			s, err := openOne(packing)
			if err != nil {
				t.Errorf("%s, %s: %v", format, how, err)
			} else if s.Format != format || !slices.Equal(s.XYZ, want) {
				t.Errorf("%s, %s: %s, %v", format, how, s.Format, s.XYZ)
			}
		}
	}
}

func TestOpenArchiveOfModels(t *testing.T) {
	f := tetraFiles(t)
	data := packed(t,
		file{"a/hinge.stl", string(f["stl binary"])},
		file{"../../etc/hinge.obj", tetraOBJ},
		file{"/hinge.obj", tetraOBJ},
		file{"notes.md", "# Notes\n\nNothing.\n"},
		file{"cut.stl", string(f["stl binary"][:200])},
		file{"picture.stl", "\x89PNG\r\n\x1a\n"},
		file{"__MACOSX/a/._hinge.stl", appleDouble + "\x00\x02\x00\x00Mac OS X"},
		file{"gears.gcode", "G28\nG1 X10\n"},
		file{"inner.zip", string(packed(t, file{"b.stl", string(f["stl binary"])}))},
		file{"plate.3mf", string(f["3mf"])},
		file{"empty.ply", ""},
	)
	models, err := Open(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	want := []struct {
		name string
		kind Kind // of the error; 0 for none
	}{
		{"a/hinge.stl", 0}, {"../../etc/hinge.obj", 0}, {"/hinge.obj", 0}, {"cut.stl", KindTruncated},
		{"picture.stl", KindImage}, {"inner.zip", KindArchive}, {"plate.3mf", 0}, {"empty.ply", KindEmpty},
	}
	if len(models) != len(want) {
		t.Fatalf("%d models, want %d: %v", len(models), len(want), models)
	}
	for i, w := range want {
		m := models[i]
		for range 2 { // a second reading is the same
			s, err := m.Read()
			var e *FormatError
			switch {
			case m.Name != w.name:
				t.Errorf("%q stands where %q should", m.Name, w.name)
			case w.kind == 0 && (err != nil || s.Triangles() != 4):
				t.Errorf("%s: %v, %v", m.Name, s, err)
			case w.kind != 0 && (!errors.As(err, &e) || e.Kind != w.kind):
				t.Errorf("%s: %v, want kind %d", m.Name, err, w.kind)
			}
		}
	}
}

func TestOpenRefuses(t *testing.T) {
	f := tetraFiles(t)
	stl := string(f["stl binary"])
	zipped := packed(t, file{"hinge.stl", stl})
	gz := gzipped(t, f["stl ascii"])
	patched := func(b []byte, at int, to byte) []byte {
		c := bytes.Clone(b)
		c[at] = to
		return c
	}
	directory := bytes.Index(zipped, []byte("PK\x01\x02"))
	// In the directory the flags stand at 8, the method at 10, the checksum
	// at 16, the size unpacked at 24 (APPNOTE 4.3.12).
	tests := []struct {
		name string
		data []byte
		kind Kind
		says string
	}{
		{"empty", nil, KindEmpty, "empty"},
		{"an archive of nothing", packed(t), KindArchive, "no model (0 files)"},
		{"an archive of other files", packed(t, file{"a.txt", "a"}, file{"b/", ""}, file{"b/c.jpg", "\xff\xd8\xff\xe0"}), KindArchive, "no model (2 files)"},
		{"an archive cut short", zipped[:len(zipped)-30], KindArchive, "cut short or damaged: the list of its files"},
		{"only the first bytes of an archive", zipped[:4], KindArchive, "list of its files"},
		{"an archive in an archive", packed(t, file{"a.zip", string(zipped)}), KindArchive, "an archive within an archive"},
		{"gzip in gzip", gzipped(t, gzipped(t, []byte(stl))), KindArchive, "gzip within gzip"},
		{"gzip cut short", gz[:len(gz)-9], KindTruncated, "cut short"},
		{"gzip's header alone", gz[:5], KindTruncated, "cut short"},
		{"gzip with a wrong checksum", patched(gz, len(gz)-8, gz[len(gz)-8]^1), KindArchive, "checksum"},
		{"gzip with a wrong size", patched(gz, len(gz)-1, 1), KindArchive, "checksum"},
		{"gzip, damaged", patched(gz, 10, 0xff), KindArchive, "damaged, at byte"},
		{"gzip of another method", patched(gz, 2, 7), KindArchive, "how it is packed"},
		{"gzip of a text", gzipped(t, []byte("hello")), KindText, "hello"},
		{"a locked entry", patched(zipped, directory+8, 1), KindArchive, "locked by a password"},
		{"an entry packed otherwise", patched(zipped, directory+10, 14), KindArchive, "packed in a way that is not read"},
		{"an entry with a wrong checksum", patched(zipped, directory+16, zipped[directory+16]^1), KindArchive, "checksum"},
		{"an entry longer than it says", patched(zipped, directory+24, zipped[directory+24]-1), KindArchive, "damaged"},
		{"an entry shorter than it says", patched(zipped, directory+26, 1), KindTruncated, "cut short"},
		{"7z", []byte("7z\xbc\xaf\x27\x1c\x00\x04"), KindArchive, "archive in 7z form"},
		{"rar", []byte("Rar!\x1a\x07\x01\x00"), KindArchive, "archive in RAR form"},
		{"tar", append(append([]byte("hinge.stl"), make([]byte, 248)...), "ustar\x0000"...), KindArchive, "archive in tar form"},
		{"tar in gzip", gzipped(t, append(append([]byte("hinge.stl"), make([]byte, 248)...), "ustar\x0000"...)), KindArchive, "archive in tar form"},
		{"a text", []byte("Dear print shop,\n"), KindText, `"Dear print shop,"`},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			s, err := openOne(tt.data)
			checkRefused(t, s, err, tt.kind, tt.says)
		})
	}
}

// Errors of the file itself are passed on as they are.
func TestOpenPassesErrorsOn(t *testing.T) {
	for format, data := range tetraFiles(t) {
		for how, data := range map[string][]byte{"": data, "gzip": gzipped(t, data), "zip": packed(t, file{"a.stl", string(data)})} {
			// The ends of archives are read first, so only what stands before
			// a byte fails.
			r := failingAt{bytes.NewReader(data), int64(len(data) / 3)}
			models, err := Open(r, int64(len(data)))
			if err == nil {
				_, err = models[0].Read()
			}
			if !errors.Is(err, errBroken) {
				t.Errorf("%s %s: %v", format, how, err)
			}
		}
	}
}

// failingAt fails where a read takes in a byte.
type failingAt struct {
	io.ReaderAt
	at int64
}

func (f failingAt) ReadAt(p []byte, off int64) (int, error) {
	if off <= f.at && f.at < off+int64(len(p)) {
		return 0, errBroken
	}
	return f.ReaderAt.ReadAt(p, off)
}

// TestBombs unpacks what is far larger than its file, within its budget.
func TestBombs(t *testing.T) {
	const head = "<model xmlns='" + coreNS + "'>"
	var gz bytes.Buffer
	w := gzip.NewWriter(&gz)
	if _, err := w.Write(bytes.Repeat([]byte("solid "), bombPiece/6)); err != nil || w.Close() != nil {
		t.Fatal(err)
	}
	rels := relsTo("/a.model")
	tests := []struct {
		name string
		data []byte
		says string
	}{
		{"gzip", bytes.Repeat(gz.Bytes(), bombPieces), "unpacks to more than"},
		{"zip", bomb(t, "a.stl", "", "solid "), "unpacks to more than"},
		{"zip that says it is small", shrunk(t, bomb(t, "a.stl", "", "solid ")), "damaged"},
		{"3mf of blanks", bomb(t, "a.model", head, " ", rels), "a text of more than 8 MiB"},
		{"3mf of comments", bomb(t, "a.model", head, "<!-- -->", rels), "unpacks to more than"},
		{"relationships", bomb(t, "_rels/.rels", "<a x='", " "), "a text of more than 8 MiB"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			taken := allocated(func() {
				s, err := openOne(tt.data)
				var e *FormatError
				if !errors.As(err, &e) || !strings.Contains(e.Error(), tt.says) {
					t.Errorf("got %v, %v", s, err)
				}
			})
			// Buffers that double come to less than four times the budget.
			if most := 4 * newBudget(int64(len(tt.data))).limit; taken > most {
				t.Errorf("%d bytes make it allocate %d", len(tt.data), taken)
			}
		})
	}
}

// A bomb is bombPieces pieces of bombPiece bytes: more than the budget of so
// small a file.
const bombPieces, bombPiece = 80, 1 << 20

// bomb is an archive of small files and a large one: head, then a text again
// and again.
func bomb(t *testing.T, name, head, text string, files ...file) []byte {
	t.Helper()
	// Pieces that are flushed can be packed once and put together.
	pack := func(data string, whole bool) []byte {
		var b bytes.Buffer
		w, err := flate.NewWriter(&b, flate.BestCompression)
		if err == nil {
			_, err = io.WriteString(w, data)
		}
		if err == nil {
			err = w.Flush()
		}
		if err == nil && whole {
			err = w.Close()
		}
		if err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	data := slices.Concat(pack(head, false), bytes.Repeat(pack(strings.Repeat(text, bombPiece/len(text)), false), bombPieces), pack("", true))
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range files {
		w, err := z.Create(f.name)
		if err == nil {
			_, err = io.WriteString(w, f.data)
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	w, err := z.CreateRaw(&zip.FileHeader{Name: name, Method: zip.Deflate, CompressedSize64: uint64(len(data)),
		UncompressedSize64: uint64(len(head) + bombPieces*(bombPiece/len(text)*len(text)))})
	if err == nil {
		_, err = w.Write(data)
	}
	if err == nil {
		err = z.Close()
	}
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// shrunk makes the directory say that the first entry unpacks to 500 bytes.
func shrunk(t *testing.T, b []byte) []byte {
	t.Helper()
	i := bytes.LastIndex(b, []byte("PK\x01\x02"))
	if i < 0 {
		t.Fatal("no directory")
	}
	copy(b[i+24:], []byte{500 % 256, 500 / 256, 0, 0})
	return b
}
