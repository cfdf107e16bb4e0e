package remedy

import (
	"fmt"

	"playgauge/gapscan"
)

// Whole percents that are tried.
const (
	mostPercent = 300
	// nextPercents is how many further percents must work for a scale to be
	// steady.
	nextPercents = 2
	// luckyPercents is how far beyond the least scale that works one that is
	// steady is looked for.
	luckyPercents = 60
)

// axes are the axes that a scale changes.
type axes struct {
	on    [3]bool
	words string
}

var (
	allAxes = axes{[3]bool{true, true, true}, "scale"}
	zAxis   = axes{[3]bool{2: true}, "scale Z"}
	xyAxes  = axes{[3]bool{true, true, false}, "scale X and Y"}
)

// scaled is a what-if with some of its axes scaled to percent of what they
// were.
func scaled(w gapscan.WhatIf, a axes, percent int) gapscan.WhatIf {
	for i := range w.Scale {
		if a.on[i] {
			w.Scale[i] = tidy(w.Scale[i] * float64(percent) / 100)
		}
	}
	return w
}

// percent is the trial of a scale on top of another trial.
func (f *finder) percent(t trial, a axes, kind, p int) trial {
	if t.words != "" {
		t.words += " + "
	}
	t.words += fmt.Sprintf("%s %d%%", a.words, p)
	t.with = nil
	for k := 1; k <= nextPercents; k++ {
		t.with = append(t.with, scaled(t.w, a, p+k))
	}
	t.w, t.kind = scaled(t.w, a, p), kind
	return t
}

// leastScale tries percent after percent, from 101 up to most, so that the
// first that works is the least. It gives that, and the least steady one, which
// may be the same; 0 where there is none.
func (f *finder) leastScale(t trial, a axes, most int) (least, steady int) {
	for p := 101; p <= most; p++ {
		if least > 0 && p > least+luckyPercents {
			break
		}
		c := f.percent(t, a, kindScale, p)
		if !f.holds(c.w, f.goal) {
			continue
		}
		if least == 0 {
			least = p
		}
		if f.isSteady(c) {
			return least, p
		}
	}
	return least, 0
}

// scales tries a scale alone: of all axes, then of some.
func (f *finder) scales() {
	least := f.scale(trial{w: f.base}, allAxes, kindScale, mostPercent)
	most := mostPercent
	if least > 0 {
		// Along some axes only, no less will do than along all.
		most = least + luckyPercents
	}
	for _, a := range []axes{zAxis, xyAxes} {
		if f.scale(f.stretch(trial{w: f.base}), a, kindStretch, f.worthwhile(a, most)) > 0 {
			return
		}
	}
	if least > 0 {
		f.unequal(least, zAxis, xyAxes)
		f.unequal(least, xyAxes, zAxis)
	}
}

// worthShare is the share of a scale's excess over 100 % that is worth a
// change of its own to save.
const worthShare = 0.25

// unequal looks for less along axes b where all axes together need p percent:
// halving what is left, so that what it finds works but need not be the least.
func (f *finder) unequal(p int, a, b axes) {
	t := f.percent(f.stretch(trial{w: f.base}), a, kindStretch, p)
	both := func(q int) trial { return f.percent(t, b, kindStretch, q) }
	lo, hi := 100, p-int(worthShare*float64(p-100))
	if hi <= lo || !f.holds(both(hi).w, f.goal) {
		return
	}
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; f.holds(both(mid).w, f.goal) {
			hi = mid
		} else {
			lo = mid
		}
	}
	f.add(both(hi), f.isSteady(both(hi)))
}

func (f *finder) stretch(t trial) trial {
	t.cautions = append(append([]string{}, t.cautions...), cautionStretch)
	return t
}

// worthwhile is most if no place is known that would be short at the largest
// scale along the axes, or at one of a few others; otherwise 0, since the search
// would be long and most likely in vain.
func (f *finder) worthwhile(a axes, most int) int {
	for _, share := range []int{4, 3, 2} {
		if !f.isShort(scaled(f.base, a, 100+(most-100)*share/4), f.goal) {
			return most
		}
	}
	return 0
}

// scale lists the least scale along some axes that works, and the least that
// is steady if that is another; it gives the former, 0 where there is none.
func (f *finder) scale(t trial, a axes, kind, most int) int {
	least, steady := f.leastScale(t, a, most)
	if least > 0 {
		f.add(f.percent(t, a, kind, least), least == steady)
	}
	if steady > least {
		c := f.percent(t, a, kind, steady)
		c.words += ", the least that is steady"
		f.add(c, true)
	}
	return least
}
