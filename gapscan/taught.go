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
	// Small are the families of a free joint that were left out, since the
	// place that is narrow in them is too small to teach.
	Small []machine.Family
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
	// WhyAmple: it did not come out free though every gap is so much more than
	// is needed that something else must have held it.
	WhyAmple Untaught = "ample"
	// WhyWide: its gaps are wider than any trial may be.
	WhyWide Untaught = "wide"
	// WhySmall: it came out free, and its narrow places are all small.
	WhySmall Untaught = "small"
)

// rivalShare is how much more margin than the tightest another family must
// have before a joint that did not come out free is put down to the tightest
// alone. Judgement: limits are known to a step of a gauge, 0.05 mm in some
// 0.4; closer together, which margin is the less is chance.
const rivalShare = 1.1

// ampleMargin is the margin from which on a joint that did not come out free is
// not put down to a gap: no joint needs twice what comes out free 95 times in
// 100. A slip of the pen, another scale, or a string of plastic is likelier.
const ampleMargin = 2.0

// wallShare is how much wider than the gap of two beads on a slope the side gap
// may be for the slope to be a wall that leans a little (by some 24 degrees,
// whose cosine is its inverse): its weld is then one of a side gap.
const wallShare = 1.1

// askMore is how many times its least gap a joint is asked to need, to see how
// large the narrow place is.
const askMore = 2.0

// A narrow place teaches from this area on, in mm2, and in the bottom layers,
// where the area is small in any case, from this length on, in mm: a little
// less than the smallest cells of the test piece have, by which limits are
// learned otherwise (11 mm2 and 9 mm).
const (
	leastFaceMM2  = 10.0
	leastBottomMM = 8.0
)

// gapStep is what a gap is rounded up to for that question, mm, so that joints
// of nearly one gap share its answer.
const gapStep = 0.01

// Teacher says what the joints of a printed model teach about its machine. It
// is not for use by several goroutines at once.
type Teacher struct {
	// Result is the model as judged on the machine.
	Result *Result
	sliced *Sliced
	w      WhatIf
	mc     machine.Machine
	trim   float64
	large  map[narrow]map[int]bool // by joint
}

// narrow is a question: which joints are narrow, by this gap of a family, over
// a large place.
type narrow struct {
	family machine.Family
	gap    float64
}

// NewTeacher judges a sliced model on the machine that printed it. trim is
// what was cut off each side of the bottom layers before printing, mm, whatever
// the machine's own is.
func NewTeacher(s *Sliced, w WhatIf, mc machine.Machine, trim float64) *Teacher {
	mc.TrimMM = trim
	return &Teacher{Result: s.Judge(w, mc), sliced: s, w: w, mc: mc, trim: trim, large: map[narrow]map[int]bool{}}
}

// Teach says what a joint of the Result teaches that came out as told.
//
// One that came out free had enough room everywhere: in each family its least
// gap came out free. (Not so a slope: that its side gap came out free is true,
// and says less than the slope was narrow.) But where the gap is short by what
// is known of the machine, the narrow place must be large enough that its weld
// would have been noticed; contact teaches nothing at all.
//
// One that did not come out free was held somewhere, and that is known only of
// the place with the least margin, if the other families had clearly more. They
// are not to blame; nor are they known to be free, since the weld hid it.
//
// Gaps of the bottom layers are given untrimmed, as machine.Trial wants them.
// The trials have layer heights; date, flow and source are the caller's.
func (t *Teacher) Teach(j *Joint, came machine.Result) Taught {
	if came == machine.CameFree {
		return t.free(j)
	}
	return t.held(j, came)
}

// noticed says whether a joint's place that is narrow in a family is so large
// that a weld there would not have cracked off unnoticed. To see, the joint is
// judged on a machine that needs twice the gap and nothing in the other
// families: is its weld at least that of a least place?
func (t *Teacher) noticed(j *Joint, f machine.Family, gap float64) bool {
	q := narrow{f, math.Ceil(gap/gapStep-gapRounding) * gapStep}
	large, known := t.large[q]
	if !known {
		need, least := askMore*q.gap, machine.MinNeedMM
		mc := t.mc
		mc.CrackMM2 = weigh(1/askMore) * leastFaceMM2
		mc.TrimMM, mc.SpreadMM, mc.Sag, mc.Trials, mc.Learned = 0, nil, nil, nil, machine.Learned{}
		tested := machine.Tested{SideMM: &least, RoofMM: &least, BottomMM: &least}
		switch f {
		case machine.FamilySide:
			tested.SideMM, mc.BottomLayers = &need, 0
		case machine.FamilyRoof:
			tested.RoofMM = &need
		case machine.FamilyBottom:
			tested.BottomMM = &need
			mc.CrackMM2 = weigh(1/askMore) * leastBottomMM * t.Result.Plan.FirstHeightMM
		}
		mc.Tested = tested
		large = map[int]bool{}
		r := t.sliced.judge(t.w, mc, Options{Reach: t.Result.ReachMM})
		for i := range r.Joints {
			if o := r.Joints[i].Outcome; o != nil && *o == Welds {
				large[r.Joints[i].ID] = true
			}
		}
		t.large[q] = large
	}
	return large[j.ID]
}

// trial is one of a family.
func (t *Teacher) trial(f machine.Family, gap float64, came machine.Result) machine.Trial {
	if f == machine.FamilyBottom {
		gap += 2 * t.trim
	}
	return machine.Trial{
		Family: f, GapMM: round6(gap), Result: came,
		FirstHeightMM: t.Result.Plan.FirstHeightMM, LayerHeightMM: t.Result.Plan.LayerHeightMM,
	}
}

// airTrial is one of the roof family in whole layers. Air lies above layer 1,
// so all its layers are of the height of the rest.
func (t *Teacher) airTrial(layers int, came machine.Result) machine.Trial {
	out := t.trial(machine.FamilyRoof, 0, came)
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

func (t *Teacher) free(j *Joint) Taught {
	var trials []machine.Trial
	var small []machine.Family
	m, a := &t.Result.Machine, &j.Asks
	for _, f := range []struct {
		machine.Family
		gap  *float64
		need float64
	}{
		{machine.FamilySide, a.SideMM, m.SideMM},
		{machine.FamilyBottom, a.BottomMM, m.BottomMM},
		{machine.FamilyRoof, a.RoofMM, m.RoofMM},
	} {
		switch {
		case f.gap == nil:
			continue
		case *f.gap < machine.MinNeedMM, *f.gap < closeFrom*metShare*f.need && !t.noticed(j, f.Family, *f.gap):
			small = append(small, f.Family)
			continue
		case f.Family == machine.FamilyRoof:
			trials = append(trials, t.airTrial(*a.RoofAir, machine.CameFree))
		default:
			trials = append(trials, t.trial(f.Family, *f.gap, machine.CameFree))
		}
	}
	why := WhyNoGap
	switch {
	case len(small) > 0:
		why = WhySmall
	case a.SlopeMM != nil:
		why = WhySlope
	}
	out := taught(why, trials...)
	out.Small = small
	return out
}

func (t *Teacher) held(j *Joint, came machine.Result) Taught {
	if j.Cause == nil || j.Margin == nil || j.GapMM == nil {
		return Taught{Why: WhyNoGap}
	}
	if *j.Margin >= ampleMargin*metShare {
		return Taught{Why: WhyAmple}
	}
	var trial machine.Trial
	switch cause := *j.Cause; {
	case cause == CauseSide, cause == CauseSlope && t.isWall(j):
		trial = t.trial(machine.FamilySide, *j.GapMM, came)
	case cause == CauseBottom:
		trial = t.trial(machine.FamilyBottom, *j.GapMM, came)
	case cause == CauseRoof && t.hangs(j):
		air := j.EndsLayers[0] - j.EndsLayers[1] - 1
		trial = t.airTrial(air, came)
		// Where a bridge sags, less air was there than layers of it.
		if sagged := trial.Gap() - *j.GapMM; sagged > gapRounding {
			trial = t.trial(machine.FamilyRoof, *j.GapMM, came)
		}
	default:
		return Taught{Why: WhySlope}
	}
	// Beside every roof, and above every bottom gap, beads lean on each other
	// at a little more than its gap; only a slope that is narrower is another
	// place.
	if s := j.Asks.SlopeMM; s != nil && trial.Family != machine.FamilySide && *s < *j.GapMM && *s/t.Result.Machine.SideMM <= rivalShare**j.Margin {
		return Taught{Why: WhySlope}
	}
	if rivals := t.rivals(j, trial.Family); len(rivals) > 0 {
		return Taught{Why: WhyRivals, Rivals: append([]machine.Family{trial.Family}, rivals...)}
	}
	return taught(WhyNoGap, trial)
}

// gapRounding is how far apart two gaps are the same but for rounding, mm.
const gapRounding = 1e-5

// isWall says whether the beads of the least margin, of different layers, are
// those of a wall that leans only a little, standing on its own part.
func (t *Teacher) isWall(j *Joint) bool {
	side := j.Asks.SideMM
	return side != nil && *side <= wallShare**j.GapMM && math.Abs(*j.NeedMM-t.Result.Machine.SideMM) <= gapRounding
}

// hangs says whether the air with the least margin lies under a hanging roof:
// one that stands is judged by the side need and is no trial of a roof.
func (t *Teacher) hangs(j *Joint) bool {
	return j.Asks.RoofAir != nil && j.EndsLayers != nil && j.EndsLayers[0]-j.EndsLayers[1]-1 == *j.Asks.RoofAir &&
		math.Abs(*j.NeedMM-t.Result.Machine.RoofMM) <= gapRounding
}

// rivals are the other families that were about as tight as the tightest.
func (t *Teacher) rivals(j *Joint, tightest machine.Family) []machine.Family {
	m, a := &t.Result.Machine, &j.Asks
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
		if f.Family != tightest && f.gap != nil && *f.gap/f.need <= rivalShare**j.Margin {
			out = append(out, f.Family)
		}
	}
	return out
}
