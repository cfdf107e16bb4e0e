package gapscan

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/shape/garden"
)

// leastMargin is the least margin of a result's layers, +Inf without any.
func leastMargin(r *Result) float64 {
	m := math.Inf(1)
	for i := range r.Layers {
		if v := r.Layers[i].Margin; v != nil {
			m = min(m, *v)
		}
	}
	return m
}

// shortAgrees holds FirstShort to what the whole scan finds, and IsShortAt to
// the same for another what-if.
func shortAgrees(t tester, soup *mesh.Soup, w, other WhatIf, mc machine.Machine, enough float64) {
	t.Helper()
	r, err := Vet(soup, w, mc)
	if err != nil {
		t.Fatalf("vet: %v", err)
	}
	placed, err := Place(soup, w)
	if err != nil {
		t.Fatalf("place: %v", err)
	}
	s, short, err := placed.FirstShort(w, mc, enough)
	if err != nil {
		t.Fatalf("first short: %v", err)
	}
	least := leastMargin(r)
	if math.Abs(least-enough) < 1e-5 {
		return // either answer is right
	}
	if short != (least < enough) {
		t.Fatalf("%+v: the least margin is %v, below %v: %v", w, least, enough, short)
	}
	if !short {
		return
	}
	l := &r.Layers[s.Layer-1]
	if l.Margin == nil || math.Abs(*l.Margin-s.Margin) > 2e-6 || *l.Cause != s.Cause {
		t.Fatalf("%+v: layer %d has margin %v, cause %v; found was %v, %v", w, s.Layer, show(l.Margin), l.Cause, s.Margin, s.Cause)
	}
	if !placed.IsShortAt(s, w, mc, enough) && s.Margin < enough-1e-5 {
		t.Fatalf("%+v: the place that was found, %+v, is not found again", w, s)
	}
	if !placed.IsShortAt(s, other, mc, enough) {
		return
	}
	if other.Scale != w.Scale {
		for _, j := range r.Joints {
			if j.TrueGapMM == 0 {
				return // parts that touch may become one
			}
		}
	}
	r, err = Vet(soup, other, mc)
	if err != nil {
		t.Fatalf("vet: %v", err)
	}
	if least := leastMargin(r); least >= enough {
		t.Fatalf("%+v: the least margin is %v, but one below %v was seen", other, least, enough)
	}
}

// another draws a what-if that differs from w in what IsShortAt may be asked.
func another(t *rapid.T, w WhatIf) WhatIf {
	hundredths := func(name string, lo, hi int) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, name)) / 100 }
	switch rapid.IntRange(0, 5).Draw(t, "change") {
	case 0:
		f := hundredths("scale", 100, 200)
		w.Scale = [3]float64{w.Scale[0] * f, w.Scale[1] * f, w.Scale[2] * f}
	case 1:
		w.FirstMM, w.RestMM = hundredths("first", 10, 40), hundredths("rest", 10, 40)
	case 2:
		w.LiftMM = hundredths("lift", -10, 10)
	case 3:
		w.InsetMM = hundredths("inset", 0, 10)
	case 4:
		w.TrimMM = hundredths("trim", 0, 10)
	case 5:
		w.Scale[2] *= hundredths("z", 100, 200)
	}
	return w
}

func TestShortAgreesWithScan(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mc := someMachine(t)
		if rapid.Bool().Draw(t, "sags") {
			mc.Sag, mc.RoofSpanMM = [][2]float64{{0, 0}, {1, 0.15}}, 0.5
		}
		w := AsIs()
		w.FirstMM = float64(rapid.IntRange(10, 40).Draw(t, "first0")) / 100
		w.RestMM = float64(rapid.IntRange(10, 40).Draw(t, "rest0")) / 100
		w.InsetMM = float64(rapid.IntRange(0, 1).Draw(t, "inset0")) / 20
		enough := rapid.SampledFrom([]float64{WorksFrom, FreeFrom, 0.5}).Draw(t, "enough")
		shortAgrees(t, someModel(t).Soup(), w, another(t, w), mc, enough)
	})
}

func TestShortOfGardenModels(t *testing.T) {
	for i, m := range garden.Models() {
		w := AsIs()
		other := w
		enough := FreeFrom
		if other.RestMM = 0.28; i%2 == 0 {
			other.Scale, enough = [3]float64{1.1, 1.1, 1.1}, WorksFrom
		}
		shortAgrees(t, m.Build().Soup(), w, other, machine.BuiltIn(), enough)
	}
}

// Two posts that come near each other between 8 and 8.6 mm only: the place is
// found again at other scales and layer heights, where it lies elsewhere.
func TestShortIsFoundAgain(t *testing.T) {
	soup := box(0, 0, 0, 4, 4, 12).Append(box(6, 0, 0, 10, 4, 12)).Append(box(3.5, 1, 8, 5.8, 3, 8.6)).Soup()
	placed, err := Place(soup, AsIs())
	if err != nil {
		t.Fatal(err)
	}
	s, short, err := placed.FirstShort(AsIs(), machine.BuiltIn(), WorksFrom)
	if err != nil || !short {
		t.Fatalf("a gap of 0.2 mm is not short: %v", err)
	}
	for name, change := range map[string]func(*WhatIf){
		"the same":    func(*WhatIf) {},
		"larger":      func(w *WhatIf) { w.Scale = [3]float64{1.5, 1.5, 1.5} },
		"taller":      func(w *WhatIf) { w.Scale = [3]float64{1, 1, 2} },
		"thin layers": func(w *WhatIf) { w.FirstMM, w.RestMM = 0.28, 0.08 },
		"lifted":      func(w *WhatIf) { w.LiftMM = 0.5 },
		"inset":       func(w *WhatIf) { w.InsetMM = 0.05 },
	} {
		w := AsIs()
		change(&w)
		if !placed.IsShortAt(s, w, machine.BuiltIn(), WorksFrom) {
			t.Errorf("%s: the place is not short any more", name)
		}
	}
	w := AsIs()
	w.InsetMM = 0.15 // 0.5 mm
	if placed.IsShortAt(s, w, machine.BuiltIn(), WorksFrom) {
		t.Error("a gap of 0.5 mm is short")
	}
}
