package bvh

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

func TestFilledBetween(t *testing.T) {
	tr := brick(vec(0, 0, 2), vec(4, 4, 5)).tree()
	for _, c := range []struct {
		x, y, low, high float64
		want            bool
	}{
		{1, 2, 0, 1, false},
		{1, 2, 0, 2, false}, // to the underside
		{1, 2, 0, 2 + 1e-7, false},
		{1, 2, 0, 2.1, true},
		{2, 2, 0, 2.1, true}, // on the diagonal of the faces
		{1, 2, 0, 9, true},
		{1, 2, 2, 5, true}, // filled from end to end
		{1, 2, 3, 4, true},
		{1, 2, 5, 9, false}, // from the top on
		{1, 2, 5 - 1e-7, 9, false},
		{1, 2, 4.9, 9, true},
		{5, 2, 0, 9, false},
		{1, 2, 3, 3, false}, // nothing lies between
		{1, 2, 4, 3, false},
	} {
		if got := tr.FilledBetween(c.x, c.y, c.low, c.high); got != c.want {
			t.Errorf("%v: %v", c, got)
		}
		if _, got := (Solids{tr}).Blocked(c.x, c.y, c.low, c.high); got != c.want {
			t.Errorf("%v blocked: %v", c, got)
		}
	}
}

// Columns through the corners and sides of a ball's facets, and beside them,
// must enter once and leave once.
func TestColumnsThroughEdges(t *testing.T) {
	b := ball(16, 5)
	tr := b.tree()
	rng := rand.New(rand.NewPCG(8, 8))
	for _, k := range b.t {
		for e := range 3 {
			for _, s := range []float64{0, 0.5, rng.Float64()} {
				p := r3.Add(r3.Scale(1-s, b.v[k[e]]), r3.Scale(s, b.v[k[(e+1)%3]]))
				r := math.Hypot(p.X, p.Y)
				if r > 4.8 {
					continue
				}
				if c := tr.Column(p.X, p.Y, 0, 0.1); c.Winding != 1 || c.Crossed || c.Facet < 0 || c.Z < 0.1 {
					t.Fatalf("%v: %+v", p, c)
				}
				if c := tr.Column(p.X, p.Y, 6, 7); c.Winding != 0 || c.Crossed || c.Facet != -1 {
					t.Fatalf("%v above: %+v", p, c)
				}
				c := tr.Column(p.X, p.Y, -6, 6)
				if c.Winding != 0 || !c.Crossed {
					t.Fatalf("%v through: %+v", p, c)
				}
				// The facet is one that the line really meets, at that height.
				x := vec(p.X, p.Y, c.Z)
				if d := judgeDistance(b.corners(int(c.Facet)), [3]r3.Vec{x, x, x}); d > 1e-9 {
					t.Fatalf("%v: %v off the facet", p, d)
				}
			}
		}
	}
}

func TestColumnsOnAGrid(t *testing.T) {
	tr := brick(vec(0, 0, 0), vec(4, 4, 4)).tree()
	inside := 0
	for i := range 81 {
		x, y := float64(i%9)-2, float64(i/9)-2
		c := tr.Column(x, y, 1, 2)
		inside += c.Winding
		strictly := x > 0 && x < 4 && y > 0 && y < 4
		beyond := x < 0 || x > 4 || y < 0 || y > 4
		if strictly && c.Winding != 1 || beyond && c.Winding != 0 || c.Winding != 0 && c.Winding != 1 || c.Crossed {
			t.Errorf("(%v, %v): %+v", x, y, c)
		}
	}
	// Of opposite walls one counts, so that bricks side by side fill a place once.
	if inside != 16 {
		t.Errorf("%d grid points are inside, want 16", inside)
	}
}

func TestFacetOfAColumn(t *testing.T) {
	// A low large brick, a small one on a gap above it, one more above.
	m := joinedModel(brick(vec(0, 0, 0), vec(9, 9, 1)), brick(vec(1, 1, 2), vec(3, 3, 3)), brick(vec(0, 0, 5), vec(4, 4, 6)))
	tr := m.tree()
	for _, c := range []struct {
		low, high float64
		crossed   bool
		z, area   float64
	}{
		{0.2, 0.5, false, 1, 40.5}, // in the first: its top
		{1.1, 1.9, false, 3, 2},    // in the air: not the underside
		{3.1, 4.9, false, 6, 8},
		{0.5, 1.5, true, 1, 40.5},
		{0.5, 2.5, true, 1, 40.5}, // of two the larger
		{2.5, 5.5, true, 5, 8},
	} {
		got := tr.Column(1.7, 2.5, c.low, c.high)
		if got.Crossed != c.crossed || got.Z != c.z || got.Facet < 0 {
			t.Errorf("%v: %+v", c, got)
			continue
		}
		f := m.corners(int(got.Facet))
		if area := r3.Norm(r3.Cross(r3.Sub(f[1], f[0]), r3.Sub(f[2], f[0]))) / 2; area != c.area || f[0].Z != c.z {
			t.Errorf("%v: facet %v", c, f)
		}
	}
}

func TestSolidsWithAHollow(t *testing.T) {
	outer, hollow := brick(vec(0, 0, 0), vec(9, 9, 9)), brick(vec(2, 2, 2), vec(7, 7, 7)).inward()
	testHollow(t, Solids{outer.tree(), hollow.tree()})
	testHollow(t, Solids{hollow.tree(), outer.tree()})
}

func testHollow(t *testing.T, s Solids) {
	for _, c := range []struct {
		low, high float64
		want      bool
	}{{3, 6, false}, {2, 7, false}, {1, 1.5, true}, {1, 6, true}, {6, 8, true}, {-3, -1, false}} {
		if _, got := s.Blocked(4, 5, c.low, c.high); got != c.want {
			t.Errorf("%v to %v: %v", c.low, c.high, got)
		}
	}
	if !s.MayBlock(r3.Box{Min: vec(3, 3, 3), Max: vec(4, 4, 4)}) {
		t.Error("a box in the hollow is denied")
	}
	if s.MayBlock(r3.Box{Min: vec(3, 3, 9.1), Max: vec(4, 4, 10)}) {
		t.Error("a box above is not")
	}
}
