package slot

import (
	"cmp"
	"math"
	"math/bits"
	"slices"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice"
)

// tree makes the walls of one layer searchable: contours are cut into blocks
// of neighbouring segments, and a pyramid of boxes stands over all blocks.
// Every box knows the directions of its segments, so that two boxes without
// walls that could face each other are told apart at once.
type tree struct {
	layer *slice.Layer
	// arc is the length in mm from the start of its contour to each point;
	// round is the whole length of each contour.
	arc, round []float64
	blocks     []block
	levels     [][]node // level 0 stands over the blocks, one each
	// scratch
	order   []int32 // contours by place
	byPlace []int32
	code    []uint32
	spare   []block
	spared  []node
}

// blockSegments is the number of segments under one box of the lowest level;
// fewer where the box would become longer and wider than blockSize, in mm, as
// big boxes overlap. fan is the number of boxes under one of any other level.
const (
	blockSegments = 8
	blockSize     = 5.0
	fan           = 4
)

// block is a run of segments of one contour, by the points they begin at.
type block struct{ first, end int32 }

// node is a box and what lies in it.
type node struct {
	x0, y0, x1, y1 float64
	// dirs has a bit for each sector of directions in which a segment runs;
	// faces has one for each sector in which a wall facing it may run.
	dirs, faces uint32
	// part and contour are those of all its segments, or mixed; of one
	// contour, from and to bound their stretch of it in mm.
	part, contour int32
	from, to      float64
}

const mixed = -1

// lazyTree is a tree that is built when first asked for.
type lazyTree struct {
	once sync.Once
	tree tree
}

func (f *finder) tree(k int) *tree {
	l := &f.trees[k]
	l.once.Do(func() { l.tree.build(f.ix.At(k + 1).Layer) })
	return &l.tree
}

// build makes the tree of a layer, in the memory of the last one.
func (t *tree) build(l *slice.Layer) {
	t.layer = l
	t.arc = slices.Grow(t.arc[:0], len(l.Pts))[:len(l.Pts)]
	t.round = slices.Grow(t.round[:0], len(l.Contours))[:len(l.Contours)]
	t.blocks = t.blocks[:0]
	if len(t.levels) == 0 {
		t.levels = make([][]node, 1)
	}
	t.levels[0] = t.levels[0][:0]
	t.sortContours()
	for _, c := range t.order {
		t.addContour(c)
	}
	k := 0
	for ; len(t.levels[k]) > 1; k++ {
		if len(t.levels) == k+1 {
			t.levels = append(t.levels, nil)
		}
		up := t.levels[k+1][:0]
		for below := range slices.Chunk(t.levels[k], fan) {
			n := below[0]
			for _, m := range below[1:] {
				n.join(&m)
			}
			up = append(up, n)
		}
		t.levels[k+1] = up
	}
	t.levels = t.levels[:k+1]
}

func (n *node) join(m *node) {
	n.grow(m.x0, m.y0, m.x1, m.y1)
	n.dirs |= m.dirs
	n.faces |= m.faces
	if n.part != m.part {
		n.part = mixed
	}
	if n.contour != m.contour {
		n.contour = mixed
	}
	n.from, n.to = min(n.from, m.from), max(n.to, m.to)
}

// grow makes the box hold another. Plain comparisons are faster than min and
// max, which care for NaN and -0.
func (n *node) grow(x0, y0, x1, y1 float64) {
	if x0 < n.x0 {
		n.x0 = x0
	}
	if y0 < n.y0 {
		n.y0 = y0
	}
	if x1 > n.x1 {
		n.x1 = x1
	}
	if y1 > n.y1 {
		n.y1 = y1
	}
}

// addContour cuts a contour into blocks.
func (t *tree) addContour(c int32) {
	ct := &t.layer.Contours[c]
	pts := t.layer.Pts[ct.Start:ct.End]
	first := len(t.blocks)
	arc := 0.0
	n := node{part: ct.Part, contour: c}
	n.begin(pts[0], 0)
	begun := 0 // the first segment of the block
	for k, p := range pts {
		q := pts[0]
		if k+1 < len(pts) {
			q = pts[k+1]
		}
		// p is in the box already.
		x0, y0, x1, y1 := n.x0, n.y0, n.x1, n.y1
		if q.X < x0 {
			x0 = q.X
		}
		if q.X > x1 {
			x1 = q.X
		}
		if q.Y < y0 {
			y0 = q.Y
		}
		if q.Y > y1 {
			y1 = q.Y
		}
		if k > begun && (k-begun == blockSegments || x1-x0+y1-y0 > blockSize) {
			t.addBlock(ct.Start+int32(begun), ct.Start+int32(k), &n, arc)
			begun = k
			n.begin(p, arc)
			x0, y0, x1, y1 = min(p.X, q.X), min(p.Y, q.Y), max(p.X, q.X), max(p.Y, q.Y)
		}
		n.x0, n.y0, n.x1, n.y1 = x0, y0, x1, y1
		d := r2.Sub(q, p)
		n.dirs |= 1 << sector(d)
		t.arc[ct.Start+int32(k)] = arc
		arc += length(d)
	}
	t.addBlock(ct.Start+int32(begun), ct.End, &n, arc)
	t.round[c] = arc
	if len(t.blocks)-first > windingBlocks {
		t.sortBlocks(first)
	}
}

// begin empties the box of a run of segments but for its first point, arc along
// the contour.
func (n *node) begin(p r2.Vec, arc float64) {
	n.x0, n.y0, n.x1, n.y1 = p.X, p.Y, p.X, p.Y
	n.dirs, n.from = 0, arc
}

func (t *tree) addBlock(first, end int32, n *node, arc float64) {
	n.to = arc
	n.faces = facingSectors(n.dirs)
	t.blocks = append(t.blocks, block{first, end})
	t.levels[0] = append(t.levels[0], *n)
}

// windingBlocks is the number of blocks from which those of a contour are
// sorted by place: the boxes over long stretches of a spiral would all
// overlap.
const windingBlocks = 64

// sortBlocks sorts the blocks from first on by place.
func (t *tree) sortBlocks(first int) {
	nodes := t.levels[0][first:]
	blocks := t.blocks[first:]
	t.sortByPlace(len(nodes), func(i int) (x0, y0, x1, y1 float64) {
		n := &nodes[i]
		return n.x0, n.y0, n.x1, n.y1
	})
	t.spare = append(t.spare[:0], blocks...)
	t.spared = append(t.spared[:0], nodes...)
	for i, k := range t.byPlace {
		blocks[i], nodes[i] = t.spare[k], t.spared[k]
	}
}

// sectors is the number of sectors of directions. They are even in the
// diamond angle y/(|x|+|y|), of which a quarter turn has 1, not in degrees.
const sectors = 32

// sector is the sector of a direction; 0 for none.
func sector(d r2.Vec) uint {
	sum := math.Abs(d.X) + math.Abs(d.Y)
	if !(sum > 0) || math.IsInf(sum, 1) {
		return 0
	}
	a := d.Y / sum
	switch {
	case d.X < 0:
		a = 2 - a
	case d.Y < 0:
		a += 4
	}
	return uint(a*(sectors/4)) % sectors
}

// facingSectors is the sectors in which a wall may run that faces one of the
// given: walls whose normals are both within MaxTilt of a chord run against
// each other to within twice that. 60 degrees are at most 0.732 of diamond
// angle (30 degrees either side of an axis, 2*tan(30)/(1+tan(30))), 5.9
// sectors, so six neighbours on either side would do; seven are taken.
func facingSectors(dirs uint32) uint32 {
	m := bits.RotateLeft32(dirs, sectors/2)
	for _, k := range [...]int{1, 2, 4} {
		m |= bits.RotateLeft32(m, k) | bits.RotateLeft32(m, -k)
	}
	return m
}

// sortContours orders contours by place, so that neighbours in the order are
// neighbours in the plane.
func (t *tree) sortContours() {
	cs := t.layer.Contours
	t.sortByPlace(len(cs), func(i int) (x0, y0, x1, y1 float64) {
		b := &cs[i].Box
		return b.Min.X, b.Min.Y, b.Max.X, b.Max.Y
	})
	t.order = append(t.order[:0], t.byPlace...)
}

// sortByPlace orders n boxes along a Morton curve through their middles and
// leaves their numbers in t.byPlace.
func (t *tree) sortByPlace(n int, box func(i int) (x0, y0, x1, y1 float64)) {
	t.byPlace, t.code = t.byPlace[:0], t.code[:0]
	for i := range n {
		t.byPlace = append(t.byPlace, int32(i))
	}
	if n <= fan {
		return
	}
	inf := math.Inf(1)
	lo, hi := r2.Vec{X: inf, Y: inf}, r2.Vec{X: -inf, Y: -inf}
	for i := range n {
		x0, y0, x1, y1 := box(i)
		lo = r2.Vec{X: min(lo.X, x0), Y: min(lo.Y, y0)}
		hi = r2.Vec{X: max(hi.X, x1), Y: max(hi.Y, y1)}
	}
	for i := range n {
		x0, y0, x1, y1 := box(i)
		t.code = append(t.code, spread(share((x0+x1)/2, lo.X, hi.X))|spread(share((y0+y1)/2, lo.Y, hi.Y))<<1)
	}
	slices.SortFunc(t.byPlace, func(a, b int32) int {
		return cmp.Or(cmp.Compare(t.code[a], t.code[b]), cmp.Compare(a, b))
	})
}

// share maps v in [lo, hi] to 16 bits.
func share(v, lo, hi float64) uint32 {
	if !(hi > lo) {
		return 0
	}
	return uint32(min(max((v-lo)/(hi-lo), 0), 1) * 65535)
}

// spread puts a zero between the low 16 bits of v.
func spread(v uint32) uint32 {
	v = (v | v<<8) & 0x00ff00ff
	v = (v | v<<4) & 0x0f0f0f0f
	v = (v | v<<2) & 0x33333333
	return (v | v<<1) & 0x55555555
}

// segment is the ends of the segment of contour c that begins at point i.
func (t *tree) segment(c, i int32) (p, q r2.Vec) {
	return t.layer.Pts[i], t.layer.Pts[t.next(c, i)]
}

func (t *tree) next(c, i int32) int32 {
	if i+1 == t.layer.Contours[c].End {
		return t.layer.Contours[c].Start
	}
	return i + 1
}

// along is the shorter way along contour c between two places on it, given
// in mm from its start.
func (t *tree) along(c int32, a, b float64) float64 {
	d := math.Abs(a - b)
	return min(d, t.round[c]-d)
}
