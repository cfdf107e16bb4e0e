package slot

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// TestCrowdedWalls: two thousand long bars within the need of each other are
// not all looked at, in bounded time, and the layer is named; a layer with few
// beside it is searched as ever.
func TestCrowdedWalls(t *testing.T) {
	hairs := func(n int) []region {
		var out []region
		for i := range n {
			y := 0.0005 * float64(2*i)
			out = append(out, region{0, [][]r2.Vec{shape.Rect(0, y, 40, y+0.0005)}})
		}
		return out
	}
	st := layerOf(hairs(2000)...)
	few := layerOf(region{0, [][]r2.Vec{shape.Rect(0, 0, 40, 2)}}, region{0, [][]r2.Vec{shape.Rect(0, 2.3, 40, 4)}})
	l := few.Layers[0]
	l.Number, l.Z = 2, 100
	st.Layers = append(st.Layers, l)
	st.Plan.Layers = 2
	slots, crowded := Find(st.Plan, indexes(st), needs(4))
	if len(crowded) != 1 || crowded[0] != 1 {
		t.Errorf("crowded layers %v, want 1", crowded)
	}
	n := 0
	for _, s := range slots {
		if s.Layer == 2 {
			n++
		}
	}
	if n != 1 {
		t.Errorf("%d slots in the second layer, want 1", n)
	}
	// Ten are no crowd.
	st = layerOf(hairs(10)...)
	if _, crowded := Find(st.Plan, indexes(st), needs(4)); len(crowded) != 0 {
		t.Errorf("crowded layers %v, want none", crowded)
	}
}
