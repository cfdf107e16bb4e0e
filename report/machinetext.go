package report

import (
	"cmp"
	"io"
	"slices"
	"strconv"
	"strings"

	"playgauge/gapscan/machine"
)

// The names of the four limits, in their order.
const (
	sideLabel   = "side"
	bottomLabel = "bottom"
	roofLabel   = "roof"
	bridgeLabel = "bridge"
)

// Limits writes what gaps must be on a machine, and the longest bridge, a
// limit an entry with what it rests on.
func Limits(w io.Writer, mc machine.Machine, s Style) error {
	p := newPage(s)
	limitEntries(p, mc)
	_, err := io.WriteString(w, p.b.String())
	return err
}

func limitEntries(p *page, mc machine.Machine) {
	n := mc.Needs()
	entry := func(label, mm, words string) { p.entry(label, mm+": "+words) }
	entry(sideLabel, gap(n.From.Side.MM)+nbsp+"mm", needWords(&n.From.Side, n.Side))
	entry(bottomLabel, gap(n.From.Bottom.MM)+nbsp+"mm", needWords(&n.From.Bottom, n.Bottom))
	entry(roofLabel, gap(n.From.Roof.MM)+nbsp+"mm"+nbsp+"(vertical)", needWords(&n.From.Roof, n.Roof))
	entry(bridgeLabel, "up to"+nbsp+span(n.From.Bridge.MM)+nbsp+"mm", n.From.Bridge.Words)
}

// MachineHead writes who a machine is: its name, nozzle and material, its file
// and what else that sets.
func MachineHead(w io.Writer, mc machine.Machine, s Style) error {
	p := newPage(s)
	p.sentence(string(tintBold) + curveTitle(&mc) + string(tintEnd) + ": " + nozzleWords(&mc) + ", " +
		count(len(mc.Trials), "trial", "trials"))
	if mc.File != "" {
		p.entry("file", plain(mc.File))
	}
	if set := setWords(&mc); len(set) > 0 {
		p.entry("set", strings.Join(set, ", "))
	}
	_, err := io.WriteString(w, p.b.String())
	return err
}

func nozzleWords(mc *machine.Machine) string {
	return size(mc.NozzleMM) + nbsp + "mm nozzle, " + plain(mc.Material)
}

// setWords names what a machine file sets otherwise than the built-in machine
// has it, and no other place tells.
func setWords(mc *machine.Machine) (set []string) {
	b := machine.BuiltIn()
	add := func(differs bool, words ...string) {
		if differs {
			set = append(set, strings.Join(words, nbsp))
		}
	}
	add(mc.BottomLayers != b.BottomLayers, count(mc.BottomLayers, "bottom layer", "bottom layers"))
	add(mc.TrimMM != 0, "trim", size(mc.TrimMM), "mm")
	if mc.SpreadMM != nil {
		add(true, "spread", size(*mc.SpreadMM), "mm")
	}
	add(mc.OverhangDeg != b.OverhangDeg, "overhang", size(mc.OverhangDeg), "degrees")
	add(mc.CrackMM2 != b.CrackMM2, "crack", size(mc.CrackMM2), "mm2")
	add(mc.RoofSpanMM != b.RoofSpanMM, "roof", "span", size(mc.RoofSpanMM), "mm")
	add(mc.LineMM != mc.NozzleMM, "line", size(mc.LineMM), "mm")
	add(len(mc.Sag) > 0, "sag", "of", count(len(mc.Sag), "span", "spans"))
	if len(mc.LayerHeightsMM) > 0 {
		heights := make([]string, len(mc.LayerHeightsMM))
		for i, h := range mc.LayerHeightsMM {
			heights[i] = size(h)
		}
		add(true, "layers", "of", series(heights), "mm")
	}
	return set
}

// MachineLine writes a machine for a list: what it is called in the list,
// then its limits, each with where it comes from.
func MachineLine(w io.Writer, called string, mc machine.Machine, s Style) error {
	p := newPage(s)
	n := mc.Needs()
	from := func(f *machine.Found) string {
		switch f.Source {
		case machine.SourceHand:
			return " (by" + nbsp + "hand)"
		case machine.SourceTrials:
			return " (trials)"
		case machine.SourceSpread:
			return " (from" + nbsp + "spread)"
		}
		return " (not" + nbsp + "tested)"
	}
	head := string(tintBold) + plain(called) + string(tintEnd)
	if mc.Name != called {
		head += " (" + plain(mc.Name) + ")"
	}
	head += ": " + nozzleWords(&mc) + ", "
	if len(mc.Trials) > 0 {
		head += count(len(mc.Trials), "trial", "trials")
	} else {
		head += "no trials"
	}
	if !mc.IsTested() {
		p.sentence(head + "; nothing is tested, so the built-in cautious limits hold")
	} else {
		p.sentence(head + "; side" + nbsp + gap(n.Side) + from(&n.From.Side) +
			", bottom" + nbsp + gap(n.Bottom) + from(&n.From.Bottom) +
			", roof" + nbsp + gap(n.Roof) + from(&n.From.Roof) +
			", bridge" + nbsp + span(n.Bridge) + nbsp + "mm" + from(&n.From.Bridge))
	}
	_, err := io.WriteString(w, p.b.String())
	return err
}

// Trials writes trials, those of one print together: what is the same of them
// once, then family by family each level with what came of it.
func Trials(w io.Writer, trials []machine.Trial, s Style) error {
	p := newPage(s)
	for len(trials) > 0 {
		n := 1
		for n < len(trials) && printOf(trials[n]) == printOf(trials[0]) {
			n++
		}
		p.sentence(printOf(trials[0]).words() + ":")
		for _, f := range []struct {
			machine.Family
			label string
		}{{machine.FamilySide, sideLabel}, {machine.FamilyBottom, bottomLabel}, {machine.FamilyRoof, roofLabel}, {machine.FamilyBridge, bridgeLabel}} {
			if words := levelWords(f.Family, trials[:n]); len(words) > 0 {
				p.wrap(column("  "+f.label, labelWidth), column("", labelWidth+2), strings.Join(words, ", "))
			}
		}
		trials = trials[n:]
	}
	_, err := io.WriteString(w, p.b.String())
	return err
}

// printed is what trials of one print have in common.
type printed struct {
	date        string
	first, rest float64
	flow        float64
	source      string
}

// printOf gives the print a trial is of; the joints of a model are of one.
func printOf(t machine.Trial) printed {
	source, _, _ := strings.Cut(t.Source, machine.JointMark)
	return printed{t.Date, t.FirstHeightMM, t.LayerHeightMM, t.Flow, source}
}

func (p printed) words() string {
	var s []string
	if p.date != "" {
		s = append(s, plain(p.date))
	}
	if p.source != "" {
		s = append(s, plain(p.source))
	}
	switch {
	case p.rest == 0:
	case p.first == 0 || p.first == p.rest:
		s = append(s, "layers of "+size(p.rest)+nbsp+"mm")
	default:
		s = append(s, "layers of "+size(p.rest)+nbsp+"mm, the first "+size(p.first))
	}
	if p.flow != 0 {
		s = append(s, "flow "+size(p.flow))
	}
	if len(s) == 0 {
		return "of no stated date"
	}
	return strings.Join(s, ", ")
}

// levelWords lists what came of the levels of a family, by rising gap or span,
// those of which the same is to be said once with their number.
func levelWords(f machine.Family, trials []machine.Trial) (out []string) {
	var own []machine.Trial
	for _, t := range trials {
		if t.Family == f {
			own = append(own, t)
		}
	}
	slices.SortStableFunc(own, func(a, b machine.Trial) int {
		return cmp.Or(cmp.Compare(a.Gap(), b.Gap()), cmp.Compare(a.SpanMM, b.SpanMM),
			cmp.Compare(a.SagMM, b.SagMM), cmp.Compare(resultOrder(a.Result), resultOrder(b.Result)))
	})
	times := map[string]int{}
	for _, t := range own {
		words := levelOf(t)
		if times[words]++; times[words] == 1 {
			out = append(out, words)
		}
	}
	for i, words := range out {
		if n := times[words]; n > 1 {
			out[i] += " (" + strconv.Itoa(n) + nbsp + "times)"
		}
	}
	return out
}

func levelOf(t machine.Trial) string {
	switch {
	case t.Family == machine.FamilyBridge:
		return span(t.SpanMM) + nbsp + "mm sags" + nbsp + size(t.SagMM)
	case t.AirLayers != nil:
		return count(*t.AirLayers, "layer", "layers") + " (" + gap(t.Gap()) + nbsp + "mm)" + nbsp + string(t.Result)
	}
	return gap(t.GapMM) + nbsp + string(t.Result)
}
