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
	lo, hi := 0.0, most
	under, over := s.margin(lo, v)-m, s.margin(hi, v)-m
	if under >= 0 {
		return -1
	}
	if over < 0 {
		return most
	}
	for range belowSteps {
		// By false position, and a little farther out, so that hi comes near.
		mid := lo - (hi-lo)*(under/(over-under))
		mid += (hi - mid) / 16
		if d := s.margin(mid, v) - m; d < 0 {
			lo, under = mid, d
		} else {
			hi, over = mid, d
		}
	}
	return hi
}

// belowSteps is how many steps are taken to find below: nearly always to some
// hundredths of a micron, or less. A pair that lies between is looked at for
// nothing.
const belowSteps = 5

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
