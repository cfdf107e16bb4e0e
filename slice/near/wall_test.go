package near

import (
	"math"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"pgregory.net/rapid"
)

// TestReachesAll: the nearest wall is as near as the judge says, and no place
// between some corners is farther from it than it is said to reach.
func TestReachesAll(t *testing.T) {
	reached, beyond := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		all := scene(t)
		ix := New(layerOf(all))
		p := place(t, ix.Layer)
		part := rapid.Int32Range(0, 3).Draw(t, "part")
		want, ok := geom.Distance(point(p), lines(all, part))
		w, d, found := ix.NearestWall(part, p, 100)
		if ok = ok && want <= 100; found != ok || ok && (math.Abs(d-want) > 1e-9 || math.Abs(toSegment(p, w.A, w.B)-want) > 1e-9) {
			t.Fatalf("part %d, %v: %v away, %v; want %v, %v", part, p, d, found, want, ok)
		}
		if !found {
			return
		}
		quad := convex(t)
		farthest := 0.0
		for _, c := range quad {
			farthest = max(farthest, toSegment(c, w.A, w.B))
		}
		reach := rapid.Float64Range(0, 30).Draw(t, "reach")
		if rapid.Bool().Draw(t, "close") {
			reach = farthest + rapid.Float64Range(-0.01, 0.01).Draw(t, "by")
		}
		for range 30 {
			u, v := rapid.Float64Range(0, 1).Draw(t, "u"), rapid.Float64Range(0, 1).Draw(t, "v")
			q := Along(Along(quad[0], quad[1], u), Along(quad[3], quad[2], u), v)
			farthest = max(farthest, toSegment(q, w.A, w.B))
		}
		if w.ReachesAll(quad, reach) {
			reached++
			if farthest > reach+1e-9 {
				t.Fatalf("%v from the wall, which reaches %v", farthest, reach)
			}
			return
		}
		beyond++
		if farthest < reach-1e-6 {
			t.Fatalf("%v from the wall, which is said not to reach %v", farthest, reach)
		}
	})
	if reached == 0 || beyond == 0 {
		t.Errorf("%d reached, %d not", reached, beyond)
	}
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
