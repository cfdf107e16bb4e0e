// Package practice is common workshop practice against welds, in words for a
// person at the machine. Nothing of it can be calculated from a model.
package practice

import (
	"slices"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
)

// advice is a piece of practice with the causes of a weld that it is against.
type advice struct {
	text   string
	causes []gapscan.Cause
}

// all is in the order in which to try it. The figure is that of a bead between
// flat lines with rounded sides, 0.45 mm wide: a first layer of 0.2 mm
// squeezed to 0.15 at the same volume is 0.125 mm wider.
var all = []advice{
	{"Level the bed and set the nozzle's height anew: a first layer of 0.2 mm squeezed to 0.15 takes 0.12 mm from every gap.", []gapscan.Cause{gapscan.CauseBottom}},
	{"The bed no hotter than it takes to hold: a hot bed spreads the first layers.", []gapscan.Cause{gapscan.CauseBottom}},
	{fanPLA, []gapscan.Cause{gapscan.CauseRoof, gapscan.CauseSlope}},
	{"Slowly over bridges and under overhangs, so that they sag less.", []gapscan.Cause{gapscan.CauseRoof, gapscan.CauseSlope}},
	{"Lines as wide as the nozzle: wide ones are pressed into the gap.", []gapscan.Cause{gapscan.CauseSide}},
	{"The outer walls slowly: a nozzle that shakes leaves its line.", []gapscan.Cause{gapscan.CauseSide, gapscan.CauseSlope}},
	{"The seam away from the joint: its bumps fill the gap.", []gapscan.Cause{gapscan.CauseSide, gapscan.CauseSlope}},
	{"No support, brim or raft in a gap or across one.", nil},
	{"No hotter than the filament needs: hotter plastic spreads and sticks.", nil},
	{"Dry filament and a clean nozzle: what strings, sticks.", nil},
}

// The fan at full speed helps PLA; of other plastics layers come apart.
const (
	fanPLA   = "The fan at full speed from the second layer on (PLA): a ceiling must set before it sags."
	fanOther = "The fan as fast as the filament bears: a ceiling must set before it sags."
)

// Against lists what helps against welds of some causes with a material, in
// the order in which to try it; nothing for no cause. An empty material stands
// for the built-in machine's.
func Against(causes []gapscan.Cause, material string) []string {
	out := []string{}
	if len(causes) == 0 {
		return out
	}
	for _, a := range all {
		if a.causes != nil && !slices.ContainsFunc(a.causes, func(c gapscan.Cause) bool { return slices.Contains(causes, c) }) {
			continue
		}
		if a.text == fanPLA && material != "" && material != machine.DefaultMaterial {
			a.text = fanOther
		}
		out = append(out, a.text)
	}
	return out
}
