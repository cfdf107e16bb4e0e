package report

import (
	"slices"

	"playgauge/gapscan"
	"playgauge/gapscan/practice"
)

// What the verdict stands by, or would gain from, by the cause of a weld, and
// what to do about cautions. 5 % less flow leaves 0.02 mm more between two
// walls: gapscan.FlowInset of a line of 0.45 mm, on both sides.
const (
	sheetNotYet     = "Not yet: a joint will weld, most likely. First look for a change (playgauge remedy), or print that joint alone (playgauge sample)."
	sheetAsItLies   = "Print it as it lies, in the size it was judged in."
	sheetFilament   = "Print it as it lies, in the size it was judged in, with the filament the machine was tested with."
	sheetKeepLayers = "Keep the layer heights on this sheet: others may leave less air under a ceiling, and thick ones bring the steps of a slope nearer."
	sheetLessFlow   = "Some room to gain: a flow of 0.95 leaves 0.02 mm more between two walls; below 0.90 walls fall apart."
	sheetTrim       = "Some room to gain: if your slicing can trim the outline of the first layers, let it, and vet again with --trim."
	sheetBridge     = "Look under what is laid far over air when it is done. If it hangs down onto the part below, stop: it has welded."
	sheetMidAir     = "Something begins in mid-air and needs support: set it by hand there only, never into a gap."
	sheetLiesDown   = "Something begins over air and lies down on another part: look whether its first layer stays where it is laid."
	sheetBed        = "Little holds on to the bed: clean it, and stay for the first layers."
)

// sheetPractice lists what to heed at the machine for a model, each once.
func sheetPractice(r *gapscan.Result) []string {
	causes := risks(r)
	var out []string
	if r.Outcome == gapscan.Welds {
		out = append(out, sheetNotYet)
	}
	if r.Machine.Tested {
		out = append(out, sheetFilament)
	} else {
		out = append(out, sheetAsItLies)
	}
	risk := func(c gapscan.Cause) bool { return slices.Contains(causes, c) }
	if risk(gapscan.CauseRoof) || risk(gapscan.CauseSlope) {
		out = append(out, sheetKeepLayers)
	}
	if risk(gapscan.CauseSide) && (r.Adjusted == nil || r.Adjusted.Flow == 1) {
		out = append(out, sheetLessFlow)
	}
	if risk(gapscan.CauseBottom) && r.Machine.TrimMM == 0 {
		out = append(out, sheetTrim)
	}
	out = append(out, practice.Against(causes, r.Machine.Material)...)
	add := func(s string) {
		if !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	for i := range r.Cautions {
		switch r.Cautions[i].Kind {
		case gapscan.CautionBridge, gapscan.CautionCantilever:
			add(sheetBridge)
		case gapscan.CautionMidAir:
			add(sheetMidAir)
		case gapscan.CautionLiesDown:
			add(sheetLiesDown)
		case "bed":
			add(sheetBed)
		}
	}
	return out
}

// risks lists the causes by which joints are not free, the worst joint's
// first; of a model that is free, the tightest joint's.
func risks(r *gapscan.Result) []gapscan.Cause {
	var out []gapscan.Cause
	add := func(c *gapscan.Cause) {
		if c != nil && !slices.Contains(out, *c) {
			out = append(out, *c)
		}
	}
	for i := range r.Joints {
		j := &r.Joints[i]
		if j.Outcome != nil && (*j.Outcome != gapscan.Free || i == 0) {
			add(j.Cause)
		}
	}
	for i := range r.Layers {
		if l := &r.Layers[i]; l.Outcome != nil && bad(*l.Outcome) {
			add(l.Cause)
		}
	}
	return out
}
