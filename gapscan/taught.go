package gapscan

import (
	"math"

	"playgauge/gapscan/machine"
)

// Taught is what a printed joint teaches about the limits of a machine.
type Taught struct {
	// Trials holds at most one of each family, in the order side, bottom,
	// roof.
	Trials []machine.Trial
	// Why says why there is none; WhyTaught where there is.
	Why Untaught
	// Rivals are the families between which a joint that did not come out free
	// leaves open which held it, the tightest first, where Why is WhyRivals.
	Rivals []machine.Family
}

// Untaught is why a printed joint teaches nothing.
type Untaught string

// The reasons.
const (
	WhyTaught Untaught = ""
	// WhyNoGap: there are no beads to judge.
	WhyNoGap Untaught = "no gap"
	// WhySlope: it was tightest, or about as tight as anywhere, between beads
	// of different layers that lean on each other. That is none of the gaps
	// that are learned each by itself.
	WhySlope Untaught = "slope"
	// WhyRivals: two families were about as tight.
	WhyRivals Untaught = "rivals"
	// WhyWide: its gaps are wider than any trial may be.
	WhyWide Untaught = "wide"
)

// rivalShare is how much more margin than the tightest another family must
// have before a joint that did not come out free is put down to the tightest
// alone. Judgement: limits are known to a step of a gauge, 0.05 mm in some
// 0.4; closer together, which margin is the less is chance.
const rivalShare = 1.1

// wallShare is how much wider than the gap of two beads on a slope the side gap
// may be for the slope to be a wall that leans a little (by some 24 degrees,
// whose cosine is its inverse): its weld is then one of a side gap.
const wallShare = 1.1

// Teach says what a joint of r teaches that was printed as r is placed and
// sliced, and came out as told. trim is what was cut off each side of the
// bottom layers before printing, mm.
//
// One that came out free had enough room everywhere: in each family its least
// gap came out free. (Not so a slope: that its side gap came out free is true,
// and says less than the slope was narrow.) One that did not was held
// somewhere, and that is known only of the place with the least margin, if the
// other families had clearly more; they are not to blame, and nothing is known
// of them either: a weld elsewhere would have hidden that they were free.
//
// Gaps of the bottom layers are given untrimmed, as machine.Trial wants them.
// The trials have layer heights; date, flow and source are the caller's.
func Teach(r *Result, j *Joint, came machine.Result, trim float64) Taught {
	t := teacher{r: r, j: j, came: came, trim: trim}
	if came == machine.CameFree {
		return t.free()
	}
	return t.held()
}

type teacher struct {
	r    *Result
	j    *Joint
	came machine.Result
	trim float64
}

// trial is one of a family.
func (t *teacher) trial(f machine.Family, gap float64) machine.Trial {
	if f == machine.FamilyBottom {
		gap += 2 * t.trim
	}
	return machine.Trial{
		Family: f, GapMM: round6(gap), Result: t.came,
		FirstHeightMM: t.r.Plan.FirstHeightMM, LayerHeightMM: t.r.Plan.LayerHeightMM,
	}
}

// airTrial is one of the roof family in whole layers. Air lies above layer 1,
// so all its layers are of the height of the rest.
func (t *teacher) airTrial(layers int) machine.Trial {
	out := t.trial(machine.FamilyRoof, 0)
	out.AirLayers = &layers
	return out
}

// taught keeps the trials that a machine file may hold.
func taught(why Untaught, trials ...machine.Trial) Taught {
	out := Taught{Why: why}
	for _, t := range trials {
		if t.Check() == nil {
			out.Trials = append(out.Trials, t)
		} else {
			out.Why = WhyWide
		}
	}
	if len(out.Trials) > 0 {
		out.Why = WhyTaught
	}
	return out
}

func (t *teacher) free() Taught {
	var trials []machine.Trial
	a := &t.j.Asks
	if a.SideMM != nil {
		trials = append(trials, t.trial(machine.FamilySide, *a.SideMM))
	}
	if a.BottomMM != nil {
		trials = append(trials, t.trial(machine.FamilyBottom, *a.BottomMM))
	}
	if a.RoofAir != nil {
		trials = append(trials, t.airTrial(*a.RoofAir))
	}
	why := WhyNoGap
	if a.SlopeMM != nil {
		why = WhySlope
	}
	return taught(why, trials...)
}

func (t *teacher) held() Taught {
	j := t.j
	if j.Cause == nil || j.Margin == nil || j.GapMM == nil {
		return Taught{Why: WhyNoGap}
	}
	var trial machine.Trial
	switch cause := *j.Cause; {
	case cause == CauseSide, cause == CauseSlope && t.isWall():
		trial = t.trial(machine.FamilySide, *j.GapMM)
	case cause == CauseBottom:
		trial = t.trial(machine.FamilyBottom, *j.GapMM)
	case cause == CauseRoof && t.hangs():
		air := j.EndsLayers[0] - j.EndsLayers[1] - 1
		trial = t.airTrial(air)
		// Where a bridge sags, less air was there than layers of it.
		if sagged := trial.Gap() - *j.GapMM; sagged > sameGap {
			trial = t.trial(machine.FamilyRoof, *j.GapMM)
		}
	default:
		return Taught{Why: WhySlope}
	}
	if s := j.Asks.SlopeMM; s != nil && trial.Family != machine.FamilySide && *s/t.r.Machine.SideMM <= rivalShare**j.Margin {
		return Taught{Why: WhySlope}
	}
	if rivals := t.rivals(trial.Family); len(rivals) > 0 {
		return Taught{Why: WhyRivals, Rivals: append([]machine.Family{trial.Family}, rivals...)}
	}
	return taught(WhyNoGap, trial)
}

// sameGap is how far apart two gaps are the same but for rounding, mm.
const sameGap = 1e-5

// isWall says whether the beads of the least margin, of different layers, are
// those of a wall that leans only a little, standing on its own part.
func (t *teacher) isWall() bool {
	side := t.j.Asks.SideMM
	return side != nil && *side <= wallShare**t.j.GapMM && math.Abs(*t.j.NeedMM-t.r.Machine.SideMM) <= sameGap
}

// hangs says whether the air with the least margin lies under a hanging roof:
// one that stands is judged by the side need and is no trial of a roof.
func (t *teacher) hangs() bool {
	j := t.j
	return j.Asks.RoofAir != nil && j.EndsLayers != nil && j.EndsLayers[0]-j.EndsLayers[1]-1 == *j.Asks.RoofAir &&
		math.Abs(*j.NeedMM-t.r.Machine.RoofMM) <= sameGap
}

// rivals are the other families that were about as tight as the tightest.
func (t *teacher) rivals(tightest machine.Family) []machine.Family {
	m, a := &t.r.Machine, &t.j.Asks
	var out []machine.Family
	for _, f := range []struct {
		machine.Family
		gap  *float64
		need float64
	}{
		{machine.FamilySide, a.SideMM, m.SideMM},
		{machine.FamilyBottom, a.BottomMM, m.BottomMM},
		{machine.FamilyRoof, a.RoofMM, m.RoofMM},
	} {
		if f.Family != tightest && f.gap != nil && *f.gap/f.need <= rivalShare**t.j.Margin {
			out = append(out, f.Family)
		}
	}
	return out
}
