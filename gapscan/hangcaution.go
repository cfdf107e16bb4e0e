package gapscan

import (
	"fmt"
	"slices"
	"strings"

	"playgauge/gapscan/overhang"
)

// The kinds of caution about what hangs.
const (
	CautionMidAir     = "mid-air"    // begins in mid-air and lies on nothing
	CautionLiesDown   = "lies down"  // begins in mid-air and lies down on another part
	CautionBridge     = "bridge"     // longer than the machine's
	CautionCantilever = "cantilever" // longer than any machine's
)

// longestLedge is the longest reach in mm of a cantilever that is laid without
// support and hardly droops. Common practice, no source.
const longestLedge = 5.0

// hangCautions warns of what hangs and may not print as it is drawn, each kind
// once.
func hangCautions(r *Result) (out []Caution) {
	starts := func(is func(o *Overhang) bool) (found []*Overhang) {
		for i := range r.Overhangs {
			if o := &r.Overhangs[i]; o.Kind == string(overhang.MidAir) && is(o) {
				found = append(found, o)
			}
		}
		return found
	}
	if s := starts(func(o *Overhang) bool { return o.LiesOnPart == nil }); len(s) > 0 {
		out = append(out, startsCaution(CautionMidAir, s, "begins in mid-air and needs", "begin in mid-air and need", "support material, which fills the very gaps that must stay open"))
	}
	if s := starts((*Overhang).LiesOnAnother); len(s) > 0 {
		out = append(out, startsCaution(CautionLiesDown, s, "begins over air and lies", "begin over air and lie", "down on another part, where the first lines may stick"))
	}
	if o, n := tooLong(r, overhang.Bridge, r.Machine.BridgeMM); n > 0 {
		out = append(out, longCaution(CautionBridge, o, n, bridgeLimit(r), "may sag on what is below"))
	}
	if o, n := tooLong(r, overhang.Cantilever, longestLedge); n > 0 {
		limit := fmt.Sprintf("the %g mm that common practice lays without support", longestLedge)
		out = append(out, longCaution(CautionCantilever, o, n, limit, "may droop on what is below"))
	}
	return out
}

// LiesOnAnother says whether it is a start in mid-air that lies down on another
// part. What lies down on its own part may be rough and does no harm.
func (o *Overhang) LiesOnAnother() bool { return o.LiesOnPart != nil && *o.LiesOnPart != o.Part }

// startsCaution is the one caution about starts in mid-air of a kind, in words
// for one of them, for several, and for both.
func startsCaution(kind string, starts []*Overhang, one, several, what string) Caution {
	text := "1 place " + one
	if n := len(starts); n > 1 {
		text = fmt.Sprintf("%d places %s", n, several)
	}
	places := make([]string, len(starts))
	for i, o := range starts {
		places[i] = fmt.Sprintf("part %d from layer %d at x %.1f, y %.1f mm, %.1f mm2", o.Part, o.Layers[0], tenth(o.AtMM[0]), tenth(o.AtMM[1]), o.AreaMM2)
		if o.LiesOnPart != nil {
			places[i] += fmt.Sprintf(", on part %d", *o.LiesOnPart)
		}
	}
	const most = 6
	if n := len(places); n > most {
		places = append(places[:most], fmt.Sprintf("and %d more", n-most))
	}
	first := starts[0]
	return Caution{Kind: kind, Text: text + " " + what + ": " + strings.Join(places, "; "), Part: ptr(first.Part), Layer: ptr(first.Layers[0])}
}

// tooLong is the longest overhang of a kind, the first of equals, and how many
// are longer than a limit, mm.
func tooLong(r *Result, kind overhang.Kind, limit float64) (longest *Overhang, n int) {
	for i := range r.Overhangs {
		if o := &r.Overhangs[i]; o.Kind == string(kind) && *o.SpanMM > limit {
			n++
			if longest == nil || *o.SpanMM > *longest.SpanMM {
				longest = o
			}
		}
	}
	return longest, n
}

// longCaution is the one caution about overhangs of a kind, n of them, that are
// longer than a limit.
func longCaution(kind string, longest *Overhang, n int, limit, what string) Caution {
	at := fmt.Sprintf("%.1f mm in layer %d of part %d", *longest.SpanMM, longest.Layers[0], longest.Part)
	text := fmt.Sprintf("a %s of %s is longer than %s; it %s", kind, at, limit, what)
	if n > 1 {
		text = fmt.Sprintf("%d %ss are longer than %s, the longest %s; they %s", n, kind, limit, at, what)
	}
	return Caution{Kind: kind, Text: text, Part: ptr(longest.Part), Layer: ptr(longest.Layers[0])}
}

// bridgeLimit names the machine's longest bridge, and whether it was shown.
func bridgeLimit(r *Result) string {
	if slices.Contains(r.Machine.Defaults, "bridge_mm") {
		return fmt.Sprintf("the %g mm a cautious machine lays", r.Machine.BridgeMM)
	}
	return fmt.Sprintf("the %g mm this machine has been shown to lay", r.Machine.BridgeMM)
}
