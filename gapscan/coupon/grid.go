package coupon

import "math"

// grid is the layer grid: the heights at which a layer ends, in mm.
type grid struct{ first, rest float64 }

// onGrid is how far above a layer's end a height may lie, in layers, and
// still count as on it: rounding only.
const onGrid = 1e-6

// up is the end of the lowest layer that reaches z, rounded to 1e-6 mm as
// layer plans are.
func (g grid) up(z float64) float64 {
	n := max(0, math.Ceil((z-g.first)/g.rest-onGrid))
	return g.at(int(n) + 1)
}

// at is the end of layer n.
func (g grid) at(n int) float64 {
	return math.Round((g.first+float64(float64(n-1)*g.rest))*1e6) / 1e6
}

// layer is the number of the layer that ends at z, which is on the grid.
func (g grid) layer(z float64) int { return int(math.Round((z-g.first)/g.rest)) + 1 }

// above is the end of the layer n layers above the one that ends at z.
func (g grid) above(z float64, n int) float64 { return g.at(g.layer(z) + n) }
