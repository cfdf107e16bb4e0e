package smallpart

import "gonum.org/v1/gonum/spatial/r3"

// The work of one judgement is limited, counted in points looked at: budget,
// about 50 ms, and perPoint looks at each point beyond.
const (
	budget   = 8_000_000
	perPoint = 40
)

// Finding is a verdict and what it rests on.
type Finding struct {
	Verdict Verdict
	// At is a position with a Slack of at least CloseMM, but for rounding;
	// nil unless the body fits.
	At *Position
}

// Judge says whether a body with these vertices fits whole into the gauge in
// some position: see Find.
func Judge(points []r3.Vec) Verdict { return Find(points).Verdict }

// Find says whether a body with these vertices, in mm, fits whole into the
// gauge in some position. Points inside the body and repeated ones do no harm.
//
// Measured by the greatest slack of all positions (see the function Slack),
// the body fits from CloseMM up, and is too large below -CloseMM; both are
// certain. Between the two it is close, and so is a body that the search
// cannot settle within its limit, and one with a coordinate that is no finite
// number. No points at all fit anywhere.
//
// The cost is linear in the points, and beyond that limited. The order of the
// points may decide what the search can settle, nothing else does.
func Find(points []r3.Vec) Finding {
	if len(points) == 0 {
		return Finding{Fits, &Position{Turn: r3.Rotation{Real: 1}}}
	}
	lo, hi := points[0], points[0]
	for _, p := range points {
		if !finite(p.X) || !finite(p.Y) || !finite(p.Z) {
			return Finding{Verdict: Close}
		}
		lo = r3.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y), Z: min(lo.Z, p.Z)}
		hi = r3.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y), Z: max(hi.Z, p.Z)}
	}
	rod := longest(CloseMM)
	if max(hi.X-lo.X, hi.Y-lo.Y, hi.Z-lo.Z) > rod {
		return Finding{Verdict: TooLarge}
	}
	b := newBody(points, lo, hi)
	if b.across() > rod {
		return Finding{Verdict: TooLarge}
	}
	s := newSearch(b)
	if at := (pose{quat{1}, r3.Vec{Z: -radius}}); b.reach <= radius-CloseMM {
		s.best, s.at = radius-b.reach, at
	} else {
		s.settle()
	}
	switch {
	case s.best >= CloseMM:
		at := b.outside(s.at)
		// Rounding far from the origin may cost what was gained.
		if Slack(points, at) < CloseMM-settled {
			return Finding{Verdict: Close}
		}
		return Finding{Fits, &at}
	case s.none:
		return Finding{Verdict: TooLarge}
	}
	return Finding{Verdict: Close}
}

func finite(v float64) bool { return v-v == 0 }

// settle tries some places, then proves that there is none or searches all.
func (s *search) settle() {
	for _, q := range starts() {
		const step = 0.3 // rad: these are guesses
		s.refine(pose{q, r3.Vec{Z: -radius}}, step)
		if s.best >= CloseMM {
			return
		}
	}
	s.b.makeShell()
	if !s.b.wide(s.wanted(), s.limit) {
		s.b.takeRound()
		if !s.run() {
			return
		}
	}
	s.none = s.best < -CloseMM
}
