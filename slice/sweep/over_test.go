package sweep

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

func boxOf(ring []r2.Vec) r2.Box {
	b := nowhere
	for _, p := range ring {
		b = around(b, r2.Box{Min: p, Max: p})
	}
	return b
}

// circle is a ring of n points.
func circle(c r2.Vec, r float64, n int, ccw bool) []r2.Vec {
	ring := make([]r2.Vec, n)
	for i := range ring {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		ring[i] = r2.Vec{X: c.X + r*cos, Y: c.Y + r*sin}
	}
	if !ccw {
		slices.Reverse(ring)
	}
	return ring
}

// TestAddOver: over set 0, what was added over it covers the same, as often,
// as when all of it is swept.
func TestAddOver(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		drawn := func(label string) [][]r2.Vec {
			rings := make([][]r2.Vec, rapid.IntRange(1, 4).Draw(t, label))
			for i := range rings {
				if rapid.Bool().Draw(t, "grid") {
					rings[i] = drawnRing(t)
					continue
				}
				at := rapid.SampledFrom([]float64{0, 1, 2.5, 6})
				rings[i] = circle(r2.Vec{X: at.Draw(t, "x"), Y: at.Draw(t, "y")},
					rapid.SampledFrom([]float64{0.1, 0.4, 0.9, 1, 1.1, 3, 8, 20}).Draw(t, "r"),
					rapid.SampledFrom([]int{3, 8, 17, 100}).Draw(t, "n"), rapid.Bool().Draw(t, "ccw"))
			}
			return rings
		}
		ground, one, two := drawn("ground"), drawn("one"), drawn("two")
		type covers [2]int32
		areas := func(s *Sweep) map[covers]float64 {
			sum := map[covers]float64{}
			s.RunOver(func(w []int32, t *Trapezoid) bool {
				c := covers{}
				copy(c[:], w[1:])
				sum[c] += t.Area()
				return false
			})
			return sum
		}
		var whole, over Sweep
		for _, r := range ground {
			whole.Add(r, 0)
			over.Add(r, 0)
		}
		added := [2]bool{}
		for k, rings := range [2][][]r2.Vec{one, two} {
			for _, r := range rings {
				whole.Add(r, k+1)
				added[k] = over.AddOver(r, boxOf(r), k+1) || added[k]
			}
		}
		want, got := areas(&whole), areas(&over)
		for c := range got {
			want[c] += 0
		}
		for c, a := range want {
			if math.Abs(a-got[c]) > 1e-6 {
				t.Errorf("covered %v times: %v mm2, want %v", c, got[c], a)
			}
		}
		for k := range added {
			for c, a := range got {
				if !added[k] && a > 0 && (c[k] != 0) != over.GoesRound(k+1) {
					t.Errorf("set %d covers %v times, goes round %v", k+1, c[k], over.GoesRound(k+1))
				}
			}
		}
	})
}

// TestAddOverLeavesOut: what keeps away from set 0 is not swept, whether it
// goes round it, lies in its hole, or beside it.
func TestAddOverLeavesOut(t *testing.T) {
	var s Sweep
	s.Add(circle(r2.Vec{}, 5, 100, true), 0)
	s.Add(circle(r2.Vec{}, 4, 100, false), 0)
	edges := len(s.edges)
	for _, tc := range []struct {
		name   string
		ring   []r2.Vec
		adds   bool
		covers bool
	}{
		{"round it", circle(r2.Vec{}, 6, 200, true), false, true},
		{"a hole round it", circle(r2.Vec{}, 5.5, 200, false), false, false},
		{"in its hole", circle(r2.Vec{}, 3, 200, true), false, false},
		{"beside it", circle(r2.Vec{X: 20}, 3, 200, true), false, false},
		{"across it", circle(r2.Vec{X: 4}, 3, 200, true), true, false},
		{"round it again", box(-6, -6, 6, 6), false, true},
	} {
		if got := s.AddOver(tc.ring, boxOf(tc.ring), 1); got != tc.adds {
			t.Errorf("%s: adds edges %v", tc.name, got)
		}
		if got := s.GoesRound(1); got != tc.covers {
			t.Errorf("%s: goes round %v", tc.name, got)
		}
		if !tc.adds && len(s.edges) != edges {
			t.Errorf("%s: %d edges, want %d", tc.name, len(s.edges), edges)
		}
		edges = len(s.edges)
	}
}
