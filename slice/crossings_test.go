package slice

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
	"playgauge/mesh/shape"
)

// A box's four walls are two triangles each, of which every cut goes through
// both: 8 crossings a layer. Its contours have those 8 points less the 4 in
// the middle of walls, or not: Cut keeps what it finds.
func TestCrossings(t *testing.T) {
	m, err := mesh.Build(shape.Box(r3.Vec{}, r3.Vec{X: 4, Y: 5, Z: 3}).Soup(), mesh.Placement{})
	if err != nil {
		t.Fatal(err)
	}
	plan, err := NewPlan(0.2, 0.2, m.Box.Max.Z)
	if err != nil {
		t.Fatal(err)
	}
	if got := Crossings(m, plan); plan.Layers != 15 || got != 8*15 {
		t.Errorf("%d crossings in %d layers, want 8 in each of 15", got, plan.Layers)
	}
	points := 0
	for _, l := range Cut(m, plan).Layers {
		points += len(l.Pts)
	}
	if got := Crossings(m, plan); points > got {
		t.Errorf("%d points, more than the %d crossings", points, got)
	}
}
