package clip

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/shape"
)

// all is a coordinate that cuts nothing off.
var all = math.Inf(1)

// float32Noise is what rounding vertices of some 10 mm to float32 may change
// a volume by, relative.
const float32Noise = 1e-6

// wantRound compares with a true round body's volume: the facets lie inside
// it by up to the sagittas R(1-cos(pi/n)) of their two directions (FACTS).
func wantRound(t testing.TB, name string, got, want, surface, R float64, n int) {
	t.Helper()
	if most := 2 * surface * R * (1 - math.Cos(math.Pi/float64(n))); got > want+1e-5 || got < want-most {
		t.Errorf("%s: volume %.9g, want %.9g less at most %.2g", name, got, want, most)
	}
}

func TestBallCutByBoxes(t *testing.T) {
	const R, n = 5.0, 256
	s := one(t, shape.Sphere(R, n)) // stands on z = 0, its centre at R
	ball := func(name string, got, want, surface float64) {
		t.Helper()
		wantRound(t, name, got, want, surface, R, n)
	}
	// A segment of height h has the volume pi h^2 (3R-h)/3 [calc].
	segment := func(h float64) float64 { return math.Pi * h * h * (3*R - h) / 3 }
	whole := segment(2 * R) // 523.598776, FACTS
	wantVolume(t, "whole", whole, 523.598776, 1e-8)
	for _, h := range []float64{0.7, 2, 5, 8.3} {
		low := cutBox(t, s, r3.Vec{X: -all, Y: -all, Z: -all}, r3.Vec{X: all, Y: all, Z: h})
		ball("segment", low.Volume(), segment(h), 2*math.Pi*R*h) // surface of a zone [calc]
		side := cutBox(t, s, r3.Vec{X: R - h, Y: -all, Z: -all}, r3.Vec{X: all, Y: all, Z: all})
		ball("side segment", side.Volume(), segment(h), 2*math.Pi*R*h)
	}
	// A cube of half side c >= R/sqrt 2 cuts off six segments that do not meet.
	const c = 4.0
	mid := cutBox(t, s, r3.Vec{X: -c, Y: -c, Z: R - c}, r3.Vec{X: c, Y: c, Z: R + c})
	ball("six segments less", mid.Volume(), whole-6*segment(R-c), 4*math.Pi*R*R)
	eighth := cutBox(t, s, r3.Vec{X: 0, Y: 0, Z: R}, r3.Vec{X: all, Y: all, Z: all})
	ball("eighth", eighth.Volume(), whole/8, math.Pi*R*R/2)
	// A box wholly inside is cut out of it, corners exact.
	box := cutBox(t, s, r3.Vec{X: -1, Y: -2, Z: 4}, r3.Vec{X: 1.5, Y: 2, Z: 5.25})
	wantVolume(t, "box", box.Volume(), 2.5*4*1.25, 1e-12)
	for name, at := range map[string]r3.Vec{"below": {Z: -2}, "touching": {Z: -1}, "above": {Z: 11}} {
		if r := cutBox(t, s, at, r3.Add(at, r3.Vec{X: 1, Y: 1, Z: 1})); !r.Empty() || len(r.V) > 0 {
			t.Errorf("a box %s leaves %d facets, want none", name, len(r.T))
		}
	}
}

func TestCylinderCutByBoxes(t *testing.T) {
	const R, h = 5.0, 7.0
	for _, n := range []int{7, 32, 720} {
		s := one(t, shape.Cylinder(R, h, n, 0))
		// n-gon: (n/2) R^2 sin(2 pi/n), FACTS.
		gon := float64(n) / 2 * R * R * math.Sin(2*math.Pi/float64(n))
		slab := cutBox(t, s, r3.Vec{X: -all, Y: -all, Z: 1}, r3.Vec{X: all, Y: all, Z: 4.5})
		wantVolume(t, "slab", slab.Volume(), gon*3.5, float32Noise)
		half := cutBox(t, s, r3.Vec{X: -all, Y: 0, Z: -all}, r3.Vec{X: all, Y: all, Z: all})
		wantVolume(t, "half", half.Volume(), gon*h/2, float32Noise) // y = 0 mirrors the n-gon
	}
	// Segments of the circle of radius 5 [calc, FACTS]: h=1 4.0875277, h=2
	// 11.1823805.
	s := one(t, shape.Cylinder(R, h, 2880, 0))
	for _, c := range []struct{ h, area float64 }{{1, 4.0875277}, {2, 11.1823805}} {
		cut := cutBox(t, s, r3.Vec{X: R - c.h, Y: -all, Z: 1}, r3.Vec{X: all, Y: all, Z: 3})
		wantVolume(t, "segment of a circle", cut.Volume(), c.area*2, 2e-5)
	}
}

func TestTorusCutByBoxes(t *testing.T) {
	const R, r, n = 10.0, 3.0, 240
	s := one(t, shape.Torus(R, r, n, n))
	surface := 4 * math.Pi * math.Pi * R * r
	ring := func(name string, got, want, share float64) {
		t.Helper()
		// Sagittas of the outer circle and of the tube.
		most := share * surface * (R + r) * 2 * (1 - math.Cos(math.Pi/n))
		if math.Abs(got-want) > most {
			t.Errorf("%s: volume %.9g, want %.9g within %.2g", name, got, want, most)
		}
	}
	whole := 2 * math.Pi * math.Pi * R * r * r // FACTS
	// Sections at height z: 4 pi R sqrt(r^2-z^2), FACTS; between -h and h they
	// add up to this.
	within := func(h float64) float64 {
		return 4 * math.Pi * R * (h*math.Sqrt(r*r-h*h) + r*r*math.Asin(h/r))
	}
	for _, h := range []float64{0.5, 1.7, 2.6} {
		slab := cutBox(t, s, r3.Vec{X: -all, Y: -all, Z: r - h}, r3.Vec{X: all, Y: all, Z: r + h})
		ring("level slab", slab.Volume(), within(h), 1)
	}
	// Two sections side by side, then a quarter, then an annular section.
	half := cutBox(t, s, r3.Vec{X: -all, Y: 0, Z: -all}, r3.Vec{X: all, Y: all, Z: all})
	ring("half", half.Volume(), whole/2, 1.0/2)
	quarter := cutBox(t, s, r3.Vec{X: 0, Y: 0, Z: -all}, r3.Vec{X: all, Y: all, Z: all})
	ring("quarter", quarter.Volume(), whole/4, 1.0/4)
	low := cutBox(t, s, r3.Vec{X: -all, Y: -all, Z: -all}, r3.Vec{X: all, Y: all, Z: r})
	ring("lower half", low.Volume(), whole/2, 1.0/2)
}

// Nested and several sections: a ring with a ball in its hollow, and a plate
// with many holes, come out with their holes and with exact volumes.
func TestNestedSections(t *testing.T) {
	ball := shape.Sphere(5, 48)
	hollow := one(t, ball.Append(shape.Sphere(4, 48).Flip()))
	for _, z := range []float64{5, 3.3} {
		low := cutBox(t, hollow, r3.Vec{X: -all, Y: -all, Z: -all}, r3.Vec{X: all, Y: all, Z: z})
		outer := cutBox(t, one(t, ball), r3.Vec{X: -all, Y: -all, Z: -all}, r3.Vec{X: all, Y: all, Z: z})
		inner := cutBox(t, Of(build(t, shape.Sphere(4, 48).Soup()), 0, r3.Vec{Z: 1}), r3.Vec{X: -all, Y: -all, Z: -all}, r3.Vec{X: all, Y: all, Z: z})
		wantVolume(t, "hollow", low.Volume(), outer.Volume()-inner.Volume(), float32Noise)
		m := build(t, low.Soup())
		if len(m.Parts) != 1 || len(m.Shells) != 1 || !m.Watertight() {
			t.Errorf("a hollow cut open is %d parts, %d shells, watertight %v; want one cup", len(m.Parts), len(m.Shells), m.Watertight())
		}
	}
	var holes [][]r2.Vec
	for i := range 12 {
		for j := range 12 {
			holes = append(holes, shape.Circle(r2.Vec{X: 2*float64(i) + 1, Y: 2*float64(j) + 1}, 0.7, 16, float64(7*i+3*j)))
		}
	}
	plate := one(t, shape.Must(shape.Extrude(shape.Rect(0, 0, 24, 24), holes, 0, 3)))
	area := 24.0*24 - 144*8*0.49*math.Sin(math.Pi/8)
	slab := cutBox(t, plate, r3.Vec{X: -all, Y: -all, Z: 1}, r3.Vec{X: all, Y: all, Z: 2.5})
	wantVolume(t, "plate with holes", slab.Volume(), area*1.5, float32Noise)
	quarter := cutBox(t, plate, r3.Vec{X: -all, Y: -all, Z: -all}, r3.Vec{X: 12, Y: 12, Z: all})
	wantVolume(t, "a quarter of it", quarter.Volume(), area*3/4, float32Noise)
}
