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
	strip  int32   // the strip being built, or built last, from 1
	y      float64 // its lower line
	ends   []end   // on its lower line
	open   []int32 // ends that wait for their partner
	done   []bool  // by piece
	pts    []r2.Vec
	starts []int      // of rings in pts
	chain  []int32    // the edges of a piece
	list   [][]r2.Vec // the rings
}

// piece is a stretch of an edge that bounds the region, or of several that
// follow each other upward.
type piece struct {
	e, last int32 // the lowermost edge and the uppermost
	left    bool  // the region lies to the right
	bent    bool  // it goes on from one edge to the next
	long    bool  // it passes through more than one strip along its first edge
	strip   int32 // the lowermost
	y0, y1  float64
	link    [2]int32 // end joined to the lower, upper end: 2*piece+side
}

type end struct {
	x  float64
	id int32 // 2*piece + 0 lower, 1 upper
}

func (o *outliner) reset() { o.pieces, o.ends, o.strip = o.pieces[:0], o.ends[:0], 0 }

// begin begins a strip with its lower line.
func (o *outliner) begin(y float64) {
	o.strip++
	o.y = y
}

// remains says that an edge which is a side, or none, stays what it is where the
// region is to its left, or not (0), and to its right.
func remains(side int32, left, right chosen) bool {
	return int32(right)-int32(left) == min(max(side, -1), 1)
}

// pass passes an edge from left to right, from where the regions are left to
// where they are right: it is a side of region k if that changes. A side that
// it was in the strip below, too, goes on.
func (o *outliner) pass(a *active, k int, left, right chosen) {
	bit := chosen(1) << k
	side := &a.sides[k]
	switch {
	case (left^right)&bit == 0:
		if *side != 0 {
			o.leave(side, a.e, a.x0, o.y, o.strip-1)
		}
	case right&bit != 0:
		if *side <= 0 {
			o.leave(side, a.e, a.x0, o.y, o.strip-1)
			*side = o.enter(a.e, a.x0, true)
		}
	default:
		if *side >= 0 {
			o.leave(side, a.e, a.x0, o.y, o.strip-1)
			*side = o.enter(a.e, a.x0, false)
		}
	}
}

// enter begins a piece, and gives what active.sides calls it.
func (o *outliner) enter(e int32, x float64, left bool) int32 {
	p := int32(len(o.pieces))
	// Field by field: a copy of fields just written has to wait for them.
	o.pieces = append(o.pieces, piece{})
	pc := &o.pieces[p]
	pc.e, pc.left, pc.strip, pc.y0 = e, left, o.strip, o.y
	pc.link[0], pc.link[1] = -1, -1
	o.ends = append(o.ends, end{x, 2 * p})
	if left {
		return p + 1
	}
	return -p - 1
}

// goOn says that the edge of a side was followed by another where the strip
// before this one ends, and that the piece follows it.
func (o *outliner) goOn(side int32) {
	if pc := &o.pieces[pieceOf(side)]; !pc.bent {
		pc.bent, pc.long = true, pc.strip < o.strip-1
	}
}

// pieceOf is the piece of a side.
func pieceOf(side int32) int32 { return max(side, -side) - 1 }

// leave ends the piece of a side, if it is any, on edge e where the strip last
// ends.
func (o *outliner) leave(side *int32, e int32, x, y float64, last int32) {
	if *side == 0 {
		return
	}
	p := pieceOf(*side)
	*side = 0
	pc := &o.pieces[p]
	pc.last, pc.y1 = e, y
	if !pc.bent {
		pc.long = pc.strip < last
	}
	o.ends = append(o.ends, end{x, 2*p + 1})
}

// join joins the ends on the lower line of the strip that was built.
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
	if ea, eb := o.edge(a.id), o.edge(b.id); ea != eb {
		return ea < eb
	}
	return a.id < b.id
}

// edge is the edge that an end lies on.
func (o *outliner) edge(id int32) int32 {
	if id&1 == 0 {
		return o.pieces[id/2].e
	}
	return o.pieces[id/2].last
}

// gains says whether the region below gains on the region above when the end
// is passed from left to right.
func (o *outliner) gains(id int32) bool { return o.pieces[id/2].left == (id&1 == 1) }

func (o *outliner) link(a, b int32) {
	o.pieces[a/2].link[a&1] = b
	o.pieces[b/2].link[b&1] = a
}

// rings walks the joined sides. Left sides run down, right sides up, so that the
// region lies on the left hand. A ring begins where its first strip begins it. The
// rings are the outliner's until it is used again.
func (o *outliner) rings(s *Sweep) [][]r2.Vec {
	o.done = slices.Grow(o.done[:0], len(o.pieces))[:len(o.pieces)]
	clear(o.done)
	o.pts, o.starts = o.pts[:0], o.starts[:0]
	for first := range o.pieces {
		if o.done[first] {
			continue
		}
		from := len(o.pts)
		o.pts = o.walk(s, int32(first), o.pts)
		if len(o.pts)-from >= 3 {
			o.starts = append(o.starts, from)
		} else {
			o.pts = o.pts[:from]
		}
	}
	o.list = o.list[:0]
	for i, from := range o.starts {
		to := len(o.pts)
		if i+1 < len(o.starts) {
			to = o.starts[i+1]
		}
		o.list = append(o.list, o.pts[from:to:to])
	}
	return o.list
}

// cloned is a copy of rings that lie one after the other.
func cloned(rings [][]r2.Vec) [][]r2.Vec {
	if len(rings) == 0 {
		return nil
	}
	n := 0
	for _, r := range rings {
		n += len(r)
	}
	pts := make([]r2.Vec, 0, n)
	out := make([][]r2.Vec, len(rings))
	for i, r := range rings {
		from := len(pts)
		pts = append(pts, r...)
		out[i] = pts[from:len(pts):len(pts)]
	}
	return out
}

// walk appends the ring that begins with a piece.
func (o *outliner) walk(s *Sweep, first int32, to []r2.Vec) []r2.Vec {
	from := len(to)
	push := func(at r2.Vec) {
		if len(to) == from || !near(to[len(to)-1], at) {
			to = append(to, at)
		}
	}
	// down goes down a piece, up to its first corner if it has any.
	down := func(pc *piece) {
		push(pc.upper(s))
		if pc.bent {
			o.chain = o.chain[:0]
			for e := pc.e; e != pc.last; e = s.edges[e].next {
				o.chain = append(o.chain, e)
			}
			above := pc.last
			for _, e := range slices.Backward(o.chain) {
				push(s.pts[s.edges[above].p0])
				push(s.pts[s.edges[e].p1])
				above = e
			}
		}
	}
	for p := first; !o.done[p]; {
		o.done[p] = true
		pc := &o.pieces[p]
		switch {
		case !pc.left:
			push(pc.lower(s))
			for e := pc.e; e != pc.last; {
				push(s.pts[s.edges[e].p1])
				e = s.edges[e].next
				push(s.pts[s.edges[e].p0])
			}
			push(pc.upper(s))
			p = pc.link[1] / 2
			continue
		case p != first:
			down(pc)
		case pc.long: // its upper end comes last
		case pc.bent:
			push(s.pts[s.edges[pc.e].p1])
		default:
			push(pc.upper(s))
		}
		push(pc.lower(s))
		p = pc.link[0] / 2
	}
	if pc := &o.pieces[first]; pc.left && (pc.long || pc.bent) {
		down(pc)
	}
	for len(to)-from > 1 && near(to[from], to[len(to)-1]) {
		to = to[:len(to)-1]
	}
	return to
}

// lower and upper are the places of a piece's ends.
func (pc *piece) lower(s *Sweep) r2.Vec { return s.on(pc.e, pc.y0) }
func (pc *piece) upper(s *Sweep) r2.Vec { return s.on(pc.last, pc.y1) }

// on is the place on an edge at a height: its own end if that reaches it.
func (s *Sweep) on(edge int32, y float64) r2.Vec {
	e := &s.edges[edge]
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
