package machine

import "math"

// Prior is what is known of a threshold before any trial. Millimetres, but
// nothing in Fit depends on that.
type Prior struct {
	// Threshold is the gap that comes out free every other time, Spread the
	// standard deviation of what a single joint needs about it.
	Threshold, Spread Bounded
	// Stick is how much wider a joint that sticks would have had to be to
	// come out free. With 0 a joint that sticks is one that is not free and
	// no more is made of it.
	Stick float64
}

// Bounded is a positive quantity of which little is known: log-normal about
// Median, with LogSD the standard deviation of its natural logarithm, cut off
// below Lo and above Hi. With LogSD 0 it is flat from Lo to Hi.
type Bounded struct {
	Median, LogSD float64
	Lo, Hi        float64
}

// logDensity is the logarithm of the density at x > 0, but for a constant.
func (b Bounded) logDensity(x float64) float64 {
	if b.LogSD == 0 {
		return 0
	}
	lx := math.Log(x)
	u := (lx - math.Log(b.Median)) / b.LogSD
	return -0.5*float64(u*u) - lx
}

// The priors of the three families that are judged by their gap.
//
// Threshold. Tested limits of 0.2 to 0.3 mm are usual on filament printers,
// gauges run from 0.2 to 0.6 and design guides ask for 0.3 to 0.5 between
// printed bodies (common practice; Cuellar et al. 2018, Proc IMechE H
// 232:962-971; the design guides of three print services). A side threshold
// about 0.25 with a LogSD of 0.5 holds 95 % between 0.09 and 0.67. In the
// bottom layers the plastic spreads: a 0.20 mm layer squeezed to 0.15 closes a
// gap by 0.125 mm, so the median is taken half of that higher; 95 % between
// 0.12 and 0.83. For roofs the guides ask for one layer at least, layers are
// 0.1 to 0.3 mm high and two layers of 0.2 commonly come free: judgement puts
// its median where the side's is.
//
// Spread. Judgement: a change of flow by 5 % moves a side gap by 0.02 mm, and
// what differs between two joints of one plate is of that order or a few times
// as much. A median of 0.04 with a LogSD of 0.7 holds 95 % between 0.010 and
// 0.16. In height a layer lies where the screw puts it and flow shifts it less:
// 0.025, 95 % between 0.006 and 0.10.
//
// Stick. Judgement: half a step of a gauge, of 0.05 mm steps for gaps in the
// layer and of the thinnest usual layer, 0.1 mm, for roofs. See Outcome.
var (
	sidePrior = Prior{
		Threshold: Bounded{Median: 0.25, LogSD: 0.5, Lo: 0, Hi: 1.6},
		Spread:    Bounded{Median: 0.04, LogSD: 0.7, Lo: 0.005, Hi: 0.3},
		Stick:     0.025,
	}
	bottomPrior = Prior{
		Threshold: Bounded{Median: 0.31, LogSD: 0.5, Lo: 0, Hi: 1.6},
		Spread:    Bounded{Median: 0.04, LogSD: 0.7, Lo: 0.005, Hi: 0.3},
		Stick:     0.025,
	}
	roofPrior = Prior{
		Threshold: Bounded{Median: 0.25, LogSD: 0.5, Lo: 0, Hi: 1.6},
		Spread:    Bounded{Median: 0.025, LogSD: 0.7, Lo: 0.005, Hi: 0.3},
		Stick:     0.05,
	}
)

// PriorOf is the prior of a family; ok is false for bridges, which are judged
// by their sag.
func PriorOf(f Family) (p Prior, ok bool) {
	switch f {
	case FamilySide:
		return sidePrior, true
	case FamilyBottom:
		return bottomPrior, true
	case FamilyRoof:
		return roofPrior, true
	}
	return Prior{}, false
}
