package mesh

import (
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// One addition after the other is the judge, to the last bit.
func TestSumInOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 3))
	terms := make([]float64, 2*sumBlock+sumRun+1)
	for i := range terms {
		terms[i] = rng.NormFloat64()
	}
	for _, n := range []int{0, 1, sumRun, sumRun + 1, sumBlock - 1, sumBlock, sumBlock + 1, len(terms)} {
		x, y := 0.0, 0.0
		for _, a := range terms[:n] {
			x += a
			y += a * a
		}
		if gotX, gotY := sumInOrder(n, func(i int) (float64, float64) { return terms[i], terms[i] * terms[i] }); gotX != x || gotY != y {
			t.Errorf("%d terms: %v %v, want %v %v", n, gotX, gotY, x, y)
		}
	}
}

func TestOutline(t *testing.T) {
	v, f, _, _ := weld(soup(ball(r3.Vec{}, 5, 200)).XYZ, nil)
	if len(f) < 2*outlineRun {
		t.Fatalf("%d facets are no test", len(f))
	}
	m := &Mesh{V: v, T: f, Mate: pair(v, f, false).mate}
	facets := make([]int32, len(f))
	for i := range facets {
		facets[i] = int32(i)
	}
	want := noBox()
	for _, p := range v {
		want.Min, want.Max = lower(want.Min, p), upper(want.Max, p)
	}
	if box, open := outline(m.V, m.T, m.Mate, facets); box != want || open {
		t.Errorf("box %v, open %v, want %v, closed", box, open, want)
	}
	m.Mate[3*outlineRun+1] = -1
	if _, open := outline(m.V, m.T, m.Mate, facets); !open {
		t.Error("an open edge was not seen")
	}
}
