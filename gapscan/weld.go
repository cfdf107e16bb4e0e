package gapscan

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/parallel"
)

// weldStep is the length in mm of the pieces of contour a weld is summed
// over: half a line width, so that a piece has one margin.
const weldStep = 0.2

// weldPlace is a piece of a weld: a stretch of wall of one layer, or a patch
// under a roof.
type weldPlace struct {
	at   r2.Vec
	area float64 // mm2, weighed: what hardly sticks hardly shapes the weld
}

// weldLayer is a weld within one layer.
type weldLayer struct {
	mm2    float64 // weighed
	places []weldPlace
}

// add adds a piece of wall of a layer of some height: half, since both sides
// are walls.
func (l *weldLayer) add(w *wallPiece, height float64) {
	if g := weigh(w.margin); g > 0 {
		mm2 := g * w.Length * height / 2
		l.mm2 += mm2
		l.places = append(l.places, weldPlace{w.Mid, mm2})
	}
}

// begin lends memory for the places, until done.
func (l *weldLayer) begin(memory []weldPlace) { l.places = memory[:0] }

// done gives the memory back, and keeps no more than the places need.
func (l *weldLayer) done() (memory []weldPlace) {
	memory, l.places = l.places, append([]weldPlace(nil), l.places...)
	return memory
}

// weigh is how much of a piece below the margin counts: nothing just below 1,
// all where it touches.
func weigh(margin float64) float64 {
	if margin >= closeFrom*metShare {
		return 0
	}
	return (1 - margin) * (1 - margin)
}

// jointWall is the weld of one joint in one layer.
type jointWall struct {
	layer   int
	repeats bool // the entry before it, of the layer below
	weldLayer
}

// weldDepth is how many layers down a bead can still have a margin below one.
func (sc *scanner) weldDepth(margin float64) int {
	need := max(sc.side, sc.roof)
	h := sc.stack.Plan.Rest
	d := 1
	for (stagger{dz: float64(d) * h, rr: h, side: sc.side}).lowered(sc.sagMost).margin(0, need) < margin && d < sc.stack.Plan.Layers {
		d++
	}
	return d
}

// weldSums adds up the weld of every joint: its walls and its roofs.
func (sc *scanner) weldSums(layers []layerScan) []weldSum {
	walls := sc.walls.byJoint()
	roofs := make([][]jointWall, len(sc.pairs))
	for i, l := range layers {
		for k := range l.joints {
			if f := &l.joints[k]; f.roofWeld.mm2 > 0 {
				roofs[f.joint] = append(roofs[f.joint], jointWall{layer: i + 1, weldLayer: f.roofWeld})
			}
		}
	}
	out := make([]weldSum, len(sc.pairs))
	parallel.EachWorker(len(out), func() func(int) {
		var f former
		return func(j int) { out[j] = sc.weldSum(&f, walls[j], roofs[j]) }
	})
	return out
}

// weldSum adds up lists of layers. f is only lent its memory.
func (sc *scanner) weldSum(f *former, lists ...[]jointWall) weldSum {
	sum := weldSum{share: map[int]float64{}}
	f.reset()
	for _, list := range lists {
		for i := 0; i < len(list); {
			// Layers that repeat one another within a cell are one.
			var h heights
			first := &list[i]
			for ; i < len(list) && (&list[i] == first || list[i].repeats && cellOf(sc.stack.Plan.Cut(list[i].layer)) == h.cell); i++ {
				h.add(sc.stack.Plan.Cut(list[i].layer))
				sum.mm2 += list[i].mm2
				sum.share[list[i].layer] += list[i].mm2
			}
			for _, p := range first.places {
				f.add(p, h)
			}
		}
	}
	sum.weldShape = f.shape()
	return sum
}

// weldSum is the weld of one joint.
type weldSum struct {
	mm2   float64
	share map[int]float64 // by layer
	weldShape
}

// weldShape says what a weld looks like: its largest place, and how many
// there are.
type weldShape struct {
	form   string // "spot", "line" or "seam"; "" for none
	length float64
	round  bool // a seam all round
	places int
}

// Forms of a weld.
const (
	formSpot = "spot"
	formLine = "line"
	formSeam = "seam"
)

// Extents in mm up to which a weld is a spot, and across up to which one that
// is half as long again and flat is a line. Judgement: a level pin touches its
// bore along a band of 4 mm, and that cracks on the first turn.
const (
	spotMost = 3.0
	lineMost = 4.0
)

// former gathers places in cells and tells their form.
type former struct {
	// cells holds the cells in the order in which they were met, at finds them
	// by where they lie.
	cells []cell
	at    map[cellKey]int32
	// last is the cell added to last: places come along a wall, and most lie
	// in the cell of the one before.
	last int32
	// clustered lists the cells of each cluster, one after the other.
	clustered []int32
}

// reset forgets all places. The memory is kept, but for that of a map so large
// that to clear it would cost more than the next joint is likely to.
func (f *former) reset() {
	const most = 4096
	if f.at == nil || len(f.cells) > most {
		f.at = map[cellKey]int32{}
	}
	clear(f.at)
	f.cells, f.last = f.cells[:0], -1
}

// cellKey is where a cell lies, in one number so that it is quickly looked up;
// the keys of its neighbours are sums. 21 bits for x and y and 22 for z are
// enough for the largest models that are read (mesh.MaxCoordinate).
type cellKey uint64

const (
	stepX cellKey = 1 << 43
	stepY cellKey = 1 << 22
	stepZ cellKey = 1
)

func keyOf(x, y, z int) cellKey {
	const middle = 1 << 20
	return cellKey(x+middle)*stepX + cellKey(y+middle)*stepY + cellKey(z+middle)*stepZ
}

// cell is a cube of places with their moments.
type cell struct {
	key                    cellKey
	w                      float64
	x, y, z                float64
	xx, yy, zz, xy, xz, yz float64
	cluster                int32
}

func (c *cell) merge(o *cell) {
	c.w += o.w
	c.x, c.y, c.z = c.x+o.x, c.y+o.y, c.z+o.z
	c.xx, c.yy, c.zz = c.xx+o.xx, c.yy+o.yy, c.zz+o.zz
	c.xy, c.xz, c.yz = c.xy+o.xy, c.xz+o.xz, c.yz+o.yz
}

// weldCell is the size of a cell in mm: places in neighbouring cells belong
// together.
const weldCell = 1.5

func cellOf(v float64) int { return int(math.Floor(v / weldCell)) }

// heights are the layers of one cell in which the same place lies.
type heights struct {
	cell     int
	n, z, zz float64
}

func (h *heights) add(z float64) {
	h.cell = cellOf(z)
	h.n, h.z, h.zz = h.n+1, h.z+z, h.zz+z*z
}

func (f *former) add(p weldPlace, h heights) {
	k := keyOf(cellOf(p.at.X), cellOf(p.at.Y), h.cell)
	if f.last < 0 || f.cells[f.last].key != k {
		i, ok := f.at[k]
		if !ok {
			i = int32(len(f.cells))
			f.cells = append(f.cells, cell{key: k})
			f.at[k] = i
		}
		f.last = i
	}
	a, x, y := p.area, p.at.X, p.at.Y
	w := a * h.n
	f.cells[f.last].merge(&cell{w: w, x: w * x, y: w * y, z: a * h.z, xx: w * x * x, yy: w * y * y, zz: a * h.zz, xy: w * x * y, xz: a * x * h.z, yz: a * y * h.z})
}
