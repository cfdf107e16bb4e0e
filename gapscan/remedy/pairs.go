package remedy

import (
	"math"
	"slices"
)

// pairs tries pairs of changes that do not work alone: first those that cost
// the model nothing, and others only if there is no such change.
func (f *finder) pairs() {
	heights, trims := f.heights(), []trial(nil)
	if f.shortAtBottom() {
		trims = f.trims()
	}
	if !f.has(kindHeights) && !f.has(kindTrim) {
		f.best(f.cross(trims, heights, kindHeightsTrim))
	}
	if f.costless() {
		return
	}
	few := slices.DeleteFunc(append(f.simple(heights), trims...), func(t trial) bool {
		return f.seen[question{t.w, f.goal}] // it works by itself, by luck
	})
	if !f.has(kindFlow) {
		if t, steady, found := f.amounts(f.flows(), few); found {
			f.add(t, steady)
		}
	}
	if !f.has(kindInset) && len(f.out.Refused) == 0 {
		f.inset(f.amounts(f.insets(), few))
	}
	f.scaledPair(few)
}

// amounts is amount on top of the first other change with which it is steady,
// or, failing that, with which it works.
func (f *finder) amounts(amounts, with []trial) (t trial, steady, found bool) {
	for _, w := range with {
		var pairs []trial
		for _, a := range amounts {
			pairs = append(pairs, f.both(w, a, kindSettings))
		}
		if t2, s2, f2 := f.amount(pairs); f2 && (s2 || !found) {
			if t, steady, found = t2, s2, true; steady {
				break
			}
		}
	}
	return t, steady, found
}

// costless says whether a steady change costs the model nothing.
func (f *finder) costless() bool {
	for i := range f.out.Changes {
		if c := &f.out.Changes[i]; c.tier == 0 && c.Steady && !c.support {
			return true
		}
	}
	return false
}

// simple keeps the layer heights of which one is the present one, or both the
// same.
func (f *finder) simple(heights []trial) []trial {
	var out []trial
	for _, t := range heights {
		if t.w.FirstMM == f.base.FirstMM || t.w.RestMM == f.base.RestMM || t.w.FirstMM == t.w.RestMM {
			out = append(out, t)
		}
	}
	return out
}

// cross pairs each amount of the one with all of the other.
func (f *finder) cross(amounts, with []trial, kind int) []trial {
	var out []trial
	for _, a := range amounts {
		for _, b := range with {
			out = append(out, f.both(b, a, kind))
		}
	}
	return out
}

// both is two trials of different fields in one.
func (f *finder) both(a, b trial, kind int) trial {
	t := trial{w: a.w, words: a.words + " + " + b.words, kind: kind}
	t.cautions = append(append(t.cautions, a.cautions...), b.cautions...)
	if b.w.TrimMM != f.base.TrimMM {
		t.w.TrimMM = b.w.TrimMM
	}
	if b.w.InsetMM != f.base.InsetMM {
		t.w.InsetMM = b.w.InsetMM
	}
	if b.w.Flow != f.base.Flow {
		t.w.Flow = b.w.Flow
	}
	return t
}

// scaledPair looks for the change with which clearly less scale is needed
// than alone.
func (f *finder) scaledPair(with []trial) {
	most := mostPercent
	for i := range f.out.Changes {
		if c := &f.out.Changes[i]; c.kind == kindScale {
			p := int(math.Round(100 * c.WhatIf.Scale[0] / f.base.Scale[0]))
			most = min(most, p-max(int(worthShare*float64(p-100)), 1))
		}
	}
	for _, t := range with {
		if most > 100 && f.holds(scaled(t.w, allAxes, most), f.goal) {
			f.scale(t, allAxes, kindScaled, most)
			return
		}
	}
}
