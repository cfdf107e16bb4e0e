package remedy

import (
	"slices"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
)

// practice lists what is common practice against welds of some causes, in the
// order in which to try it. Nothing of it can be calculated.
func practice(causes []gapscan.Cause, mc machine.Machine) []string {
	has := func(c gapscan.Cause) bool { return slices.Contains(causes, c) }
	out := []string{}
	if has(gapscan.CauseBottom) {
		out = append(out,
			"bed: level it and set the first layer's height again; squeezed too flat it spreads and welds",
			"bed temperature: on the low side; a bed too hot spreads the first layer",
			"no brim or raft across a gap")
	}
	if has(gapscan.CauseRoof) || has(gapscan.CauseSlope) {
		out = append(out,
			"support: off between moving parts",
			fan(mc),
			"slower over bridges and under overhangs, so that they sag less")
	}
	if has(gapscan.CauseSide) || has(gapscan.CauseSlope) {
		out = append(out,
			"seam: away from the joint, or it fills the gap with its bumps",
			"slower outer walls: a shaking nozzle strays into the gap")
	}
	if len(out) > 0 {
		out = append(out,
			"nozzle temperature: on the low side; hotter plastic spreads and sticks",
			"dry the filament: damp it leaves strings in every gap")
	}
	return out
}

// fan is what to do with the fan: full helps PLA, other plastics come apart.
func fan(mc machine.Machine) string {
	if mc.Material == "" || mc.Material == machine.DefaultMaterial {
		return "fan: full for bridges in PLA"
	}
	return "fan: as much as " + mc.Material + " bears for bridges"
}
