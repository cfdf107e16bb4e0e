package region

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// grid finds points near a place: about as many square cells as points.
type grid struct {
	lo     r2.Vec
	size   float64 // of a cell, mm
	nx, ny int
	// The points of cell c are of[start[c]:start[c+1]].
	start []int32
	of    []int
}

// newGrid gathers the points of the given numbers.
func newGrid(numbers []int, at func(int) r2.Vec) grid {
	if len(numbers) == 0 {
		return grid{}
	}
	lo, hi := at(numbers[0]), at(numbers[0])
	for _, k := range numbers {
		p := at(k)
		lo = r2.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = r2.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	w, h := hi.X-lo.X, hi.Y-lo.Y
	n := float64(len(numbers))
	// A long narrow set has no more than 2n cells either.
	g := grid{lo: lo, size: max(math.Sqrt(w*h/n), w/n, h/n)}
	if !(g.size > 0) {
		g.size = 1
	}
	g.nx, g.ny = int(w/g.size)+1, int(h/g.size)+1
	g.start = make([]int32, g.nx*g.ny+1)
	cell := func(k int) int {
		x, y := g.cell(at(k))
		return y*g.nx + x
	}
	for _, k := range numbers {
		g.start[cell(k)+1]++
	}
	for c := range g.nx * g.ny {
		g.start[c+1] += g.start[c]
	}
	g.of = make([]int, len(numbers))
	fill := append([]int32{}, g.start...)
	for _, k := range numbers {
		c := cell(k)
		g.of[fill[c]] = k
		fill[c]++
	}
	return g
}

// cell is the column and row of a place, those of the nearest cell outside.
func (g *grid) cell(p r2.Vec) (x, y int) {
	return int(min(max((p.X-g.lo.X)/g.size, 0), float64(g.nx-1))),
		int(min(max((p.Y-g.lo.Y)/g.size, 0), float64(g.ny-1)))
}

// any says whether f is true of some point in the cells that a box touches.
func (g *grid) any(lo, hi r2.Vec, f func(int) bool) bool {
	if len(g.of) == 0 {
		return false
	}
	x0, y0 := g.cell(lo)
	x1, y1 := g.cell(hi)
	for y := y0; y <= y1; y++ {
		row := y * g.nx
		for _, k := range g.of[g.start[row+x0]:g.start[row+x1+1]] {
			if f(k) {
				return true
			}
		}
	}
	return false
}
