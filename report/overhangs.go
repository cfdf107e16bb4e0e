package report

import (
	"strconv"

	"playgauge/gapscan"
)

// The kinds of overhang.
const (
	bridgeKind     = "bridge"
	cantileverKind = "cantilever"
	midAirKind     = "mid-air"
)

// What of the overhangs is worth a line; our judgement.
const (
	// bridgeShare is the share of the machine's bridge from which on the
	// longest one is told.
	bridgeShare = 0.5
	// longCantilever is the reach in mm, and wideCantilever the area in mm2,
	// from which on a cantilever is likely to droop where it is seen.
	longCantilever = 2.0
	wideCantilever = 1.0
)

// overhangs tells of the longest bridge and the longest cantilever. What
// starts in mid-air is among the cautions.
func overhangs(p *page, r *gapscan.Result) {
	var lines []string
	if o, n := longest(r, bridgeKind, func(o *gapscan.Overhang) bool { return *o.SpanMM > bridgeShare*r.Machine.BridgeMM }); n > 0 {
		s := "longest bridge " + span(*o.SpanMM) + nbsp + "mm, the machine's " + size(r.Machine.BridgeMM) + nbsp + "mm"
		if isUntested(&r.Machine, "bridge_mm") {
			s += nbsp + "(untested)"
		}
		lines = append(lines, s+": "+overhangAt(r, o))
	}
	if o, n := longest(r, cantileverKind, func(o *gapscan.Overhang) bool {
		return *o.SpanMM >= longCantilever && o.AreaMM2 >= wideCantilever
	}); n > 0 {
		s := "cantilever of " + span(*o.SpanMM) + nbsp + "mm: "
		if n > 1 {
			s = count(n, "cantilever", "cantilevers") + ", the longest of " + span(*o.SpanMM) + nbsp + "mm: "
		}
		lines = append(lines, s+overhangAt(r, o))
	}
	if len(lines) > 0 {
		p.entry("overhangs", lines...)
	}
}

// longest is the overhang of a kind with the greatest span, the first of
// equals, of those that matter; n is how many do.
func longest(r *gapscan.Result, kind string, matters func(*gapscan.Overhang) bool) (best *gapscan.Overhang, n int) {
	for i := range r.Overhangs {
		o := &r.Overhangs[i]
		if o.Kind != kind || o.SpanMM == nil || !matters(o) {
			continue
		}
		n++
		if best == nil || *o.SpanMM > *best.SpanMM {
			best = o
		}
	}
	return best, n
}

// overhangAt says where an overhang is and how far above what.
func overhangAt(r *gapscan.Result, o *gapscan.Overhang) string {
	s := "part" + nbsp + strconv.Itoa(o.Part) + ", " + layerAt(r, o.Layers[0])
	if o.AtMM != nil {
		s += ", " + placeAt(o.AtMM[0], o.AtMM[1])
	}
	if o.DropMM == nil {
		return s
	}
	below := "the bed"
	if o.OverPart != nil {
		below = "part" + nbsp + strconv.Itoa(*o.OverPart)
		if *o.OverPart == o.Part {
			below = "itself"
		}
	}
	if size(*o.DropMM) == "0" {
		return s + ", right on " + below
	}
	return s + ", " + size(*o.DropMM) + nbsp + "mm above " + below
}
