package slice

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// TestRingIndex judges by the winding angle, the sum of the angles under
// which the segments are seen.
func TestRingIndex(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 600).Draw(t, "n")
		seed := rapid.Float64Range(0.3, 40).Draw(t, "waves")
		pts := make([]r2.Vec, n)
		for i := range pts {
			a := 2 * math.Pi * float64(i) / float64(n)
			r := 3 + 1.5*math.Sin(seed*float64(i))
			pts[i] = r2.Vec{X: r * math.Cos(a), Y: r * math.Sin(a)}
		}
		x := newRingIndex(pts)
		for range 20 {
			p := r2.Vec{X: rapid.Float64Range(-5, 5).Draw(t, "x"), Y: rapid.Float64Range(-5, 5).Draw(t, "y")}
			if rapid.Bool().Draw(t, "level with a corner") {
				p.Y = pts[rapid.IntRange(0, n-1).Draw(t, "corner")].Y
			}
			turn, away := 0.0, math.Inf(1)
			for i, a := range pts {
				b := pts[(i+1)%n]
				u, v, d := r2.Sub(a, p), r2.Sub(b, p), r2.Sub(b, a)
				if r2.Dot(u, d) <= 1e-9 && r2.Dot(v, d) >= -1e-9 {
					away = min(away, math.Abs(r2.Cross(u, d)))
				}
				turn += math.Atan2(r2.Cross(u, v), r2.Dot(u, v))
			}
			if away < 1e-9 {
				continue // on the ring
			}
			if got, want := x.inside(p), math.Abs(turn) > 1; got != want {
				t.Errorf("%v inside: %v, winding angle %v", p, got, turn)
			}
		}
	})
}
