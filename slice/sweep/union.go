package sweep

// Where only the outline of a union is asked for, nothing happens as long as
// the same chains run up side by side, well apart: they are passed by, flights
// of edges at a time, and not even looked at where they lie. Most are such,
// since the walls of a part cross but here and there.
//
// A flight is what of a chain is passed by at once: the edges from active.e to
// active.last, which lie between x0 and x1. An edge that is swept is a flight of
// its own.

// flightEdges is the most edges in a flight, and how many are flights of their
// own where a longer one is not apart from another.
const flightEdges = 6

// corner is where a chain goes on from one edge to another.
type corner struct {
	i int32 // the position in act
	e int32 // the edge that ends
	x float64
}

// unite is run for a union.
func (s *Sweep) unite() bool {
	s.passed = 0
	apart := false // all active edges keep clear of each other until one of them ends
	for at := s.order[0].y; ; {
		var to height
		y := at.y()
		if apart && s.staysApart(at) {
			s.passBy(y)
			to, _ = s.until()
			s.findEnds(to)
		} else {
			if apart {
				s.landAll(at)
			}
			s.turnCorners(y)
			s.advance(at)
			some := false
			if to, some = s.until(); !some {
				s.finish()
				return true
			}
			apart = true
			for i := 1; i < len(s.act) && apart; i++ {
				apart = s.clear(i, y)
			}
			s.sweepTo(at, to)
		}
		if s.enough() {
			return false
		}
		at = to
	}
}

// staysApart goes on from the flights that end at a height to those that
// follow, and says whether all is still apart and may be passed by: the edges
// were apart before, all that ended are followed by others that are apart from
// their neighbours too, and none begin.
func (s *Sweep) staysApart(at height) bool {
	if s.next < len(s.order) && s.order[s.next].y <= at {
		return false
	}
	for _, i := range s.ends {
		if s.act[i].next < 0 {
			return false
		}
	}
	for _, i := range s.ends {
		a := &s.act[i]
		s.corners = append(s.corners, corner{i, a.last, a.topX})
		s.takeFlight(a)
	}
	ended := s.ends
	s.ends = s.ends[:0]
	y := at.y()
	for _, i := range ended {
		if !s.clear(int(i), y) || !s.clear(int(i)+1, y) {
			return false
		}
	}
	// What lies along the sweep line between two edges may reach beyond what
	// lies so beside it.
	if len(s.corners) > 1 {
		for _, c := range s.corners {
			if s.act[c.i].lowX != c.x {
				return false
			}
		}
	}
	return true
}

// takeFlight makes a chain go on with its next edges.
func (s *Sweep) takeFlight(a *active) {
	s.take(a, a.next)
	if a.alone > 0 {
		a.alone--
		return
	}
	lo, hi := a.bounds()
	for n := 1; n < flightEdges && a.next >= 0; n++ {
		e := &s.edges[a.next]
		a.last, a.next, a.topX, a.top = a.next, e.next, e.x1, heightOf(e.y1)
		lo, hi = lesser(lo, lesser(e.x0, e.x1)), -lesser(-hi, lesser(-e.x0, -e.x1))
		s.passed++
	}
	a.x0, a.x1 = lo, hi
}

// bounds are the abscissae between which a flight lies.
func (a *active) bounds() (lo, hi float64) {
	if a.last != a.e {
		return a.x0, a.x1
	}
	return lesser(a.lowX, a.topX), -lesser(-a.lowX, -a.topX)
}

// land leaves of the flight at a position in act the edge that goes on upward
// from y.
func (s *Sweep) land(i int, y float64) {
	a := &s.act[i]
	if a.last == a.e {
		return
	}
	e, below := a.e, int32(-1)
	for s.edges[e].y1 <= y {
		e, below = s.edges[e].next, e
	}
	if below >= 0 && s.edges[below].y1 == y {
		s.corners = append(s.corners, corner{int32(i), below, s.edges[below].x1})
	}
	s.take(a, e)
}

// landAll lands all flights that do not end at a height, and finds where the
// edges lie there.
func (s *Sweep) landAll(at height) {
	y := at.y()
	for i := range s.act {
		if a := &s.act[i]; a.top > at {
			s.land(i, y)
			a.x1 = a.at(y)
		}
	}
}

// clear says whether active edge i keeps clear of the one to its left from y on
// until one of them, or the flight it belongs to, ends.
func (s *Sweep) clear(i int, y float64) bool {
	if i == 0 || i == len(s.act) {
		return true
	}
	a, b := &s.act[i-1], &s.act[i]
	_, hi := a.bounds()
	if lo, _ := b.bounds(); lo-hi > touchWithin {
		return true
	}
	for k := i - 1; k <= i; k++ {
		if c := &s.act[k]; c.last != c.e {
			s.land(k, y)
			c.alone = flightEdges
		}
	}
	if !(b.at(y)-a.at(y) > touchWithin) {
		return false
	}
	l, r := a.topX, b.topX
	if a.top > b.top {
		l = a.at(b.top.y())
	} else if a.top < b.top {
		r = b.at(a.top.y())
	}
	return r-l > touchWithin
}

// passBy goes on by a strip that begins at y: edges that follow others are sides
// as those were. All sides begin and end in strips that are swept.
func (s *Sweep) passBy(y float64) {
	o := &s.outs[0]
	o.begin(y)
	for _, c := range s.corners {
		if side := s.act[c.i].sides[0]; side != 0 {
			o.goOn(side)
		}
	}
	s.corners = s.corners[:0]
}

// turnCorners ends the sides that edges were that ended at y within a flight.
func (s *Sweep) turnCorners(y float64) {
	o := &s.outs[0]
	for _, c := range s.corners {
		o.leave(&s.act[c.i].sides[0], c.e, c.x, y, o.strip)
	}
	s.corners = s.corners[:0]
}
