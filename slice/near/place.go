package near

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Inside says whether p lies in material of a part, by the parity of contour
// crossings to its right. On a contour either answer may come.
func (ix *Index) Inside(part int32, p r2.Vec) bool {
	pi := ix.part(part)
	return pi != nil && pi.inside(ix.Layer.Pts, p)
}

func (pi *partIndex) inside(pts []r2.Vec, p r2.Vec) bool {
	if p.X < pi.box.x0 || p.X > pi.box.x1 || p.Y < pi.box.y0 || p.Y > pi.box.y1 {
		return false
	}
	return pi.odd(pts, p, len(pi.over)-1, 0)
}

// odd says whether a line from p to the right crosses the segments under a box
// an odd number of times. The box must not lie beside the line.
func (pi *partIndex) odd(pts []r2.Vec, p r2.Vec, l, i int) bool {
	odd := false
	if l == 0 {
		bl := &pi.blocks[i]
		for k := bl.first; k < bl.first+bl.n; k++ {
			a, c := pts[k], pts[bl.next(k)]
			if (a.Y > p.Y) != (c.Y > p.Y) && p.X < a.X+float64((c.X-a.X)*((p.Y-a.Y)/(c.Y-a.Y))) {
				odd = !odd
			}
		}
		return odd
	}
	level := pi.over[l-1]
	for k := i * fan; k < min((i+1)*fan, len(level)); k++ {
		b := &level[k]
		if p.Y < b.y0 || p.Y > b.y1 || p.X > b.x1 {
			continue
		}
		// A piece of a contour that lies to the right of p as a whole is crossed
		// an odd number of times if its ends are not on one side of the line.
		if p.X < b.x0 {
			if from, to, ok := pi.ends(l-1, k); ok {
				odd = odd != ((pts[from].Y > p.Y) != (pts[to].Y > p.Y))
				continue
			}
		}
		odd = odd != pi.odd(pts, p, l-1, k)
	}
	return odd
}

// ends is the first and the last point of what lies under a box, if that is one
// piece of a contour.
func (pi *partIndex) ends(l, i int) (from, to int32, ok bool) {
	first, last := i, i
	for range l {
		first, last = first*fan, last*fan+fan-1
	}
	a, b := &pi.blocks[first], &pi.blocks[min(last, len(pi.blocks)-1)]
	return a.first, b.next(b.first + b.n - 1), a.wrap == b.wrap
}

// ToContour is the distance in plan from p to the nearest contour of a part,
// if it is at most limit.
func (ix *Index) ToContour(part int32, p r2.Vec, limit float64) (float64, bool) {
	pi := ix.part(part)
	if pi == nil {
		return 0, false
	}
	return pi.toContour(ix.Layer.Pts, p, limit)
}

func (pi *partIndex) toContour(pts []r2.Vec, p r2.Vec, limit float64) (float64, bool) {
	d2 := limit * limit * (1 + 1e-14)
	seg := pi.nearestSegment(pts, p, &d2)
	return math.Sqrt(d2), seg >= 0
}

// nearestSegment finds the first point of the segment nearest to p within the
// root of *d2 and lowers *d2 to its squared distance; -1 if there is none.
func (pi *partIndex) nearestSegment(pts []r2.Vec, p r2.Vec, d2 *float64) int32 {
	s := pointSearch{pi: pi, pts: pts, p: p, d2: *d2, seg: -1}
	if pi.box.toPoint2(p) <= s.d2 {
		s.below(len(pi.over)-1, 0)
	}
	*d2 = s.d2
	return s.seg
}

// nearestFacing does the same among the segments that have p on the side of
// their material.
func (pi *partIndex) nearestFacing(pts []r2.Vec, p r2.Vec) int32 {
	s := pointSearch{pi: pi, pts: pts, p: p, d2: math.Inf(1), facing: true, seg: -1}
	s.below(len(pi.over)-1, 0)
	return s.seg
}

// pointSearch looks for the segment of a part nearest to p. Of segments that
// are equally near it takes the last in the order in which it comes to them:
// nearer boxes first, whatever d2 was to begin with.
type pointSearch struct {
	pi     *partIndex
	pts    []r2.Vec
	p      r2.Vec
	facing bool    // only segments with p on the side of their material
	d2     float64 // squared distance of the nearest so far
	seg    int32   // its first point
}

func (s *pointSearch) below(l, i int) {
	if l == 0 {
		s.block(&s.pi.blocks[i])
		return
	}
	var kids [fan]struct {
		d float64
		i int
	}
	n := 0
	level := s.pi.over[l-1]
	from := i * fan
	boxes := level[from:min(from+fan, len(level))]
	for k := range boxes {
		b := &boxes[k]
		dx, dy := outside(b.x0, b.x1, s.p.X), outside(b.y0, b.y1, s.p.Y)
		d := float64(dx*dx) + float64(dy*dy)
		if d > s.d2 {
			continue
		}
		j := n
		for ; j > 0 && d < kids[j-1].d; j-- {
			kids[j] = kids[j-1]
		}
		kids[j].d, kids[j].i = d, from+k
		n++
	}
	for _, c := range kids[:n] {
		if c.d <= s.d2 {
			s.below(l-1, c.i)
		}
	}
}

func (s *pointSearch) block(bl *block) {
	// v leads from each segment's ends to p, vv is its length squared.
	b := s.pts[bl.first]
	vb := r2.Sub(s.p, b)
	vvb := dot(vb, vb)
	for k := bl.first; k < bl.first+bl.n; k++ {
		a, va, vva := b, vb, vvb
		b = s.pts[bl.next(k)]
		vb = r2.Sub(s.p, b)
		vvb = dot(vb, vb)
		e := r2.Sub(b, a)
		if s.facing && cross(e, va) < 0 {
			continue
		}
		// As pointSeg2 does, bit for bit, but without a division where the foot
		// is an end or the line is too far away.
		d, along, ee := vva, dot(va, e), dot(e, e)
		switch {
		case along <= 0:
		case along >= ee:
			d = vvb
		default:
			if side := cross(e, va); float64(side*side) > ee*(s.d2*(1+lineShare)+lineNoise) {
				continue
			}
			u := r2.Sub(s.p, Along(a, b, along/ee))
			d = dot(u, u)
		}
		if d <= s.d2 {
			s.d2, s.seg = d, k
		}
	}
}

// ToPart is the distance in plan from p to the material of a part, 0 inside
// it, if it is at most limit.
func (ix *Index) ToPart(part int32, p r2.Vec, limit float64) (float64, bool) {
	if ix.Inside(part, p) {
		return 0, true
	}
	return ix.ToContour(part, p, limit)
}

// Skin is how deep in mm a place may lie in material and still be in air: the
// walls of neighbouring layers coincide but for rounding.
const Skin = 0.001

// cutSlack is how far beyond its ends, as a share of its length, a wall still
// cuts a line: one that passes through a corner must not slip between two
// walls by rounding, and a cut too many does no harm.
const cutSlack = 1e-9

// Span is a stretch of a segment, in shares of its length.
type Span struct{ From, To float64 }

// Material lists the stretches of the segment from a to b that run through
// material of any part deeper than Skin, ascending and apart. Stretches are
// bounded by the contours themselves. a may equal b.
func (ix *Index) Material(a, b r2.Vec, buf []Span) []Span {
	buf = buf[:0]
	ix.partsNear(segBox(a, b), func(pi *partIndex) {
		buf = pi.material(ix.Layer.Pts, a, b, buf)
	})
	if len(buf) < 2 {
		return buf
	}
	slices.SortFunc(buf, func(x, y Span) int {
		switch {
		case x.From < y.From:
			return -1
		case x.From > y.From:
			return 1
		}
		return 0
	})
	out := buf[:1]
	for _, s := range buf[1:] {
		if last := &out[len(out)-1]; s.From <= last.To {
			last.To = max(last.To, s.To)
		} else {
			out = append(out, s)
		}
	}
	return out
}

// partsNear calls visit for the parts whose boxes meet b.
func (ix *Index) partsNear(b box, visit func(*partIndex)) {
	ix.over.meeting(&b, func(i int) bool {
		visit(&ix.parts[ix.places[i]])
		return true
	})
}

// PartsNear lists the parts whose boxes come within a distance of a box,
// ascending.
func (ix *Index) PartsNear(b r2.Box, within float64, buf []int32) []int32 {
	buf = buf[:0]
	bb := boxOf(b)
	bb.x0, bb.y0, bb.x1, bb.y1 = bb.x0-within, bb.y0-within, bb.x1+within, bb.y1+within
	ix.partsNear(bb, func(pi *partIndex) { buf = append(buf, pi.part) })
	slices.Sort(buf)
	return buf
}

func (pi *partIndex) material(pts []r2.Vec, a, b r2.Vec, out []Span) []Span {
	deep := func(t float64) bool {
		p := Along(a, b, t)
		if !pi.inside(pts, p) {
			return false
		}
		_, near := pi.toContour(pts, p, Skin)
		return !near
	}
	if a == b {
		if deep(0) {
			out = append(out, Span{0, 1})
		}
		return out
	}
	cuts := append(make([]float64, 0, 8), 0)
	d := r2.Sub(b, a)
	sb := segBox(a, b)
	met := false
	pi.over.meeting(&sb, func(i int) bool {
		met = true
		bl := &pi.blocks[i]
		for k := bl.first; k < bl.first+bl.n; k++ {
			c, e := pts[k], pts[bl.next(k)]
			f := r2.Sub(e, c)
			den := cross(d, f)
			if den == 0 {
				continue
			}
			t := cross(r2.Sub(c, a), f) / den
			u := cross(r2.Sub(c, a), d) / den
			if t > 0 && t < 1 && u >= -cutSlack && u <= 1+cutSlack {
				cuts = append(cuts, t)
			}
		}
		return true
	})
	if !met && !pi.inside(pts, Along(a, b, 0.5)) {
		return out // no contour is near: all of it lies in air
	}
	slices.Sort(cuts)
	cuts = append(cuts, 1)
	for i := 0; i+1 < len(cuts); i++ {
		u, v := cuts[i], cuts[i+1]
		if v > u && (deep((u+v)/2) || deep(u+(v-u)/4) || deep(v-(v-u)/4)) {
			out = append(out, Span{u, v})
		}
	}
	return out
}

// IslandAt is the index in the layer of the island of a part that holds p, or
// -1.
func (ix *Index) IslandAt(part int32, p r2.Vec) int32 {
	pi := ix.part(part)
	if pi == nil || !pi.inside(ix.Layer.Pts, p) {
		return -1
	}
	if first, last := pi.contours[0].Island, pi.contours[len(pi.contours)-1].Island; first == last {
		return first // it has no other
	}
	// The nearest contour bounds the island: material reaches from p to it.
	// Where islands touch, both contours are as near; p lies on the material's
	// side of its own only.
	at := pi.nearestFacing(ix.Layer.Pts, p)
	if at < 0 {
		return -1
	}
	return ix.Island(at)
}

// MayReach says whether a part could have material within a box: true without
// fail if it has, seldom if it has not.
func (ix *Index) MayReach(part int32, b r2.Box) bool {
	pi := ix.part(part)
	if pi == nil {
		return false
	}
	bb := boxOf(b)
	none := pi.over.meeting(&bb, func(int) bool { return false })
	return !none || pi.inside(ix.Layer.Pts, b.Min)
}
