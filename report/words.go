package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"playgauge/gapscan"
)

// fileName is the model's name, on one line and kept together.
func fileName(r *gapscan.Result) string {
	if r.Model.File == "" {
		return "model"
	}
	return strings.ReplaceAll(plain(r.Model.File), " ", nbsp)
}

// bad tells the outcomes that cost a print.
func bad(o gapscan.Outcome) bool { return o == gapscan.Sticks || o == gapscan.Welds }

// tally counts the judged joints by outcome.
func tally(joints []gapscan.Joint) (judged int, of map[gapscan.Outcome]int) {
	of = map[gapscan.Outcome]int{}
	for i := range joints {
		if o := joints[i].Outcome; o != nil {
			judged++
			of[*o]++
		}
	}
	return judged, of
}

// share says k of n joints.
func share(k, n int) string {
	switch {
	case n == 1:
		return "its one joint"
	case k < n:
		return fmt.Sprintf("%d of %d joints", k, n)
	case n == 2:
		return "both joints"
	}
	return fmt.Sprintf("all %d joints", n)
}

// verdict says the outcome in plain words, after the outcome's own word;
// where says at which layers.
func verdict(r *gapscan.Result, where string) string {
	n, of := tally(r.Joints)
	welds, sticks := of[gapscan.Welds], of[gapscan.Sticks]
	switch r.Outcome {
	case gapscan.Welds:
		s := share(welds, n) + " will weld"
		if sticks > 0 {
			s += fmt.Sprintf(" and %d will stick", sticks)
		}
		s += where
		if sticks > 0 {
			s += "; expect to crack by hand what sticks"
		}
		return s
	case gapscan.Sticks:
		it := "it"
		if sticks > 1 {
			it = "them"
		}
		return share(sticks, n) + " will stick" + where + "; expect to crack " + it + " free by hand"
	case gapscan.Close:
		s := share(n, n) + shouldMove(r) + ", "
		if k := of[gapscan.Close]; k < n {
			s += strconv.Itoa(k) + nbsp
		}
		return s + "with little to spare" + hangs(r)
	case gapscan.Free:
		return share(n, n) + shouldMove(r) + hangs(r)
	case gapscan.NoJoint:
		return noJoint(r)
	}
	return ""
}

// likely is the chance from which on what should move needs no number.
const likely = 0.9

// shouldMove says so, and in how many prints where that is known and is not in
// nearly all: limits and chances are read off the trials in two ways, which few
// trials let differ.
func shouldMove(r *gapscan.Result) string {
	if r.PFree != nil && *r.PFree < likely {
		return " should move " + chanceWords(*r.PFree) + nbsp + "prints"
	}
	return " should move"
}

// hangs says, of joints that should move, what may keep their parts from
// printing: the gravest of the cautions about what hangs.
func hangs(r *gapscan.Result) string {
	for _, c := range []struct{ kind, words string }{
		{gapscan.CautionMidAir, ", but something begins in mid-air"},
		{gapscan.CautionLiesDown, ", but something begins over air"},
		{gapscan.CautionCantilever, ", but a long cantilever may droop"},
	} {
		if slices.ContainsFunc(r.Cautions, func(of gapscan.Caution) bool { return of.Kind == c.kind }) {
			return c.words
		}
	}
	return ""
}

// firstBadAt says at which layer trouble begins: ", first at layer 5".
func firstBadAt(r *gapscan.Result) string {
	if r.FirstBadLayer == nil {
		return ""
	}
	return fmt.Sprintf(", first at layer"+nbsp+"%d", *r.FirstBadLayer)
}

// firstAndWorst says both layers: ", first at layer 5, worst at layer 24".
func firstAndWorst(r *gapscan.Result) string {
	worst := worstLayer(r) + 1
	switch {
	case r.FirstBadLayer == nil || worst == 0:
		return firstBadAt(r)
	case *r.FirstBadLayer == worst:
		return fmt.Sprintf(", first and worst at layer"+nbsp+"%d", worst)
	}
	return firstBadAt(r) + fmt.Sprintf(", worst at layer"+nbsp+"%d", worst)
}

// noJoint says why there is nothing to judge. It never says free.
func noJoint(r *gapscan.Result) string {
	switch n := len(r.Parts); {
	case n == 0:
		return "there is no part to print"
	case len(r.Joints) > 0:
		return fmt.Sprintf("%d parts come near each other, but no two beads face each other", n)
	case n > 1:
		return fmt.Sprintf("%d parts, none within %s"+nbsp+"mm of another", n, size(r.ReachMM))
	case r.PrintedParts > 1:
		return fmt.Sprintf("one part, and it prints as %d pieces", r.PrintedParts)
	}
	return "it prints as one part"
}

// doubt says what the outcome rests on where that is not certain: the unit, and
// what could not be measured; "" where all is.
func doubt(r *gapscan.Result) (s string) {
	if r.Model.UnitDoubt != "" {
		s = ", if the file is in" + nbsp + plain(r.Model.Units)
	}
	switch n := r.Mesh.UnmeasuredContours; {
	case n == 1:
		s += ", as far as it could be measured (1" + nbsp + "contour was left out)"
	case n > 1:
		s += fmt.Sprintf(", as far as it could be measured (%d"+nbsp+"contours were left out)", n)
	}
	return s
}

// headline is the outcome, tinted, with the verdict and with what makes it
// less than certain.
func headline(r *gapscan.Result) string {
	s := tint(r.Outcome) + doubt(r)
	if r.Outcome == gapscan.NoJoint && len(r.Parts) > 0 {
		s += "; " + slotsInShort(r)
	}
	if v := verdict(r, firstBadAt(r)); v != "" {
		s += nbsp + "- " + v
	}
	if len(r.Joints) > 0 {
		if need := untestedNeed(&r.Machine, &r.Joints[0]); need != "" {
			s += "; this hangs on the " + need + ", which was not tested"
		}
	}
	return s
}

// demands says what the model asks of any machine, "" where it asks nothing.
func demands(d *gapscan.Demands) string {
	var asks []string
	if d.SideMM != nil {
		asks = append(asks, "side gap "+gap(*d.SideMM)+nbsp+"mm")
	}
	if d.SlopeMM != nil {
		asks = append(asks, gap(*d.SlopeMM)+nbsp+"mm along slopes")
	}
	if d.RoofMM != nil || d.RoofAir != nil {
		s := "roof gap (vertical)"
		if d.RoofMM != nil {
			s += " " + gap(*d.RoofMM) + nbsp + "mm"
		}
		if d.RoofMM != nil && d.RoofAir != nil {
			s += " ="
		}
		if d.RoofAir != nil {
			s += " " + air(*d.RoofAir)
		}
		asks = append(asks, s)
	}
	if d.BottomMM != nil {
		asks = append(asks, "bottom gap "+gap(*d.BottomMM)+nbsp+"mm")
	}
	if d.BridgeMM != nil {
		asks = append(asks, "bridge "+span(*d.BridgeMM)+nbsp+"mm")
	}
	return strings.Join(asks, ", ")
}

func air(layers int) string {
	if layers == 0 {
		return "no air layer (prints in contact)"
	}
	return count(layers, "air layer", "air layers")
}

// causeWords names the gap a margin was measured over.
func causeWords(c *gapscan.Cause) string {
	if c == nil {
		return "gap"
	}
	switch *c {
	case gapscan.CauseSide:
		return "side gap"
	case gapscan.CauseBottom:
		return "bottom gap"
	case gapscan.CauseRoof:
		return "roof gap (vertical)"
	case gapscan.CauseSlope:
		return "gap along the slope"
	}
	return plain(string(*c)) + " gap"
}

// hasNeeds compares a gap with its need: "has 0.30, needs 0.40 mm: 0.10
// short"; note stands behind the need. A need counts as met from a little
// below it on, so the outcome decides what is short.
func hasNeeds(has, needs float64, note string, o gapscan.Outcome) string {
	h, n := gapPair(has, needs)
	s := "has" + nbsp + h + ", needs" + nbsp + n + nbsp + "mm" + note + ": "
	switch d := needs - has; {
	case bad(o) && d > 0:
		return s + difference(d) + nbsp + "short"
	case d < 0 && !sameGap(has, needs):
		return s + difference(-d) + nbsp + "to" + nbsp + "spare"
	}
	return s + "just met"
}

// difference writes how far apart two gaps are, with as many decimals as the
// gaps have where that is not 0.
func difference(mm float64) string {
	for d := 2; d <= 4; d++ {
		if s := rounded(mm, d); strings.Trim(s, "0.") != "" {
			return s
		}
	}
	return "under" + nbsp + "0.0001"
}

// jointWords says what limits a judged joint.
func jointWords(r *gapscan.Result, j *gapscan.Joint) string {
	s := causeWords(j.Cause)
	if j.GapMM != nil && j.NeedMM != nil {
		note := ""
		if untestedNeed(&r.Machine, j) != "" {
			note = " (untested)"
		}
		s += " " + hasNeeds(*j.GapMM, *j.NeedMM, note, *j.Outcome)
	}
	if j.Cause != nil && *j.Cause == gapscan.CauseRoof && j.RoofAirLayers != nil {
		s += ", " + air(*j.RoofAirLayers)
	}
	if j.PFree != nil {
		s += "; free" + nbsp + chanceWords(*j.PFree)
	}
	return s
}

// jointPlace says where a joint is tightest and what weld it makes; first
// says that it is the first of several.
func jointPlace(r *gapscan.Result, j *gapscan.Joint, first bool) string {
	var at []string
	if j.WorstLayer != nil {
		at = append(at, layerAt(r, *j.WorstLayer))
	}
	if j.AtMM != nil {
		s := placeAt(j.AtMM[0], j.AtMM[1])
		if first {
			s = "the first " + s
		}
		at = append(at, s)
	}
	if s := weldWords(j); s != "" {
		at = append(at, s)
	}
	return strings.Join(at, ", ")
}

// placeAt names a place on the bed: "at x 10.96, y 0.39 mm".
func placeAt(x, y float64) string {
	return "at" + nbsp + "x" + nbsp + gap(x) + "," + nbsp + "y" + nbsp + gap(y) + nbsp + "mm"
}

// layerAt names a layer with the height it ends at, which is what a printer
// shows while it lays it.
func layerAt(r *gapscan.Result, layer int) string {
	s := "layer" + nbsp + strconv.Itoa(layer)
	if i := layer - 1; i >= 0 && i < len(r.Layers) {
		s += ", z" + nbsp + height(r.Layers[i].ZTopMM) + nbsp + "mm"
	}
	return s
}

// worstLayer is the index of the layer to call the worst: where the joint
// that is listed first, as the worst, is tightest; failing that, the layer of
// the least margin, the lowest of equals; -1 where no layer has one.
func worstLayer(r *gapscan.Result) int {
	if len(r.Joints) > 0 && r.Joints[0].Outcome != nil && r.Joints[0].WorstLayer != nil {
		if i := *r.Joints[0].WorstLayer - 1; i >= 0 && i < len(r.Layers) && r.Layers[i].Margin != nil {
			return i
		}
	}
	worst := -1
	for i := range r.Layers {
		if m := r.Layers[i].Margin; m != nil && (worst < 0 || *m < *r.Layers[worst].Margin) {
			worst = i
		}
	}
	return worst
}

// planWords says how the model was layered.
func planWords(p *gapscan.PlanUsed) string {
	s := count(p.Layers, "layer", "layers") + " of " + size(p.LayerHeightMM) + nbsp + "mm"
	if p.FirstHeightMM != p.LayerHeightMM {
		s += ", the first " + size(p.FirstHeightMM)
	}
	return s
}
