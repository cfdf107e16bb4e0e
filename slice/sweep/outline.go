package sweep

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// outliner joins the sides of chosen trapezoids into rings.
//
// On each horizontal line between two strips the region below and the region
// above differ in intervals, and the ends of those intervals are the ends of
// the sides below and above. Passing a left side below or a right side above,
// the region below gains on the one above; passing one of the other two it
// loses; so from left to right each gain is joined to the nearest loss that
// is free. Along a side that goes on, the interval between the two has no
// length; at a horizontal border it has one; where edges cross or lie on one
// another, rounding may put the ends in any order, and it does not matter.
type outliner struct {
	pieces []piece
	below  []end // upper ends of the strip that is done
	above  []end // lower ends of the strip being built
	yLine  float64
	ends   []end
	open   []int32 // ends that wait for their partner
}

// piece is a stretch of an edge that bounds the region within one or more
// strips.
type piece struct {
	e      int32
	left   bool // the region lies to the right
	y0, y1 float64
	link   [2]int32 // end joined to the lower, upper end: 2*piece+side
}

type end struct {
	x  float64
	id int32 // 2*piece + 0 lower, 1 upper
}

func (o *outliner) reset() {
	o.pieces, o.below, o.above, o.ends = o.pieces[:0], o.below[:0], o.above[:0], o.ends[:0]
}

// add begins a side in the strip being built.
func (o *outliner) add(e int32, x0, x1 float64, left bool) {
	p := int32(len(o.pieces))
	o.pieces = append(o.pieces, piece{e: e, left: left, y0: o.yLine, link: [2]int32{-1, -1}})
	o.above = append(o.above, end{x0, 2 * p})
	o.below = append(o.below, end{x1, 2*p + 1})
}

// line closes the strip below y and joins it to what comes above. It is
// called before the strip above is built, so it works one strip behind.
func (o *outliner) line(y float64) {
	// o.above holds the lower ends of the strip just built, o.ends the upper
	// ends of the strip before it.
	o.ends = append(o.ends, o.above...)
	o.join()
	o.above = o.above[:0]
	for _, b := range o.below {
		o.pieces[b.id/2].y1 = y
	}
	o.ends = append(o.ends[:0], o.below...)
	o.below = o.below[:0]
	o.yLine = y
}

func (o *outliner) join() {
	if len(o.ends) == 0 {
		return
	}
	o.sortEnds()
	o.open = o.open[:0]
	for i := 0; i < len(o.ends); i++ {
		e := o.ends[i]
		if i+1 < len(o.ends) && o.ends[i+1].x == e.x && o.gains(e.id) != o.gains(o.ends[i+1].id) && o.pieces[e.id/2].e == o.pieces[o.ends[i+1].id/2].e {
			o.link(e.id, o.ends[i+1].id) // goes on
			i++
			continue
		}
		if k := len(o.open); k > 0 && o.gains(o.open[k-1]) != o.gains(e.id) {
			o.link(o.open[k-1], e.id)
			o.open = o.open[:k-1]
			continue
		}
		o.open = append(o.open, e.id)
	}
	o.ends = o.ends[:0]
}

// sortEnds sorts the ends from left to right, those of one edge side by side,
// so that a side that goes on is joined to itself.
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

// rings walks the joined sides. Left sides run down, right sides up, so that
// the region lies on the left hand.
func (o *outliner) rings(s *Sweep) [][]r2.Vec {
	o.ends = append(o.ends, o.above...)
	o.join()
	o.ends = o.ends[:0]
	var rings [][]r2.Vec
	done := make([]bool, len(o.pieces))
	for first := range o.pieces {
		if done[first] {
			continue
		}
		var ring []r2.Vec
		p := int32(first)
		for p >= 0 && !done[p] {
			done[p] = true
			pc := &o.pieces[p]
			from, to := 0, 1
			if pc.left {
				from, to = 1, 0
			}
			if !o.goesOn(p, from) {
				ring = push(ring, o.point(s, p, from))
			}
			if !o.goesOn(p, to) {
				ring = push(ring, o.point(s, p, to))
			}
			if pc.link[to] < 0 {
				break
			}
			p = pc.link[to] / 2
		}
		for len(ring) > 1 && near(ring[0], ring[len(ring)-1]) {
			ring = ring[:len(ring)-1]
		}
		if len(ring) >= 3 {
			rings = append(rings, ring)
		}
	}
	return rings
}

// goesOn says that the piece's edge simply continues beyond the given end.
func (o *outliner) goesOn(p int32, side int) bool {
	l := o.pieces[p].link[side]
	return l >= 0 && int(l&1) != side && o.pieces[l/2].e == o.pieces[p].e
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
