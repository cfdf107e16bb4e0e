package slice

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"playgauge/mesh/shape"
)

// stackOf is a stack of one layer with the given rings as one part.
func stackOf(rings ...[]r2.Vec) *Stack {
	st := &Stack{Plan: Plan{First: 0.2, Rest: 0.2, Layers: 1}, Layers: make([]Layer, 1), Parts: 1}
	st.Layers[0] = Layer{Number: 1, Z: 0.1}
	var all []ring
	for _, pts := range rings {
		all = appendRing(all, pts)
	}
	islands(&st.Layers[0], 0, all)
	return st
}

// Two plates of w x h mm: each side of each recedes by c, so that w - 2c by
// h - 2c is left of each, and the gap between them is 2c wider. [calc]
func TestInsetOfTwoPlates(t *testing.T) {
	const gap = 0.3
	plate := shape.Box(r3.Vec{}, r3.Vec{X: 4, Y: 5, Z: 1})
	_, st := cut(t, plate.Append(plate.Move(4+gap, 0, 0)).Soup(), 0.2, 0.2)
	for _, c := range []float64{0.01, 0.05, 0.2, 1.5} {
		in := Inset(st, c)
		for i := range in.Layers {
			checkLayer(t, in, i+1)
			l := &in.Layers[i]
			if len(l.Islands) != 2 || l.Lost != 0 {
				t.Fatalf("inset %v, layer %d: %d islands, %d lost", c, i+1, len(l.Islands), l.Lost)
			}
			for _, is := range l.Islands {
				if want := (4 - 2*c) * (5 - 2*c); math.Abs(is.Area-want) > 1e-9 {
					t.Errorf("inset %v: a plate keeps %v mm2, want %v", c, is.Area, want)
				}
			}
			a, b := l.Islands[0].Box, l.Islands[1].Box
			if a.Min.X > b.Min.X {
				a, b = b, a
			}
			// 1e-7: the gap of the plates was rounded to float32.
			if got, want := b.Min.X-a.Max.X, gap+2*c; math.Abs(got-want) > 1e-6 {
				t.Errorf("inset %v: the gap is %v, want %v", c, got, want)
			}
		}
	}
	if in := Inset(st, 2); layerArea(&in.Layers[0]) != 0 || in.Layers[0].Lost != 2 {
		t.Errorf("plates of 4 mm less twice 2: %v mm2 left, %d lost", layerArea(&in.Layers[0]), in.Layers[0].Lost)
	}
	if Inset(st, 0) != st {
		t.Error("an inset of 0 is another stack")
	}
}

// A pin in a bore, n-gons by their vertices on the radii a and b: the sides
// lie a cos(pi/n) and b cos(pi/n) from the middle [calc, check values:
// geometry], those of the pin then c less and those of the bore c more, and
// both stay regular n-gons; an n-gon whose sides lie p away has the area
// n p^2 tan(pi/n) [calc].
func TestInsetOfPinInBore(t *testing.T) {
	const a, b, n, c = 5.0, 5.3, 32, 0.05
	bore := shape.Circle(r2.Vec{}, b, n, 0)
	for i, k := 0, len(bore)-1; i < k; i, k = i+1, k-1 {
		bore[i], bore[k] = bore[k], bore[i]
	}
	in := Inset(stackOf(shape.Circle(r2.Vec{}, a, n, 0), shape.Rect(-8, -8, 8, 8), bore), c)
	l := &in.Layers[0]
	if len(l.Islands) != 2 || len(l.Contours) != 3 {
		t.Fatalf("%d islands of %d contours", len(l.Islands), len(l.Contours))
	}
	area := func(p float64) float64 { return n * p * p * math.Tan(math.Pi/n) }
	pin, hole := area(a*math.Cos(math.Pi/n)-c), area(b*math.Cos(math.Pi/n)+c)
	want := map[string]float64{"pin": pin, "plate": (16-2*c)*(16-2*c) - hole}
	got := map[string]float64{"pin": l.Islands[0].Area, "plate": l.Islands[1].Area}
	if got["pin"] > got["plate"] {
		got["pin"], got["plate"] = got["plate"], got["pin"]
	}
	for name, w := range want {
		if math.Abs(got[name]-w) > 1e-9 {
			t.Errorf("%s: %v mm2, want %v", name, got[name], w)
		}
	}
}

// Two squares of 4 mm with a neck of 0.2 between: an inset of 0.15 parts them,
// and of each is left a square of 3.7 and, where the neck was, no more than
// what lies between its side and the circles about the neck's two corners, at
// most 0.2 x 0.15 mm. [calc]
func TestInsetPartsANeck(t *testing.T) {
	st := stackOf([]r2.Vec{
		{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 1.9}, {X: 6, Y: 1.9}, {X: 6, Y: 0}, {X: 10, Y: 0},
		{X: 10, Y: 4}, {X: 6, Y: 4}, {X: 6, Y: 2.1}, {X: 4, Y: 2.1}, {X: 4, Y: 4}, {X: 0, Y: 4},
	})
	in := Inset(st, 0.15)
	l := &in.Layers[0]
	if len(l.Islands) != 2 {
		t.Fatalf("%d islands are left, want 2", len(l.Islands))
	}
	for _, is := range l.Islands {
		if is.Area < 3.7*3.7 || is.Area > 3.7*3.7+0.2*0.15 {
			t.Errorf("%v mm2 are left of a square, want 13.69 and a little", is.Area)
		}
	}
}

// What is left of a shape, judged point by point: a point deeper in the shape
// than c stays, but for what the pieces of a rounded corner take (1/cos(pi/8)
// - 1 of c); one less deep than c goes.
func TestInsetKeepsWhatIsDeep(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(0.01, 0.6).Draw(t, "c")
		rings := [][]r2.Vec{randomStar(t, "outer", 5, 1)}
		if rapid.Bool().Draw(t, "hole") {
			h := randomStar(t, "hole", 1.5, 0.3)
			for i, k := 0, len(h)-1; i < k; i, k = i+1, k-1 {
				h[i], h[k] = h[k], h[i]
			}
			if inside(rings[0], h) {
				rings = append(rings, h)
			}
		}
		st := stackOf(rings...)
		if len(st.Layers[0].Islands) == 0 {
			return
		}
		in := Inset(st, c)
		checkLayer(t, in, 1)
		for range 60 {
			p := r2.Vec{X: rapid.Float64Range(-5, 5).Draw(t, "x"), Y: rapid.Float64Range(-5, 5).Draw(t, "y")}
			d := depth(&st.Layers[0], p)
			left := depth(&in.Layers[0], p) > 0
			switch {
			case d > c/math.Cos(math.Pi/8)+1e-6 && !left:
				t.Errorf("(%v, %v) lies %v deep and is gone, inset %v", p.X, p.Y, d, c)
			case d < c-1e-6 && left:
				t.Errorf("(%v, %v) lies %v deep and is left, inset %v", p.X, p.Y, d, c)
			}
		}
	})
}

// randomStar is a star-shaped ring round the middle, counter-clockwise.
func randomStar(t *rapid.T, name string, most, least float64) []r2.Vec {
	n := rapid.IntRange(3, 24).Draw(t, name)
	out := make([]r2.Vec, n)
	for i := range out {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		r := rapid.Float64Range(least, most).Draw(t, fmt.Sprintf("%s%d", name, i))
		out[i] = r2.Vec{X: r * c, Y: r * s}
	}
	return out
}

// inside says whether a ring lies well inside another.
func inside(outer, ring []r2.Vec) bool {
	a, b := ringPolygon(outer), ringPolygon(ring)
	within, err := geom.Contains(a.AsGeometry(), b.AsGeometry())
	d, ok := geom.Distance(a.Boundary().AsGeometry(), b.Boundary().AsGeometry())
	return err == nil && within && ok && d > 0.01
}

func ringPolygon(pts []r2.Vec) geom.Polygon {
	var xy []float64
	for _, p := range append(append([]r2.Vec{}, pts...), pts[0]) {
		xy = append(xy, p.X, p.Y)
	}
	return geom.NewPolygon([]geom.LineString{geom.NewLineString(geom.NewSequence(xy, geom.DimXY))})
}

// depth is how far inside the material of a layer a point lies, below 0
// outside it.
func depth(l *Layer, p r2.Vec) float64 {
	d, winds := math.Inf(1), 0.0
	for _, c := range l.Contours {
		pts := l.Pts[c.Start:c.End]
		for i, a := range pts {
			b := pts[(i+1)%len(pts)]
			ab, ap := r2.Sub(b, a), r2.Sub(p, a)
			s := min(max(r2.Dot(ab, ap)/r2.Dot(ab, ab), 0), 1)
			d = min(d, r2.Norm(r2.Sub(ap, r2.Scale(s, ab))))
			pa, pb := r2.Sub(a, p), r2.Sub(b, p)
			winds += math.Atan2(r2.Cross(pa, pb), r2.Dot(pa, pb))
		}
	}
	if winds < math.Pi {
		return -d
	}
	return d
}

// The cut corners of a square, 0.05 off each side, shrink by 2 tan(pi/8) for
// each mm they move, and are gone after 0.0707/0.828 = 0.0854; a cut of length l
// that is left takes l^2/4 off the square. [calc]
func TestInsetTakesOutShortSides(t *testing.T) {
	const a, b = 0.05, 3.95
	st := stackOf([]r2.Vec{{X: a}, {X: b}, {X: 4, Y: a}, {X: 4, Y: b}, {X: b, Y: 4}, {X: a, Y: 4}, {Y: b}, {Y: a}})
	for c, want := range map[float64]struct {
		sides int
		area  float64
	}{0.08: {8, 3.84*3.84 - 2*math.Pow(0.05*math.Sqrt2-0.08*2*math.Tan(math.Pi/8), 2)/2}, 0.2: {4, 3.6 * 3.6}} {
		in := insetter{c: c}
		in.clean(st.Layers[0].Pts)
		if !in.collapse() || len(in.pts) != want.sides || !in.shrink() {
			t.Errorf("inset %v: %d sides are left, want %d", c, len(in.pts), want.sides)
		}
		if got := layerArea(&Inset(st, c).Layers[0]); math.Abs(got-want.area) > 1e-9 {
			t.Errorf("inset %v: %v mm2, want %v", c, got, want.area)
		}
	}
}

// All ways of finding what is left agree: the moved contours as they are, the
// one by winding numbers, and the one that takes away what the walls pass.
func TestInsetWaysAgree(t *testing.T) {
	asTheyAre, byWinding := 0, 0
	areaOf := func(rings [][]r2.Vec) float64 {
		sum := 0.0
		for _, pts := range rings {
			sum += area(pts)
		}
		return sum
	}
	rapid.Check(t, func(t *rapid.T) {
		c := rapid.Float64Range(0.005, 0.6).Draw(t, "c")
		rings := [][]r2.Vec{randomStar(t, "outer", 5, 2)}
		for i := range rapid.IntRange(0, 2).Draw(t, "holes") {
			h := randomStar(t, fmt.Sprint("hole", i), 0.7, 0.3)
			slices.Reverse(h)
			for k := range h {
				h[k].X += 1.6*float64(i) - 0.8
			}
			if inside(rings[0], h) {
				rings = append(rings, h)
			}
		}
		st := stackOf(rings...)
		l := &st.Layers[0]
		in := insetter{c: c}
		want := areaOf(in.remains(l, &l.Islands[0]))
		if got := areaOf(in.island(l, &l.Islands[0])); math.Abs(got-want) > 1e-7 {
			t.Errorf("inset %v: %v mm2, by what is passed %v", c, got, want)
		}
		if len(in.lines) < len(rings) {
			return // a side turned about
		}
		if _, ok := in.apart(); ok {
			asTheyAre++
		} else {
			byWinding++
		}
	})
	if !testing.Short() && (asTheyAre < 5 || byWinding < 5) {
		t.Errorf("%d shapes went as they are, %d by winding numbers", asTheyAre, byWinding)
	}
}
