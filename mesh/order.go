package mesh

import "playgauge/mesh/parallel"

// A file whose triangles are strewn about makes every walk over the mesh wait
// for memory. It is put in an order in which neighbours in space are
// neighbours in memory, too; Mesh.Order keeps the file's.
const (
	// orderFrom is the number of triangles below which a mesh fits a cache
	// and its order does not matter.
	orderFrom = 50_000
	// orderBits is the number of bits of a cell's place along an axis: a
	// hundredth of the model's longest side.
	orderBits = 7
	// orderRun is the number of triangles that one processor looks at
	// together.
	orderRun = 1 << 14
	// jump is how far apart along an axis, in cells, two triangles in a row
	// lie that belong to different places.
	jump = 8
)

// spaceOrder lists the triangles of a soup along a Morton curve through their
// first corners, those of one cell as in the file. It is nil for a file that
// is in good order: fewer triangles than from, or fewer than one in two far
// from the one before it: shells written by turns are no harm.
func spaceOrder(xyz []float32, from int) []int32 {
	n := len(xyz) / 9
	if n < max(from, 1) {
		return nil
	}
	g := newOrderGrid(xyz)
	if !g.strewn(xyz) {
		return nil
	}
	// A radix sort of two rounds.
	const half = (3*orderBits + 1) / 2
	codes := make([]uint64, n) // the cell, then the triangle
	parallel.Each(parallel.Runs(n, orderRun), func(r int) {
		for i := r * orderRun; i < min((r+1)*orderRun, n); i++ {
			codes[i] = uint64(g.code(xyz[9*i:]))<<32 | uint64(i)
		}
	})
	var count [2][1<<half + 1]int32
	for _, c := range codes {
		count[0][c>>32&(1<<half-1)+1]++
		count[1][c>>(32+half)+1]++
	}
	for r := range count {
		for i := 1; i < len(count[r]); i++ {
			count[r][i] += count[r][i-1]
		}
	}
	other := make([]uint64, n)
	for _, c := range codes {
		at := &count[0][c>>32&(1<<half-1)]
		other[*at] = c
		*at++
	}
	order := make([]int32, n)
	for _, c := range other {
		at := &count[1][c>>(32+half)]
		order[*at] = int32(uint32(c))
		*at++
	}
	return order
}

// orderGrid divides the space of a soup's first corners into cubes.
type orderGrid struct {
	low   [3]float32
	scale float32 // cells per unit
}

func newOrderGrid(xyz []float32) orderGrid {
	lo, hi := span(xyz, 9)
	return orderGrid{low: lo, scale: (1 << orderBits) / max(hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2])}
}

// cell is the place of a corner along an axis. A soup without extent, or one
// that leaves float32's range, has one cell.
func (g *orderGrid) cell(x float32, axis int) uint32 {
	f := (x - g.low[axis]) * g.scale
	if !(f > 0) {
		return 0
	}
	return uint32(min(f, 1<<orderBits-1))
}

// code interleaves the bits of a corner's places.
func (g *orderGrid) code(corner []float32) uint32 {
	return spread3(g.cell(corner[0], 0)) | spread3(g.cell(corner[1], 1))<<1 | spread3(g.cell(corner[2], 2))<<2
}

// spread3 puts two zeros between the low 10 bits of v.
func spread3(v uint32) uint32 {
	v = (v | v<<16) & 0x030000ff
	v = (v | v<<8) & 0x0300f00f
	v = (v | v<<4) & 0x030c30c3
	return (v | v<<2) & 0x09249249
}

// strewn says whether every other triangle or more lies far from the one
// before. A sample tells.
func (g *orderGrid) strewn(xyz []float32) bool {
	const step = 16
	looked, jumps := 0, 0
	for i := 9 * step; i+2 < len(xyz); i += 9 * step {
		looked++
		for k := range 3 {
			if a, b := g.cell(xyz[i-9+k], k), g.cell(xyz[i+k], k); a > b+jump || b > a+jump {
				jumps++
				break
			}
		}
	}
	return 2*jumps >= looked
}
