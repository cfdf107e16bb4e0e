package slice

import (
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
	"playgauge/mesh/shape"
)

// A stack holds a segment for each facet and cut that it crosses, as long as
// no contour is left out or united with another.
func TestSegmentsAreCounted(t *testing.T) {
	for name, s := range map[string]*mesh.Soup{
		"box":  shape.Box(r3.Vec{}, r3.Vec{X: 3, Y: 4, Z: 5}).Soup(),
		"pins": shape.PinGrid(2, 2, 4000, false),
	} {
		m, err := mesh.Build(s, mesh.Placement{TurnDeg: [3]float64{11, 23, 0}})
		if err != nil {
			t.Fatal(err)
		}
		p, err := NewPlan(0.3, 0.2, m.Box.Max.Z)
		if err != nil {
			t.Fatal(err)
		}
		crossed := 0
		for n := 1; n <= p.Layers; n++ {
			z := p.Cut(n) - CutNoise
			for _, f := range m.T {
				above := 0
				for _, v := range f {
					if m.V[v].Z >= z {
						above++
					}
				}
				if above == 1 || above == 2 {
					crossed++
				}
			}
		}
		if got := Crossings(m, p); got != crossed || got == 0 {
			t.Errorf("%s: %d segments, want %d", name, got, crossed)
		}
		if err := p.Check(m); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Facets of 19 metres, each of which crosses nearly every layer there may be.
func TestTooManySegmentsAreRefused(t *testing.T) {
	var s mesh.Soup
	for i := range 220 {
		x := float32(i)
		s.XYZ = append(s.XYZ, x, 0, 0, x+0.5, 0, 19_000, x, 0.5, 0)
	}
	m, err := mesh.Build(&s, mesh.Placement{})
	if err != nil {
		t.Fatal(err)
	}
	p, err := NewPlan(0.2, 0.2, m.Box.Max.Z)
	if err != nil {
		t.Fatal(err)
	}
	if err := p.Check(m); err == nil || !strings.Contains(err.Error(), "its 220 facets in 95000 layers come to 20 million lines") {
		t.Errorf("%v", err)
	}
}
