package machine

import (
	"math"
	"slices"
)

// LimitProb is the probability with which a joint comes out free at the limit
// that is read off the trials.
const LimitProb = 0.95

// limitStepMM is what such a limit is rounded up to: no coupon tells more
// apart, and a rounded figure is the same on every processor.
const limitStepMM = 0.01

// Learned is what the trials of a machine say, family by family.
type Learned struct {
	Side, Roof, Bottom Evidence
	Bridge             BridgeEvidence
}

// Evidence is what the trials of one family judged by their gap say. Lengths
// in mm, nil where there is no such gap.
type Evidence struct {
	// Free, Sticks and Welds count the trials.
	Free, Sticks, Welds int
	// LimitMM comes out free with LimitProb, all that is not known taken into
	// account; nil while there is too little to say so (Posterior.Limit).
	LimitMM *float64
	// SmallestFreeMM is the smallest gap that came out free among those wider
	// than every gap that did not. Contact (a gap below MinNeedMM) is no gap to
	// ask of a joint, even if one came out free.
	SmallestFreeMM *float64
	// WidestShutMM is the widest gap that did not come out free.
	WidestShutMM *float64
	// BeyondMM is like LimitMM, but wider than anything that was tried; only
	// where the widest trials did not come out free.
	BeyondMM *float64
}

// Trials counts them.
func (e Evidence) Trials() int { return e.Free + e.Sticks + e.Welds }

// BridgeEvidence is what the bridges say, mm, nil where there is none.
type BridgeEvidence struct {
	Trials int
	// LongestMM is the longest span that sagged by at most one layer, shorter
	// than every span that sagged by more.
	LongestMM *float64
	// ShortestSaggedMM is the shortest span that sagged by more.
	ShortestSaggedMM *float64
}

// Learn reckons what trials say. All layer heights and flows count alike. A
// gap that was tried twice with different results is two trials. The order
// does not matter.
func Learn(trials []Trial) Learned {
	return Learned{
		Side:   evidence(FamilySide, trials),
		Roof:   evidence(FamilyRoof, trials),
		Bottom: evidence(FamilyBottom, trials),
		Bridge: bridgeEvidence(trials),
	}
}

// Outcomes picks the trials of a family that is judged by its gap.
func Outcomes(f Family, trials []Trial) []Outcome {
	var out []Outcome
	for _, t := range trials {
		if t.Family == f && f != FamilyBridge {
			out = append(out, Outcome{t.Gap(), t.Result})
		}
	}
	return out
}

// Posterior fits the trials of a family; ok is false where there are none,
// and for bridges.
func (m Machine) Posterior(f Family) (p Posterior, ok bool) {
	if m.Fits != nil {
		p, ok = m.Fits[f]
		return p, ok
	}
	prior, ok := PriorOf(f)
	trials := Outcomes(f, m.Trials)
	if !ok || len(trials) == 0 {
		return Posterior{}, false
	}
	return Fit(trials, prior), true
}

// WithFits is the machine with its trials fitted once for all models that it
// will judge. The trials must not change from then on.
func (m Machine) WithFits() Machine {
	fits := map[Family]Posterior{}
	for _, f := range []Family{FamilySide, FamilyRoof, FamilyBottom} {
		if p, ok := m.Posterior(f); ok {
			fits[f] = p
		}
	}
	m.Fits = fits
	return m
}

func evidence(f Family, trials []Trial) Evidence {
	var e Evidence
	out := Outcomes(f, trials)
	for _, o := range out {
		switch o.Result {
		case CameFree:
			e.Free++
			continue
		case Stuck:
			e.Sticks++
		case Welded:
			e.Welds++
		default:
			continue
		}
		if e.WidestShutMM == nil || o.Gap > *e.WidestShutMM {
			e.WidestShutMM = new(o.Gap)
		}
	}
	for _, o := range out {
		if o.Result == CameFree && o.Gap >= MinNeedMM && (e.WidestShutMM == nil || o.Gap > *e.WidestShutMM) &&
			(e.SmallestFreeMM == nil || o.Gap < *e.SmallestFreeMM) {
			e.SmallestFreeMM = new(o.Gap)
		}
	}
	if e.Trials() < MinTrials && (e.SmallestFreeMM != nil || e.WidestShutMM == nil) {
		return e // the curve would not be asked
	}
	prior, _ := PriorOf(f)
	p := Fit(out, prior)
	if mm, ok := p.Limit(LimitProb); ok {
		e.LimitMM = new(roundUp(mm))
	} else if e.SmallestFreeMM == nil && e.WidestShutMM != nil {
		mm, _ := p.freeAt(LimitProb)
		// It lies beyond, but for odd data such as one weld above many free.
		e.BeyondMM = new(roundUp(max(mm, *e.WidestShutMM+limitStepMM)))
	}
	return e
}

// roundUp rounds a limit up to a limitStepMM, and keeps it within what a need
// may be.
func roundUp(mm float64) float64 {
	const rounding = 1e-6 // steps; 0.30000000004 is 0.30
	steps := math.Ceil(mm/limitStepMM - rounding)
	return min(max(math.Round(steps*limitStepMM*needsPerMM)/needsPerMM, MinNeedMM), MaxNeedMM)
}

func bridgeEvidence(trials []Trial) BridgeEvidence {
	var (
		e    BridgeEvidence
		held []float64
	)
	for _, t := range trials {
		if t.Family != FamilyBridge {
			continue
		}
		e.Trials++
		if t.Held() {
			held = append(held, t.SpanMM)
		} else if e.ShortestSaggedMM == nil || t.SpanMM < *e.ShortestSaggedMM {
			e.ShortestSaggedMM = new(t.SpanMM)
		}
	}
	slices.Sort(held)
	for _, span := range held {
		if e.ShortestSaggedMM == nil || span < *e.ShortestSaggedMM {
			e.LongestMM = new(span)
		}
	}
	return e
}
