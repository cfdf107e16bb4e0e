package gapscan

import (
	"math"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/mesh/shape"
	"playgauge/slice"
	"playgauge/slice/near"
)

// drawnRings draws a polygon about a place and, in half of the cases, a hole
// in it that it is similar to.
func drawnRings(t *rapid.T) [][]r2.Vec {
	n := rapid.IntRange(3, 20).Draw(t, "n")
	at := r2.Vec{X: rapid.Float64Range(-3, 3).Draw(t, "x"), Y: rapid.Float64Range(-3, 3).Draw(t, "y")}
	r := rapid.Float64Range(0.2, 4).Draw(t, "r")
	turn := rapid.Float64Range(0, 6).Draw(t, "turn")
	ring := func(r float64, way float64) []r2.Vec {
		out := make([]r2.Vec, n)
		for i := range out {
			s, c := math.Sincos(turn + way*2*math.Pi*float64(i)/float64(n))
			out[i] = r2.Vec{X: at.X + r*c, Y: at.Y + r*s}
		}
		return out
	}
	rings := [][]r2.Vec{ring(r, 1)}
	if rapid.Bool().Draw(t, "holed") {
		rings = append(rings, ring(r*rapid.Float64Range(0.1, 0.9).Draw(t, "hole"), -1))
	}
	return rings
}

func asPolygon(rings [][]r2.Vec) geom.Geometry {
	var lines []geom.LineString
	for _, r := range rings {
		var f []float64
		for _, p := range append(r[:len(r):len(r)], r[0]) {
			f = append(f, p.X, p.Y)
		}
		lines = append(lines, geom.NewLineString(geom.NewSequence(f, geom.DimXY)))
	}
	return geom.NewPolygon(lines).AsGeometry()
}

// TestMeets judges by another library whether a region meets a part.
func TestMeets(t *testing.T) {
	met, all := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		region, part := drawnRings(t), drawnRings(t)
		l := slice.Layer{Contours: make([]slice.Contour, len(part))}
		for i, r := range part {
			from := len(l.Pts)
			l.Pts = append(l.Pts, r...)
			l.Contours[i] = slice.Contour{Start: int32(from), End: int32(len(l.Pts)), Box: ringsBox(part[i : i+1])}
		}
		w := worker{scanner: &scanner{index: near.IndexAll(&slice.Stack{Layers: []slice.Layer{l}})}}
		got := w.meets(region, ringsBox(region), 0, 1)
		d, ok := geom.Distance(asPolygon(region), asPolygon(part))
		if !ok {
			t.Fatal("no distance")
		}
		if want := d <= near.Skin; got != want {
			t.Errorf("%v, %v mm apart", got, d)
		}
		all++
		if got {
			met++
		}
	})
	if met < all/5 || met > all*4/5 {
		t.Errorf("met in %d of %d cases: they should be of both kinds", met, all)
	}
}

// TestRoofOverALeaningPost: what a plate lies over by a hair at the top of a tall
// post, whose walls lean so little that they count as upright, is found though
// the plate lies over nothing of the layers far below.
func TestRoofOverALeaningPost(t *testing.T) {
	post := shape.Cone(2*math.Sqrt2, 2.0162*math.Sqrt2, 18, 4, 45) // 2 mm from its axis to the walls, 2.0162 at the top
	plate := box(2.013, -3, 19, 8, 3, 20).Append(box(7, -3, 0, 8, 3, 19.5))
	r := scan(t, post.Append(plate), 0.2, 0.2, keeps(0.3, 5, 0.4))
	if len(r.Joints) != 1 {
		t.Fatalf("%d joints, want 1", len(r.Joints))
	}
	if j := r.Joints[0]; j.RoofAirLayers == nil || *j.RoofAirLayers != 5 || *j.Cause != CauseRoof {
		t.Errorf("cause %v, air layers %v, want 5 under a roof", *j.Cause, j.RoofAirLayers)
	}
}

// TestRoofOverItsOwnLedge: what a part lies over of itself shades what is below
// that.
func TestRoofOverItsOwnLedge(t *testing.T) {
	for _, ledge := range []float64{2, 6, 10} { // how far it reaches out
		post := box(-2, 0, 0, 1, 4, 6)
		arm := box(0, 0, 4, 10, 4, 6)
		floor := box(3, 0, 0, 9, 4, 1)
		s := post.Append(arm).Append(box(0, 0, 2, ledge, 4, 3)).Append(floor)
		c := cutSolid(t, s, 0.2, 0.2, keeps(0.3, 0.3, 0.3), Options{Reach: 4})
		found := false
		for _, f := range c.layer(21).joints { // the lowest of the arm
			found = found || f.roof.found
		}
		if want := ledge < 9; found != want {
			t.Errorf("a ledge of %v mm: over the floor %v, want %v", ledge, found, want)
		}
	}
}
