package report

import (
	"fmt"
	"io"
	"strconv"
	"strings"

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
	mostPairs  = 4
)

// outcomeWidth is the column of the outcomes before the joints, characters.
const outcomeWidth = 8

// Text writes a summary for a person: the outcome first, or the demands
// where nothing was tested on the machine; then the model's size and parts,
// the worst joints, the layers to watch, overhangs and slots worth knowing,
// what was amiss with the mesh, cautions, limits that trials have a say in, the
// chance that all come out free, and what the answer rests on. A
// line stands only where there is something to say.
func Text(w io.Writer, r *gapscan.Result, s Style) error {
	p := newPage(s)
	opening(p, r)
	p.blank()
	placing(p, r)
	parts(p, r)
	joints(p, r)
	watch(p, r)
	overhangs(p, r)
	slots(p, r)
	meshNotes(p, r)
	cautions(p, r)
	if lines := trialWords(&r.Machine); len(lines) > 0 {
		p.entry("limits", lines...)
	}
	p.blank()
	closing(p, r)
	_, err := io.WriteString(w, p.b.String())
	return err
}

func opening(p *page, r *gapscan.Result) {
	bold := string(tintBold) + fileName(r) + string(tintEnd)
	asks := demands(&r.Demands)
	if r.Machine.Tested || asks == "" {
		p.sentence(bold + ": " + headline(r))
		return
	}
	p.sentence(bold + " asks of a machine: " + asks)
	p.sentence("On " + machineInShort(&r.Machine) + ": " + headline(r))
}

// placing says how large the model is and how it was read. (Where the unit is
// doubtful, a warning of the mesh says so.)
func placing(p *page, r *gapscan.Result) {
	m := &r.Model
	if m.SizeMM == [3]float64{} {
		return
	}
	s := box(m.SizeMM) + nbsp + "mm"
	if m.Units != "" {
		s += ", file read as " + plain(m.Units)
	}
	if m.Scale != [3]float64{1, 1, 1} && m.Scale != [3]float64{} {
		s += ", scaled by " + scale(m.Scale)
	}
	if m.TurnDeg != [3]float64{} {
		s += ", turned by " + axes(m.TurnDeg) + " degrees"
	}
	p.entry("model", s)
	if r.Adjusted != nil {
		p.entry("printed", adjusted(r.Adjusted))
	}
}

// adjusted says how the layers differ from the model as drawn.
func adjusted(a *gapscan.Adjusted) string {
	var s []string
	if a.LiftMM > 0 {
		s = append(s, "shifted up by "+exact(a.LiftMM)+nbsp+"mm against the layers")
	} else if a.LiftMM < 0 {
		s = append(s, "shifted down by "+exact(-a.LiftMM)+nbsp+"mm against the layers")
	}
	if a.TrimMM > 0 {
		s = append(s, "bottom layers trimmed by "+exact(a.TrimMM)+nbsp+"mm on each side")
	}
	if a.InsetMM > 0 {
		s = append(s, "walls inset by "+exact(a.InsetMM)+nbsp+"mm")
	}
	if a.Flow != 1 {
		s = append(s, "flow "+exact(a.Flow))
	}
	if a.RecededMM > 0 {
		s = append(s, "so that gaps between facing walls are "+gap(2*a.RecededMM)+nbsp+"mm wider")
	}
	return strings.Join(s, ", ")
}

func parts(p *page, r *gapscan.Result) {
	if len(r.Parts) == 0 {
		return
	}
	p.entry("parts", strconv.Itoa(len(r.Parts))+": "+partSizes(r.Parts))
	if s := pieces(r); s != "" {
		p.entry("pieces", s)
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

// joints lists the worst ones, down to the tightest that is free, each with
// its outcome in a column. Joints that follow one another and of which the
// same is to be said, but for the place, share their lines.
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
	for entries := 0; told < n && entries < mostJoints; entries++ {
		j := &r.Joints[told]
		alike := sameJoints(r, r.Joints[told:n])
		if *j.Outcome == gapscan.Free {
			alike = 1
		}
		told += alike
		add(tint(*j.Outcome), pairWords(r.Joints[told-alike:told])+": "+jointWords(r, j))
		if at := jointPlace(r, j, alike > 1); at != "" {
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

// sameJoints is how many of the joints, from the first on, read like it.
func sameJoints(r *gapscan.Result, js []gapscan.Joint) int {
	says := func(j *gapscan.Joint) string {
		s := string(*j.Outcome) + jointWords(r, j) + weldWords(j)
		if j.WorstLayer != nil {
			s += layerAt(r, *j.WorstLayer)
		}
		return s
	}
	n, first := 1, says(&js[0])
	for n < len(js) && says(&js[n]) == first {
		n++
	}
	return n
}

// pairWords names the parts of joints: "parts 1 and 2", "parts 1 and 2, 3 and
// 4", and of very many the first few.
func pairWords(js []gapscan.Joint) string {
	s := "parts" + nbsp
	for i := range js {
		if i == mostPairs && len(js) > mostPairs+1 {
			return s + fmt.Sprintf(" and %d"+nbsp+"more pairs", len(js)-i)
		}
		if i > 0 {
			s += ", "
		}
		s += strconv.Itoa(js[i].Parts[0]) + nbsp + "and" + nbsp + strconv.Itoa(js[i].Parts[1])
	}
	return s
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
	worst := worstLayer(r)
	if worst < 0 || r.Outcome == gapscan.Free || r.Outcome == gapscan.NoJoint {
		return
	}
	if r.FirstBadLayer == nil {
		p.entry("watch", layerAt(r, worst+1)+": the tightest")
		return
	}
	first, many := *r.FirstBadLayer, 0
	for i := range r.Layers {
		if o := r.Layers[i].Outcome; o != nil && bad(*o) {
			many++
		}
	}
	s := layerAt(r, first) + ": the one bad layer"
	if many > 1 {
		s = layerAt(r, first) + fmt.Sprintf(": the first of %d bad layers", many)
	}
	if first == worst+1 {
		if many > 1 {
			s += ", and the worst"
		}
		p.entry("watch", s)
		return
	}
	p.entry("watch", s, layerAt(r, worst+1)+": the worst")
}

// meshNotes says what was amiss with the surface, and what was made of it: in the
// result's own warnings or, where it has none, from its counts.
func meshNotes(p *page, r *gapscan.Result) {
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
	if s := allFree(r); s != "" {
		p.sentence(s)
	}
	p.sentence("Rests on " + machineWords(&r.Machine) + "; " + planWords(&r.Plan) + ". A calculation, not a promise.")
}
