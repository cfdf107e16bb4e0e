package report

import (
	"io"
	"math"
	"slices"
	"strings"

	"playgauge/gapscan/machine"
)

// CurveText writes what a machine's trials say as plain text: for each family
// that has trials a row a gap, with the chance of coming out free, its band,
// and the trials at that gap; then the bridges, a row each. All characters
// are ASCII. Of a machine without trials it writes nothing.
func CurveText(w io.Writer, mc machine.Machine, s Style) error {
	p := newPage(s)
	c := curvesOf(mc)
	for i := range c.families {
		if i > 0 {
			p.blank()
		}
		c.families[i].text(p)
	}
	if c.bridges != nil {
		if len(c.families) > 0 {
			p.blank()
		}
		c.bridges.text(p)
	}
	if len(c.families) > 0 {
		p.blank()
		p.sentence("* is the chance that a joint of the gap comes out free, of 100; it lies within --- with a probability of 90 %. " +
			"Trials, at the nearest gap: f free, s sticks, w welds.")
	}
	_, err := io.WriteString(w, p.b.String())
	return err
}

// Columns of the text, in characters.
const (
	gapColumns   = 12 // " trials 0.31"
	freeColumns  = 5  // "  100"
	leastBar     = 2
	mostBar      = 51 // a column for every other of 100
	mostCurveRow = 16 // gaps of the ladder
)

// curveRow is one gap in the text.
type curveRow struct {
	gap    float64
	mark   string // "need" or "trials", else empty
	trials []machine.Result
}

// rows are a ladder of round gaps, one for each gap where that says more, and
// one for what is marked.
func (c *familyCurve) rows() []curveRow {
	at, _ := ticks(0, c.hi, mostCurveRow, 0.01)
	var rows []curveRow
	for _, g := range at {
		rows = append(rows, curveRow{gap: g})
	}
	for _, t := range c.trials {
		if t.Gap > c.hi {
			continue
		}
		nearest := 0
		for i := range rows {
			if math.Abs(rows[i].gap-t.Gap) < math.Abs(rows[nearest].gap-t.Gap)-tickSlack {
				nearest = i
			}
		}
		rows[nearest].trials = append(rows[nearest].trials, t.Result)
	}
	mark := func(mm float64, words string) {
		for i := range rows {
			if math.Abs(rows[i].gap-mm) <= sameNeed {
				rows[i].mark = words
				return
			}
		}
		i := slices.IndexFunc(rows, func(r curveRow) bool { return r.gap > mm })
		if i < 0 {
			i = len(rows)
		}
		rows = slices.Insert(rows, i, curveRow{gap: mm, mark: words})
	}
	if mm := c.found.TrialsMM; mm != nil && c.found.Source != machine.SourceTrials {
		mark(*mm, "trials")
	}
	mark(c.found.MM, "need")
	for i := range rows {
		slices.SortStableFunc(rows[i].trials, func(a, b machine.Result) int { return resultOrder(a) - resultOrder(b) })
	}
	return rows
}

func (c *familyCurve) text(p *page) {
	p.sentence(string(tintBold) + c.title() + string(tintEnd) + " - " + c.words() + ".")
	rows := c.rows()
	// The trials may take a third of what the figures leave.
	room := p.width - gapColumns - freeColumns - 4
	letters := 0
	for _, r := range rows {
		letters = max(letters, len(trialLetters(r.trials, room/3)))
	}
	bar := max(min(room-letters, mostBar), leastBar)
	head := right("gap mm", gapColumns) + right("free", freeColumns) + "  0" + right("100", bar-1)
	p.flush(head)
	for _, r := range rows {
		mean, lo, hi := c.post.PFree(r.gap)
		line := right(r.mark+" "+rounded(r.gap, 2), gapColumns) + right(ofHundred(mean), freeColumns) + "  "
		line += bandBar(mean, lo, hi, bar) + "  " + trialLetters(r.trials, room/3)
		p.flush(line)
	}
}

// ofHundred is a chance out of 100, never rounded to certainty.
func ofHundred(p float64) string {
	switch {
	case p < 0.01:
		return "<1"
	case p > 0.99:
		return ">99"
	}
	return rounded(100*p, 0)
}

// bandBar draws a chance and its band over so many columns.
func bandBar(mean, lo, hi float64, columns int) string {
	at := func(x float64) int { return int(math.Round(min(max(x, 0), 1) * float64(columns-1))) }
	b := []byte(strings.Repeat(" ", columns))
	for i := at(lo); i <= at(hi); i++ {
		b[i] = '-'
	}
	b[at(mean)] = '*'
	return string(b)
}

// trialLetters writes results as f, s and w, and counts those of more than
// most.
func trialLetters(rs []machine.Result, most int) string {
	var b strings.Builder
	if len(rs) <= most {
		for _, r := range rs {
			b.WriteString(string(r)[:1])
		}
		return b.String()
	}
	for i := 0; i < len(rs); {
		k := i
		for k < len(rs) && rs[k] == rs[i] {
			k++
		}
		if b.Len() > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(rounded(float64(k-i), 0) + string(rs[i])[:1])
		i = k
	}
	return b.String()
}

func right(s string, width int) string {
	return strings.Repeat(" ", max(0, width-shown(s))) + s
}

// How far a sag is drawn, in layers; more is cut and told by its figure.
const mostSagLayers = 3.0

func (b *bridgeCurve) text(p *page) {
	p.sentence(string(tintBold) + b.title() + string(tintEnd) + " - " + b.found.Words + ".")
	const tail = 7 // "   0.25"
	bar := min(p.width-gapColumns-2-tail, mostBar)
	one := int(math.Round(float64(bar-1) / mostSagLayers))
	p.flush(right("span mm", gapColumns) + "  " + right("1 layer", one+1) + right("sag mm", bar-one-1+tail))
	for _, t := range b.trials {
		deep := int(math.Round(min(sagLayers(t)/mostSagLayers, 1) * float64(bar-1)))
		line := []byte(strings.Repeat("=", deep) + strings.Repeat(" ", bar-deep))
		line[one] = '|'
		if !t.Held() && deep <= one {
			line[one+1] = '=' // however little it is beyond
		}
		p.flush(right(span(t.SpanMM), gapColumns) + "  " + string(line) + right(size(t.SagMM), tail))
	}
}
