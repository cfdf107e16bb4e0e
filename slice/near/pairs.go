package near

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Pairs walks the pairs of segments of a part in one layer and a part in
// another (or the same) that are nearer than limit, in plan. For each, visit
// is told the first points of both segments and their distance, and answers
// with the limit from then on: what it measures may only tighten it. Nearer
// boxes come first; the order does not depend on anything but the layers. Of a
// part with itself in one layer, only segments of different contours are
// pairs.
func Pairs(a *Index, partA int32, b *Index, partB int32, limit float64, visit func(i, j int32, d float64) float64) {
	pa, pb := a.part(partA), b.part(partB)
	if pa == nil || pb == nil || !(limit >= 0) {
		return
	}
	la, lb := len(pa.over)-1, len(pb.over)-1
	l := boundOf(limit)
	if pa.over[la][0].dist2(&pb.over[lb][0]) > l.d2 {
		return
	}
	var w pairWalk
	w.self, w.a, w.b, w.ptsA, w.ptsB, w.limit, w.visit = pa == pb, pa, pb, a.Layer.Pts, b.Layer.Pts, l, visit
	w.descend(la, 0, lb, 0)
}

// Bound is a distance in plan that a part in one layer and a part in another
// (or the same) are surely not nearer than, cheap to find; false where one of
// them has nothing there.
func Bound(a *Index, partA int32, b *Index, partB int32) (d float64, ok bool) {
	pa, pb := a.part(partA), b.part(partB)
	if pa == nil || pb == nil {
		return 0, false
	}
	return max(math.Sqrt(pa.box.dist2(&pb.box))*(1-1e-9)-boxNoise, 0), true
}

// Hint remembers where two parts were nearest. The zero value knows nothing.
type Hint struct {
	// i and j count the points of each part before the segments found.
	i, j int32
	ok   bool
}

// Closest finds the segments of two parts in a layer that are nearest to each
// other, by their first points, if they are at most limit apart. Of pairs that
// are equally near it is the one that Pairs comes to first. hint is what the
// last search for the same parts in a layer much like this one left there: it
// saves work and changes no answer.
func (ix *Index) Closest(partA, partB int32, limit float64, hint *Hint) (i, j int32, ok bool) {
	pa, pb := ix.part(partA), ix.part(partB)
	if pa == nil || pb == nil {
		return 0, 0, false
	}
	if hint.ok && hint.i < pa.to-pa.from && hint.j < pb.to-pb.from {
		a0, a1 := segmentOf(pa.contours, ix.Layer.Pts, pa.from+hint.i)
		b0, b1 := segmentOf(pb.contours, ix.Layer.Pts, pb.from+hint.j)
		limit = min(limit, math.Sqrt(segDist2(a0, a1, b0, b1)))
	}
	d := math.Inf(1)
	Pairs(ix, partA, ix, partB, limit, func(p, q int32, dist float64) float64 {
		if dist < d {
			d, i, j, ok = dist, p, q, true
		}
		return d
	})
	if ok {
		*hint = Hint{i - pa.from, j - pb.from, true}
	}
	return i, j, ok
}

// Meet says whether a contour of island i of a layer touches or crosses one
// of island j of another.
func Meet(a *Index, i int32, b *Index, j int32) bool {
	u, v := &a.Layer.Islands[i], &b.Layer.Islands[j]
	pa, pb := a.part(u.Part), b.part(v.Part)
	ofA, ofB := a.islandPoints(i), b.islandPoints(j)
	boxA, boxB := boxOf(u.Box), boxOf(v.Box)
	if boxA.apart(&boxB) {
		return false
	}
	met := false
	w := pairWalk{self: pa == pb, a: pa, b: pb, ptsA: a.Layer.Pts, ptsB: b.Layer.Pts, limit: boundOf(0), visit: func(_, _ int32, _ float64) float64 {
		met = true
		return -1
	}}
	// Only where the boxes of both meet can their contours.
	common := boxA.common(boxB)
	pa.over.meeting(&common, func(k int) bool {
		if !ofA.hold(pa.blocks[k].first) {
			return true
		}
		here := pa.over[0][k].common(common)
		return pb.over.meeting(&here, func(n int) bool {
			if ofB.hold(pb.blocks[n].first) {
				w.blocks(k, n)
			}
			return !met
		})
	})
	return met
}

// points is a range of points of a layer.
type points struct{ from, to int32 }

func (r points) hold(i int32) bool { return i >= r.from && i < r.to }

// islandPoints is the range of the points of an island's contours, which lie
// side by side.
func (ix *Index) islandPoints(i int32) points {
	is := ix.Layer.Islands[i]
	return points{ix.Layer.Contours[is.First].Start, ix.Layer.Contours[is.End-1].End}
}

type pairWalk struct {
	self       bool // a is b
	a, b       *partIndex
	ptsA, ptsB []r2.Vec
	limit      bound
	visit      func(i, j int32, d float64) float64
	segs       [blockSegments]blockSegment // room for the block of b
}

// bound is how near things must be to be looked at.
type bound struct {
	// d2 is the limit squared, a little more, so that a pair exactly at the
	// limit is not lost. d is no less than its root: how near boxes must be
	// along each axis.
	d2, d float64
	// line2 is the squared distance from a line that is surely beyond it.
	line2 float64
}

// boxNoise is what rounding may add to the sides of a box a kilometre away
// that is made wider, mm, with much to spare.
const boxNoise = 1e-9

// boundOf makes the bound of a limit; nothing is within one below 0.
func boundOf(limit float64) bound {
	if limit < 0 {
		return bound{-1, -1, -1}
	}
	d2 := limit * limit * (1 + 1e-14)
	return bound{d2, limit*(1+1e-14) + boxNoise, d2*(1+lineShare) + lineNoise}
}

func (w *pairWalk) descend(la, ia, lb, ib int) {
	if la == 0 && lb == 0 {
		w.blocks(ia, ib)
		return
	}
	// Open the higher of the two, children nearest first.
	type child struct {
		d float64
		i int
	}
	var kids [fan]child
	n := 0
	up := la >= lb && la > 0
	var other *box
	var level []box
	var from int
	if up {
		level, from, other = w.a.over[la-1], ia*fan, &w.b.over[lb][ib]
	} else {
		level, from, other = w.b.over[lb-1], ib*fan, &w.a.over[la][ia]
	}
	boxes := level[from:min(from+fan, len(level))]
	for i := range boxes {
		b := &boxes[i]
		dx, dy := apart(b.x0, b.x1, other.x0, other.x1), apart(b.y0, b.y1, other.y0, other.y1)
		d := float64(dx*dx) + float64(dy*dy)
		if d > w.limit.d2 {
			continue
		}
		k := n
		for ; k > 0 && d < kids[k-1].d; k-- {
			kids[k] = kids[k-1]
		}
		kids[k] = child{d, from + i}
		n++
	}
	for _, c := range kids[:n] {
		if c.d > w.limit.d2 {
			return
		}
		if up {
			w.descend(la-1, c.i, lb, ib)
		} else {
			w.descend(la, ia, lb-1, c.i)
		}
	}
}

func (w *pairWalk) blocks(ia, ib int) {
	ba, bb := &w.a.blocks[ia], &w.b.blocks[ib]
	if w.self && ba.wrap == bb.wrap {
		return // of one contour
	}
	// The segments of b near the block of a, which each of a's is held
	// against: those whose boxes are near along both axes.
	segs := &w.segs
	n := 0
	around, reach := w.a.over[0][ia].wider(w.limit.d), nowhere
	b1 := w.ptsB[bb.first]
	for j := bb.first; j < bb.first+bb.n; j++ {
		b0 := b1
		b1 = w.ptsB[bb.next(j)]
		box := segBox(b0, b1)
		if box.apart(&around) {
			continue
		}
		s := &segs[n]
		n++
		s.b0, s.b1, s.box, s.i = b0, b1, box, j
		reach.grow(&box)
	}
	if n == 0 {
		return
	}
	if w.aside(ba, segs[:n]) {
		return
	}
	reach = reach.wider(w.limit.d)
	a1 := w.ptsA[ba.first]
	for i := ba.first; i < ba.first+ba.n; i++ {
		a0 := a1
		a1 = w.ptsA[ba.next(i)]
		box := segBox(a0, a1)
		if box.apart(&reach) {
			continue
		}
		box = box.wider(w.limit.d)
		e := r2.Sub(a1, a0)
		ee := float64(e.X*e.X) + float64(e.Y*e.Y)
		for k := range segs[:n] {
			s := &segs[k]
			// All of one segment may lie on one side of the other's line, and
			// farther from it than the limit.
			if s.box.apart(&box) ||
				beyond(cross(e, r2.Sub(s.b0, a0)), cross(e, r2.Sub(s.b1, a0)), ee*w.limit.line2) {
				continue
			}
			d := r2.Sub(s.b1, s.b0)
			if beyond(cross(d, r2.Sub(a0, s.b0)), cross(d, r2.Sub(a1, s.b0)), dot(d, d)*w.limit.line2) {
				continue
			}
			if d2 := segDist2(a0, a1, s.b0, s.b1); d2 <= w.limit.d2 {
				w.limit = boundOf(w.visit(i, s.i, math.Sqrt(d2)))
			}
		}
	}
}

// aside says that a block of a is farther from some segments of b than the
// limit, across the way from the first of them to the last: of the blocks along
// two walls whose boxes are near, most are.
func (w *pairWalk) aside(of *block, segs []blockSegment) bool {
	first, last := &segs[0], &segs[len(segs)-1]
	p := first.b0
	e := r2.Sub(last.b1, p)
	// Heights over that way, times its length, of all points from the first
	// segment to the last. Plain comparisons are faster than min and max.
	lo, hi := 0.0, 0.0
	for _, q := range w.ptsB[first.i+1 : last.i+1] {
		h := cross(e, r2.Sub(q, p))
		if h < lo {
			lo = h
		}
		if h > hi {
			hi = h
		}
	}
	from := cross(e, r2.Sub(w.ptsA[of.next(of.first+of.n-1)], p))
	to := from
	for _, q := range w.ptsA[of.first : of.first+of.n] {
		h := cross(e, r2.Sub(q, p))
		if h < from {
			from = h
		}
		if h > to {
			to = h
		}
		if from <= hi && to >= lo {
			return false
		}
	}
	gap := max(from-hi, lo-to)
	return gap > 0 && float64(gap*gap) > float64(dot(e, e)*w.limit.line2)
}

type blockSegment struct {
	b0, b1 r2.Vec // its ends
	box    box
	i      int32 // its first point
}

// How much a squared distance from a line must exceed a limit to be surely
// beyond it, as a share of the limit and in mm2: together they allow for a
// rounding of 1e-9 mm, more than that of a place a kilometre away.
const (
	lineShare = 1e-6
	lineNoise = 1e-12
)

// segDist2 is the squared distance of two segments, 0 where they cross or
// touch.
func segDist2(a0, a1, b0, b1 r2.Vec) float64 {
	if crosses(a0, a1, b0, b1) {
		return 0
	}
	return min(pointSeg2(a0, b0, b1), pointSeg2(a1, b0, b1), pointSeg2(b0, a0, a1), pointSeg2(b1, a0, a1))
}

// beyond says whether two heights over a line, times its length, have one
// sign and squares above m.
func beyond(h0, h1, m float64) bool {
	if h0 < 0 {
		h0, h1 = -h0, -h1
	}
	h := h0
	if h1 < h0 {
		h = h1
	}
	return h > 0 && float64(h*h) > m
}

func oneOnEachSide(s0, s1 float64) bool { return s0 < 0 && s1 > 0 || s0 > 0 && s1 < 0 }

// Nearest gives the nearest points of two segments; where they cross, the
// crossing twice.
func Nearest(a0, a1, b0, b1 r2.Vec) (p, q r2.Vec, d float64) {
	if crosses(a0, a1, b0, b1) {
		// Of two in nearly one line, rounding may set the crossing anywhere.
		s := cross(r2.Sub(b0, a0), r2.Sub(b1, b0)) / cross(r2.Sub(a1, a0), r2.Sub(b1, b0))
		if !(s > 0) {
			s = 0
		}
		p = Along(a0, a1, min(s, 1))
		return p, p, 0
	}
	best := math.Inf(1)
	try := func(x, y r2.Vec, d2 float64) {
		if d2 < best {
			best, p, q = d2, x, y
		}
	}
	try(a0, foot(a0, b0, b1), pointSeg2(a0, b0, b1))
	try(a1, foot(a1, b0, b1), pointSeg2(a1, b0, b1))
	try(foot(b0, a0, a1), b0, pointSeg2(b0, a0, a1))
	try(foot(b1, a0, a1), b1, pointSeg2(b1, a0, a1))
	return p, q, math.Sqrt(best)
}

// Along is the point at share t of the way from a to b.
func Along(a, b r2.Vec, t float64) r2.Vec {
	return r2.Vec{X: a.X + float64(t*(b.X-a.X)), Y: a.Y + float64(t*(b.Y-a.Y))}
}

func dot(a, b r2.Vec) float64 { return float64(a.X*b.X) + float64(a.Y*b.Y) }

func cross(a, b r2.Vec) float64 { return float64(a.X*b.Y) - float64(a.Y*b.X) }

// crosses says whether two segments cross at a point inside both, or an end
// of one lies inside the other. Segments that lie one behind the other in one
// line do not, however the sides of their ends are rounded: their boxes are
// apart.
func crosses(a0, a1, b0, b1 r2.Vec) bool {
	d := r2.Sub(b1, b0)
	if !oneOnEachSide(cross(d, r2.Sub(a0, b0)), cross(d, r2.Sub(a1, b0))) {
		return false
	}
	e := r2.Sub(a1, a0)
	t0, t1 := cross(e, r2.Sub(b0, a0)), cross(e, r2.Sub(b1, a0))
	return (t0 <= 0 && t1 >= 0 || t0 >= 0 && t1 <= 0) && boxesMeet(a0, a1, b0, b1)
}

func boxesMeet(a0, a1, b0, b1 r2.Vec) bool {
	a, b := segBox(a0, a1), segBox(b0, b1)
	return a.x0 <= b.x1 && b.x0 <= a.x1 && a.y0 <= b.y1 && b.y0 <= a.y1
}

// foot is the point of segment a-b nearest to p.
func foot(p, a, b r2.Vec) r2.Vec {
	d := r2.Sub(b, a)
	l := float64(d.X*d.X) + float64(d.Y*d.Y)
	if l == 0 {
		return a
	}
	t := (float64((p.X-a.X)*d.X) + float64((p.Y-a.Y)*d.Y)) / l
	switch {
	case t <= 0:
		return a
	case t >= 1:
		return b
	}
	return Along(a, b, t)
}

func pointSeg2(p, a, b r2.Vec) float64 {
	d := r2.Sub(p, foot(p, a, b))
	return dot(d, d)
}
