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
	ends  []int32 // positions in act of the edges that end with the present beam
	next  int     // the next of order to begin
	wind  []int32
	outs  [2]outliner                            // the second is used by RunBoth only
	n     int                                    // of outs in use
	one   func([]int32, *Trapezoid) bool         // Run's fill
	both  func([]int32, *Trapezoid) (bool, bool) // RunBoth's
	// within says that only what set 0 covers is asked about.
	within bool
	// stop says that no more is to be asked.
	stop bool
	// union says that what set 0 covers is outlined and nobody asks.
	union   bool
	corners []corner  // of what is passed by
	passed  int       // edges that were passed by
	trap    Trapezoid // handed to fill
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
	next int32
	set  int32
	wind int32 // what crossing it from left to right adds to the winding number
}

// start is where a chain of edges begins, to sort by.
type start struct {
	y height
	e int32
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
	s.edges = slices.Grow(s.edges, n)
	ax, ay := turn(ring[n-1])
	a := base + int32(n-1)
	for i := range ring {
		b := base + int32(i)
		bx, by := turn(ring[i])
		if ay < by || ay > by {
			// Field by field: a copy of fields just written has to wait for them.
			s.edges = s.edges[:len(s.edges)+1]
			e := &s.edges[len(s.edges)-1]
			e.set = int32(set)
			if ay < by {
				e.x0, e.y0, e.x1, e.y1, e.p0, e.p1, e.wind = ax, ay, bx, by, a, b, -1
			} else {
				e.x0, e.y0, e.x1, e.y1, e.p0, e.p1, e.wind = bx, by, ax, ay, b, a, 1
			}
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
			s.order = append(s.order, start{heightOf(a.y0), before}, start{heightOf(b.y0), e})
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
	return cloned(s.outs[0].rings(s))
}

// RunOver is Run for regions of which set 0 covers all: fill is asked of no
// other trapezoids.
func (s *Sweep) RunOver(fill func(w []int32, t *Trapezoid) bool) [][]r2.Vec {
	s.within = true
	defer func() { s.within = false }()
	return s.Run(fill)
}

// Any says whether ask answers true for some trapezoid that set 0 covers: those
// after the first such are not asked about.
func (s *Sweep) Any(ask func(w []int32, t *Trapezoid) bool) bool {
	found := false
	s.one, s.both, s.n = func(w []int32, t *Trapezoid) bool {
		found = ask(w, t)
		s.stop = found
		return false
	}, nil, 0
	s.within = true
	defer func() { s.within, s.stop = false, false }()
	s.run()
	return found
}

// RunWithin is Run with a bound on the work: it gives up, and answers false,
// once crossings of edges have made more than most pieces. Without crossings
// the work is bounded by the points.
func (s *Sweep) RunWithin(most int, fill func(w []int32, t *Trapezoid) bool) ([][]r2.Vec, bool) {
	s.most = most
	defer func() { s.most = 0 }()
	rings := s.Run(fill)
	if s.spent > most {
		return nil, false
	}
	return rings, true
}

// Union is RunWithin for the outline of what set 0 covers, whatever other sets
// do. The rings belong to the sweep, and are good until it is used again.
func (s *Sweep) Union(most int) ([][]r2.Vec, bool) {
	s.one, s.both, s.n = func(w []int32, _ *Trapezoid) bool { return w[0] > 0 }, nil, 1
	s.most, s.union = most, true
	defer func() { s.most, s.union = 0, false }()
	if !s.run() || s.spent > most {
		return nil, s.spent <= most
	}
	return s.outs[0].rings(s), true
}

// enough says that the sweep need not go on: the bound on the work is passed,
// or Any has its answer.
func (s *Sweep) enough() bool { return s.stop || s.most > 0 && s.spent > s.most }

// RunBoth is Run for two regions at once: fill answers for each.
func (s *Sweep) RunBoth(fill func(w []int32, t *Trapezoid) (first, second bool)) (first, second [][]r2.Vec) {
	s.one, s.both, s.n = nil, fill, 2
	if !s.run() {
		return nil, nil
	}
	return cloned(s.outs[0].rings(s)), cloned(s.outs[1].rings(s))
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
