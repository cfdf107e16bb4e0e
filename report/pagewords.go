package report

import (
	"regexp"
	"strconv"
	"strings"
	"sync"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
)

// said is a text with the layers it names, so that they can be gone to.
type said []textRun

// textRun is a run of text; Layer is the layer it names, 0 for none.
type textRun struct {
	Text  string
	Layer int
}

var layerName = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile("layer" + nbsp + "([0-9]+)") })

// say is a text of the report for the page: without the signs for a terminal,
// and apart where it names a layer that there is.
func say(r *gapscan.Result, text string) said {
	text = untinted(text)
	var out said
	done := 0
	for _, at := range layerName().FindAllStringSubmatchIndex(text, -1) {
		n, err := strconv.Atoi(text[at[2]:at[3]])
		if err != nil || n < 1 || n > len(r.Layers) {
			continue
		}
		if done < at[0] {
			out = append(out, textRun{Text: text[done:at[0]]})
		}
		out = append(out, textRun{text[at[0]:at[1]], n})
		done = at[1]
	}
	if done < len(text) {
		out = append(out, textRun{Text: text[done:]})
	}
	return out
}

// untinted is a text without tints.
func untinted(s string) string {
	return strings.Map(func(c rune) rune {
		if c < ' ' {
			return -1
		}
		return c
	}, s)
}

// note is what is to be said under one label.
type note struct {
	Label string
	Lines []said
}

// pageNotes is what else there is to know: the lines of the text report that
// stand below the joints.
func pageNotes(r *gapscan.Result) (notes []note) {
	p := newPage(Style{})
	placing(p, r)
	parts(p, r)
	watch(p, r)
	overhangs(p, r)
	slots(p, r)
	meshNotes(p, r)
	cautions(p, r)
	for _, e := range p.entries {
		n := note{Label: e.label}
		for _, line := range e.lines {
			n.Lines = append(n.Lines, say(r, line))
		}
		notes = append(notes, n)
	}
	return notes
}

// ask is what the model asks for of one kind, beside what the machine keeps
// open.
type ask struct {
	What, Asks, Keeps, From string
}

// asks lists what the model asks of a machine.
func asks(r *gapscan.Result) (out []ask) {
	d, m := &r.Demands, &r.Machine
	from := func(need string) string {
		if isUntested(m, need) {
			return "cautious limit, untested"
		}
		if need == "bottom_mm" {
			switch machine.BottomSource(m.BottomFrom) {
			case machine.BottomSpread, machine.BottomSide:
				return "reckoning"
			}
		}
		return "test"
	}
	add := func(what string, mm *float64, more string, keeps float64, need string) {
		if mm != nil {
			a, k := gapPair(*mm, keeps)
			out = append(out, ask{what, a + nbsp + "mm" + more, k + nbsp + "mm", from(need)})
		}
	}
	add("side gap", d.SideMM, "", m.SideMM, "side_mm")
	if d.SlopeMM != nil {
		// What a slope needs lies between the two, as its angle says.
		a := ask{"along slopes", gap(*d.SlopeMM) + nbsp + "mm", gap(m.SideMM), from("side_mm")}
		if m.RoofMM != m.SideMM {
			a.Keeps += " to" + nbsp + gap(m.RoofMM)
		}
		a.Keeps += nbsp + "mm"
		if f := from("roof_mm"); f != a.From {
			a.From = "test in part"
		}
		out = append(out, a)
	}
	more := ""
	if d.RoofAir != nil {
		more = " = " + air(*d.RoofAir)
	}
	add("roof gap (vertical)", d.RoofMM, more, m.RoofMM, "roof_mm")
	add("bottom gap", d.BottomMM, "", m.BottomMM, "bottom_mm")
	if d.BridgeMM != nil {
		out = append(out, ask{"bridge", span(*d.BridgeMM) + nbsp + "mm", span(m.BridgeMM) + nbsp + "mm", from("bridge_mm")})
	}
	return out
}

// jointRow is a joint in the page's table.
type jointRow struct {
	ID      int
	Parts   [2]int
	Outcome string // "" where there is nothing to judge
	Cause   string
	Has     string
	HasMM   float64
	Needs   string
	Layer   int // the worst; 0 for none
	Height  string
	Weld    string
	More    string // what else limits it, such as an untested need
}

func jointRows(r *gapscan.Result) []jointRow {
	rows := make([]jointRow, len(r.Joints))
	for i := range r.Joints {
		j := &r.Joints[i]
		row := &rows[i]
		row.ID, row.Parts = j.ID, j.Parts
		if j.Outcome == nil {
			row.Cause = "nothing to judge between them"
			continue
		}
		row.Outcome, row.Cause = untinted(plain(string(*j.Outcome))), causeWords(j.Cause)
		if j.GapMM != nil && j.NeedMM != nil {
			row.HasMM = *j.GapMM
			row.Has, row.Needs = gapPair(*j.GapMM, *j.NeedMM)
		}
		if j.WorstLayer != nil && *j.WorstLayer >= 1 && *j.WorstLayer <= len(r.Layers) {
			row.Layer, row.Height = *j.WorstLayer, height(r.Layers[*j.WorstLayer-1].ZTopMM)
		}
		var more []string
		if j.Cause != nil && *j.Cause == gapscan.CauseRoof && j.RoofAirLayers != nil {
			more = append(more, air(*j.RoofAirLayers))
		}
		if untestedNeed(&r.Machine, j) != "" {
			more = append(more, "need not tested")
		}
		if w := weldWords(j); w != "" {
			more = append(more, w)
		}
		row.More = strings.Join(more, "; ")
	}
	return rows
}

// layerWords says what a layer shows: the gap that decides it, or that there
// is none.
func layerWords(r *gapscan.Result, l *gapscan.Layer) string {
	if l.Margin == nil || l.Outcome == nil {
		return "no two parts near each other"
	}
	s := causeWords(l.Cause)
	if l.GapMM != nil && l.NeedMM != nil {
		s += " " + hasNeeds(*l.GapMM, *l.NeedMM, "", *l.Outcome)
	} else {
		s += " " + rounded(*l.Margin, 2) + " of its need"
	}
	if len(l.Parts) > 0 {
		s += ", parts" + nbsp + numbers(l.Parts) + overAll(r, l)
	}
	return s
}

// overAll tells of a layer in which two parts stick that they weld all the
// same: each layer's weld is small, and together they are not.
func overAll(r *gapscan.Result, l *gapscan.Layer) string {
	if *l.Outcome != gapscan.Sticks || len(l.Parts) != 2 {
		return ""
	}
	for i := range r.Joints {
		j := &r.Joints[i]
		if j.Parts == [2]int(l.Parts) && j.Outcome != nil && *j.Outcome == gapscan.Welds {
			return "; over all layers they weld"
		}
	}
	return ""
}

// stops are the layers worth a look one after the other: the tightest of each
// run of layers that are short of a need, or close to it, the lower of equals;
// where all are free, the tightest of all.
func stops(r *gapscan.Result) []int {
	out := []int{}
	kind := func(i int) int {
		switch o := r.Layers[i].Outcome; {
		case o == nil || *o == gapscan.Free || r.Layers[i].Margin == nil:
			return 0
		case *o == gapscan.Close:
			return 1
		}
		return 2
	}
	for i := 0; i < len(r.Layers); {
		k, tightest := kind(i), i
		for ; i < len(r.Layers) && kind(i) == k; i++ {
			if k > 0 && *r.Layers[i].Margin < *r.Layers[tightest].Margin {
				tightest = i
			}
		}
		if k > 0 {
			out = append(out, tightest+1)
		}
	}
	if worst := worstLayer(r); len(out) == 0 && worst >= 0 {
		out = append(out, worst+1)
	}
	return out
}

// machineState says whether anything was tested.
func machineState(m *gapscan.MachineUsed) string {
	switch {
	case isBuiltIn(m):
		return "Nothing was tested: these are the program's own cautious limits, not those of a machine of yours."
	case !m.Tested:
		return "Nothing was tested on this machine: these are the program's own cautious limits."
	case len(m.Defaults) > 0:
		return "Tested in part: what was not tested is the program's own cautious limit."
	}
	return "Tested."
}
