package main

import (
	"fmt"
	"strconv"
	"strings"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
)

// What flags may be; as wide as a filament printer could ever ask for, to
// keep out slips of the pen.
const (
	maxTurnDeg         = 360.0
	minScale, maxScale = 0.001, 1000.0
	// Parts farther apart than this cannot weld, and the time to look that
	// far grows with the square of it.
	minReachMM, maxReachMM = 0.01, 10.0
	// More off a wall than a line is a slip, and so is less flow than is ever
	// asked for.
	maxTrimMM, maxInsetMM = 1.0, 1.0
	minFlow               = 0.9
	maxLiftMM             = 1.0
)

// placeFlags are the flags that say how a model is placed, cut and looked at.
func placeFlags(what *gapscan.WhatIf) []flagSpec {
	w := whatIf{what}
	return []flagSpec{
		{"layers", "REST|FIRST+REST", "layer heights in mm, as in 0.2 or 0.28+0.2\n(default 0.2)", w.setLayers},
		{"turn", "X,Y,Z", "turn by degrees about x, then y, then z", w.setTurn},
		{"scale", "F|X,Y,Z", "scale by one factor or three, as in 0.5, 150%\nor 1,1,0.9", w.setScale},
		{"units", "UNIT", "what the file's numbers are: mm, cm, inch, m, foot\nor micron (default: what the file says, as 3MF\ndoes, else mm)", w.setUnits},
		{"reach", "MM", "look at parts no farther apart than this: from the\nlargest need to 10 (default 2, or four times the\nlargest need)", w.setReach},
	}
}

// settingFlags are the flags of what a setting of the printer changes.
func settingFlags(what *gapscan.WhatIf) []flagSpec {
	w := whatIf{what}
	return []flagSpec{
		{"trim", "MM", "cut this much off each side of the bottom layers,\nagainst their spread", w.setTrim},
		{"inset", "MM", "let every wall recede by this: gaps between facing\nwalls grow by twice as much", w.setInset},
		{"flow", "F", "lay only this share of the material, 0.9 to 1:\nlines grow narrower", w.setFlow},
		{"lift", "MM", "shift the model against the layers, up or down", w.setLift},
	}
}

// whatIfTexts lists the flags of a what-if in the order they are shown, and
// what each would say.
var whatIfTexts = []struct {
	name string
	text func(gapscan.WhatIf) string
}{
	{"layers", layersText},
	{"turn", func(w gapscan.WhatIf) string { return numbers(w.TurnDeg) }},
	{"scale", func(w gapscan.WhatIf) string {
		if w.Scale[0] == w.Scale[1] && w.Scale[1] == w.Scale[2] {
			return number(w.Scale[0])
		}
		return numbers(w.Scale)
	}},
	{"units", func(w gapscan.WhatIf) string { return w.Units }},
	{"trim", func(w gapscan.WhatIf) string { return number(w.TrimMM) }},
	{"inset", func(w gapscan.WhatIf) string { return number(w.InsetMM) }},
	{"flow", func(w gapscan.WhatIf) string { return number(w.Flow) }},
	{"lift", func(w gapscan.WhatIf) string { return number(w.LiftMM) }},
	{"reach", func(w gapscan.WhatIf) string { return number(w.ReachMM) }},
}

func layersText(w gapscan.WhatIf) string {
	if w.FirstMM != w.RestMM {
		return number(w.FirstMM) + "+" + number(w.RestMM)
	}
	return number(w.RestMM)
}

// whatIfFlags renders a what-if as flags of vet that give it back, by
// themselves and behind the flags of another one, over. Those that change
// nothing are left out.
func whatIfFlags(w, over gapscan.WhatIf) []string {
	flags := []string{}
	for _, f := range whatIfTexts {
		if t := f.text(w); t != f.text(gapscan.AsIs()) || t != f.text(over) {
			flags = append(flags, "--"+f.name+"="+t)
		}
	}
	return flags
}

// number writes the shortest decimal that reads back as f.
func number(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

func numbers(v [3]float64) string { return number(v[0]) + "," + number(v[1]) + "," + number(v[2]) }

// parseNumber reads a plain decimal from lo to hi. The error says what is
// allowed.
func parseNumber(s string, lo, hi float64, unit string) (float64, error) {
	f, err := strconv.ParseFloat(s, 64)
	// ParseFloat also takes "inf", "nan", hexadecimals and underscores.
	if err != nil || strings.Trim(s, "0123456789.eE+-") != "" || !(f >= lo && f <= hi) {
		return 0, fmt.Errorf("must be from %s to %s%s", number(lo), number(hi), unit)
	}
	return f + 0, nil // -0 becomes 0
}

// whatIf is the what-if that flags fill in.
type whatIf struct{ *gapscan.WhatIf }

// setLayers reads REST or FIRST+REST.
func (w whatIf) setLayers(s string) error {
	first, rest, both := strings.Cut(s, "+")
	if !both {
		rest = first
	}
	lo, hi := machine.MinLayerHeightMM, machine.MaxLayerHeightMM
	h1, err1 := parseNumber(first, lo, hi, "")
	h, err2 := parseNumber(rest, lo, hi, "")
	if err1 != nil || err2 != nil {
		return fmt.Errorf("must be a layer height from %s to %s mm, or that of the first layer and of the rest, as in 0.28+0.2", number(lo), number(hi))
	}
	w.FirstMM, w.RestMM = h1, h
	return nil
}

// setTurn reads X,Y,Z in degrees.
func (w whatIf) setTurn(s string) error {
	v, ok := three(s, func(s string) (float64, error) { return parseNumber(s, -maxTurnDeg, maxTurnDeg, "") })
	if !ok {
		return fmt.Errorf("must be three angles from -%s to %[1]s degrees, about x, y and z, as in 90,0,0", number(maxTurnDeg))
	}
	w.TurnDeg = v
	return nil
}

// setScale reads one factor or three; each may be a percentage.
func (w whatIf) setScale(s string) error {
	factor := func(s string) (float64, error) {
		if p, ok := strings.CutSuffix(s, "%"); ok {
			f, err := parseNumber(p, minScale*100, maxScale*100, "")
			return f / 100, err
		}
		return parseNumber(s, minScale, maxScale, "")
	}
	if f, err := factor(s); err == nil {
		w.Scale = [3]float64{f, f, f}
		return nil
	}
	v, ok := three(s, factor)
	if !ok {
		return fmt.Errorf("must be a factor from %s to %s, or three for x, y and z, as in 0.5, 150%% or 1,1,0.9", number(minScale), number(maxScale))
	}
	w.Scale = v
	return nil
}

func three(s string, parse func(string) (float64, error)) (v [3]float64, ok bool) {
	fields := strings.Split(s, ",")
	if len(fields) != len(v) {
		return v, false
	}
	for i, f := range fields {
		var err error
		if v[i], err = parse(strings.TrimSpace(f)); err != nil {
			return v, false
		}
	}
	return v, true
}

// setReach reads a distance in mm.
func (w whatIf) setReach(s string) error {
	f, err := parseNumber(s, minReachMM, maxReachMM, " mm; parts farther apart cannot weld")
	if err != nil {
		return err
	}
	w.ReachMM = f
	return nil
}

// setTrim, setInset, setFlow and setLift read what changes the layers.
func (w whatIf) setTrim(s string) error { return setNumber(&w.TrimMM, s, 0, maxTrimMM, " mm") }

func (w whatIf) setInset(s string) error {
	return setNumber(&w.InsetMM, s, 0, maxInsetMM, " mm")
}

func (w whatIf) setFlow(s string) error { return setNumber(&w.Flow, s, minFlow, 1, "") }

func (w whatIf) setLift(s string) error {
	return setNumber(&w.LiftMM, s, -maxLiftMM, maxLiftMM, " mm")
}

func setNumber(to *float64, s string, lo, hi float64, unit string) error {
	f, err := parseNumber(s, lo, hi, unit)
	if err == nil {
		*to = f
	}
	return err
}

// checkWhatIf refuses what does not go with a machine, naming the flag: layers
// that its nozzle cannot lay, and a reach short of its largest need, by which a
// gap that welds would go unseen.
func checkWhatIf(w gapscan.WhatIf, mc machine.Machine) error {
	whose := "machine " + mc.Name
	if mc.File == "" {
		whose = "the built-in machine"
	}
	if max(w.FirstMM, w.RestMM) > mc.NozzleMM {
		return fmt.Errorf("--layers %s: must be at most %s mm, the nozzle of %s, which lays no higher bead; for a wider one: playgauge machine new NAME --nozzle MM", layersText(w), number(mc.NozzleMM), whose)
	}
	if w.ReachMM == 0 {
		return nil
	}
	n := mc.Needs()
	name, most := "side", n.Side
	if n.Roof > most {
		name, most = "roof", n.Roof
	}
	if n.Bottom > most {
		name, most = "bottom", n.Bottom
	}
	if w.ReachMM >= most {
		return nil
	}
	return fmt.Errorf("--reach %s: must be at least %s mm, the %s need of %s, or gaps that weld go unseen", number(w.ReachMM), number(most), name, whose)
}
