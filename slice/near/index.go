// Package near finds what lies nearest in the layers of a stack: distances
// between contours, points in islands, lines through material. An Index is
// built once a layer and then only read.
package near

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice"
)

// Index makes one layer searchable. Contours are cut into blocks of
// neighbouring segments; a pyramid of boxes stands over the blocks of each
// part, another over the parts.
type Index struct {
	Layer *slice.Layer
	// parts present in the layer, ascending by part.
	parts  []partIndex
	ids    []int32 // of parts
	over   pyramid // over byPlace
	places []int32 // positions in parts, in the order of the pyramid
}

// blockSegments is the number of segments under one box: enough that boxes
// are few, few enough that a block is small beside a gap.
const blockSegments = 8

type partIndex struct {
	part     int32
	contours []slice.Contour
	from, to int32 // the range of its points
	blocks   []block
	over     pyramid
	box      box
}

// block is a run of up to blockSegments segments of one contour.
type block struct {
	first, n int32 // first point, number of segments
	wrap     int32 // the contour's first point, where its end is reached
	end      int32 // one past the contour's last point
}

// box is an axis-aligned box, mm.
type box struct{ x0, y0, x1, y1 float64 }

func (b *box) grow(o box) {
	if o.x0 < b.x0 {
		b.x0 = o.x0
	}
	if o.x1 > b.x1 {
		b.x1 = o.x1
	}
	if o.y0 < b.y0 {
		b.y0 = o.y0
	}
	if o.y1 > b.y1 {
		b.y1 = o.y1
	}
}

// apart says whether two boxes have no point in common.
func (b *box) apart(o *box) bool {
	return b.x0 > o.x1 || b.x1 < o.x0 || b.y0 > o.y1 || b.y1 < o.y0
}

// wider is the box with a margin around it.
func (b box) wider(by float64) box { return box{b.x0 - by, b.y0 - by, b.x1 + by, b.y1 + by} }

// take grows the box to hold p.
func (b *box) take(p r2.Vec) {
	if p.X < b.x0 {
		b.x0 = p.X
	}
	if p.X > b.x1 {
		b.x1 = p.X
	}
	if p.Y < b.y0 {
		b.y0 = p.Y
	}
	if p.Y > b.y1 {
		b.y1 = p.Y
	}
}

var nowhere = box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}

// dist2 is the squared distance between two boxes, 0 where they meet.
func (b *box) dist2(o *box) float64 {
	dx, dy := apart(b.x0, b.x1, o.x0, o.x1), apart(b.y0, b.y1, o.y0, o.y1)
	return float64(dx*dx) + float64(dy*dy)
}

// toPoint2 is the squared distance of a box from a point, 0 inside.
func (b *box) toPoint2(p r2.Vec) float64 {
	dx, dy := outside(b.x0, b.x1, p.X), outside(b.y0, b.y1, p.Y)
	return float64(dx*dx) + float64(dy*dy)
}

// outside is the distance of a place from a span.
func outside(a0, a1, v float64) float64 {
	if v < a0 {
		return a0 - v
	}
	if v > a1 {
		return v - a1
	}
	return 0
}

// apart is the distance of two spans. It is the inmost loop of every search,
// and plain comparisons are faster than max, which cares for NaN and -0.
func apart(a0, a1, b0, b1 float64) float64 {
	if d := a0 - b1; d > 0 {
		return d
	}
	if d := b0 - a1; d > 0 {
		return d
	}
	return 0
}

func pointBox(p r2.Vec) box { return box{p.X, p.Y, p.X, p.Y} }

func segBox(a, b r2.Vec) box {
	s := box{a.X, a.Y, b.X, b.Y}
	if b.X < a.X {
		s.x0, s.x1 = b.X, a.X
	}
	if b.Y < a.Y {
		s.y0, s.y1 = b.Y, a.Y
	}
	return s
}

func boxOf(b r2.Box) box { return box{b.Min.X, b.Min.Y, b.Max.X, b.Max.Y} }

// pyramid stacks boxes in fours: level 0 holds the boxes themselves, each box
// of the next level bounds four neighbours.
type pyramid [][]box

const fan = 4

func build(leaves []box) pyramid {
	p := pyramid{leaves}
	for l := leaves; len(l) > 1; l = p[len(p)-1] {
		up := make([]box, (len(l)+fan-1)/fan)
		for i := range up {
			b := nowhere
			for _, c := range l[i*fan : min((i+1)*fan, len(l))] {
				b.grow(c)
			}
			up[i] = b
		}
		p = append(p, up)
	}
	return p
}

// New indexes a layer. The layer must not change afterwards.
func New(l *slice.Layer) *Index {
	ix := &Index{Layer: l}
	for i := 0; i < len(l.Contours); {
		j := i
		for j < len(l.Contours) && l.Contours[j].Part == l.Contours[i].Part {
			j++
		}
		ix.parts = append(ix.parts, newPart(l, i, j))
		ix.ids = append(ix.ids, l.Contours[i].Part)
		i = j
	}
	boxes := make([]box, len(ix.parts))
	for i := range ix.parts {
		boxes[i] = ix.parts[i].box
	}
	ix.places = byPlace(boxes)
	sorted := make([]box, len(boxes))
	for i, k := range ix.places {
		sorted[i] = boxes[k]
	}
	ix.over = build(sorted)
	return ix
}

func newPart(l *slice.Layer, from, to int) partIndex {
	p := partIndex{part: l.Contours[from].Part, box: nowhere}
	p.contours = l.Contours[from:to]
	p.from, p.to = p.contours[0].Start, p.contours[to-from-1].End
	order := make([]int32, to-from)
	for i := range order {
		order[i] = int32(i)
	}
	if len(order) > fan {
		boxes := make([]box, to-from)
		for i := range boxes {
			boxes[i] = boxOf(l.Contours[from+i].Box)
		}
		order = byPlace(boxes)
	}
	var n int
	for _, c := range l.Contours[from:to] {
		n += (int(c.End-c.Start) + blockSegments - 1) / blockSegments
	}
	p.blocks = make([]block, 0, n)
	leaves := make([]box, 0, n)
	for _, k := range order {
		c := l.Contours[from+int(k)]
		for s := c.Start; s < c.End; s += blockSegments {
			b := block{first: s, n: min(blockSegments, c.End-s), wrap: c.Start, end: c.End}
			bx := pointBox(l.Pts[b.next(s+b.n-1)])
			for _, q := range l.Pts[s : s+b.n] {
				bx.take(q)
			}
			p.blocks = append(p.blocks, b)
			leaves = append(leaves, bx)
			p.box.grow(bx)
		}
	}
	p.over = build(leaves)
	return p
}

// next is the point after point i of the block's contour.
func (b *block) next(i int32) int32 {
	if i+1 == b.end {
		return b.wrap
	}
	return i + 1
}

// byPlace orders boxes along a Morton curve through their middles, so that
// neighbours in the order are neighbours in the plane; ties by index.
func byPlace(boxes []box) []int32 {
	all := nowhere
	for _, b := range boxes {
		all.grow(b)
	}
	order := make([]int32, len(boxes))
	code := make([]uint64, len(boxes))
	for i, b := range boxes {
		order[i] = int32(i)
		code[i] = spread(share((b.x0+b.x1)/2, all.x0, all.x1)) | spread(share((b.y0+b.y1)/2, all.y0, all.y1))<<1
	}
	slices.SortFunc(order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(code[a], code[b]), cmp.Compare(a, b))
	})
	return order
}

// share maps v in [lo, hi] to 16 bits.
func share(v, lo, hi float64) uint64 {
	if hi <= lo {
		return 0
	}
	return uint64((v - lo) / (hi - lo) * 65535)
}

// spread puts a zero between the low 16 bits of v.
func spread(v uint64) uint64 {
	v = (v | v<<8) & 0x00ff00ff
	v = (v | v<<4) & 0x0f0f0f0f
	v = (v | v<<2) & 0x33333333
	return (v | v<<1) & 0x55555555
}

// part finds the index of a part, nil if it has nothing in the layer.
func (ix *Index) part(p int32) *partIndex {
	// Most layers have most parts, and then this is its place.
	if i := min(int(p), len(ix.ids)-1); i >= 0 && ix.ids[i] == p {
		return &ix.parts[i]
	}
	i, ok := slices.BinarySearch(ix.ids, p)
	if !ok {
		return nil
	}
	return &ix.parts[i]
}

// Has says whether a part has material in the layer.
func (ix *Index) Has(part int32) bool { return ix.part(part) != nil }

// Segment is the ends of the segment that begins at point i of the layer.
func (ix *Index) Segment(i int32) (a, b r2.Vec) {
	return segmentOf(ix.Layer.Contours, ix.Layer.Pts, i)
}

// segmentOf is the same, of the points of some contours.
func segmentOf(cs []slice.Contour, pts []r2.Vec, i int32) (a, b r2.Vec) {
	if c := &cs[contourOf(cs, i)]; i+1 == c.End {
		return pts[i], pts[c.Start]
	}
	return pts[i], pts[i+1]
}

// Island is the index of the island whose contour holds point i.
func (ix *Index) Island(i int32) int32 {
	return ix.Layer.Contours[contourOf(ix.Layer.Contours, i)].Island
}

// contourOf finds the contour that holds point i, of some in order.
func contourOf(cs []slice.Contour, i int32) int {
	lo, hi := 0, len(cs)
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; cs[mid].Start <= i {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}
