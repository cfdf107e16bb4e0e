package main

import (
	"fmt"
	"slices"

	"playgauge/gapscan/machine"
)

// leastKept is less than printers are known to keep open, mm: tested limits of
// 0.2 mm are those of a well-made one (trade practice). What is said to have come
// free with less may be a slip of the pen, and would pull the machine's limits down.
const leastKept = 0.15

// recordDoubts says what of trials that were recorded may be a mistake, and how
// to undo it. mc is the machine before.
func recordDoubts(mc machine.Machine, trials []machine.Trial, date string) (out []string) {
	if len(trials) > 0 && allKnown(mc.Trials, trials) {
		out = append(out, fmt.Sprintf("the file held these very trials of %s already; if you recorded one print twice, take the last %d out of %s", date, len(trials), mc.File))
	}
	for i := range trials {
		t := &trials[i]
		if t.Result != machine.CameFree {
			continue
		}
		what := ""
		switch {
		case t.AirLayers != nil && *t.AirLayers == 0:
			what = "no layer of air came free, though parts that print in contact are one"
		case (t.Family == machine.FamilySide || t.Family == machine.FamilyBottom) && t.GapMM < leastKept:
			what = fmt.Sprintf("a %s of %s mm came free, which is less than printers are known to keep open (%s mm)", familyWords[t.Family], number(t.GapMM), number(leastKept))
		default:
			continue
		}
		doubt := fmt.Sprintf("%s; if that was a slip, take it out of %s, or the limits rest on it", what, mc.File)
		if !slices.Contains(out, doubt) { // once for all cells of a gap
			out = append(out, doubt)
		}
	}
	return out
}

// allKnown says whether trials stand among others, each as often.
func allKnown(among, trials []machine.Trial) bool {
	key := func(t machine.Trial) string {
		layers := -1
		if t.AirLayers != nil {
			layers = *t.AirLayers
			t.AirLayers = nil
		}
		return fmt.Sprint(layers, t)
	}
	there := map[string]int{}
	for _, t := range among {
		there[key(t)]++
	}
	for _, t := range trials {
		if there[key(t)]--; there[key(t)] < 0 {
			return false
		}
	}
	return true
}
