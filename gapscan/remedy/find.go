package remedy

import (
	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/gapscan/practice"
	"playgauge/mesh"
)

// Options of Find.
type Options struct {
	// Others are further machines to try the model on as it is.
	Others []machine.Machine
}

// Find looks for the changes that make a model work on a machine, beginning
// with a what-if: that none of its joints sticks or welds or, where none does
// as it is, that all are free. The errors are those of gapscan.Vet.
//
// A model of which two parts touch as drawn is not searched: no setting makes a
// gap where none is drawn. Of one that is free, or has no joint, there is
// nothing to change.
//
// A turn about z is not tried: it changes none of the distances a margin is
// made of.
func Find(soup *mesh.Soup, base gapscan.WhatIf, mc machine.Machine, opt Options) (*Result, error) {
	placed, err := gapscan.Place(soup, base)
	if err != nil {
		return nil, err
	}
	sliced, err := placed.Slice(base)
	if err != nil {
		return nil, err
	}
	before := sliced.Judge(base, mc)
	out := &Result{
		Schema: Schema, Model: before.Model, Machine: before.Machine,
		Before: Before{
			Outcome: before.Outcome, PFree: before.PFree, FirstBadLayer: before.FirstBadLayer,
			Tightest: tightest(before), Layers: before.Plan.Layers,
		},
		Changes: []Change{}, Refused: []string{}, Practice: []string{},
	}
	if before.Outcome == gapscan.Free || before.Outcome == gapscan.NoJoint {
		return out, nil
	}
	f := &finder{search: newSearch(soup, base, mc, placed), sliced: sliced, before: before, goal: gapscan.WorksFrom, out: out}
	if before.Outcome == gapscan.Close {
		f.goal = gapscan.FreeFrom
	}
	out.Practice = practice.Against(f.causes(), mc.Material)
	if j := touching(before); j != nil {
		out.StandsInTheWay = obstacle(j)
		out.StandsInTheWay.Touch = true
		return out, nil
	}
	// The worst place of each cause; another one hardly shows more.
	causes := map[gapscan.Cause]bool{}
	for _, s := range sliced.Shorts(before, f.goal) {
		if !causes[s.Cause] {
			causes[s.Cause] = true
			f.spots = append(f.spots, s)
		}
	}
	f.singles()
	f.pairs()
	f.machines(opt.Others)
	rank(out.Changes)
	if len(out.Changes) == 0 {
		out.StandsInTheWay = obstacle(&before.Joints[0])
	}
	return out, nil
}

// touching is the first joint whose parts touch, nil if none do.
func touching(r *gapscan.Result) *gapscan.Joint {
	for i := range r.Joints {
		if j := &r.Joints[i]; j.TrueGapMM == 0 && j.Margin != nil {
			return j
		}
	}
	return nil
}

func obstacle(j *gapscan.Joint) *Obstacle {
	return &Obstacle{Parts: j.Parts, Cause: *j.Cause, HasMM: *j.GapMM, NeedsMM: *j.NeedMM}
}

// finder gathers the changes of one model on one machine.
type finder struct {
	*search
	sliced *gapscan.Sliced
	before *gapscan.Result
	goal   float64 // the margin that every joint is to have
	out    *Result
	thin   *thinWalls
}

// causes says why layers are short of the goal, in the order of the layers.
func (f *finder) causes() []gapscan.Cause {
	var out []gapscan.Cause
	seen := map[gapscan.Cause]bool{}
	for i := range f.before.Layers {
		l := &f.before.Layers[i]
		if l.Margin != nil && *l.Margin < f.goal && !seen[*l.Cause] {
			seen[*l.Cause] = true
			out = append(out, *l.Cause)
		}
	}
	return out
}

// trial is a what-if with its words.
type trial struct {
	w        gapscan.WhatIf
	words    string
	kind     int
	cautions []string
	// with are further what-ifs that must work too for it to be steady.
	with []gapscan.WhatIf
}

// isSteady says whether a trial that works is no luck.
func (f *finder) isSteady(t trial) bool {
	for _, w := range t.with {
		if !f.holds(w, gapscan.WorksFrom) {
			return false
		}
	}
	return f.steady(t.w)
}

// mostLooks is how often one kind of change may look at all layers for one
// goal, so that no model keeps a person waiting for every height and every
// amount. The least scale is looked for without such a limit.
const mostLooks = 6

// first finds the first of the trials that holds a margin and is steady, and
// failing that the first that holds it.
func (f *finder) first(trials []trial, enough float64) (t trial, steady, found bool) {
	until := f.looks + mostLooks
	for _, c := range trials {
		if f.looks >= until {
			break
		}
		if !f.holds(c.w, enough) {
			continue
		}
		if f.isSteady(c) {
			return c, true, true
		}
		if !found {
			t, found = c, true
		}
	}
	return t, false, found
}

// best is first for a kind of change of which the smallest is not the
// cheapest: one that makes the model free if there is one, otherwise one that
// works.
func (f *finder) best(trials []trial) {
	t, steady, found := f.first(trials, gapscan.FreeFrom)
	if !steady && f.goal < gapscan.FreeFrom {
		if t2, s2, f2 := f.first(trials, f.goal); f2 && (s2 || !found) {
			t, steady, found = t2, s2, true
		}
	}
	if found {
		f.add(t, steady)
	}
}

// has says whether a steady change of a kind was found.
func (f *finder) has(kind int) bool {
	for i := range f.out.Changes {
		if c := &f.out.Changes[i]; c.kind == kind && c.Steady {
			return true
		}
	}
	return false
}

// add vets a change and lists it, unless the vet says otherwise.
func (f *finder) add(t trial, steady bool) {
	r, err := f.judge(t.w)
	if err != nil {
		return
	}
	f.list(t, steady, r, -1)
}

func (f *finder) list(t trial, steady bool, r *gapscan.Result, other int) {
	if !works(r.Outcome) || f.goal == gapscan.FreeFrom && r.Outcome != gapscan.Free {
		return
	}
	volume := 1.0
	for i, s := range t.w.Scale {
		volume *= s / f.base.Scale[i]
	}
	news, support := newCautions(f.before, r)
	f.out.Changes = append(f.out.Changes, Change{
		Change: t.words, Flags: []string{}, Outcome: r.Outcome, PFree: r.PFree, Steady: steady,
		Cautions: append(append([]string{}, t.cautions...), news...),
		SizeMM:   r.Model.SizeMM, VolumeRatio: tidy(volume), Layers: r.Plan.Layers,
		TimeRatio: tidy(volume * f.base.RestMM / t.w.RestMM), Tightest: tightest(r),
		WhatIf: t.w, Machine: other, kind: t.kind, tier: tierOf[t.kind], support: support,
	})
}
