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
	pts    []r2.Vec
	starts []int // of rings in pts
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
	if len(o.starts) == 0 {
		return nil
	}
	pts := slices.Clone(o.pts)
	rings := make([][]r2.Vec, len(o.starts))
	for i, from := range o.starts {
		to := len(pts)
		if i+1 < len(o.starts) {
			to = o.starts[i+1]
		}
		rings[i] = pts[from:to:to]
	}
	return rings
}

// walk appends the ring that begins with a piece.
func (o *outliner) walk(s *Sweep, first int32, to []r2.Vec) []r2.Vec {
	from := len(to)
	push := func(p int32, side int) {
		if at := o.point(s, p, side); len(to) == from || !near(to[len(to)-1], at) {
			to = append(to, at)
		}
	}
	for p := first; !o.done[p]; {
		o.done[p] = true
		pc := &o.pieces[p]
		begin, end := 0, 1
		if pc.left {
			begin, end = 1, 0
		}
		// The upper end of a first side that runs down from another strip
		// comes last.
		if p != first || !pc.left || !pc.long {
			push(p, begin)
		}
		push(p, end)
		p = pc.link[end] / 2
	}
	if pc := &o.pieces[first]; pc.left && pc.long {
		push(first, 1)
	}
	for len(to)-from > 1 && near(to[from], to[len(to)-1]) {
		to = to[:len(to)-1]
	}
	return to
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
