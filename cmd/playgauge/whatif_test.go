package main

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
)

func TestFlagsReadValues(t *testing.T) {
	want := func(change func(*gapscan.WhatIf)) gapscan.WhatIf {
		w := gapscan.AsIs()
		change(&w)
		return w
	}
	for arg, w := range map[string]gapscan.WhatIf{
		"":                      gapscan.AsIs(),
		"--layers 0.12":         want(func(w *gapscan.WhatIf) { w.FirstMM, w.RestMM = 0.12, 0.12 }),
		"--layers=0.28+0.2":     want(func(w *gapscan.WhatIf) { w.FirstMM = 0.28 }),
		"--layers .3+1.5":       want(func(w *gapscan.WhatIf) { w.FirstMM, w.RestMM = 0.3, 1.5 }),
		"--turn -90,0,45.5":     want(func(w *gapscan.WhatIf) { w.TurnDeg = [3]float64{-90, 0, 45.5} }),
		"--turn=0,-0,360":       want(func(w *gapscan.WhatIf) { w.TurnDeg = [3]float64{0, 0, 360} }),
		"--scale 0.5":           want(func(w *gapscan.WhatIf) { w.Scale = [3]float64{0.5, 0.5, 0.5} }),
		"--scale 150%":          want(func(w *gapscan.WhatIf) { w.Scale = [3]float64{1.5, 1.5, 1.5} }),
		"--scale 1,1,90%":       want(func(w *gapscan.WhatIf) { w.Scale = [3]float64{1, 1, 0.9} }),
		"--units inch":          want(func(w *gapscan.WhatIf) { w.Units = "inch" }),
		"--units IN":            want(func(w *gapscan.WhatIf) { w.Units = "inch" }),
		"--units Inches":        want(func(w *gapscan.WhatIf) { w.Units = "inch" }),
		"--units MM":            want(func(w *gapscan.WhatIf) { w.Units = "mm" }),
		"--units feet":          want(func(w *gapscan.WhatIf) { w.Units = "foot" }),
		"--units Cm":            want(func(w *gapscan.WhatIf) { w.Units = "cm" }),
		"--reach 3":             want(func(w *gapscan.WhatIf) { w.ReachMM = 3 }),
		"--trim 0.1":            want(func(w *gapscan.WhatIf) { w.TrimMM = 0.1 }),
		"--inset .05":           want(func(w *gapscan.WhatIf) { w.InsetMM = 0.05 }),
		"--flow 0.95":           want(func(w *gapscan.WhatIf) { w.Flow = 0.95 }),
		"--lift -0.03":          want(func(w *gapscan.WhatIf) { w.LiftMM = -0.03 }),
		"--reach 3 --reach 2.5": want(func(w *gapscan.WhatIf) { w.ReachMM = 2.5 }),
	} {
		o, err := parseVet(append(strings.Fields(arg), "a.stl"))
		if err != nil {
			t.Errorf("%s: %v", arg, err)
		} else if d := cmp.Diff(w, o.whatIf); d != "" {
			t.Errorf("%s: %s", arg, d)
		} else if math.Signbit(o.whatIf.TurnDeg[1]) {
			t.Errorf("%s: turns by %v", arg, o.whatIf.TurnDeg)
		}
	}
	// The lengths of the units: an inch is 25.4 mm by definition, a foot 12
	// inches. What is not said is mm.
	for unit, mm := range map[string]float64{"": 1, "foot": 304.8, "micron": 0.001, "mm": 1, "cm": 10, "inch": 25.4, "m": 1000} {
		if got := want(func(w *gapscan.WhatIf) { w.Units = unit }).UnitMM(); got != mm {
			t.Errorf("%s is %v mm", unit, got)
		}
	}
}

func TestFlagsRefuseValues(t *testing.T) {
	for flag, values := range map[string][]string{
		"layers": {"", "0", "-0.2", "0.001", "1.6", "nan", "inf", "0x1p-2", "0_2", "0,2", "0.2+", "+0.2", "0.2+0.2+0.2", "0.2mm", "0.2 + 0.2"},
		"turn":   {"", "90", "90,0", "90,0,0,0", "a,0,0", "361,0,0", "0,nan,0", "0,,0", "1e9,0,0"},
		"scale":  {"", "0", "-1", "0.0001", "1001", "%", "-50%", "1,1", "1,1,0", "1,1,1,1", "inf", "nan%", "1.5x", "50%%"},
		"units":  {"", "yard", "25.4", "mmm", " mm", "min"},
		"reach":  {"", "0", "-1", "nan", "10.1", "101", "2mm"},
		"trim":   {"", "-0.1", "1.1", "nan", "0.1mm"},
		"inset":  {"", "-0.1", "1.1", "0.1,0.1"},
		"flow":   {"", "0", "0.89", "1.01", "95", "95%"},
		"lift":   {"", "1.1", "-1.1", "nan"},
		"strip":  {"", "strip", "strip.jpg", "png"},
		"json":   {"maybe"},
	} {
		for _, v := range values {
			_, err := parseVet([]string{"a.stl", "--" + flag + "=" + v})
			if err == nil {
				t.Errorf("--%s %q was taken", flag, v)
			} else if !strings.HasPrefix(err.Error(), "--"+flag+" ") || strings.Contains(err.Error(), "\n") {
				t.Errorf("--%s %q: %q", flag, v, err)
			}
		}
	}
}

// The flags a what-if renders give the same what-if.
func TestWhatIfRoundTrip(t *testing.T) {
	three := func(t *rapid.T, g *rapid.Generator[float64], name string) [3]float64 {
		return [3]float64{g.Draw(t, name+"X"), g.Draw(t, name+"Y"), g.Draw(t, name+"Z")}
	}
	rapid.Check(t, func(t *rapid.T) {
		w := gapscan.AsIs()
		height := rapid.Float64Range(machine.MinLayerHeightMM, machine.MaxLayerHeightMM)
		if rapid.Bool().Draw(t, "layers") {
			w.RestMM = height.Draw(t, "rest")
			w.FirstMM = rapid.OneOf(height, rapid.Just(w.RestMM)).Draw(t, "first")
		}
		if rapid.Bool().Draw(t, "turn") {
			w.TurnDeg = three(t, rapid.Float64Range(-maxTurnDeg, maxTurnDeg), "turn")
		}
		if rapid.Bool().Draw(t, "scale") {
			factor := rapid.Float64Range(minScale, maxScale)
			w.Scale = three(t, factor, "scale")
			if rapid.Bool().Draw(t, "uniform") {
				w.Scale[1], w.Scale[2] = w.Scale[0], w.Scale[0]
			}
		}
		w.Units = rapid.SampledFrom([]string{"mm", "cm", "inch", "m"}).Draw(t, "units")
		if rapid.Bool().Draw(t, "reach") {
			w.ReachMM = rapid.Float64Range(minReachMM, maxReachMM).Draw(t, "reach")
		}
		w.TrimMM = rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0, maxTrimMM)).Draw(t, "trim")
		w.InsetMM = rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(0, maxInsetMM)).Draw(t, "inset")
		w.Flow = rapid.OneOf(rapid.Just(1.0), rapid.Float64Range(minFlow, 1)).Draw(t, "flow")
		w.LiftMM = rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(-maxLiftMM, maxLiftMM)).Draw(t, "lift")
		// Another what-if of the same reach, which no flag takes back.
		over := gapscan.WhatIf{FirstMM: 0.3, RestMM: 0.2, TurnDeg: [3]float64{90, 0, 0}, Scale: [3]float64{2, 2, 2}, Units: "inch",
			ReachMM: w.ReachMM, TrimMM: 0.1, InsetMM: 0.1, Flow: 0.95, LiftMM: 0.1}
		for name, flags := range map[string][]string{
			"alone":  whatIfFlags(w, gapscan.AsIs()),
			"behind": append(whatIfFlags(over, gapscan.AsIs()), whatIfFlags(w, over)...),
		} {
			o, err := parseVet(append(flags, "a.stl"))
			if err != nil {
				t.Fatalf("%s: %v: %v", name, flags, err)
			}
			if d := cmp.Diff(w, o.whatIf); d != "" {
				t.Fatalf("%s: %v: %s", name, flags, d)
			}
		}
	})
	if f := whatIfFlags(gapscan.AsIs(), gapscan.AsIs()); f == nil || len(f) != 0 {
		t.Errorf("no change needs no flag, got %#v", f)
	}
}

// No text makes a what-if outside the limits.
func FuzzFlagValue(f *testing.F) {
	for _, s := range []string{"0.2", "0.28+0.2", "1,1,90%", "1e-3", "0x1p-3", "-0,0,0", "inf"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for _, set := range []func(whatIf, string) error{whatIf.setLayers, whatIf.setTurn, whatIf.setScale, whatIf.setReach,
			whatIf.setTrim, whatIf.setInset, whatIf.setFlow, whatIf.setLift} {
			w := gapscan.AsIs()
			if err := set(whatIf{&w}, s); err != nil {
				continue
			}
			for _, v := range append([]float64{w.FirstMM, w.RestMM}, w.Scale[:]...) {
				if !(v > 0) || math.IsInf(v, 0) {
					t.Fatalf("%q: %+v", s, w)
				}
			}
			if !(w.TrimMM >= 0 && w.TrimMM <= maxTrimMM && w.InsetMM >= 0 && w.InsetMM <= maxInsetMM && w.Flow >= minFlow && w.Flow <= 1 && math.Abs(w.LiftMM) <= maxLiftMM) {
				t.Fatalf("%q: %+v", s, w)
			}
			if w.FirstMM > machine.MaxLayerHeightMM || w.RestMM > machine.MaxLayerHeightMM || w.ReachMM > maxReachMM {
				t.Fatalf("%q: %+v", s, w)
			}
			for _, v := range w.TurnDeg {
				if !(math.Abs(v) <= maxTurnDeg) {
					t.Fatalf("%q: %+v", s, w)
				}
			}
		}
	})
}
