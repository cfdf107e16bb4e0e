package main

import (
	"bytes"
	"flag"
	"image"
	_ "image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"playgauge/mesh/shape/garden"
)

var updatePictures = flag.Bool("update-pictures", false, "draw the pictures of README.md anew")

// How far a picture may be from the one kept: processors may round a colour
// apart by a step.
const (
	sameStep    = 6 << 8 // of 65535
	otherPixels = 50
)

// TestReadmePictures draws the pictures README.md shows, by the command it
// shows, and compares them with those that are kept.
func TestReadmePictures(t *testing.T) {
	readme, err := os.ReadFile("../../README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(string(readme), "\n### Pictures\n\n    playgauge ")
	command, _, _ := strings.Cut(rest, "\n")
	if !ok {
		t.Fatal("README.md shows no command under Pictures")
	}
	kept := filepath.Join(testFolder, "../../testdata/pictures")
	t.Chdir(t.TempDir())
	demoModel(t, strings.Fields(command)[1])
	var errs bytes.Buffer
	if code := run(strings.Fields(command), strings.NewReader(""), &bytes.Buffer{}, &errs); code > 1 {
		t.Fatalf("%s exits %d: %s", command, code, &errs)
	}
	for _, name := range []string{"strip.png", "view.png", "layer.png"} {
		if !strings.Contains(string(readme), "](testdata/pictures/"+name+")") {
			t.Errorf("README.md does not show %s", name)
		}
		drawn, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		if *updatePictures {
			if err := os.WriteFile(filepath.Join(kept, name), drawn, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		if n := pixelsApart(t, drawn, filepath.Join(kept, name)); n > otherPixels {
			t.Errorf("%s: %d pixels differ; go test ./cmd/playgauge -run Pictures -update-pictures draws it anew", name, n)
		}
	}
}

// pixelsApart counts the pixels in which a picture differs from one that is
// kept.
func pixelsApart(t *testing.T, drawn []byte, file string) (n int) {
	t.Helper()
	keptBytes, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	a, _, errA := image.Decode(bytes.NewReader(drawn))
	b, _, errB := image.Decode(bytes.NewReader(keptBytes))
	if errA != nil || errB != nil {
		t.Fatal(errA, errB)
	}
	if a.Bounds() != b.Bounds() {
		t.Fatalf("%s is of %v, the kept one of %v", file, a.Bounds(), b.Bounds())
	}
	for y := a.Bounds().Min.Y; y < a.Bounds().Max.Y; y++ {
		for x := a.Bounds().Min.X; x < a.Bounds().Max.X; x++ {
			r1, g1, b1, _ := a.At(x, y).RGBA()
			r2, g2, b2, _ := b.At(x, y).RGBA()
			for _, d := range [3]int{int(r1) - int(r2), int(g1) - int(g2), int(b1) - int(b2)} {
				if d > sameStep || d < -sameStep {
					n++
					break
				}
			}
		}
	}
	return n
}

// demoModel writes one model of the demo.
func demoModel(t *testing.T, file string) {
	t.Helper()
	for _, m := range garden.Models() {
		if m.File != filepath.Base(file) {
			continue
		}
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := writeModel(file, m.Build()); err != nil {
			t.Fatal(err)
		}
		return
	}
	t.Fatalf("the demo has no %s", file)
}
