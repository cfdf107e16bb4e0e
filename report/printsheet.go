package report

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strconv"

	"playgauge/gapscan"
)

// SheetHead begins every sheet that is a text.
const SheetHead = "Print sheet: "

// sheet is a page to print by.
type sheet struct {
	title, verdict string
	sections       []sheetSection
	foot           string
}

// sheetSection is a heading with what stands below it.
type sheetSection struct {
	head string
	// rows hold a label each, boxed ones with a box to tick before it.
	rows  []sheetRow
	boxed bool
}

// sheetRow is a label, which may be empty, and what is said of it.
type sheetRow struct{ label, text string }

// mostWatched is how many layers a sheet lists: they fit beside the machine.
const mostWatched = 10

// Sheet writes what to have at hand at the machine, as UTF-8 text: what to
// set, what to heed for this model's kind of risk, the layers to watch and
// why, how to free the joints afterwards and in which order, and the cautions.
func Sheet(w io.Writer, r *gapscan.Result) error {
	s := newSheet(r)
	p := newPage(Style{})
	p.sentence(s.title)
	p.sentence(s.verdict)
	for _, sec := range s.sections {
		p.blank()
		p.sentence(sec.head)
		for _, row := range sec.rows {
			first, rest := "  ", "  "
			switch {
			case sec.boxed:
				first += "[ ] "
				rest += "    "
			case row.label == "":
				first += "- "
				rest += "  "
			}
			if row.label != "" {
				wide := labelColumn(sec.rows)
				first += column(flat(row.label), wide)
				rest += column("", wide)
			}
			p.wrap(first, rest, row.text)
		}
	}
	p.blank()
	p.sentence(s.foot)
	_, err := io.WriteString(w, p.b.String())
	return err
}

// labelColumn is how wide the labels of rows are, with room behind them.
func labelColumn(rows []sheetRow) int {
	wide := 0
	for _, row := range rows {
		wide = max(wide, shown(row.label)+2)
	}
	return wide
}

func newSheet(r *gapscan.Result) *sheet {
	s := &sheet{
		title:   SheetHead + fileName(r),
		verdict: string(r.Outcome),
		foot:    "A calculation, not a promise.",
	}
	if v := verdict(r, firstBadAt(r)); v != "" {
		s.verdict += " - " + v
	}
	if !r.Machine.Tested {
		s.foot += " Nothing was tested on this machine: print the test piece first (playgauge coupon)."
	}
	s.sections = []sheetSection{
		{head: "Set", rows: sheetSettings(r)},
		{head: "Before you start", rows: plainRows(sheetPractice(r)), boxed: true},
	}
	if rows := sheetWatch(r); len(rows) > 0 {
		s.sections = append(s.sections, sheetSection{head: "Stand by at these layers", rows: rows, boxed: true})
	}
	if rows := sheetFreeing(r); len(rows) > 0 {
		head := "Should one stick"
		if r.Outcome == gapscan.Sticks || r.Outcome == gapscan.Welds {
			head = "What sticks"
		}
		s.sections = append(s.sections, sheetSection{head: "Free it, the loosest first", rows: rows, boxed: true},
			sheetSection{head: head, rows: plainRows(sticking)})
	}
	s.sections = append(s.sections, sheetSection{head: "Take care", rows: plainRows(sheetCare(r))})
	return s
}

func plainRows(texts []string) []sheetRow {
	rows := make([]sheetRow, len(texts))
	for i, t := range texts {
		rows[i].text = t
	}
	return rows
}

// sheetSettings says what to set at the machine and in the slicing.
func sheetSettings(r *gapscan.Result) []sheetRow {
	m := &r.Machine
	machine := machineWords(m) + "; bridge" + nbsp + size(m.BridgeMM) + nbsp + "mm"
	if m.NozzleMM > 0 {
		machine += ", nozzle " + size(m.NozzleMM) + nbsp + "mm"
	}
	if m.Material != "" {
		machine += ", " + plain(m.Material)
	}
	rows := []sheetRow{{"machine", machine}, {"layers", planWords(&r.Plan)}}
	lies := "as in the file"
	if r.Model.TurnDeg != [3]float64{} {
		lies = "turned by " + axes(r.Model.TurnDeg) + " degrees about x, y, z, in that order"
	}
	rows = append(rows, sheetRow{"lies", lies})
	full := "full size"
	if r.Model.Scale != [3]float64{1, 1, 1} && r.Model.Scale != [3]float64{} {
		full = "scaled by " + scale(r.Model.Scale)
	}
	if r.Model.Units != "" && r.Model.Units != "mm" {
		full += ", the file read as " + plain(r.Model.Units)
	}
	rows = append(rows, sheetRow{"size", full + ": " + box(r.Model.SizeMM) + nbsp + "mm, " + count(len(r.Parts), "part", "parts")})
	if d := r.Model.UnitDoubt; d != "" {
		rows = append(rows, sheetRow{"units", "look at them first: " + plain(d)})
	}
	if m.TrimMM > 0 {
		bottom := "bottom layer"
		if m.BottomLayers != 1 {
			bottom = "bottom " + count(m.BottomLayers, "layer", "layers")
		}
		rows = append(rows, sheetRow{"trim", exact(m.TrimMM) + nbsp + "mm off each side of the " + bottom})
	}
	if r.Adjusted != nil {
		a := *r.Adjusted
		a.TrimMM = 0 // told above, with the machine's own
		if s := adjusted(&a); s != "" {
			rows = append(rows, sheetRow{"printed", s})
		}
	}
	return rows
}

// watched is a layer to stand by at.
type watched struct {
	layer int
	// rank is least for what stays where there is too much.
	rank int
	why  string
}

// sheetWatch lists the layers to watch with their heights, from the bed up:
// where trouble begins and is worst, where parts are joined, what begins in
// mid-air and what bridges too far.
func sheetWatch(r *gapscan.Result) []sheetRow {
	var all []watched
	add := func(layer, rank int, why string) {
		if layer < 1 || layer > len(r.Layers) {
			return
		}
		for i := range all {
			if w := &all[i]; w.layer == layer && w.why == why {
				return
			}
		}
		all = append(all, watched{layer, rank, why})
	}
	if r.FirstBadLayer != nil {
		add(*r.FirstBadLayer, 0, "the first bad layer: if the parts touch here, stop")
	}
	for i, t := range tightestPlaces(r) {
		add(*t[0].WorstLayer, 1+i, pairWords(t)+" at their tightest: "+jointWords(r, &t[0]))
	}
	for _, g := range joinedGroups(r) {
		add(g.first, 0, g.words(true)+": one piece")
	}
	begin, lie, bridge := map[int][]int{}, map[int][]int{}, map[int][]int{} // the parts, by layer
	note := func(of map[int][]int, layer, part int) {
		if !slices.Contains(of[layer], part) {
			of[layer] = append(of[layer], part)
		}
	}
	for i := range r.Overhangs {
		switch o := &r.Overhangs[i]; {
		case o.Kind == midAirKind && o.LiesOnPart == nil:
			note(begin, o.Layers[0], o.Part)
		case o.LiesOnAnother():
			note(lie, o.Layers[0], o.Part)
		case o.Kind == bridgeKind && o.SpanMM != nil && *o.SpanMM > r.Machine.BridgeMM:
			note(bridge, o.Layers[0], o.Part)
		}
	}
	for _, layer := range slices.Sorted(maps.Keys(begin)) {
		add(layer, 0, partsDo(begin[layer], "begins", "begin")+" in mid-air")
	}
	for _, layer := range slices.Sorted(maps.Keys(lie)) {
		add(layer, len(r.Joints)+1, partsDo(lie[layer], "begins over air and lies", "begin over air and lie")+" down on another part")
	}
	for _, layer := range slices.Sorted(maps.Keys(bridge)) {
		add(layer, len(r.Joints)+1, partsDo(bridge[layer], "bridges", "bridge")+" farther than the machine's "+size(r.Machine.BridgeMM)+nbsp+"mm")
	}
	slices.SortStableFunc(all, func(a, b watched) int { return a.rank - b.rank })
	more := 0
	if len(all) > mostWatched {
		more = len(all) - mostWatched
		all = all[:mostWatched]
	}
	slices.SortStableFunc(all, func(a, b watched) int { return a.layer - b.layer })
	var rows []sheetRow
	for i, w := range all {
		label := layerAt(r, w.layer)
		if i > 0 && all[i-1].layer == w.layer {
			label = nbsp // that above holds
		}
		rows = append(rows, sheetRow{label, w.why})
	}
	if more > 0 {
		rows = append(rows, sheetRow{"", "and " + count(more, "more place", "more places") + "; vet lists them"})
	}
	return rows
}

// mostNamed is how many parts a sheet names at a layer: of more it tells how
// many they are.
const mostNamed = 12

// partsDo tells that one part does something, or several do.
func partsDo(parts []int, one, several string) string {
	switch n := len(parts); {
	case n == 1:
		return "part" + nbsp + numbers(parts) + " " + one
	case n > mostNamed:
		return count(n, "part", "parts") + " " + several
	}
	slices.Sort(parts)
	return "parts" + nbsp + numbers(parts) + " " + several
}

// tightestPlaces gathers the joints to stand by at, of which the same is to be
// said at the same layer, in the order of the first of each; of a free model
// the first alone.
func tightestPlaces(r *gapscan.Result) (groups [][]gapscan.Joint) {
	type told struct {
		layer int
		words string
	}
	at := map[told]int{}
	judged, _ := tally(r.Joints)
	for i := range r.Joints[:judged] {
		j := &r.Joints[i]
		if j.WorstLayer == nil || *j.Outcome == gapscan.Free && i > 0 {
			continue
		}
		k := told{*j.WorstLayer, jointWords(r, j)}
		g, ok := at[k]
		if !ok {
			g = len(groups)
			at[k] = g
			groups = append(groups, nil)
		}
		groups[g] = append(groups[g], *j)
	}
	return groups
}

// mostFreed is how many joints a sheet lists: of more, the tightest.
const mostFreed = 12

// sheetFreeing lists the joints in the order to free them: the loosest first,
// so that the tight ones have room to be rocked.
func sheetFreeing(r *gapscan.Result) []sheetRow {
	var js []*gapscan.Joint
	for i := range r.Joints {
		if r.Joints[i].Outcome != nil {
			js = append(js, &r.Joints[i])
		}
	}
	says := map[gapscan.Outcome]string{
		gapscan.Free:   "should move by finger",
		gapscan.Close:  "should move; work it gently",
		gapscan.Sticks: "cracks free by hand",
		gapscan.Welds:  "welded, most likely: last, or not at all",
	}
	var rows []sheetRow
	if n := len(js); n > mostFreed+1 {
		js = js[:mostFreed]
		rows = append(rows, sheetRow{count(n-mostFreed, "other", "others"), "looser ones, before these"})
	}
	for _, j := range slices.Backward(js) { // they stand worst first
		text := says[*j.Outcome]
		if w := weldWords(j); w != "" {
			text += " (" + w + ")"
		}
		rows = append(rows, sheetRow{"parts" + nbsp + strconv.Itoa(j.Parts[0]) + nbsp + "and" + nbsp + strconv.Itoa(j.Parts[1]), text})
	}
	return rows
}

var sticking = []string{
	"Let it cool on the bed first: warm plastic tears and welds again.",
	"Hold both parts near the joint. Rock them a little to and fro, along the way they are meant to move, and let the weld crack.",
	"Never lever by a thin part: it breaks before the weld does.",
	"A thin blade only into a gap you can see, away from yourself, the other hand out of its way. Wear eye protection: pieces fly.",
	"If it does not give, stop: what is forced breaks. Next time print that joint alone first (playgauge sample).",
}

// sheetCare is what to take care of: the vet's cautions, then what always
// holds.
func sheetCare(r *gapscan.Result) []string {
	var out []string
	for i := range r.Cautions {
		if c := &r.Cautions[i]; c.Kind != gapscan.CautionMidAir { // among the layers
			out = append(out, plain(c.Text))
		}
	}
	if len(out) > mostNotes {
		out = append(out[:mostNotes-1], fmt.Sprintf("and %d more cautions; vet lists them", len(out)-mostNotes+1))
	}
	return append(out,
		"Look for sharp strings and edges before a child gets it, and for parts that can come off.",
		"Do not leave a printer alone while it is hot, and let the bed cool before you reach in.")
}
