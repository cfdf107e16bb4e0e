package gapscan

import (
	"math"

	"playgauge/gapscan/machine"
)

// Thresholds of the margin. A need counts as met from metShare of it: the
// facets of a round pin drawn at the machine's own limit bring its gap to
// cos(pi/64) = 0.9988 of that, and microns weld nothing.
const (
	closeFrom = 1.0
	freeFrom  = 1.25
	metShare  = 0.995
)

// outcomeOf judges a margin and, where it is short, the size of the weld in
// mm2: below crack it is expected to crack free by hand.
func outcomeOf(margin, weld, crack float64) Outcome {
	switch {
	case margin >= freeFrom*metShare:
		return Free
	case margin >= closeFrom*metShare:
		return Close
	case weld < crack:
		return Sticks
	}
	return Welds
}

// severity orders outcomes, worst first.
func (o Outcome) severity() int {
	switch o {
	case Welds:
		return 0
	case Sticks:
		return 1
	case Close:
		return 2
	case Free:
		return 3
	}
	return 4
}

// defaultReach is how far apart parts are looked at, mm, at least.
const defaultReach = 2.0

func reachFor(n machine.Needs) float64 {
	return max(defaultReach, 4*max(n.Side, n.Roof, n.Bottom))
}

// stagger is the relation of a bead in one layer to a bead in a lower one:
// beads have rounded sides of half their height as radius. All lengths mm.
type stagger struct {
	dz   float64 // between the middles
	rr   float64 // sum of the two radii
	side float64 // the side need
}

// gap is the distance of the two beads' surfaces whose islands lie d apart in
// plan (not overlapping).
func (s stagger) gap(d float64) float64 {
	return max(math.Hypot(d+s.rr, s.dz)-s.rr, 0)
}

// roofGap is the same where the islands overlap.
func (s stagger) roofGap() float64 { return max(s.dz-s.rr, 0) }

// margin is the clearance over the need for islands d apart in plan; v is the
// need in the vertical: the roof's where the upper bead hangs, the side's
// where it stands. It grows with d, and falls as v grows.
func (s stagger) margin(d, v float64) float64 {
	dx := d + s.rr
	r := math.Hypot(dx, s.dz)
	if r <= s.rr {
		return 0
	}
	return (r - s.rr) * math.Hypot(dx/s.side, s.dz/v) / r
}

// below is about the largest d, at most most, for which margin(d, v) is less
// than m, and not less: no pair farther apart than that can come below m.
// Negative if none can.
func (s stagger) below(m, v, most float64) float64 {
	// The need in the direction of the gap is one between the two.
	lo, hi := min(max(s.within(m*min(s.side, v)), 0), most), min(s.reach(m, v)+belowNoise, most)
	under, over := s.margin(lo, v)-m, s.margin(hi, v)-m
	switch {
	case under >= 0 && lo == 0:
		return -1
	case under >= 0:
		return min(lo+belowNoise, most)
	}
	moved := 0.0 // the end that moved last, by its sign
	for k := 0; k < belowSteps && over > 0 && hi-lo > 2*belowNoise; k++ {
		// By false position, and a little farther out, so that hi comes near. Of
		// an end that would stay, half the height brings the next place nearer.
		mid := min(lo-(hi-lo)*(under/(over-under)), hi-2*belowNoise) + belowNoise
		d := s.margin(mid, v) - m
		if d < 0 {
			lo, under = mid, d
		} else {
			hi, over = mid, d
		}
		switch again := moved*d > 0; {
		case again && d < 0:
			over /= 2
		case again:
			under /= 2
		}
		moved = d
	}
	return hi
}

// belowNoise is how far beyond it below may lie, mm, nearly always: of walls at
// one distance, none is looked at but the first, and of those drawn in float32
// few are at one distance so nearly. It is more than rounding makes of a margin.
const belowNoise = 1e-9

// belowSteps is how many steps are taken at most to find below: so many bring
// it there, and where the two needs are equal none is taken.
const belowSteps = 8

// reach is a d beyond which margin(d, v) is surely not less than m, negative
// if it never is: like below, quicker and less tight. The need is nowhere
// more than the greater of the two.
func (s stagger) reach(m, v float64) float64 { return s.within(m * max(s.side, v)) }

// within is the largest d for which the beads' gap is at most reach, negative
// if there is none.
func (s stagger) within(reach float64) float64 {
	x := (reach+s.rr)*(reach+s.rr) - s.dz*s.dz
	if x < 0 {
		return -1
	}
	return math.Sqrt(x) - s.rr
}
