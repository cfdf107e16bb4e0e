// Package near finds what lies nearest in the layers of a stack: distances
// between contours, points in islands, lines through material. An Index is
// built once a layer and then only read.
package near

import (
	"iter"
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

func (b *box) grow(o *box) {
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

// common is what two boxes that are not apart have in common.
func (b box) common(o box) box {
	return box{max(b.x0, o.x0), max(b.y0, o.y0), min(b.x1, o.x1), min(b.y1, o.y1)}
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

// meeting calls visit with the number of each box of level 0 that meets b, in
// order, as long as it answers true. It says whether it always did.
func (py pyramid) meeting(b *box, visit func(i int) bool) bool {
	top := len(py) - 1
	if top < 0 || len(py[top]) == 0 || py[top][0].apart(b) {
		return true
	}
	return py.meetingUnder(top, 0, b, visit)
}

// meetingUnder does the same under box i of level l, which meets b.
func (py pyramid) meetingUnder(l, i int, b *box, visit func(i int) bool) bool {
	if l == 0 {
		return visit(i)
	}
	from := i * fan
	boxes := py[l-1][from:min(from+fan, len(py[l-1]))]
	for k := range boxes {
		if !boxes[k].apart(b) && !py.meetingUnder(l-1, from+k, b, visit) {
			return false
		}
	}
	return true
}

// room is the memory of an index: it is counted first, and then set aside all
// at once.
type room struct {
	blocks []block
	boxes  []box
	levels [][]box
}

// sizes counts what an index needs.
type sizes struct{ blocks, boxes, levels int }

// pyramid counts one over n boxes.
func (s *sizes) pyramid(n int) {
	s.boxes, s.levels = s.boxes+n, s.levels+1
	for n > 1 {
		n = (n + fan - 1) / fan
		s.boxes, s.levels = s.boxes+n, s.levels+1
	}
}

func (s sizes) room() room {
	return room{make([]block, 0, s.blocks), make([]box, 0, s.boxes), make([][]box, 0, s.levels)}
}

// build stacks boxes over the last n.
func (r *room) build(n int) pyramid {
	first := len(r.levels)
	level := r.boxes[len(r.boxes)-n:]
	r.levels = append(r.levels, level)
	for len(level) > 1 {
		from := len(r.boxes)
		for i := 0; i < len(level); i += fan {
			b := level[i]
			for k := i + 1; k < min(i+fan, len(level)); k++ {
				b.grow(&level[k])
			}
			r.boxes = append(r.boxes, b)
		}
		level = r.boxes[from:]
		r.levels = append(r.levels, level)
	}
	return pyramid(r.levels[first:])
}

// New indexes a layer. The layer must not change afterwards.
func New(l *slice.Layer) *Index {
	var s sizes
	parts := 0
	for of := range partsOf(l.Contours) {
		n := 0
		for i := range of {
			n += blocksOf(&of[i])
		}
		s.blocks += n
		s.pyramid(n)
		parts++
	}
	s.pyramid(parts)
	r := s.room()
	ix := &Index{Layer: l, parts: make([]partIndex, 0, parts), ids: make([]int32, 0, parts)}
	boxes := make([]box, 0, parts)
	for of := range partsOf(l.Contours) {
		ix.parts = append(ix.parts, r.part(l, of))
		ix.ids = append(ix.ids, of[0].Part)
		boxes = append(boxes, ix.parts[len(boxes)].box)
	}
	ix.places = byPlace(boxes)
	for _, k := range ix.places {
		r.boxes = append(r.boxes, boxes[k])
	}
	ix.over = r.build(parts)
	return ix
}

// partsOf goes through the contours of each part.
func partsOf(cs []slice.Contour) iter.Seq[[]slice.Contour] {
	return func(yield func([]slice.Contour) bool) {
		for len(cs) > 0 {
			n := 1
			for n < len(cs) && cs[n].Part == cs[0].Part {
				n++
			}
			if !yield(cs[:n]) {
				return
			}
			cs = cs[n:]
		}
	}
}

// blocksOf is the number of a contour's blocks.
func blocksOf(c *slice.Contour) int {
	return (int(c.End-c.Start) + blockSegments - 1) / blockSegments
}

// part indexes a part by its contours.
func (r *room) part(l *slice.Layer, cs []slice.Contour) partIndex {
	p := partIndex{part: cs[0].Part, contours: cs, from: cs[0].Start, to: cs[len(cs)-1].End, box: nowhere}
	first := len(r.blocks)
	if len(cs) <= fan {
		for i := range cs {
			r.contour(l, &cs[i])
		}
	} else {
		boxes := make([]box, len(cs))
		for i := range cs {
			boxes[i] = boxOf(cs[i].Box)
		}
		for _, i := range byPlace(boxes) {
			r.contour(l, &cs[i])
		}
	}
	p.blocks = r.blocks[first:]
	p.over = r.build(len(p.blocks))
	if top := p.over[len(p.over)-1]; len(top) > 0 {
		p.box = top[0]
	}
	return p
}

// contour cuts a contour into blocks, with a box over each.
func (r *room) contour(l *slice.Layer, c *slice.Contour) {
	for s := c.Start; s < c.End; s += blockSegments {
		b := block{first: s, n: min(blockSegments, c.End-s), wrap: c.Start, end: c.End}
		bx := pointBox(l.Pts[b.next(s+b.n-1)])
		for _, q := range l.Pts[s : s+b.n] {
			bx.take(q)
		}
		r.blocks, r.boxes = append(r.blocks, b), append(r.boxes, bx)
	}
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
	for i := range boxes {
		all.grow(&boxes[i])
	}
	// The place on the curve in the upper half, the index in the lower.
	keys := make([]uint64, len(boxes))
	for i, b := range boxes {
		at := spread(share((b.x0+b.x1)/2, all.x0, all.x1)) | spread(share((b.y0+b.y1)/2, all.y0, all.y1))<<1
		keys[i] = at<<32 | uint64(i)
	}
	slices.Sort(keys)
	order := make([]int32, len(boxes))
	for i, k := range keys {
		order[i] = int32(uint32(k))
	}
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
