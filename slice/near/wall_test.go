package near

import (
	"math"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// convex draws a slanted quadrilateral, counter-clockwise.
func convex(t *rapid.T) []r2.Vec {
	p := r2.Vec{X: rapid.Float64Range(-7, 27).Draw(t, "px"), Y: rapid.Float64Range(-7, 27).Draw(t, "py")}
	length := func(name string) float64 { return rapid.Float64Range(0.01, 4).Draw(t, name) }
	across, up, lean, top := length("across"), length("up"), rapid.Float64Range(-2, 2).Draw(t, "lean"), length("top")
	sin, cos := math.Sincos(rapid.Float64Range(0, 2*math.Pi).Draw(t, "turn"))
	turned := func(x, y float64) r2.Vec { return r2.Vec{X: p.X + x*cos - y*sin, Y: p.Y + x*sin + y*cos} }
	return []r2.Vec{turned(0, 0), turned(across, 0), turned(lean+top, up), turned(lean, up)}
}

// TestMayComeNear: what may come near a quadrilateral is what the judge finds
// within the distance.
func TestMayComeNear(t *testing.T) {
	near, far := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		all := scene(t)
		ix := New(layerOf(all))
		quad := convex(t)
		if rapid.Bool().Draw(t, "clockwise") {
			quad[1], quad[3] = quad[3], quad[1]
		}
		within := rapid.SampledFrom([]float64{0, 0.2, 2}).Draw(t, "within")
		area := geom.NewPolygon([]geom.LineString{lineString(quad)}).AsGeometry()
		for part := range int32(4) {
			d, ok := geom.Distance(area, lines(all, part))
			got := ix.MayComeNear(part, quad, within)
			switch {
			case ok && math.Abs(d-within) < 1e-6: // by a hair
			case got != (ok && d < within):
				t.Fatalf("part %d, %v away: may come within %v: %v", part, d, within, got)
			case got:
				near++
			default:
				far++
			}
		}
	})
	if near == 0 || far == 0 {
		t.Errorf("%d near, %d far", near, far)
	}
}

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
		reach := rapid.Float64Range(0, 30).Draw(t, "reach")
		farthest := 0.0
		for range 30 {
			u, v := rapid.Float64Range(0, 1).Draw(t, "u"), rapid.Float64Range(0, 1).Draw(t, "v")
			q := Along(Along(quad[0], quad[1], u), Along(quad[3], quad[2], u), v)
			farthest = max(farthest, toSegment(q, w.A, w.B))
		}
		if w.ReachesAll(quad, reach) {
			reached++
			if farthest > reach {
				t.Fatalf("%v from the wall, which reaches %v", farthest, reach)
			}
			return
		}
		beyond++
		for _, c := range quad {
			farthest = max(farthest, toSegment(c, w.A, w.B))
		}
		if farthest < reach-1e-6 {
			t.Fatalf("%v from the wall, which is said not to reach %v", farthest, reach)
		}
	})
	if reached == 0 || beyond == 0 {
		t.Errorf("%d reached, %d not", reached, beyond)
	}
}
