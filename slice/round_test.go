package slice

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// TestRoundAndApart: of lines that are told to be round and apart, no two
// segments cross, by trying all pairs; and one that is told to lie in another
// does.
func TestRoundAndApart(t *testing.T) {
	told, crossed, in := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		var rings []ring
		for range rapid.IntRange(1, 4).Draw(t, "rings") {
			at := rapid.SampledFrom([]float64{0, 0, 0, 0.1, 1, 3})
			x, y := at.Draw(t, "x"), at.Draw(t, "y")
			n := rapid.IntRange(3, 40).Draw(t, "n")
			r := rapid.SampledFrom([]float64{0.3, 0.9, 1, 2.5, 3.2}).Draw(t, "r")
			wild := rapid.SampledFrom([]float64{0, 0, 0.05, 0.5}).Draw(t, "wild")
			turns := rapid.SampledFrom([]float64{1, 1, 1, 2}).Draw(t, "turns")
			pts := make([]r2.Vec, n)
			for i := range pts {
				sin, cos := math.Sincos(turns * 2 * math.Pi * float64(i) / float64(n))
				f := r * (1 + wild*rapid.Float64Range(-1, 1).Draw(t, "f"))
				pts[i] = r2.Vec{X: x + f*cos, Y: y + f*sin}
			}
			if rapid.Bool().Draw(t, "hole") {
				slices.Reverse(pts)
			}
			rings = appendRing(rings, pts)
		}
		crosses := false
		type side struct{ a, b r2.Vec }
		var sides []side
		for _, r := range rings {
			for i, p := range r.pts {
				sides = append(sides, side{p, r.pts[(i+1)%len(r.pts)]})
			}
		}
		for i, s := range sides {
			for _, o := range sides[:i] {
				if _, ok := meet(s.a, s.b, o.a, o.b); ok {
					crosses = true
				}
			}
		}
		ok := roundAndApart(rings)
		if ok && crosses {
			t.Fatalf("%v cross", rings)
		}
		for i := range rings {
			for j := range rings {
				if rings[i].roundIn(&rings[j]) {
					in++
					if !holds(newRingIndex(rings[j].pts), rings[i].pts) {
						t.Fatalf("%v does not lie in %v", rings[i], rings[j])
					}
				}
			}
		}
		if ok {
			told++
		} else if crosses {
			crossed++
		}
	})
	if n := told + crossed; told < n/10 || crossed < n/10 || in < n/20 {
		t.Errorf("%d cases are round and apart, %d cross; %d rings lie in others", told, crossed, in)
	}
}

// TestTubeIsRound: the walls of a tube are, and those of two beside each other.
func TestTubeIsRound(t *testing.T) {
	circle := func(x, r float64) []r2.Vec {
		pts := make([]r2.Vec, 72)
		for i := range pts {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / 72)
			pts[i] = r2.Vec{X: x + r*cos, Y: r * sin}
		}
		return pts
	}
	hole := func(x, r float64) []r2.Vec {
		pts := circle(x, r)
		slices.Reverse(pts)
		return pts
	}
	for _, tc := range []struct {
		name  string
		lines [][]r2.Vec
		want  bool
	}{
		{"a tube", [][]r2.Vec{circle(0, 5), hole(0, 4.9)}, true},
		{"two tubes", [][]r2.Vec{circle(0, 5), circle(20, 5), hole(20, 4), hole(0, 4)}, true},
		{"a tube in a tube", [][]r2.Vec{circle(0, 5), hole(0, 4), circle(0, 3), hole(0, 2)}, true},
		{"across", [][]r2.Vec{circle(0, 5), circle(5, 5)}, false},
		{"a hole off the middle", [][]r2.Vec{circle(0, 5), hole(3, 2.5)}, false},
		{"one about two others, across the second", [][]r2.Vec{circle(0, 5), circle(20, 5), circle(4, 20)}, false},
		{"twice the same", [][]r2.Vec{circle(0, 5), circle(0, 5)}, false},
	} {
		var rings []ring
		for _, pts := range tc.lines {
			rings = appendRing(rings, pts)
		}
		if got := roundAndApart(rings); got != tc.want {
			t.Errorf("%s: %v", tc.name, got)
		}
	}
}
