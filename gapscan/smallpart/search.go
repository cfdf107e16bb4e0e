package smallpart

import (
	"container/heap"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// search looks for the rotation of greatest slack by branch and bound.
type search struct {
	b     *body
	best  float64 // the greatest slack of all points found, if worth knowing
	at    pose    // where
	peak  float64 // the greatest slack of the few found since they last grew
	queue cells
	made  int  // cells put into the queue
	limit int  // on the body's work
	none  bool // no position is left that is not clearly too tight
}

func newSearch(b *body) *search {
	return &search{b: b, best: math.Inf(-1), peak: math.Inf(-1), limit: budget + perPoint*len(b.all)}
}

// bounded is a cell whose rotations have no more slack than bound.
type bounded struct {
	cell
	bound float64
	by    []contact // what bounds it
	turn  int       // order of arrival: the earlier of two equals goes first
}

// cells is a heap, greatest bound first.
type cells []bounded

func (q cells) Len() int { return len(q) }
func (q cells) Less(i, j int) bool {
	if q[i].bound != q[j].bound {
		return q[i].bound > q[j].bound
	}
	return q[i].turn < q[j].turn
}
func (q cells) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *cells) Push(x any)   { *q = append(*q, x.(bounded)) }
func (q *cells) Pop() any {
	last := len(*q) - 1
	x := (*q)[last]
	*q = (*q)[:last]
	return x
}

// wanted is the slack that would change the verdict: where a position is
// known that is not clearly too tight, only one that clearly fits.
func (s *search) wanted() float64 {
	if s.best >= -CloseMM {
		return CloseMM
	}
	return -CloseMM
}

// run branches until the body is seen to fit, nothing is left, or the work
// reaches the limit. It returns whether nothing is left: no rotation then has
// the wanted slack.
func (s *search) run() bool {
	for face := range 4 {
		s.consider(cell{face: face, half: [3]float64{1, 1, 1}}, nil)
	}
	for len(s.queue) > 0 {
		if s.best >= CloseMM || s.b.work > s.limit {
			return false
		}
		c := heap.Pop(&s.queue).(bounded)
		if c.bound < s.wanted() {
			return true
		}
		for _, h := range c.split() {
			s.consider(h, c.by)
		}
	}
	return true
}

// refineEvery is the number of cells between two refinements without a sign
// that they pay. Refining is dearer than bounding and seldom finds a better
// place after the first.
const refineEvery = 16

// consider bounds a cell, keeps it if it may hold what is wanted, and tries
// the place the bound points to. What bounded the cell it was cut from may do.
func (s *search) consider(c cell, by []contact) {
	lp, q := c.program()
	bound := lp.bound(s.b, s.wanted(), by)
	if bound < s.wanted() {
		return
	}
	heap.Push(&s.queue, bounded{c, bound, lp.contacts(), s.made})
	s.made++
	at := pose{q.turned(lp.lean3()), r3.Vec{X: lp.x[3], Y: lp.x[4], Z: lp.x[5]}}
	if has := s.b.slackFew(at); has > s.peak || has >= s.wanted() || s.made%refineEvery == 0 {
		s.refine(at, max(c.half[0], c.half[1], c.half[2]))
	}
}

// refine climbs from a pose to one of locally greatest slack, in steps that
// turn by no more than about the given angle in radians, and offers it.
func (s *search) refine(at pose, step float64) {
	const (
		steps  = 24
		least  = 1e-4 // rad: 3 microns at the gauge's longest rod
		gained = 1e-5 // mm
	)
	has := s.b.slackFew(at)
	for range steps {
		if has >= CloseMM {
			grown := s.offer(at, has)
			if s.best >= CloseMM || !grown {
				return
			}
			has = s.b.slackFew(at)
		}
		lp := program{rot: at.turn.matrix(), lean: [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}, half: [3]float64{step / 2, step / 2, step / 2}}
		model := lp.solve(s.b)
		to := pose{at.turn.turned(lp.lean3()), r3.Vec{X: lp.x[3], Y: lp.x[4], Z: lp.x[5]}}
		got := s.b.slackFew(to)
		if model-has < gained || step < least {
			break
		}
		switch {
		case got-has < 0.3*(model-has):
			step /= 3
		case got-has > 0.8*(model-has):
			step = min(1.5*step, 0.8)
		}
		if got > has {
			at, has = to, got
		}
	}
	s.offer(at, has)
}

// offer measures a pose on all points, if with the few it would change the
// verdict, and says whether the few became more.
func (s *search) offer(at pose, has float64) (grown bool) {
	s.peak = max(s.peak, has)
	if has < s.wanted() {
		return false
	}
	got, grown := s.b.slackAll(at, has-settled)
	if grown {
		s.peak = math.Inf(-1)
	}
	if got > s.best {
		s.best, s.at = got, at
	}
	return grown
}

// starts are places worth trying first: the body upright, and laid along the
// longest rod, each with its broad side to the front and to the side.
func starts() []quat {
	up := r3.Vec{Z: 1}
	rod := r3.Vec{X: -WidthMM / longest(0), Z: DeepMM / longest(0)}
	var out []quat
	for _, x := range []r3.Vec{up, rod} {
		y := r3.Vec{Y: 1}
		for range 2 {
			z := cross(x, y)
			// Columns x, y, z carry the body's own axes.
			out = append(out, quatOf(matrix{{X: x.X, Y: y.X, Z: z.X}, {X: x.Y, Y: y.Y, Z: z.Y}, {X: x.Z, Y: y.Z, Z: z.Z}}))
			y = z
		}
	}
	return out
}
