package clip

import (
	"bytes"
	"errors"
	"math"
	"os"
	"path/filepath"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
)

// Real models, cut in halves along each axis: closed and whole, or open
// where they were open before.
func TestRealModels(t *testing.T) {
	dir := os.Getenv("PLAYGAUGE_MODELS")
	if dir == "" {
		t.Skip("PLAYGAUGE_MODELS names no folder of models")
	}
	files, err := filepath.Glob(filepath.Join(dir, "*.stl"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no models in %s", dir)
	}
	for _, file := range files {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		soup, err := mesh.ReadSTL(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		m := build(t, soup)
		for p := range m.Parts {
			s := Of(m, p, r3.Vec{})
			b := s.Bounds()
			for axis := X; axis <= Z; axis++ {
				at := (coord(b.Min, axis) + coord(b.Max, axis)) / 2
				low, err := Plane(s, axis, at, Below)
				var open *OpenError
				if errors.As(err, &open) && !m.Watertight() {
					continue
				}
				if err != nil {
					t.Fatalf("%s: %v", filepath.Base(file), err)
				}
				high, err := Plane(s, axis, at, Above)
				if err != nil {
					t.Fatalf("%s: %v", filepath.Base(file), err)
				}
				if m.Watertight() {
					wantClosed(t, low)
					wantClosed(t, high)
				}
				if sum := low.Volume() + high.Volume(); m.Watertight() && math.Abs(sum-s.Volume()) > 1e-6*s.Volume() {
					t.Errorf("%s part %d, %c: halves %.10g, whole %.10g", filepath.Base(file), p+1, "XYZ"[axis], sum, s.Volume())
				}
			}
		}
	}
}
