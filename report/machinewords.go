package report

import (
	"math"
	"slices"
	"strings"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
)

// isUntested says whether a need was not tested on the machine and is the
// built-in cautious one.
func isUntested(m *gapscan.MachineUsed, need string) bool {
	return !m.Tested || slices.Contains(m.Defaults, need)
}

func isBuiltIn(m *gapscan.MachineUsed) bool { return !m.Tested && m.Name == machine.BuiltInName }

func machineName(m *gapscan.MachineUsed) string {
	if m.Name == "" {
		return "machine"
	}
	return "machine" + nbsp + strings.ReplaceAll(plain(m.Name), " ", nbsp)
}

// cautiousLimits are the needs of a machine of which nothing was tested.
const cautiousLimits = "the built-in cautious limits"

// machineInShort names an untested machine before its verdict.
func machineInShort(m *gapscan.MachineUsed) string {
	if isBuiltIn(m) {
		return "the built-in cautious machine (nothing was tested)"
	}
	return machineName(m) + ", untested (" + cautiousLimits + ")"
}

// limit is a need in words; note says what it was reckoned from.
type limit struct{ words, note string }

// limits lists the needs a verdict was measured by, apart by where they come
// from: tested on this machine, reckoned from what was, or the built-in ones.
func limits(m *gapscan.MachineUsed) (tested, reckoned, cautious []limit) {
	add := func(name, need string, mm float64) {
		l := limit{words: name + nbsp + gap(mm)}
		if isUntested(m, need) {
			cautious = append(cautious, l)
		} else {
			tested = append(tested, l)
		}
	}
	add("side", "side_mm", m.SideMM)
	add("roof"+nbsp+"(vertical)", "roof_mm", m.RoofMM)
	bottom := limit{words: "bottom" + nbsp + gap(m.BottomMM)}
	trim := "less twice the trim of" + nbsp + size(m.TrimMM)
	switch machine.BottomSource(m.BottomFrom) {
	case machine.BottomTested, machine.BottomTrials:
		if m.TrimMM > 0 {
			bottom.note = "(" + gap(m.BottomMM+2*m.TrimMM) + " tested, " + trim + ")"
		}
		tested = append(tested, bottom)
	case machine.BottomSpread:
		bottom.note = "(side need and twice the spread"
		if m.TrimMM > 0 {
			bottom.note += ", " + trim
		}
		bottom.note += ")"
		reckoned = append(reckoned, bottom)
	case machine.BottomSide:
		bottom.note = "(the side need, being more)"
		reckoned = append(reckoned, bottom)
	default:
		add("bottom", "bottom_mm", m.BottomMM)
	}
	return tested, reckoned, cautious
}

// inMM writes limits with their unit behind the last number.
func inMM(ls []limit) string {
	var b strings.Builder
	for i, l := range ls {
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString(l.words)
		if i == len(ls)-1 {
			b.WriteString(nbsp + "mm")
		}
		if l.note != "" {
			b.WriteString(" " + l.note)
		}
	}
	return b.String()
}

// machineWords says what machine a verdict rests on and how far that was
// tested.
func machineWords(m *gapscan.MachineUsed) string {
	tested, reckoned, cautious := limits(m)
	s := machineName(m)
	switch {
	case isBuiltIn(m):
		s = "the built-in cautious machine, untested: " + inMM(cautious)
	case !m.Tested:
		s += ", untested: " + cautiousLimits + ", " + inMM(cautious)
	case len(tested) == 0:
		s += ", tested for bridges only: " + cautiousLimits + ", " + inMM(cautious)
	default:
		s += ", tested: " + inMM(tested)
	}
	if len(reckoned) > 0 {
		s += "; reckoned: " + inMM(reckoned)
	}
	if len(tested) > 0 && len(cautious) > 0 {
		s += "; untested, so cautious: " + inMM(cautious)
	}
	return s
}

// sameNeed is how far apart in mm two needs are the same but for rounding.
const sameNeed = 1e-4

// untestedNeed names the need that decides a joint, where it is one that was
// not tested though others were; "" otherwise. (Of a machine of which nothing
// was tested, that is said once and for all.) Along a slope the side need and
// the roof need may both count.
func untestedNeed(m *gapscan.MachineUsed, j *gapscan.Joint) string {
	if !m.Tested || j.Cause == nil {
		return ""
	}
	var rests []string // the needs that count
	is := func(need float64) bool { return j.NeedMM != nil && math.Abs(*j.NeedMM-need) <= sameNeed }
	switch *j.Cause {
	case gapscan.CauseSide:
		rests = []string{"side"}
	case gapscan.CauseBottom:
		switch machine.BottomSource(m.BottomFrom) {
		case machine.BottomTested:
		case machine.BottomSpread, machine.BottomSide:
			rests = []string{"side"}
		default:
			rests = []string{"bottom"}
		}
	default:
		switch side, roof := is(m.SideMM), is(m.RoofMM); {
		case side && !roof:
			rests = []string{"side"}
		case roof && !side:
			rests = []string{"roof"}
		default:
			rests = []string{"side", "roof"}
		}
	}
	var untested []string
	for _, n := range rests {
		if slices.Contains(m.Defaults, n+"_mm") {
			untested = append(untested, n)
		}
	}
	if len(untested) == 0 {
		return ""
	}
	return series(untested) + " need"
}
