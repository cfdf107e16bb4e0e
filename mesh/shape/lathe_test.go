package shape

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// moment is the integral of r squared over dz round a profile, exact for
// straight sides.
func moment(profile []r2.Vec) float64 {
	sum := 0.0
	for i, p := range profile {
		q := profile[(i+1)%len(profile)]
		sum += (q.Y - p.Y) * (p.X*p.X + p.X*q.X + q.X*q.X) / 3
	}
	return math.Abs(sum)
}

func TestLatheRandomProfiles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 40).Draw(t, "n")
		profile := star(t, "profile", r2.Vec{X: 12, Y: 3}, 1, 10)
		euler0 := 0 // a ring
		if rapid.Bool().Draw(t, "on the axis") {
			// Put the left end of the profile onto the axis as a side.
			lo, hi := 0.0, 0.0
			for _, p := range profile {
				lo, hi = min(lo, p.Y), max(hi, p.Y)
			}
			profile = []r2.Vec{{Y: lo - 1}, {X: 25, Y: lo - 1}, {X: rapid.Float64Range(1, 20).Draw(t, "top"), Y: hi + 1}, {Y: hi + 1}}
			euler0 = 2
		}
		if rapid.Bool().Draw(t, "reversed") {
			slices.Reverse(profile)
		}
		if rapid.Bool().Draw(t, "divided") {
			profile = Divide(profile, rapid.Float64Range(0.5, 5).Draw(t, "step"))
		}
		s, err := Lathe(profile, n, rapid.Float64Range(-400, 400).Draw(t, "phase"))
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Check(); err != nil {
			t.Fatal(err)
		}
		want := gon(n) * moment(profile)
		if got := s.Volume(); math.Abs(got-want) > near*want {
			t.Fatalf("volume %.12g, want %.12g", got, want)
		}
		if got := euler(s.used()); got != euler0 || len(s.used().V) != len(s.V) {
			t.Fatalf("Euler characteristic %d, want %d; %d vertices, %d used", got, euler0, len(s.V), len(s.used().V))
		}
	})
}

// A profile may meet the axis along two sides: a ball with a hollow.
func TestLatheHollowBall(t *testing.T) {
	profile := append(Arc(r2.Vec{}, 5, -90, 90, 12), Arc(r2.Vec{}, 3, 90, -90, 8)...)
	s := Must(Lathe(profile, 16, 0))
	wantVolume(t, "hollow ball", s, gon(16)*(moment(Arc(r2.Vec{}, 5, -90, 90, 12))-moment(Arc(r2.Vec{}, 3, -90, 90, 8))))
	if got := euler(s); got != 4 {
		t.Errorf("Euler characteristic %d, want 4 for two closed surfaces", got)
	}
}

func TestLatheRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		profile []r2.Vec
		n       int
	}{
		"negative radius":     {[]r2.Vec{{X: -1}, {X: 2}, {X: 1, Y: 2}}, 12},
		"a point on the axis": {[]r2.Vec{{X: 0}, {X: 2, Y: -1}, {X: 2, Y: 1}}, 12},
		"two segments":        {Rect(1, 0, 2, 2), 2},
		"crossed":             {[]r2.Vec{{X: 1}, {X: 2, Y: 2}, {X: 2}, {X: 1, Y: 2}}, 12},
	} {
		if _, err := Lathe(c.profile, c.n, 0); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}

func TestDivideKeepsTheOutline(t *testing.T) {
	p := Divide(Rect(0, 0, 3, 1), 0.5)
	if len(p) != 16 || Area(p) != 3 || !slices.Contains(p, r2.Vec{X: 3, Y: 1}) {
		t.Errorf("%d points of area %g: %v", len(p), Area(p), p)
	}
}
