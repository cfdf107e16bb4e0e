package sweep

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// outliner joins the sides of chosen trapezoids into rings.
//
// On each horizontal line between two strips the region below and the region
// above differ in intervals, and the ends of those intervals are the ends of
// the sides below and above. A side that goes on from one strip into the next
// ends nowhere, and is one piece. Of the others, passing a left side below or
// a right side above, the region below gains on the one above; passing one of
// the other two it loses; so from left to right each gain is joined to the
// nearest loss that is free. At a horizontal border the interval between the
// two has a length, otherwise it has none; where edges cross or lie on one
// another, rounding may put the ends in any order, and it does not matter.
type outliner struct {
	pieces []piece
	last   []int32 // by edge: the last piece on it and 1, 0 if there is none
	strip  int32   // the strip being built, from 1
	yLine  float64 // its lower line
	below  []top   // sides of the strip below it
	above  []top   // its own
	went   int     // how many of those below go on into it
	ends   []end   // on its lower line
	open   []int32 // ends that wait for their partner
	done   []bool  // by piece
	ring   []r2.Vec
}

// piece is a stretch of an edge that bounds the region.
type piece struct {
	e      int32
	left   bool  // the region lies to the right
	long   bool  // it passes through more than one strip
	strip  int32 // the uppermost
	y0, y1 float64
	link   [2]int32 // end joined to the lower, upper end: 2*piece+side
}

// top is where a piece leaves a strip.
type top struct {
	x     float64
	piece int32
}

type end struct {
	x  float64
	id int32 // 2*piece + 0 lower, 1 upper
}

// reset readies the outliner for edges up to the given number.
func (o *outliner) reset(edges int) {
	o.pieces, o.below, o.above, o.ends, o.strip = o.pieces[:0], o.below[:0], o.above[:0], o.ends[:0], 0
	o.went = 0
	o.last = slices.Grow(o.last[:0], edges)[:edges]
	clear(o.last)
}

// add adds a side to the strip being built: edge e, from abscissa x0 to x1.
// In the strip below, an edge ends where it begins in this one.
func (o *outliner) add(e int32, x0, x1 float64, left bool) {
	if p := o.last[e] - 1; p >= 0 {
		if pc := &o.pieces[p]; pc.strip == o.strip-1 && pc.left == left {
			pc.strip, pc.long = o.strip, true
			o.went++
			o.above = append(o.above, top{x1, p})
			return
		}
	}
	p := int32(len(o.pieces))
	o.last[e] = p + 1
	o.pieces = append(o.pieces, piece{e: e, left: left, strip: o.strip, y0: o.yLine, link: [2]int32{-1, -1}})
	o.ends = append(o.ends, end{x0, 2 * p})
	o.above = append(o.above, top{x1, p})
}

// line ends the strip that was built, at y, and joins it to the one below.
func (o *outliner) line(y float64) {
	if o.went < len(o.below) {
		for _, t := range o.below {
			if pc := &o.pieces[t.piece]; pc.strip != o.strip {
				pc.y1 = o.yLine
				o.ends = append(o.ends, end{t.x, 2*t.piece + 1})
			}
		}
	}
	o.went = 0
	if len(o.ends) > 0 {
		o.join()
	}
	o.below, o.above = o.above, o.below[:0]
	o.strip++
	o.yLine = y
}

func (o *outliner) join() {
	o.sortEnds()
	o.open = o.open[:0]
	for _, e := range o.ends {
		if k := len(o.open); k > 0 && o.gains(o.open[k-1]) != o.gains(e.id) {
			o.link(o.open[k-1], e.id)
			o.open = o.open[:k-1]
			continue
		}
		o.open = append(o.open, e.id)
	}
	o.ends = o.ends[:0]
}

// sortEnds sorts the ends from left to right, by edge and piece where they
// coincide.
func (o *outliner) sortEnds() {
	if len(o.ends) > fewEnds {
		slices.SortFunc(o.ends, func(a, b end) int {
			switch {
			case o.before(a, b):
				return -1
			case o.before(b, a):
				return 1
			}
			return 0
		})
		return
	}
	for i := 1; i < len(o.ends); i++ {
		e, j := o.ends[i], i
		for ; j > 0 && o.before(e, o.ends[j-1]); j-- {
			o.ends[j] = o.ends[j-1]
		}
		o.ends[j] = e
	}
}

// fewEnds is how many ends are sorted by insertion.
const fewEnds = 16

func (o *outliner) before(a, b end) bool {
	if a.x != b.x {
		return a.x < b.x
	}
	if ea, eb := o.pieces[a.id/2].e, o.pieces[b.id/2].e; ea != eb {
		return ea < eb
	}
	return a.id < b.id
}

// gains says whether the region below gains on the region above when the end
// is passed from left to right.
func (o *outliner) gains(id int32) bool { return o.pieces[id/2].left == (id&1 == 1) }

func (o *outliner) link(a, b int32) {
	o.pieces[a/2].link[a&1] = b
	o.pieces[b/2].link[b&1] = a
}

// rings walks the joined sides once the last strip is ended. Left sides run
// down, right sides up, so that the region lies on the left hand. A ring begins
// where its first strip begins it.
func (o *outliner) rings(s *Sweep) [][]r2.Vec {
	o.line(o.yLine)
	var rings [][]r2.Vec
	o.done = slices.Grow(o.done[:0], len(o.pieces))[:len(o.pieces)]
	clear(o.done)
	for first := range o.pieces {
		if o.done[first] {
			continue
		}
		ring := o.ring[:0]
		for p := int32(first); !o.done[p]; {
			o.done[p] = true
			pc := &o.pieces[p]
			from, to := 0, 1
			if pc.left {
				from, to = 1, 0
			}
			// The upper end of a first side that runs down from another strip
			// comes last.
			if p != int32(first) || !pc.left || !pc.long {
				ring = push(ring, o.point(s, p, from))
			}
			ring = push(ring, o.point(s, p, to))
			p = pc.link[to] / 2
		}
		if pc := &o.pieces[first]; pc.left && pc.long {
			ring = push(ring, o.point(s, int32(first), 1))
		}
		o.ring = ring
		for len(ring) > 1 && near(ring[0], ring[len(ring)-1]) {
			ring = ring[:len(ring)-1]
		}
		if len(ring) >= 3 {
			rings = append(rings, slices.Clone(ring))
		}
	}
	return rings
}

// point is the place of a piece's end: the edge's own end if it reaches it,
// else the place on the edge.
func (o *outliner) point(s *Sweep, p int32, side int) r2.Vec {
	pc := &o.pieces[p]
	e := &s.edges[pc.e]
	y := pc.y0
	if side == 1 {
		y = pc.y1
	}
	switch {
	case y <= e.y0:
		return s.pts[e.p0]
	case y >= e.y1:
		return s.pts[e.p1]
	}
	return unturn(e.at(y), y)
}

// weldPoints is how near two neighbouring points of an outline are one, mm:
// the rounding of a computed crossing, far below any gap.
const weldPoints = 1e-9

func near(a, b r2.Vec) bool {
	return max(a.X-b.X, b.X-a.X) <= weldPoints && max(a.Y-b.Y, b.Y-a.Y) <= weldPoints
}

func push(ring []r2.Vec, p r2.Vec) []r2.Vec {
	if len(ring) > 0 && near(ring[len(ring)-1], p) {
		return ring
	}
	return append(ring, p)
}
