package near

import (
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/mesh/shape"
)

// rectangles draws rectangles on a grid, many of them equally near to
// each other.
func rectangles(t *rapid.T) []drawn {
	var all []drawn
	for range rapid.IntRange(2, 9).Draw(t, "rectangles") {
		at := func(name string) float64 { return float64(rapid.IntRange(0, 9).Draw(t, name)) }
		x, y := at("x"), at("y")
		part := int32(rapid.IntRange(0, 3).Draw(t, "part"))
		all = append(all, drawn{part, [][]r2.Vec{shape.Rect(x, y, x+1+at("w")/3, y+1+at("h")/3)}})
	}
	slices.SortStableFunc(all, func(a, b drawn) int { return int(a.part - b.part) })
	return all
}

// TestClosest: with whatever hint, Closest finds what walking all pairs within
// the limit does, the first of equally near ones.
func TestClosest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		draw := rapid.SampledFrom([]func(*rapid.T) []drawn{scene, rectangles}).Draw(t, "kind")
		scenes := [2]*Index{New(layerOf(draw(t))), New(layerOf(draw(t)))}
		limit := rapid.SampledFrom([]float64{0.3, 2, 20}).Draw(t, "limit")
		for a := range int32(3) {
			for b := a + 1; b < 4; b++ {
				var hint Hint
				for k := range 4 {
					ix := scenes[k/2] // each layer twice, so that hints fit and do not
					d, i, j := least(ix, a, ix, b, limit)
					gi, gj, ok := ix.Closest(a, b, limit, &hint)
					if ok != (d <= limit) || ok && (gi != i || gj != j) {
						t.Fatalf("parts %d and %d: segments %d and %d, %v; want %d and %d, %v apart", a, b, gi, gj, ok, i, j, d)
					}
				}
			}
		}
	})
}
