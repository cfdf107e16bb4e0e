package report

import (
	"fmt"
	"strconv"
	"strings"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
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

// verdict says the outcome in plain words, after the outcome's own word.
func verdict(r *gapscan.Result) string {
	n, of := tally(r.Joints)
	welds, sticks := of[gapscan.Welds], of[gapscan.Sticks]
	first := ""
	if r.FirstBadLayer != nil {
		first = fmt.Sprintf(", first at layer"+nbsp+"%d", *r.FirstBadLayer)
	}
	switch r.Outcome {
	case gapscan.Welds:
		s := share(welds, n) + " will weld"
		if sticks > 0 {
			s += fmt.Sprintf(" and %d will stick", sticks)
		}
		return s + first
	case gapscan.Sticks:
		return share(sticks, n) + " will stick" + first
	case gapscan.Close:
		s := share(n, n) + " will move, "
		if k := of[gapscan.Close]; k < n {
			s += strconv.Itoa(k) + nbsp
		}
		return s + "with little to spare"
	case gapscan.Free:
		return share(n, n) + " will move"
	case gapscan.NoJoint:
		return noJoint(r)
	}
	return ""
}

// noJoint says why there is nothing to judge. It never says free.
func noJoint(r *gapscan.Result) string {
	s := ""
	switch n := len(r.Parts); {
	case n == 0:
		s = "there is no part to print"
	case len(r.Joints) > 0:
		s = fmt.Sprintf("%d parts come near each other, but no two beads face each other", n)
	case n > 1:
		s = fmt.Sprintf("%d parts, none within %s"+nbsp+"mm of another", n, size(r.ReachMM))
	case r.PrintedParts > 1:
		s = fmt.Sprintf("one part, and it prints as %d pieces", r.PrintedParts)
	default:
		s = "it prints as one part"
	}
	if len(r.Slots) > 0 {
		closing := 0
		for i := range r.Slots {
			if bad(r.Slots[i].Outcome) {
				closing++
			}
		}
		if closing == 0 {
			return s + "; no slot will close"
		}
		s += "; " + count(closing, "slot", "slots") + " will close"
	}
	return s
}

// headline is the outcome, tinted, with the verdict.
func headline(r *gapscan.Result) string {
	if r.Outcome == gapscan.NoJoint {
		return tint(r.Outcome) + ": " + verdict(r)
	}
	s := tint(r.Outcome)
	if v := verdict(r); v != "" {
		s += " - " + v
	}
	if r.Outcome == gapscan.Sticks {
		s += "; expect to crack it free by hand"
	}
	return s
}

// demands says what the model asks of any machine, "" where it asks nothing.
func demands(d *gapscan.Demands) string {
	var asks []string
	if d.SideMM != nil {
		asks = append(asks, "side gap "+gap(*d.SideMM)+nbsp+"mm")
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
		asks = append(asks, "bridge "+size(*d.BridgeMM)+nbsp+"mm")
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

// hasNeeds compares a gap with its need: "has 0.30, needs 0.40: 0.10 short".
// A need counts as met from a little below it on, so the outcome decides what
// is short.
func hasNeeds(has, needs float64, o gapscan.Outcome) string {
	h, n := gapPair(has, needs)
	s := "has" + nbsp + h + ", needs" + nbsp + n + ": "
	switch d := needs - has; {
	case bad(o) && d > 0:
		return s + difference(d) + nbsp + "short"
	case d < 0:
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

// jointWords says what limits a joint.
func jointWords(j *gapscan.Joint) string {
	s := "parts" + nbsp + strconv.Itoa(j.Parts[0]) + nbsp + "and" + nbsp + strconv.Itoa(j.Parts[1])
	if j.Outcome == nil {
		return s
	}
	s += ": " + causeWords(j.Cause)
	if j.GapMM != nil && j.NeedMM != nil {
		s += " " + hasNeeds(*j.GapMM, *j.NeedMM, *j.Outcome)
	}
	if j.Cause != nil && *j.Cause == gapscan.CauseRoof && j.RoofAirLayers != nil {
		s += ", " + air(*j.RoofAirLayers)
	}
	return s
}

// jointPlace says where a joint is tightest and how large a weld it makes.
func jointPlace(r *gapscan.Result, j *gapscan.Joint) string {
	var at []string
	if j.WorstLayer != nil {
		at = append(at, layerAt(r, *j.WorstLayer))
	}
	if j.AtMM != nil {
		at = append(at, "x"+nbsp+gap(j.AtMM[0])+nbsp+"y"+nbsp+gap(j.AtMM[1]))
	}
	if j.WeldMM2 != nil && j.Outcome != nil && bad(*j.Outcome) {
		s := "weld" + nbsp + size(*j.WeldMM2) + nbsp + "mm2"
		if j.WeldForm != nil {
			s += ", a" + nbsp + plain(*j.WeldForm)
		}
		at = append(at, s)
	}
	return strings.Join(at, ", ")
}

// layerAt names a layer with the height it ends at, which is what a printer
// shows while it lays it.
func layerAt(r *gapscan.Result, layer int) string {
	s := "layer" + nbsp + strconv.Itoa(layer)
	if i := layer - 1; i >= 0 && i < len(r.Layers) {
		s += ", z" + nbsp + height(r.Layers[i].ZTopMM)
	}
	return s
}

// worstLayer is the index of the layer with the least margin, the lowest of
// equals; -1 where no layer has one.
func worstLayer(layers []gapscan.Layer) int {
	worst := -1
	for i := range layers {
		if m := layers[i].Margin; m != nil && (worst < 0 || *m < *layers[worst].Margin) {
			worst = i
		}
	}
	return worst
}

// needsWords lists the needs a verdict was measured by, apart by whether
// they were tested.
func needsWords(m *gapscan.MachineUsed) (tested, cautious string) {
	isDefault := map[string]bool{}
	for _, name := range m.Defaults {
		isDefault[name] = true
	}
	var yes, no []string
	for _, need := range []struct {
		name, words string
		mm          float64
	}{
		{"side_mm", "side", m.SideMM},
		{"roof_mm", "roof" + nbsp + "(vertical)", m.RoofMM},
		{"bottom_mm", "bottom", m.BottomMM},
	} {
		s := need.words + nbsp + gap(need.mm)
		if !m.Tested || isDefault[need.name] {
			no = append(no, s)
		} else {
			yes = append(yes, s)
		}
	}
	return strings.Join(yes, ", "), strings.Join(no, ", ")
}

// machineWords says what machine a verdict rests on and how far that was
// tested.
func machineWords(m *gapscan.MachineUsed) string {
	tested, cautious := needsWords(m)
	name := "machine"
	if m.Name != "" {
		name += nbsp + strings.ReplaceAll(plain(m.Name), " ", nbsp)
	}
	switch {
	case !m.Tested && m.Name == machine.BuiltInName:
		return "the built-in cautious machine, untested: " + cautious + nbsp + "mm"
	case !m.Tested:
		return name + ", untested: cautious needs " + cautious + nbsp + "mm"
	case cautious == "":
		return name + ", tested: " + tested + nbsp + "mm"
	case tested == "":
		return name + ", tested, but not for gaps: cautious needs " + cautious + nbsp + "mm"
	}
	return name + ", tested: " + tested + nbsp + "mm; untested, so cautious: " + cautious + nbsp + "mm"
}

// planWords says how the model was layered.
func planWords(p *gapscan.PlanUsed) string {
	s := count(p.Layers, "layer", "layers") + " of " + size(p.LayerHeightMM) + nbsp + "mm"
	if p.FirstHeightMM != p.LayerHeightMM {
		s += ", the first " + size(p.FirstHeightMM)
	}
	return s
}
