package slot

import (
	"fmt"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh"
	"playgauge/mesh/shape"
	"playgauge/slice"
)

// tall is n layers of one outline.
func tall(outer []r2.Vec, n int) *slice.Stack {
	one := layerOf(region{0, [][]r2.Vec{outer}})
	return stacked(n, func(int) *slice.Stack { return one })
}

// BenchmarkFind searches models without and with slots; the walls of the comb
// and the spiral are divided at steps.
func BenchmarkFind(b *testing.B) {
	for _, m := range []struct {
		name  string
		stack func() *slice.Stack
	}{
		{"pins-1000000", func() *slice.Stack {
			return stackOfSoup(b, shape.PinGrid(10, 10, 1_000_000, false), mesh.Placement{})
		}},
		{"comb-200", func() *slice.Stack { return tall(shape.Divide(comb(200, 1, 0.3, 10), 5), 50) }},
		{"comb-2000", func() *slice.Stack { return tall(shape.Divide(comb(2000, 1, 0.3, 10), 5), 50) }},
		{"spiral-60", func() *slice.Stack { return tall(strip(spiral(3, 1.5, 60), 1.2), 50) }},
		{"spiral-60-fine", func() *slice.Stack { return tall(shape.Divide(strip(spiral(3, 1.5, 60), 1.2), 0.2), 5) }},
	} {
		b.Run(fmt.Sprintf("model=%s", m.name), func(b *testing.B) {
			st := m.stack()
			ix := indexes(st)
			points, slots := 0, 0
			for k := range st.Layers {
				points += len(st.Layers[k].Pts)
			}
			for b.Loop() {
				slots = len(findOn(st, ix, needs(0.4)))
			}
			b.ReportMetric(float64(points), "points")
			b.ReportMetric(float64(slots), "slots")
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(points), "ns/point")
		})
	}
}
