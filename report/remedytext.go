package report

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"playgauge/gapscan"
	"playgauge/gapscan/remedy"
)

// mostChanges is how many changes the text lists; the JSON has them all.
const mostChanges = 8

// RemedyText writes what to change for a person: whether anything has to be,
// a short table of the changes, best first, what is to be minded of them, and
// common practice. call is the command that vets the first change, without its
// flags.
func RemedyText(w io.Writer, r *remedy.Result, call string, s Style) error {
	p := newPage(s)
	remedyOpening(p, r)
	if changes := r.Changes[:min(len(r.Changes), mostChanges)]; len(changes) > 0 {
		p.blank()
		changeTable(p, changes)
		if n := len(r.Changes) - len(changes); n > 0 {
			p.sentence(fmt.Sprintf("and %d more: see --json", n))
		}
		p.blank()
		p.sentence("To see the first:")
		p.sentence("  " + strings.ReplaceAll(call+" "+strings.Join(r.Changes[0].Flags, " "), " ", nbsp))
		minds(p, changes)
	}
	if len(r.Refused) > 0 {
		p.blank()
		for _, why := range r.Refused {
			p.entry("not", plain(why))
		}
	}
	if len(r.Practice) > 0 {
		p.blank()
		p.sentence("Practice, not calculated, in the order in which to try it:")
		for i, one := range r.Practice {
			p.wrap(fmt.Sprintf("  %d. ", i+1), "     ", plain(one))
		}
	}
	p.blank()
	remedyClosing(p, r)
	_, err := io.WriteString(w, p.b.String())
	return err
}

// remedyOpening says what the model comes to as it is, and whether anything
// helps.
func remedyOpening(p *page, r *remedy.Result) {
	on := machineName(&r.Machine)
	if isBuiltIn(&r.Machine) {
		on = machineInShort(&r.Machine)
	}
	name := r.Model.File
	if name == "" {
		name = "the model"
	}
	head := string(tintBold) + plain(name) + string(tintEnd) + " on " + on + ": " + tint(r.Before.Outcome)
	if t := r.Before.Tightest; t != nil && r.Before.Outcome != gapscan.Free {
		head += ", the tightest joint being " + tightWords(t)
	}
	p.sentence(head)
	if d := r.Model.UnitDoubt; d != "" {
		p.sentence("Look at its units first: " + plain(d) + ".")
	}
	switch o := r.StandsInTheWay; {
	case r.Before.Outcome == gapscan.Free:
		p.sentence("Nothing has to be changed.")
	case r.Before.Outcome == gapscan.NoJoint:
		p.sentence("There is no joint to open.")
	case o != nil && o.Touch:
		p.sentence(fmt.Sprintf("No setting helps: parts %d and %d touch as drawn, and no printer makes a gap where none is drawn. Draw one of %s mm or more there (%s).",
			o.Parts[0], o.Parts[1], gap(o.NeedsMM), causeWords(&o.Cause)))
	case o != nil:
		has, needs := gapPair(o.HasMM, o.NeedsMM)
		p.sentence(fmt.Sprintf("Nothing that was tried makes it %s. In the way: parts %d and %d, whose %s has %s mm and needs %s mm.",
			aim(r), o.Parts[0], o.Parts[1], causeWords(&o.Cause), has, needs))
	case len(r.Changes) == 1:
		p.sentence("One change makes it " + aim(r) + ":")
	default:
		p.sentence(fmt.Sprintf("%d changes make it %s, best first:", len(r.Changes), aim(r)))
	}
}

// aim is what a change is to bring about.
func aim(r *remedy.Result) string {
	if r.Before.Outcome == gapscan.Close {
		return "free"
	}
	return "work (free or close)"
}

// tightWords says which joint has the least room, by its margin.
func tightWords(t *remedy.Tightest) string {
	return fmt.Sprintf("%d+%d", t.Parts[0], t.Parts[1]) + nbsp + string(t.Cause) + nbsp + rounded(t.Margin, 2)
}

// leastChangeWidth is the least room for the words of a change, characters.
const leastChangeWidth = 20

// changeTable lists changes in columns; the words of a change go on below.
func changeTable(p *page, changes []remedy.Change) {
	chances := slices.ContainsFunc(changes, func(c remedy.Change) bool { return c.PFree != nil })
	heads := []string{"outcome", "steady", "time", "volume", "layers", "tightest"}
	if chances {
		heads = slices.Insert(heads, 1, "free in 100")
	}
	rows := make([][]string, len(changes))
	for i := range changes {
		rows[i] = changeCells(&changes[i], chances)
	}
	widths := make([]int, len(heads))
	total := 0
	for k, h := range heads {
		widths[k] = shown(h)
		for _, row := range rows {
			widths[k] = max(widths[k], shown(row[k]))
		}
		total += widths[k] + 2
	}
	first := shown("change")
	for i := range changes {
		first = max(first, shown(changes[i].Change))
	}
	const number = 3
	first = min(first, max(p.width-number-total, leastChangeWidth))
	line := func(no, change string, cells []string) {
		s := column(no, number) + column(change, first)
		for k, c := range cells {
			s += "  " + column(c, widths[k])
		}
		p.flush(s)
	}
	line("", "change", heads)
	for i := range changes {
		words := folded(plain(changes[i].Change), first)
		line(fmt.Sprint(i+1), words[0], rows[i])
		for _, more := range words[1:] {
			line("", "  "+more, nil)
		}
	}
}

// changeCells are the cells of a change behind its words.
func changeCells(c *remedy.Change, chances bool) []string {
	steady := "yes"
	if !c.Steady {
		steady = "no"
	}
	cells := []string{tint(c.Outcome)}
	if chances {
		chance := "-"
		if c.PFree != nil {
			chance = strings.TrimSuffix(strings.TrimPrefix(chanceWords(*c.PFree), "in"+nbsp), nbsp+"of"+nbsp+"100")
		}
		cells = append(cells, chance)
	}
	tight := "-"
	if c.Tightest != nil {
		tight = strings.ReplaceAll(tightWords(c.Tightest), nbsp, " ")
	}
	return append(cells, steady, "x"+size(c.TimeRatio), "x"+size(c.VolumeRatio), fmt.Sprint(c.Layers), tight)
}

// folded breaks words into lines of a width; all but the first are set in by
// two.
func folded(text string, width int) []string {
	lines := []string{""}
	for _, word := range strings.Fields(text) {
		last := &lines[len(lines)-1]
		room := width
		if len(lines) > 1 {
			room -= 2
		}
		switch {
		case *last == "":
			*last = word
		case shown(*last)+1+shown(word) <= room:
			*last += " " + word
		default:
			lines = append(lines, word)
		}
	}
	return lines
}

// minds lists the cautions, each once with the numbers of its changes.
func minds(p *page, changes []remedy.Change) {
	var texts []string
	of := map[string][]int{}
	add := func(i int, text string) {
		if of[text] == nil {
			texts = append(texts, text)
		}
		of[text] = append(of[text], i+1)
	}
	for i := range changes {
		if !changes[i].Steady {
			add(i, "works by luck: it fails where the layers fall a little otherwise, or at a slightly larger scale")
		}
		for _, text := range changes[i].Cautions {
			add(i, text)
		}
	}
	if len(texts) == 0 {
		return
	}
	p.blank()
	for i, text := range texts {
		label := ""
		if i == 0 {
			label = "mind"
		}
		p.entry(label, numbers(of[text])+": "+plain(text))
	}
}

// remedyClosing says what the table's numbers are and what they rest on.
func remedyClosing(p *page, r *remedy.Result) {
	s := ""
	if len(r.Changes) > 0 {
		s = fmt.Sprintf("Each change was vetted. Steady: it also works shifted by %s mm up and down against the layers, a scale also at the next two percents. Tightest: parts, where, and the gap over its need. Time is a rough estimate: volume over layer height, at one speed and line width. ", exact(remedy.LiftMM))
	}
	if isBuiltIn(&r.Machine) {
		s += "The machine is the built-in cautious one; nothing was tested. "
	}
	p.sentence(s + "A calculation, not a promise.")
}
