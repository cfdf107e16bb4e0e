package shape

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// A section that is even about v = 0 and u = 0 sweeps its area times the
// path's length, mitres and all.
func TestSweepVolume(t *testing.T) {
	path, err := Rounded(Rect(-10, -6, 10, 6), 4, 8)
	if err != nil {
		t.Fatal(err)
	}
	section := Circle(r2.Vec{}, 2, 16, 0)
	s := Must(Sweep(path, section))
	wantVolume(t, "link", s, Area(section)*length(path))
	if euler(s) != 0 {
		t.Errorf("Euler characteristic %d, want 0", euler(s))
	}
	// A regular path is a lathe whose apothem is the path's.
	const n = 24
	s = Must(Sweep(Circle(r2.Vec{}, 10, n, 0), section))
	wantVolume(t, "ring", s, Area(section)*2*n*10*math.Sin(math.Pi/n))
	if _, err := Sweep(path, Circle(r2.Vec{}, 4.5, 16, 0)); err == nil {
		t.Error("a section thicker than the bend is not refused")
	}
}

func TestSweepRandomPaths(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		path := star(t, "path", r2.Vec{}, 30, 40)
		section := Circle(r2.Vec{}, rapid.Float64Range(0.1, 1).Draw(t, "r"), 8, 0)
		s, err := Sweep(path, section)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Check(); err != nil {
			t.Fatal(err)
		}
		want := Area(section) * length(path)
		if got := s.Volume(); math.Abs(got-want) > near*want {
			t.Fatalf("volume %g, want %g", got, want)
		}
	})
}

func TestRounded(t *testing.T) {
	// A square less its four corners' r^2 (1 - gon/4): gon(4n) is four
	// quarter arcs of n chords.
	p, err := Rounded(Rect(0, 0, 10, 10), 2, 6)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := Area(p), 100-4*(4-gon(24)); math.Abs(got-want) > 1e-12 {
		t.Errorf("area %g, want %g", got, want)
	}
	// Half circles at both ends of a strip.
	p, err = Rounded(Rect(0, 0, 20, 10), 5, 6)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := Area(p), 100+gon(24)*25; math.Abs(got-want) > 1e-9 || len(p) != 26 {
		t.Errorf("strip of area %g and %d corners, want %g and 26", got, len(p), want)
	}
	// A concave corner is filled.
	ell := []r2.Vec{{}, {X: 10}, {X: 10, Y: 5}, {X: 5, Y: 5}, {X: 5, Y: 10}, {Y: 10}}
	p, err = Rounded(ell, 1, 6)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := Area(p), 75-4*(1-gon(24)/4); math.Abs(got-want) > 1e-9 {
		t.Errorf("ell of area %g, want %g", got, want)
	}
	if _, err := Rounded(Rect(0, 0, 10, 10), 5.1, 6); err == nil {
		t.Error("arcs that overlap are not refused")
	}
}

// length is the length of a closed polygon.
func length(polygon []r2.Vec) float64 {
	sum := 0.0
	for i, p := range polygon {
		sum += r2.Norm(r2.Sub(polygon[(i+1)%len(polygon)], p))
	}
	return sum
}
