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

// TestRingInAQuadrilateral: a contour may come near what lies wholly round it.
func TestRingInAQuadrilateral(t *testing.T) {
	ix := New(layerOf([]drawn{{part: 0, rings: [][]r2.Vec{{{X: 1.9, Y: 1.9}, {X: 2.1, Y: 1.9}, {X: 2, Y: 2.1}}}}}))
	quad := []r2.Vec{{}, {X: 4}, {X: 4, Y: 4}, {Y: 4}}
	for range 2 {
		if !ix.MayComeNear(0, quad, 0) {
			t.Errorf("nothing within %v", quad)
		}
		quad[1], quad[3] = quad[3], quad[1] // clockwise
	}
}

// TestMeetsRing: a ring meets what the judge finds within the distance of its
// line.
func TestMeetsRing(t *testing.T) {
	met, apart := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		all := scene(t)
		ix := New(layerOf(all))
		at := func(name string) float64 { return rapid.Float64Range(-7, 27).Draw(t, name) }
		r := rapid.Float64Range(0.3, 8).Draw(t, "size")
		ring := star(t, r2.Vec{X: at("x"), Y: at("y")}, r/2, r)
		within := rapid.SampledFrom([]float64{0, 0.2, 1}).Draw(t, "within")
		for part := range int32(4) {
			d, ok := geom.Distance(lineString(ring).AsGeometry(), lines(all, part))
			got := ix.MeetsRing(part, ring, within)
			switch {
			case ok && math.Abs(d-within) < 1e-6: // by a hair
			case got != (ok && d < within):
				t.Fatalf("part %d, %v away: meets within %v: %v", part, d, within, got)
			case got:
				met++
			default:
				apart++
			}
		}
	})
	if met == 0 || apart == 0 {
		t.Errorf("%d met, %d apart", met, apart)
	}
}
