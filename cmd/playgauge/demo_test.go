package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

func TestDemoReplacesItsOwnFilesOnly(t *testing.T) {
	dir := t.TempDir()
	a := app{}
	put := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want := func(name, text string) {
		t.Helper()
		if got, err := os.ReadFile(filepath.Join(dir, name)); err != nil || string(got) != text {
			t.Errorf("%s holds %q, %v; want %q", name, got, err, text)
		}
	}
	demo := func(one, two string) error {
		return a.writeDemo(dir, []demoFile{{"one.stl", []byte(one)}, {"two.png", []byte(two)}})
	}

	// A file that is there, not listed, but just as it would be written.
	put("two.png", "2")
	if err := demo("1", "2"); err != nil {
		t.Fatal(err)
	}
	want("one.stl", "1")
	want("two.png", "2")

	// Another version writes others; both are listed as they stand.
	if err := demo("1, newer", "2, newer"); err != nil {
		t.Fatal(err)
	}
	want("one.stl", "1, newer")
	want("two.png", "2, newer")

	// The second was changed by hand: nothing is written.
	put("two.png", "mine")
	err := demo("1", "2")
	if err == nil || !strings.Contains(err.Error(), filepath.Join(dir, "two.png")+" is not as an earlier demo wrote it, so nothing was written") {
		t.Errorf("got %v", err)
	}
	want("one.stl", "1, newer")
	want("two.png", "mine")

	// Moved away, all is well again.
	if err := os.Remove(filepath.Join(dir, "two.png")); err != nil {
		t.Fatal(err)
	}
	if err := demo("1", "2"); err != nil {
		t.Fatal(err)
	}
	want("one.stl", "1")
	want("two.png", "2")

	// A list that is no list gives nothing away.
	put(demoList, "one.stl\n\n\x00")
	if err := demo("3", "2"); err == nil {
		t.Error("an unlisted file was replaced")
	}
	want("one.stl", "1")
	alone(t, dir, "one.stl", "two.png", demoList)
}
