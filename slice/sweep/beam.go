package sweep

import (
	"cmp"
	"math"
	"slices"
)

// height is a place along the sweep as a whole number, in the order of the
// places: the least of some numbers is found without a branch, which would be
// foretold wrongly once in every beam.
type height int64

func heightOf(y float64) height {
	k := int64(math.Float64bits(y + 0)) // 0 for -0 as well
	return height(k ^ k>>63&math.MaxInt64)
}

func (h height) y() float64 {
	k := int64(h)
	return math.Float64frombits(uint64(k ^ k>>63&math.MaxInt64))
}

// active is an edge in the present beam, with its abscissae at both ends and
// what is asked of the edge all the time: the edges of a beam lie far apart in
// Sweep.edges.
type active struct {
	x0, x1 float64
	// lowX and lowY are where the edge begins, topX is where it ends; dx and dy
	// lie between.
	lowX, lowY, topX, dx, dy float64
	top                      height // where it ends
	e, next                  int32
	set, wind                int32
	// last is the uppermost edge of what a union passes by at once, from e on
	// (union.go), else e; alone counts the next edges that shall not be passed
	// by with others.
	last, alone int32
	// sides holds for each region the side of it that the edge is in the strip
	// that was swept last: 0 none, n+1 a left side, piece n of the outline,
	// -n-1 a right side.
	sides [2]int32
}

// take makes a chain go on with an edge.
func (s *Sweep) take(a *active, e int32) {
	ed := &s.edges[e]
	a.lowX, a.lowY, a.topX, a.dx, a.dy = ed.x0, ed.y0, ed.x1, ed.x1-ed.x0, ed.y1-ed.y0
	a.x1, a.top = ed.x0, heightOf(ed.y1)
	a.e, a.last, a.next, a.set, a.wind = e, e, ed.next, ed.set, ed.wind
}

// at is the abscissa at a height between the edge's ends.
func (a *active) at(y float64) float64 { return a.lowX + float64(a.dx*((y-a.lowY)/a.dy)) }

// run sweeps and leaves the sides of the regions in outs; false if there is
// nothing to sweep.
func (s *Sweep) run() bool {
	s.spent = 0
	if len(s.edges) == 0 {
		return false
	}
	for i := range s.outs[:s.n] {
		s.outs[i].reset()
	}
	// What a strip adds it takes away again: its edges are those of closed rings.
	s.wind = append(s.wind[:0], make([]int32, s.sets)...)
	copy(s.wind, s.base)
	slices.SortFunc(s.order, func(a, b start) int { return cmp.Or(cmp.Compare(a.y, b.y), int(a.e-b.e)) })
	s.act, s.ends, s.next = s.act[:0], s.ends[:0], 0
	if s.union {
		return s.unite()
	}
	for at := s.order[0].y; ; {
		// Every point is an event, and is where an edge ends or a chain begins.
		s.advance(at)
		to, some := s.until()
		if !some {
			s.finish()
			return true
		}
		s.sweepTo(at, to)
		if s.enough() {
			return false
		}
		at = to
	}
}

// advance goes on from the edges that end at a height to those that follow, and
// begins the chains that begin there.
func (s *Sweep) advance(at height) {
	gone := false
	for _, i := range s.ends {
		a := &s.act[i]
		for k := range s.outs[:s.n] {
			o := &s.outs[k]
			o.leave(&a.sides[k], a.last, a.topX, at.y(), o.strip)
		}
		if a.next >= 0 {
			s.take(a, a.next)
		} else {
			a.e, gone = -1, true
		}
	}
	if gone {
		s.act = slices.DeleteFunc(s.act, func(a active) bool { return a.e < 0 })
	}
	for ; s.next < len(s.order) && s.order[s.next].y <= at; s.next++ {
		s.act = append(s.act, active{})
		s.take(&s.act[len(s.act)-1], s.order[s.next].e)
	}
}

// until is where the next edge ends or chain begins, false if none does.
func (s *Sweep) until() (height, bool) {
	to := height(math.MaxInt64)
	if s.next < len(s.order) {
		to = s.order[s.next].y
	}
	for i := range s.act {
		to = min(to, s.act[i].top)
	}
	return to, to < math.MaxInt64
}

// sweepTo sweeps the strip between two neighbouring events.
func (s *Sweep) sweepTo(at, to height) {
	y0, y1 := at.y(), to.y()
	if s.raise(y1, to) {
		s.strip(y0, y1, s.act)
		return
	}
	s.beam(y0, y1)
	s.findEnds(to) // they may have changed places
}

// findEnds lists the edges that end at a height.
func (s *Sweep) findEnds(at height) {
	s.ends = slices.Grow(s.ends[:0], len(s.act))[:len(s.act)]
	n := 0
	for i := range s.act {
		s.ends[n] = int32(i)
		if s.act[i].top <= at {
			n++
		}
	}
	s.ends = s.ends[:n]
}

func (s *Sweep) finish() {
	for k := range s.outs[:s.n] {
		s.outs[k].join()
	}
}

// lesser is min without its care for NaN and -0.
func lesser(a, b float64) float64 {
	if b < a {
		return b
	}
	return a
}

func (e *edge) at(y float64) float64 {
	switch {
	case y <= e.y0:
		return e.x0
	case y >= e.y1:
		return e.x1
	}
	return e.x0 + float64((e.x1-e.x0)*((y-e.y0)/(e.y1-e.y0)))
}

func byLower(a, b *active) bool {
	if a.x0 != b.x0 {
		return a.x0 < b.x0
	}
	if a.x1 != b.x1 {
		return a.x1 < b.x1
	}
	return a.e < b.e
}

// raise follows the active edges up to y and says whether they are sorted
// there, and were below.
func (s *Sweep) raise(y float64, at height) bool {
	act := s.act
	ends := slices.Grow(s.ends[:0], len(act))[:len(act)]
	n := 0
	for i := range act {
		a := &act[i]
		a.x0 = a.x1
		// As edge.at(y): y lies above the lower end, and what ends comes next.
		a.x1 = a.at(y)
		ends[n] = int32(i)
		if a.top <= at {
			n++
		}
	}
	s.ends = ends[:n]
	for _, i := range s.ends {
		act[i].x1 = act[i].topX
	}
	for i := 1; i < len(act); i++ {
		a, b := &act[i-1], &act[i]
		if !(a.x1 <= b.x1 && (a.x0 < b.x0 || byLower(a, b))) {
			return false
		}
	}
	return true
}

// beam handles the strip between two neighbouring events; edges cross only
// inside it, and it is cut where they do.
func (s *Sweep) beam(y0, y1 float64) {
	act := s.act
	for i := 1; i < len(act); i++ { // nearly sorted from the beam before
		for j := i; j > 0 && byLower(&act[j], &act[j-1]); j-- {
			act[j], act[j-1] = act[j-1], act[j]
		}
	}
	sorted := true
	for i := 1; i < len(act); i++ {
		if act[i].x1 < act[i-1].x1 {
			sorted = false
			break
		}
	}
	if sorted {
		s.strip(y0, y1, act)
		return
	}
	s.cross = s.cross[:0]
	s.bub = append(s.bub[:0], act...)
	b := s.bub
	for i := 1; i < len(b); i++ {
		for j := i; j > 0 && b[j].x1 < b[j-1].x1; j-- {
			lo := b[j].x0 - b[j-1].x0
			hi := b[j-1].x1 - b[j].x1
			y := y0 + float64((y1-y0)*(lo/(lo+hi)))
			if y > y0 && y < y1 {
				s.cross = append(s.cross, y)
			}
			b[j], b[j-1] = b[j-1], b[j]
		}
	}
	slices.Sort(s.cross)
	s.cross = append(slices.Compact(s.cross), y1)
	for k := range act {
		act[k].x1 = act[k].x0
	}
	lo := y0
	for _, hi := range s.cross {
		if s.spent += len(act); s.enough() {
			return
		}
		for k := range act {
			act[k].x0 = act[k].x1
			act[k].x1 = s.edges[act[k].e].at(hi)
		}
		for i := 1; i < len(act); i++ {
			for j := i; j > 0 && act[j].x0+act[j].x1 < act[j-1].x0+act[j-1].x1; j-- {
				act[j], act[j-1] = act[j-1], act[j]
			}
		}
		s.strip(lo, hi, act)
		lo = hi
	}
}

// strip hands out the trapezoids of a strip in which no edges cross.
func (s *Sweep) strip(y0, y1 float64, act []active) {
	for k := range s.outs[:s.n] {
		s.outs[k].begin(y0)
	}
	in := chosen(0)
	for i := range act {
		a := &act[i]
		s.wind[a.set] += a.wind
		now := chosen(0)
		if i+1 < len(act) {
			b := &act[i+1]
			switch w := ((b.x0 - a.x0) + (b.x1 - a.x1)) / 2; {
			case !(w > 0):
				now = in // no width: nothing to ask, nothing to outline
			case s.within && s.wind[0] <= 0, s.stop:
			default:
				// Field by field: a copy of fields just written has to wait for them.
				t := &s.trap
				t.Y0, t.Y1 = y0, y1
				t.L0, t.R0, t.L1, t.R1 = a.x0, b.x0, a.x1, b.x1
				t.wide, t.ldx, t.ldy, t.rdx, t.rdy = w, a.dx, a.dy, b.dx, b.dy
				if s.one != nil {
					if s.one(s.wind, t) {
						now = 1
					}
				} else {
					now = chosenBy(s.both(s.wind, t))
				}
			}
		}
		for k := range s.outs[:s.n] {
			if !remains(a.sides[k], in>>k&1, now>>k&1) {
				s.outs[k].pass(a, k, in, now)
			}
		}
		in = now
	}
	for k := range s.outs[:s.n] {
		s.outs[k].join()
	}
}
