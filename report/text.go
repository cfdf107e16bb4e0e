package report

import (
	"fmt"
	"io"
	"strconv"

	"playgauge/gapscan"
)

// Style is how a text is set.
type Style struct {
	// Color adds bold and colours for a terminal. They carry nothing that
	// the words do not.
	Color bool
	// Width is where lines break, in characters; 0 stands for 80, and less
	// than 40 is taken as 40. A longer word, such as a path, is not broken.
	Width int
}

// How many of a kind are listed before the rest is only counted: the summary
// is to be read in ten seconds, and the JSON has them all.
const (
	mostJoints = 5
	mostSizes  = 4
	mostNotes  = 5
)

// outcomeWidth is the column of the outcomes before the joints, characters.
const outcomeWidth = 8

// Text writes a summary for a person: the outcome first, or the demands
// where nothing was tested on the machine; then the parts, the worst joints,
// the layers to watch, what was amiss with the mesh, cautions, and what the
// answer rests on. A line stands only where there is something to say.
func Text(w io.Writer, r *gapscan.Result, s Style) error {
	p := newPage(s)
	opening(p, r)
	p.blank()
	placing(p, r)
	parts(p, r)
	joints(p, r)
	watch(p, r)
	slots(p, r)
	mesh(p, r)
	cautions(p, r)
	p.blank()
	closing(p, r)
	_, err := io.WriteString(w, p.b.String())
	return err
}

func opening(p *page, r *gapscan.Result) {
	bold := string(tintBold) + fileName(r) + string(tintEnd)
	if r.Machine.Tested {
		p.sentence(bold + ": " + headline(r))
		return
	}
	asks := demands(&r.Demands)
	if asks == "" {
		p.sentence(bold + ": " + headline(r))
		return
	}
	p.sentence(bold + " asks of a machine: " + asks)
	p.sentence("On the built-in cautious machine (nothing was tested): " + headline(r))
}

// placing says how the model was read where that was not simply as it is.
func placing(p *page, r *gapscan.Result) {
	m := &r.Model
	changed := ""
	if m.Units != "" && m.Units != "mm" {
		changed += ", read as " + plain(m.Units)
	}
	if m.Scale != [3]float64{1, 1, 1} && m.Scale != [3]float64{} {
		changed += ", scaled by " + scale(m.Scale)
	}
	if m.TurnDeg != [3]float64{} {
		changed += ", turned by " + axes(m.TurnDeg) + " degrees"
	}
	if changed != "" {
		p.entry("model", box(m.SizeMM)+nbsp+"mm"+changed)
	}
}

func parts(p *page, r *gapscan.Result) {
	if len(r.Parts) == 0 {
		return
	}
	p.entry("parts", strconv.Itoa(len(r.Parts))+": "+partSizes(r.Parts))
	switch s := pieces(r); {
	case s != "":
		p.entry("pieces", s)
	case r.PrintedParts > len(r.Parts):
		p.entry("pieces", fmt.Sprintf("%d printed, more than the parts: something thin is not held together", r.PrintedParts))
	}
}

// partSizes lists the parts' sizes, equal ones once, in the order of parts.
func partSizes(ps []gapscan.Part) string {
	var sizes []string
	times := map[string]int{}
	for i := range ps {
		s := box(ps[i].SizeMM)
		if times[s] == 0 {
			sizes = append(sizes, s)
		}
		times[s]++
	}
	s, told := "", 0
	for i, one := range sizes {
		if i == mostSizes && len(sizes) > mostSizes+1 {
			return s + nbsp + fmt.Sprintf("mm and %d smaller", len(ps)-told)
		}
		if i > 0 {
			s += ", "
		}
		if n := times[one]; n > 1 {
			s += fmt.Sprintf("%d of ", n)
		}
		s += one
		told += times[one]
	}
	return s + nbsp + "mm"
}

// pieces says which parts come off the bed as one piece, "" where each comes
// off by itself.
func pieces(r *gapscan.Result) string {
	n := len(r.Parts)
	if r.PrintedParts >= n {
		return ""
	}
	groups, total := touching(r)
	if total != r.PrintedParts || len(groups) > mostNotes {
		return fmt.Sprintf("only %d printed: some of the %d parts come out as one", r.PrintedParts, n)
	}
	if len(groups) == 1 && len(groups[0]) == n {
		return "only 1 printed: the parts come out as one piece"
	}
	s := fmt.Sprintf("only %d printed: ", r.PrintedParts)
	for i, g := range groups {
		if i > 0 {
			s += "; "
		}
		s += "parts " + numbers(g) + " come out as one piece"
	}
	return s
}

// touching groups the parts that the slices themselves join: no side gap in
// some layer, or no air layer under a roof. total counts the pieces that
// makes, parts that stand alone included.
func touching(r *gapscan.Result) (groups [][]int, total int) {
	n := len(r.Parts)
	root := make([]int, n+1)
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for i := range r.Joints {
		j := &r.Joints[i]
		a, b := j.Parts[0], j.Parts[1]
		if a < 1 || b < 1 || a > n || b > n {
			continue
		}
		if j.SideGapMM != nil && *j.SideGapMM == 0 || j.RoofAirLayers != nil && *j.RoofAirLayers == 0 {
			a, b = find(a), find(b)
			root[max(a, b)] = min(a, b)
		}
	}
	at := map[int]int{}
	var all [][]int
	for id := 1; id <= n; id++ {
		k, known := at[find(id)]
		if !known {
			k = len(all)
			at[find(id)] = k
			all = append(all, nil)
		}
		all[k] = append(all[k], id)
	}
	for _, g := range all {
		if len(g) > 1 {
			groups = append(groups, g)
		}
	}
	return groups, len(all)
}

// joints lists the worst ones, down to the tightest that is free, each with
// its outcome in a column.
func joints(p *page, r *gapscan.Result) {
	if len(r.Joints) == 0 {
		return
	}
	label := "joints"
	add := func(outcome, text string) {
		p.wrap(column(label, labelWidth)+column(outcome, outcomeWidth), column("", labelWidth+outcomeWidth), text)
		label = ""
	}
	n, _ := tally(r.Joints)
	told := 0
	for i := range r.Joints {
		j := &r.Joints[i]
		if j.Outcome == nil || told == mostJoints {
			break
		}
		told++
		add(tint(*j.Outcome), jointWords(j))
		if at := jointPlace(r, j); at != "" {
			add("", at)
		}
		if *j.Outcome == gapscan.Free {
			break
		}
	}
	if told < n {
		p.entry(label, fmt.Sprintf("and %d more, %s", n-told, theRest(r.Joints[told:n])))
	}
	if unjudged := len(r.Joints) - n; unjudged > 0 && n > 0 {
		p.entry(label, count(unjudged, "pair of parts", "pairs of parts")+" within reach with nothing to judge between them")
	}
}

// theRest says what becomes of the joints that are not listed.
func theRest(js []gapscan.Joint) string {
	n, of := tally(js)
	var kinds []string
	for _, o := range []struct {
		gapscan.Outcome
		words string
	}{{gapscan.Welds, "welding"}, {gapscan.Sticks, "sticking"}, {gapscan.Close, "close"}, {gapscan.Free, "free"}} {
		switch k := of[o.Outcome]; {
		case k == 0:
		case k < n:
			kinds = append(kinds, fmt.Sprintf("%d %s", k, o.words))
		case n > 1:
			return "all " + o.words
		default:
			return o.words
		}
	}
	return series(kinds)
}

// watch names the layers to stand by the printer for.
func watch(p *page, r *gapscan.Result) {
	worst := worstLayer(r.Layers)
	if worst < 0 || r.Outcome == gapscan.Free || r.Outcome == gapscan.NoJoint {
		return
	}
	at := func(layer int) string { return layerAt(r, layer) + nbsp + "mm" }
	if r.FirstBadLayer == nil {
		p.entry("watch", at(worst+1)+": the tightest")
		return
	}
	first, many := *r.FirstBadLayer, 0
	for i := range r.Layers {
		if o := r.Layers[i].Outcome; o != nil && bad(*o) {
			many++
		}
	}
	s := at(first) + ": the first bad one"
	if many > 1 {
		s += fmt.Sprintf(" of %d", many)
	} else {
		s = at(first) + ": the one bad layer"
	}
	if first == worst+1 {
		if many > 1 {
			s += ", and the worst"
		}
		p.entry("watch", s)
		return
	}
	p.entry("watch", s, at(worst+1)+": the worst")
}

// slots names the gaps inside a part that will close.
func slots(p *page, r *gapscan.Result) {
	worst, many := -1, 0
	for i := range r.Slots {
		if !bad(r.Slots[i].Outcome) {
			continue
		}
		many++
		if worst < 0 || r.Slots[i].Margin < r.Slots[worst].Margin {
			worst = i
		}
	}
	if many == 0 {
		return
	}
	s := &r.Slots[worst]
	has, needs := gapPair(s.WidthMM, s.NeedMM)
	p.entry("slots", fmt.Sprintf("%s inside a part will close; the tightest has %s, needs %s: part"+nbsp+"%d, %s",
		count(many, "gap", "gaps"), has, needs, s.Part, layerAt(r, s.Layer)))
}

// mesh says what was amiss with the surface, and what was made of it: in the
// result's own warnings or, where it has none, from its counts.
func mesh(p *page, r *gapscan.Result) {
	lines := notes(r.Mesh.Warnings)
	if len(lines) == 0 {
		lines = meshCounts(r)
	}
	if len(lines) > 0 {
		p.entry("mesh", lines...)
	}
}

func meshCounts(r *gapscan.Result) (lines []string) {
	if n := r.Mesh.OpenEdges; n > 0 {
		lines = append(lines, count(n, "open edge", "open edges")+": the surface is not closed")
	}
	if n := r.Mesh.NonManifoldEdges; n > 0 {
		lines = append(lines, count(n, "edge", "edges")+" of more than two triangles")
	}
	repaired, first, last := 0, 0, 0
	for i := range r.Layers {
		if k := r.Layers[i].RepairedContours; k > 0 {
			repaired += k
			if first == 0 {
				first = r.Layers[i].Layer
			}
			last = r.Layers[i].Layer
		}
	}
	if repaired > 0 {
		where := "layer" + nbsp + strconv.Itoa(first)
		if first < last {
			where = "layers" + nbsp + strconv.Itoa(first) + nbsp + "to" + nbsp + strconv.Itoa(last)
		}
		lines = append(lines, where+": "+count(repaired, "contour", "contours")+" closed across a gap in the mesh")
	}
	return lines
}

func cautions(p *page, r *gapscan.Result) {
	var texts []string
	for i := range r.Cautions {
		texts = append(texts, r.Cautions[i].Text)
	}
	if lines := notes(texts); len(lines) > 0 {
		p.entry("caution", lines...)
	}
}

// notes shows the first few texts from outside and counts the others.
func notes(texts []string) []string {
	var lines []string
	for i, t := range texts {
		if i == mostNotes && len(texts) > mostNotes+1 {
			return append(lines, fmt.Sprintf("and %d more", len(texts)-i))
		}
		lines = append(lines, plain(t))
	}
	return lines
}

func closing(p *page, r *gapscan.Result) {
	if r.PFree != nil {
		p.sentence("Chance that all of it comes out free: " + percent(*r.PFree))
	}
	p.sentence("Rests on " + machineWords(&r.Machine) + "; " + planWords(&r.Plan) + ". A calculation, not a promise.")
}

// percent never rounds a chance to certainty.
func percent(p float64) string {
	switch {
	case p < 0.01:
		return "under 1 %"
	case p > 0.99:
		return "over 99 %"
	}
	return rounded(100*p, 0) + nbsp + "%"
}
