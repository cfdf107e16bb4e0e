package report

import (
	"image"
	"io"
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/gapscan/machine"
)

// The layout of the curve's picture, in pixels. Its width, border and the
// sides of its plots are those of the strip.
const (
	curveWidth  = stripWidth
	curveTop    = 142 // of the first panel
	panelWords  = 34  // from a panel's title to its words, and on to the next
	wordStep    = 27  // from line to line of words
	panelPlot   = 200 // the height from chance 0 to 1, and of the sags
	panelSpace  = 34  // below the numbers of an axis
	trialStep   = 24  // from row to row of trials
	trialRoom   = 22  // the least from one trial to the next of a row
	mostRows    = 6   // of trials; what finds no room is counted
	axisNumbers = 30  // from an axis to the baseline of its numbers
	curveLine   = 1.8 // half the thickness of the curve
	curveStep   = 8   // pixels from one reckoned place of the curve to the next
	footStep    = 30
)

// bandInk fills the band: light enough for grey print, apart from paper.
var bandInk = mix(rampLab(1.25), oklab{0.985, 0, 0.004}, 0.55).rgba()

// Curve writes what a machine's trials say as a PNG, 1500 pixels wide and as
// high as it needs: for each family with trials (side, bottom, roof) the
// chance that a joint comes out free over its gap, with the band it lies in
// with a probability of 90 %, the trials that came out free above it and the
// others below, and the need; for bridges the sag over the span. A machine
// without trials gets a picture that says so.
func Curve(w io.Writer, mc machine.Machine) error {
	pic, err := drawCurve(&mc)
	if err != nil {
		return err
	}
	return pic.encode(w)
}

func drawCurve(mc *machine.Machine) (*fewColors, error) {
	p, err := newPens()
	if err != nil {
		return nil, err
	}
	c := curvesOf(*mc)
	// Once without paper, to see how much is needed.
	tall := curvePanels(canvas{newFewColors(image.Rectangle{})}, &p, mc, &c)
	pic := newFewColors(image.Rect(0, 0, curveWidth, tall+border))
	curvePanels(canvas{pic}, &p, mc, &c)
	return pic, nil
}

// curvePanels draws everything and returns how far down it went.
func curvePanels(pic canvas, p *pens, mc *machine.Machine, c *machineCurves) int {
	const room = curveWidth - 2*border
	head := p.title.legible(curveTitle(mc))
	says := ": what its trials say"
	pic.text(p.title, border, titleLine, ink, p.title.fit(head, room-p.title.width(says))+says)
	y := pic.paragraph(p.label, border, verdictLine, room, ink, p.label.legible(unglued(curveCounts(mc, c)))) + panelSpace
	y = max(y, curveTop)
	for i := range c.families {
		y = c.families[i].panel(pic, p, y)
	}
	if c.bridges != nil {
		y = c.bridges.panel(pic, p, y)
	}
	if len(c.families) == 0 {
		return y - panelSpace
	}
	return pic.paragraph(p.label, border, y, room, faint,
		"line: the chance that a joint of the gap comes out free; band: it lies in there with a probability of 90 %. A calculation, not a promise.")
}

// panelHead writes the title and the words of a panel and returns where they
// end.
func panelHead(pic canvas, p *pens, y int, title, words string) int {
	pic.text(p.words, border, y, ink, unglued(title))
	return pic.paragraph(p.label, border, y+panelWords, curveWidth-2*border, ink, unglued(words))
}

// across is the pixel of a value on an axis from 0 to hi.
func across(v, hi float64) float64 {
	return plotLeft + float64(v/hi*(plotRight-plotLeft))
}

func (c *familyCurve) panel(pic canvas, p *pens, y int) int {
	y = panelHead(pic, p, y, c.title(), c.words()+".")
	free := scatter(c.trials, c.hi, true)
	shut := scatter(c.trials, c.hi, false)

	top := y + 22 + free.rows*trialStep + 8 // of the plot
	low := top + panelPlot
	axis := low + 8 + shut.rows*trialStep + 4
	up := func(chance float64) float64 { return float64(low) - float64(chance*panelPlot) }

	pic.fill(plotLeft-6, top, plotRight+6, top+1, hair)
	pic.fill(plotLeft-6, low, plotRight+6, low+1, ink)
	c.curve(pic, up)
	right := plotLeft - 14
	for _, share := range []float64{0, 0.25, 0.5, 0.75, 1} {
		at := int(math.Round(up(share)))
		pic.textRight(p.label, right, at+7, faint, rounded(100*share, 0))
		if share > 0 && share < 1 {
			pic.fill(plotLeft-10, at, plotLeft-4, at+1, faint)
		}
	}
	pic.text(p.label, border, int(up(0.5))-8, ink, "free")
	pic.text(p.label, border, int(up(0.5))+18, ink, "of 100")

	if c.found.Rule == machine.RuleLimit {
		const dash, space = 9, 6
		for x := plotLeft; x < plotRight; x += dash + space {
			pic.fill(x, int(up(machine.LimitProb)), min(x+dash, plotRight), int(up(machine.LimitProb))+1, faint)
		}
		pic.text(p.label, plotRight+14, int(up(machine.LimitProb))+14, faint, rounded(100*machine.LimitProb, 0)+" of 100")
	}
	c.needs(pic, p, top, low, up)

	free.draw(pic, c.hi, func(row int) int { return top - 8 - row*trialStep - trialStep/2 })
	shut.draw(pic, c.hi, func(row int) int { return low + 8 + row*trialStep + trialStep/2 })
	legend := func(at int, r machine.Result, words string) {
		trialShape(r)(pic, plotRight+14+markHalf, at, ink)
		pic.text(p.label, plotRight+14+2*markHalf+10, at+7, ink, words)
	}
	if free.rows > 0 {
		legend(top-8-trialStep/2, machine.CameFree, "came free")
		free.note(pic, p, top-8-trialStep/2-trialStep)
	}
	at := low + 8 + trialStep/2
	for _, r := range []machine.Result{machine.Stuck, machine.Welded} {
		if shut.has(r) {
			legend(at, r, string(r))
			at += trialStep
		}
	}
	axis = max(axis, at-trialStep/2+4)
	shut.note(pic, p, at)
	return gapAxis(pic, p, c.hi, axis, "gap, mm", 0.01)
}

// gapAxis draws an axis of round numbers from 0 to hi and returns where the
// next panel begins.
func gapAxis(pic canvas, p *pens, hi float64, y int, words string, least float64) int {
	pic.fill(plotLeft-6, y, plotRight+6, y+1, hair)
	at, step := ticks(0, hi, (plotRight-plotLeft)/tickRoom, least)
	decimals := max(0, int(math.Ceil(-math.Log10(step)-tickSlack)))
	for _, v := range at {
		x := int(math.Round(across(v, hi)))
		pic.fill(x, y, x+1, y+8, ink)
		pic.textMid(p.label, x, y+axisNumbers, ink, rounded(v, decimals))
	}
	pic.text(p.label, plotRight+42, y+axisNumbers, faint, words)
	return y + axisNumbers + panelSpace + 24
}

// curve draws the band and the chance in it.
func (c *familyCurve) curve(pic canvas, up func(float64) float64) {
	if pic.Bounds().Empty() {
		return
	}
	var high, low, line, over, under []r2.Vec
	for x := plotLeft; x <= plotRight; x += curveStep {
		mean, lo, hi := c.post.PFree(c.hi * float64(x-plotLeft) / (plotRight - plotLeft))
		at := func(chance float64) r2.Vec { return r2.Vec{X: float64(x), Y: up(chance)} }
		high, low, line = append(high, at(hi)), append(low, at(lo)), append(line, at(mean))
	}
	// The line is as thick square to itself where it is steep.
	for i, q := range line {
		d := r2.Sub(line[min(i+1, len(line)-1)], line[max(i-1, 0)])
		half := r2.Vec{Y: curveLine * math.Hypot(d.X, d.Y) / d.X}
		over, under = append(over, r2.Sub(q, half)), append(under, r2.Add(q, half))
	}
	pic.area([][]r2.Vec{append(high, reversed(low)...)}, bandInk)
	pic.area([][]r2.Vec{append(over, reversed(under)...)}, ink)
}

func reversed(pts []r2.Vec) []r2.Vec {
	out := make([]r2.Vec, len(pts))
	for i, q := range pts {
		out[len(pts)-1-i] = q
	}
	return out
}

// needs draws the need, and beside a limit written by hand what the trials
// say, each with its words.
func (c *familyCurve) needs(pic canvas, p *pens, top, low int, up func(float64) float64) {
	line := func(mm float64, solid bool) int {
		const dash, space = 7, 5
		x := int(math.Round(across(mm, c.hi)))
		for y := top; y < low; y += dash + space {
			end := min(y+dash+space, low)
			if !solid {
				end = min(y+dash, low)
			}
			pic.fill(x-2, y, x+2, end, paper)
			pic.fill(x-1, y, x+1, end, ink)
		}
		return x
	}
	// To the right of a need the curve is high, and the room below it free.
	words := func(x int, share float64, pen *pen, s string) {
		s = unglued(s)
		wide := pen.width(s)
		left, at := min(x+12, curveWidth-border-wide), int(up(share))
		pic.fill(left-5, at-20, left+wide+5, at+7, paper)
		pic.text(pen, left, at, ink, s)
	}
	need := line(c.found.MM, true)
	if mm := c.found.TrialsMM; mm != nil && c.found.Source != machine.SourceTrials {
		words(line(*mm, false), 0.24, p.label, "the trials say "+gap(*mm)+nbsp+"mm")
	}
	words(need, 0.08, p.words, "need "+gap(c.found.MM)+nbsp+"mm, "+needSource(&c.found))
}

// needSource is in a word or two where a need comes from.
func needSource(f *machine.Found) string {
	switch f.Source {
	case machine.SourceHand:
		return "tested by hand"
	case machine.SourceTrials:
		switch f.Rule {
		case machine.RuleLimit:
			return "free with " + rounded(100*machine.LimitProb, 0) + nbsp + "%"
		case machine.RuleSmallest:
			return "smallest free"
		}
		return "beyond all tried"
	case machine.SourceSpread:
		return "by the spread"
	}
	return "built-in, not tested"
}

func (b *bridgeCurve) panel(pic canvas, p *pens, y int) int {
	y = panelHead(pic, p, y, b.title(), b.found.Words+".")
	top := y + 30
	low := top + panelPlot
	wide, deep := 1.15*b.found.MM, 1.6 // layers
	for _, t := range b.trials {
		wide, deep = max(wide, 1.08*t.SpanMM), max(deep, 1.1*sagLayers(t))
	}
	deep = min(deep, mostSagDrawn)
	// Down is down: what sags more lies lower.
	at := func(layers float64) int { return top + int(math.Round(min(layers, deep)/deep*panelPlot)) }

	pic.fill(plotLeft-6, top, plotRight+6, top+1, ink)
	pic.fill(plotLeft-6, at(1)-1, plotRight+6, at(1)+1, ink)
	pic.text(p.label, plotRight+14, at(1)-8, ink, "one layer")
	pic.text(p.label, plotRight+14, at(1)+20, faint, unglued(b.layerWords()))
	levels, _ := ticks(0, deep, 5, 0.5)
	for _, v := range levels {
		pic.textRight(p.label, plotLeft-14, at(v)+7, faint, size(v))
	}
	pic.text(p.label, border, (top+low)/2-8, ink, "sag,")
	pic.text(p.label, border, (top+low)/2+18, ink, "layers")

	x := int(math.Round(across(b.found.MM, wide)))
	pic.fill(x-1, top, x+1, low, ink)
	words := unglued("up to " + span(b.found.MM) + nbsp + "mm")
	left := x + 12
	if left+p.words.width(words) > plotRight {
		left = x - 12 - p.words.width(words)
	}
	pic.fill(left-5, low-26, left+p.words.width(words)+5, low, paper)
	pic.text(p.words, left, low-7, ink, words)

	for _, t := range b.trials {
		shape := block
		if t.Held() {
			shape = ring
		}
		shape(pic, int(math.Round(across(t.SpanMM, wide))), at(sagLayers(t)), ink)
	}
	return gapAxis(pic, p, wide, low+markHalf+6, "span, mm", 1)
}

// mostSagDrawn is the deepest sag that is drawn in its place, in layers; what
// sags more lies on the lower edge.
const mostSagDrawn = 6.0
