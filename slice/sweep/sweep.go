// Package sweep answers questions about overlapping polygons by sweeping a
// line across the plane: it cuts the plane into trapezoids between which
// nothing crosses, tells for each which polygons cover it, and joins the
// chosen ones into outlines again.
package sweep

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// The plane is turned before it is swept, so that the horizontal and vertical
// lines drawings are full of meet the sweep line at an angle: then a sliver
// between two nearly equal lines is thin along the sweep line too, and no
// edge of a box lies on the line itself. (0.6, 0.8 would be exact in decimals
// and hit drawings made of 3-4-5 triangles; this is 34.377... degrees.)
var turnSin, turnCos = math.Sincos(0.6)

// Sweep collects polygons and sweeps them. The zero value is ready; Reset
// makes it empty again and keeps its memory. Not safe for concurrent use.
type Sweep struct {
	pts   []r2.Vec // original points, as given
	edges []edge
	sets  int
	order []start // where chains of edges begin
	act   []active
	bub   []active
	cross []float64
	wind  []int32
	outs  [2]outliner                            // the second is used by RunBoth only
	n     int                                    // of outs in use
	one   func([]int32, *Trapezoid) bool         // Run's fill
	both  func([]int32, *Trapezoid) (bool, bool) // RunBoth's
	// within says that only what set 0 covers is asked about.
	within bool
	trap   Trapezoid // handed to fill
	// most bounds spent, the pieces that crossings of edges make, if above 0.
	most, spent int
	clip        [2][]r2.Vec
	ground      ground
	base        []int32 // by set: how often what was not added goes round all of set 0
}

// edge runs upward in the turned plane.
type edge struct {
	x0, y0, x1, y1 float64
	p0, p1         int32 // original points of the lower and the upper end
	// next is the edge of the ring that goes on upward from the upper end, -1
	// if none does.
	next   int32
	set    int32
	wind   int32 // what crossing it from left to right adds to the winding number
	cosine float64
}

// start is where a chain of edges begins, to sort by.
type start struct {
	y float64
	e int32
}

// active is an edge in the present beam with its abscissae at both ends.
type active struct {
	x0, x1 float64
	edge   edge // a copy: the edges of a beam lie far apart in Sweep.edges
	e      int32
}

// Trapezoid is a piece of the plane between two neighbouring edges.
type Trapezoid struct {
	// Y0, Y1 bound it along the sweep; L0, R0 are its left and right end at
	// Y0, L1, R1 at Y1: all in the turned plane.
	Y0, Y1, L0, R0, L1, R1 float64
	// Thick is its thickness between the two edges, mm: its mean width along
	// the sweep line by the lesser cosine of the two edges.
	Thick float64
}

// Area is the trapezoid's area in mm2.
func (t Trapezoid) Area() float64 {
	return float64((t.R0-t.L0)+(t.R1-t.L1)) / 2 * (t.Y1 - t.Y0)
}

// At is the point of the trapezoid at the given shares of its height and of
// its width, on the original axes.
func (t Trapezoid) At(up, across float64) r2.Vec {
	l := t.L0 + up*(t.L1-t.L0)
	r := t.R0 + up*(t.R1-t.R0)
	return unturn(l+across*(r-l), t.Y0+up*(t.Y1-t.Y0))
}

func turn(p r2.Vec) (x, y float64) {
	return float64(turnCos*p.X) - float64(turnSin*p.Y), float64(turnSin*p.X) + float64(turnCos*p.Y)
}

func unturn(x, y float64) r2.Vec {
	return r2.Vec{X: float64(turnCos*x) + float64(turnSin*y), Y: float64(turnCos*y) - float64(turnSin*x)}
}

// Reset empties the sweep.
func (s *Sweep) Reset() {
	s.pts, s.order, s.edges, s.sets = s.pts[:0], s.order[:0], s.edges[:0], 0
	s.base, s.ground.rings, s.ground.known = s.base[:0], s.ground.rings[:0], false
}

// Add adds a closed ring (the first point not repeated) to a set, numbered
// from 0. Counter-clockwise rings add 1 to the set's winding number inside.
func (s *Sweep) Add(ring []r2.Vec, set int) {
	s.sets = max(s.sets, set+1)
	base := int32(len(s.pts))
	s.pts = append(s.pts, ring...)
	n := len(ring)
	if n == 0 {
		return
	}
	if set == 0 {
		s.ground.rings, s.ground.known = append(s.ground.rings, [2]int32{base, base + int32(n)}), false
	}
	first := len(s.edges)
	ax, ay := turn(ring[n-1])
	a := base + int32(n-1)
	for i := range ring {
		b := base + int32(i)
		bx, by := turn(ring[i])
		if ay < by || ay > by {
			e := edge{x0: ax, y0: ay, x1: bx, y1: by, p0: a, p1: b, set: int32(set), wind: -1}
			if ay > by {
				e = edge{x0: bx, y0: by, x1: ax, y1: ay, p0: b, p1: a, set: int32(set), wind: 1}
			}
			e.cosine = (e.y1 - e.y0) / math.Hypot(e.x1-e.x0, e.y1-e.y0)
			s.edges = append(s.edges, e)
		}
		a, ax, ay = b, bx, by
	}
	s.chain(int32(first), int32(len(s.edges)))
}

// chain links the edges of a ring into chains that run upward. What lies
// along the sweep line between two edges is no edge.
func (s *Sweep) chain(first, end int32) {
	before := end - 1
	for e := first; e < end; e++ {
		a, b := &s.edges[before], &s.edges[e]
		switch {
		case a.wind == b.wind && a.wind < 0:
			a.next = e
		case a.wind == b.wind:
			b.next = before
		case a.wind < 0: // both end here
			a.next, b.next = -1, -1
		default: // both begin here
			s.order = append(s.order, start{a.y0, before}, start{b.y0, e})
		}
		before = e
	}
}

// Run sweeps, and calls fill for every trapezoid with the winding number of
// each set; slice and trapezoid belong to the sweep. Trapezoids for which fill answers
// true make up the region whose outline is returned: rings with the region on
// their left. Points that were added keep their exact coordinates; points
// where edges cross are computed once.
func (s *Sweep) Run(fill func(w []int32, t *Trapezoid) bool) [][]r2.Vec {
	s.one, s.both, s.n = fill, nil, 1
	if !s.run() {
		return nil
	}
	return s.outs[0].rings(s)
}

// RunOver is Run for regions of which set 0 covers all: fill is asked of no
// other trapezoids.
func (s *Sweep) RunOver(fill func(w []int32, t *Trapezoid) bool) [][]r2.Vec {
	s.within = true
	defer func() { s.within = false }()
	return s.Run(fill)
}

// RunWithin is Run with a bound on the work: it gives up, and answers false,
// once crossings of edges have made more than most pieces. Without crossings
// the work is bounded by the points.
func (s *Sweep) RunWithin(most int, fill func(w []int32, t *Trapezoid) bool) ([][]r2.Vec, bool) {
	s.most = most
	rings := s.Run(fill)
	over := s.spent > most
	s.most = 0
	if over {
		return nil, false
	}
	return rings, true
}

// spentAll says that the bound on the work is passed.
func (s *Sweep) spentAll() bool { return s.most > 0 && s.spent > s.most }

// RunBoth is Run for two regions at once: fill answers for each.
func (s *Sweep) RunBoth(fill func(w []int32, t *Trapezoid) (first, second bool)) (first, second [][]r2.Vec) {
	s.one, s.both, s.n = nil, fill, 2
	if !s.run() {
		return nil, nil
	}
	return s.outs[0].rings(s), s.outs[1].rings(s)
}

// chosen holds a bit for each region a trapezoid belongs to.
type chosen uint8

func chosenBy(first, second bool) chosen {
	var c chosen
	if first {
		c = 1
	}
	if second {
		c |= 2
	}
	return c
}

// run sweeps and leaves the sides of the regions in outs; false if there is
// nothing to sweep.
func (s *Sweep) run() bool {
	s.spent = 0
	if len(s.edges) == 0 {
		return false
	}
	for i := range s.outs[:s.n] {
		s.outs[i].reset(len(s.edges))
	}
	s.wind = append(s.wind[:0], make([]int32, s.sets)...)
	slices.SortFunc(s.order, func(a, b start) int {
		switch {
		case a.y < b.y:
			return -1
		case a.y > b.y:
			return 1
		}
		return int(a.e - b.e)
	})
	s.act = s.act[:0]
	next := 0
	for y0 := s.order[0].y; ; {
		// Every point is an event, and is where an edge ends or a chain begins.
		y1 := math.Inf(1)
		kept := 0
		for i := range s.act {
			a := &s.act[i]
			if a.x0 = a.x1; a.edge.y1 <= y0 {
				if a.edge.next < 0 {
					continue
				}
				a.e = a.edge.next
				a.edge = s.edges[a.e]
				a.x0 = a.edge.x0
			}
			y1 = lesser(y1, a.edge.y1)
			if kept != i {
				s.act[kept] = *a
			}
			kept++
		}
		s.act = s.act[:kept]
		for ; next < len(s.order) && s.order[next].y <= y0; next++ {
			e := s.order[next].e
			a := active{e: e, edge: s.edges[e]}
			a.x0 = a.edge.x0
			y1 = lesser(y1, a.edge.y1)
			s.act = append(s.act, a)
		}
		if next < len(s.order) {
			y1 = lesser(y1, s.order[next].y)
		} else if len(s.act) == 0 {
			s.line(y0)
			return true
		}
		if s.raise(y1) {
			s.strip(y0, y1, s.act)
		} else if s.beam(y0, y1); s.spentAll() {
			return false
		}
		y0 = y1
	}
}

// lesser is min without its care for NaN and -0.
func lesser(a, b float64) float64 {
	if b < a {
		return b
	}
	return a
}

func (s *Sweep) line(y float64) {
	for i := range s.outs[:s.n] {
		s.outs[i].line(y)
	}
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
func (s *Sweep) raise(y float64) bool {
	sorted := true
	for i := range s.act {
		a := &s.act[i]
		// As e.at(y), which a call and a comparison more would make slower: y
		// lies above e.y0.
		if e := &a.edge; y >= e.y1 {
			a.x1 = e.x1
		} else {
			a.x1 = e.x0 + float64((e.x1-e.x0)*((y-e.y0)/(e.y1-e.y0)))
		}
		if i > 0 && sorted {
			b := &s.act[i-1]
			sorted = b.x1 <= a.x1 && (b.x0 < a.x0 || byLower(b, a))
		}
	}
	return sorted
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
	lo := y0
	for k := range b {
		b[k].x1, b[k].edge, b[k].e = act[k].x0, act[k].edge, act[k].e
	}
	for _, hi := range s.cross {
		if s.spent += len(b); s.spentAll() {
			return
		}
		for k := range b {
			b[k].x0 = b[k].x1
			b[k].x1 = b[k].edge.at(hi)
		}
		for i := 1; i < len(b); i++ {
			for j := i; j > 0 && b[j].x0+b[j].x1 < b[j-1].x0+b[j-1].x1; j-- {
				b[j], b[j-1] = b[j-1], b[j]
			}
		}
		s.strip(lo, hi, b)
		lo = hi
	}
}

// strip hands out the trapezoids of a strip in which no edges cross.
func (s *Sweep) strip(y0, y1 float64, act []active) {
	s.line(y0)
	clear(s.wind)
	copy(s.wind, s.base)
	in := chosen(0)
	for i := range act {
		a := &act[i]
		s.wind[a.edge.set] += a.edge.wind
		now := chosen(0)
		if i+1 < len(act) {
			b := &act[i+1]
			switch w := ((b.x0 - a.x0) + (b.x1 - a.x1)) / 2; {
			case !(w > 0):
				now = in // no width: nothing to ask, nothing to outline
			case s.within && s.wind[0] <= 0:
			default:
				// Field by field: a copy of fields just written has to wait for them.
				t := &s.trap
				t.Y0, t.Y1 = y0, y1
				t.L0, t.R0, t.L1, t.R1 = a.x0, b.x0, a.x1, b.x1
				t.Thick = w * lesser(a.edge.cosine, b.edge.cosine)
				if s.one != nil {
					if s.one(s.wind, t) {
						now = 1
					}
				} else {
					now = chosenBy(s.both(s.wind, t))
				}
			}
		}
		if now != in {
			for k := range s.outs[:s.n] {
				if bit := chosen(1) << k; (now^in)&bit != 0 {
					s.outs[k].add(a.e, a.x0, a.x1, now&bit != 0)
				}
			}
			in = now
		}
	}
}
