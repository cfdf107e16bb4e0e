package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"testing"
)

func writeText(text string) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := io.WriteString(w, text)
		return err
	}
}

// holds checks a file's text and that nothing else is in its folder.
func holds(t *testing.T, file, want string) {
	t.Helper()
	got, err := os.ReadFile(file)
	if err != nil || string(got) != want {
		t.Errorf("%s holds %q, %v; want %q", file, got, err, want)
	}
	alone(t, filepath.Dir(file), filepath.Base(file))
}

func alone(t *testing.T, dir string, names ...string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	if len(entries) != len(names) {
		t.Errorf("%d files are there, want %q: %v", len(entries), names, entries)
	}
}

func TestWriteWholeOrNothing(t *testing.T) {
	var o outputs
	file := filepath.Join(t.TempDir(), "a.png")
	if err := o.write(file, writeText("one")); err != nil {
		t.Fatal(err)
	}
	holds(t, file, "one")
	if err := o.write(file, writeText("two")); err != nil {
		t.Fatal(err)
	}
	holds(t, file, "two")
	broken := errors.New("broken")
	err := o.write(file, func(w io.Writer) error {
		if _, err := w.Write(make([]byte, 1<<20)); err != nil {
			return err
		}
		return broken
	})
	if !errors.Is(err, broken) {
		t.Errorf("got %v", err)
	}
	holds(t, file, "two")
	if len(o.pending) != 0 {
		t.Errorf("%d files still pending", len(o.pending))
	}
}

func TestWriteKeepsModeAndLink(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no modes, and links need rights")
	}
	var o outputs
	dir := t.TempDir()
	file := filepath.Join(t.TempDir(), "a.png")
	if err := os.WriteFile(file, nil, 0o640); err != nil {
		t.Fatal(err)
	}
	link := filepath.Join(dir, "link.png")
	if err := os.Symlink(file, link); err != nil {
		t.Fatal(err)
	}
	if err := o.write(link, writeText("through")); err != nil {
		t.Fatal(err)
	}
	holds(t, file, "through")
	alone(t, dir, "link.png")
	if info, err := os.Lstat(link); err != nil || info.Mode()&os.ModeSymlink == 0 {
		t.Errorf("the link is gone: %v, %v", info, err)
	}
	if info, err := os.Stat(file); err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("mode %v, %v", info.Mode(), err)
	}
	if !sameFile(link, file) {
		t.Error("a link and its file are one")
	}
}

func TestAbandonRemovesWhatWasBegun(t *testing.T) {
	var o outputs
	dir := t.TempDir()
	file := filepath.Join(dir, "a.png")
	err := o.write(file, func(w io.Writer) error {
		alone(t, dir, "the temporary file")
		o.abandon()
		alone(t, dir)
		return writeText("late")(w)
	})
	if err == nil {
		t.Error("an abandoned file was written")
	}
	if err := o.write(file, writeText("later")); !errors.Is(err, errAbandoned) {
		t.Errorf("got %v", err)
	}
	alone(t, dir)
}

func TestSameFile(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.WriteFile("a", nil, 0o666); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("b", nil, 0o666); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		a, b string
		want bool
	}{
		{"a", "./a", true}, {"a", "b", false}, {"new", "x/../new", true}, {"new", "newer", false}, {"a", "new", false},
	} {
		if got := sameFile(c.a, c.b); got != c.want {
			t.Errorf("%s and %s: %v", c.a, c.b, got)
		}
	}
}

func TestProbe(t *testing.T) {
	var o outputs
	dir := t.TempDir()
	if err := o.probe(filepath.Join(dir, "a.png")); err != nil {
		t.Error(err)
	}
	if len(o.pending) != 0 {
		t.Errorf("%d files still pending", len(o.pending))
	}
	alone(t, dir)
	if err := o.probe(filepath.Join(dir, "gone", "a.png")); err == nil || err.Error() != "its folder does not exist" {
		t.Errorf("got %v", err)
	}
	if runtime.GOOS == "windows" || os.Geteuid() == 0 {
		t.Skip("no folder can be closed to this user by its mode")
	}
	if err := os.Chmod(dir, 0o555); err != nil {
		t.Fatal(err)
	}
	if err := o.probe(filepath.Join(dir, "a.png")); err == nil || err.Error() != "its folder cannot be written to: permission denied" {
		t.Errorf("got %v", err)
	}
}
