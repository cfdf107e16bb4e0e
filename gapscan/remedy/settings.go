package remedy

import (
	"cmp"
	"math"
	"slices"
	"sort"
	"strconv"

	"playgauge/gapscan"
)

// Layer heights in mm that are tried on a machine whose file names none, and
// the share of the nozzle's bore beyond which a layer holds badly on the last.
var usualHeights = []float64{0.08, 0.12, 0.16, 0.2, 0.24, 0.28}

const heightShare = 0.75

// thinnestFirst is the thinnest first layer, mm, that is tried on such a
// machine: a bed is hardly flat to less.
const thinnestFirst = 0.12

// Steps and limits of settings: mm, and shares of the material.
const (
	trimStep  = 0.05
	insetStep = 0.01
	flowStep  = 0.01
	leastFlow = 0.9
)

// singles tries each kind of change alone.
func (f *finder) singles() {
	f.best(f.heights())
	if f.shortAtBottom() {
		f.best(f.trims())
	}
	f.turns()
	if t, steady, found := f.amount(f.flows()); found {
		f.add(t, steady)
	}
	f.inset(f.amount(f.insets()))
	f.scales()
}

// number writes the shortest decimal of a number.
func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// times is k steps without the noise of adding them up.
func times(k int, step float64) float64 { return math.Round(float64(k)*step*1e6) / 1e6 }

// heights lists layer heights other than the present ones, the least change
// first: those that keep one of the two come before others as far away.
func (f *finder) heights() []trial {
	rest := f.mc.LayerHeightsMM
	first := rest
	if len(rest) == 0 {
		for _, h := range usualHeights {
			if h <= heightShare*f.mc.NozzleMM+1e-9 {
				rest = append(rest, h)
				if h >= thinnestFirst {
					first = append(first, h)
				}
			}
		}
	}
	add := func(hs []float64, h float64) []float64 {
		hs = append(slices.Clone(hs), h)
		slices.Sort(hs)
		return slices.Compact(hs)
	}
	rest, first = add(rest, f.base.RestMM), add(first, f.base.FirstMM)
	type pick struct {
		t   trial
		far float64
	}
	var picks []pick
	for _, h := range rest {
		for _, h1 := range first {
			if h == f.base.RestMM && h1 == f.base.FirstMM {
				continue
			}
			t := trial{w: f.base, words: "layers " + number(h) + " mm", kind: kindHeights}
			t.w.FirstMM, t.w.RestMM = h1, h
			if h1 != h {
				t.words += ", the first " + number(h1)
			}
			if h > f.base.RestMM {
				t.cautions = []string{cautionThick}
			}
			picks = append(picks, pick{t, math.Abs(math.Log(h/f.base.RestMM)) + math.Abs(math.Log(h1/f.base.FirstMM))/2})
		}
	}
	slices.SortStableFunc(picks, func(a, b pick) int { return cmp.Compare(tidy(a.far), tidy(b.far)) })
	var out []trial
	for _, p := range picks {
		out = append(out, p.t)
	}
	return out
}

// shortAtBottom says whether bottom layers are short of the goal side by side.
func (f *finder) shortAtBottom() bool { return slices.Contains(f.causes(), gapscan.CauseBottom) }

// trims lists trims of the bottom layers up to where the bottom need is the
// side need; more would be of no use.
func (f *finder) trims() []trial {
	var out []trial
	for k := 1; ; k++ {
		t := trial{w: f.base, kind: kindTrim, cautions: []string{cautionTrim}}
		t.w.TrimMM = tidy(f.base.TrimMM + times(k, trimStep))
		t.words = "trim " + number(t.w.TrimMM) + " mm"
		out = append(out, t)
		if n := f.mc.Trimmed(t.w.TrimMM).Needs(); n.Bottom <= n.Side {
			return out
		}
	}
}

// flows lists shares of the material below the present one.
func (f *finder) flows() []trial {
	var out []trial
	for k := 1; ; k++ {
		t := trial{w: f.base, kind: kindFlow, cautions: []string{cautionFlow}}
		t.w.Flow = tidy(f.base.Flow - times(k, flowStep))
		if t.w.Flow < leastFlow {
			return out
		}
		t.words = "flow " + number(t.w.Flow)
		out = append(out, t)
	}
}

// insets lists insets larger than the present one, by up to half a line.
func (f *finder) insets() []trial {
	var out []trial
	for k := 1; times(k, insetStep) <= f.mc.LineMM/2+1e-9; k++ {
		t := trial{w: f.base, kind: kindInset, cautions: []string{cautionInset}}
		t.w.InsetMM = tidy(f.base.InsetMM + times(k, insetStep))
		t.words = "inset " + number(t.w.InsetMM) + " mm"
		out = append(out, t)
	}
	return out
}

// amount finds the least of some amounts that reaches the goal, or one of the
// next two if that is steady and the least is not. Amounts are taken to help the
// more the larger they are: by halving, the least is found at which no place is
// known to be short, and then all layers are looked at; where that shows a new
// place, the search goes on above it.
func (f *finder) amount(amounts []trial) (t trial, steady, found bool) {
	n := len(amounts)
	if n == 0 || f.isShort(amounts[n-1].w, f.goal) {
		return t, false, false
	}
	k := 0
	for until := f.looks + mostLooks; ; k++ {
		k += sort.Search(n-k, func(i int) bool { return !f.isShort(amounts[k+i].w, f.goal) })
		if k >= n || f.looks >= until {
			return t, false, false
		}
		if f.holds(amounts[k].w, f.goal) {
			break
		}
	}
	for i := k; i < min(k+3, n); i++ {
		if f.holds(amounts[i].w, f.goal) && f.isSteady(amounts[i]) {
			return amounts[i], true, true
		}
	}
	return amounts[k], false, true
}

// inset lists an inset that works, unless walls vanish.
func (f *finder) inset(t trial, steady, found bool) {
	if !found {
		return
	}
	if why := f.vanishes(t.w); why != "" {
		f.out.Refused = append(f.out.Refused, t.words+": "+why)
		return
	}
	f.add(t, steady)
}
