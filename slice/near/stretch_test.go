package near

import (
	"math"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// TestStretches: over everything, the runs are as long together as the
// contours, and their middles lie on them.
func TestStretches(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := scene(t)
		ix := New(layerOf(all))
		length := rapid.SampledFrom([]float64{0.05, 0.4, 3, 100}).Draw(t, "length")
		far := r2.Box{Min: r2.Vec{X: -99, Y: -99}, Max: r2.Vec{X: 99, Y: 99}}
		for part := range int32(4) {
			sum := 0.0
			want := lines(all, part)
			ix.Stretches(part, far, 0, length, func(s Stretch) {
				sum += s.Length
				if d, ok := geom.Distance(point(s.Mid), want); !ok || d > 1e-9 {
					t.Errorf("part %d: the middle %v lies %v off", part, s.Mid, d)
				}
				if s.Length > 1.5*length+1e-9 {
					t.Errorf("part %d: a run of %v, wanted about %v", part, s.Length, length)
				}
			})
			if math.Abs(sum-want.Length()) > 1e-6 {
				t.Errorf("part %d: runs of %v in all, contours of %v", part, sum, want.Length())
			}
		}
	})
}

// TestNearestOn: the point lies on a contour, as far off as the judge says.
func TestNearestOn(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := scene(t)
		l := layerOf(all)
		ix := New(l)
		p := place(t, l)
		limit := rapid.SampledFrom([]float64{1, 5, 100}).Draw(t, "limit")
		for part := range int32(4) {
			want, ok := geom.Distance(point(p), lines(all, part))
			ok = ok && want <= limit
			q, d, found := ix.NearestOn(part, p, limit)
			if found != ok || ok && math.Abs(d-want) > 1e-9 {
				t.Errorf("part %d, %v: %v away, %v; want %v, %v", part, p, d, found, want, ok)
			}
			if off, _ := geom.Distance(point(q), lines(all, part)); found && (off > 1e-9 || math.Abs(math.Hypot(p.X-q.X, p.Y-q.Y)-d) > 1e-9) {
				t.Errorf("part %d, %v: %v is no point at %v", part, p, q, d)
			}
		}
	})
}
