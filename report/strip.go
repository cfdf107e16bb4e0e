package report

import (
	"fmt"
	"image"
	"image/color"
	"io"
	"math"
	"strconv"
	"strings"

	"playgauge/gapscan"
)

// The strip's layout, in pixels.
const (
	stripWidth  = 1500
	stripHeight = 628 // without marks
	border      = 28
	plotLeft    = 148
	plotRight   = stripWidth - 184
	rampLeft    = plotLeft - 20 // the colours beside the margins
	rampRight   = plotLeft - 8
	titleLine   = 48  // baselines of the texts
	verdictLine = 86  //
	machineLine = 118 //
	wordsLine   = 160 // of the words on the worst layer
	touchLine   = 186 // where a column of margin 0 ends
	needLine    = 386 // where one that just meets the need does
	roomyLine   = 490 // where one of twice the need or more does
	groundLine  = 506 // where all columns stand, and the marks begin
	zBelow      = 30  // from the ground, or the marks, to the texts
	layerBelow  = 58
	footBelow   = 98

	widestColumn = 48 // a strip of few layers is not drawn wider
	gapFrom      = 6  // columns this wide stand apart by one pixel
	tickRoom     = 84 // an axis number with the space beside it
)

var (
	paper = color.RGBA{252, 251, 247, 255}
	ink   = color.RGBA{34, 32, 36, 255}
	faint = color.RGBA{100, 96, 102, 255}
	hair  = color.RGBA{205, 202, 198, 255}
)

// pens are the sizes of type on the strip. The smallest is to be readable
// still in a picture that is shown at a third of its width.
type pens struct{ title, words, bold, label, line *pen }

func newPens() (s pens, err error) {
	f, err := fonts()
	if err != nil {
		return s, err
	}
	if s.title, err = newPen(f.bold, 32); err != nil {
		return s, err
	}
	if s.words, err = newPen(f.bold, 23); err != nil {
		return s, err
	}
	if s.bold, err = newPen(f.bold, 21); err != nil {
		return s, err
	}
	if s.label, err = newPen(f.regular, 21); err != nil {
		return s, err
	}
	s.line, err = newPen(f.regular, 25)
	return s, err
}

// Strip writes the heat-strip as a PNG of 1500 by 628 pixels, and 28 more in
// height for each kind of mark on it: one column a layer, from the bed at the
// left to the top at the right. The tighter a layer, the higher and darker
// its column; what rises over the line "need" does not stay apart, and is
// drawn in full colour, what stands below that line in a pale one. A layer
// where no two parts come near each other is left blank. Where there are more
// layers than pixels a column is the tightest of its layers. Under the
// columns, marks show the layers at which parts are joined, something starts
// in mid-air, slots close, or a bridge is longer than the machine's. A margin
// that is NaN or infinite is a *NotFiniteError, and nothing is written.
func Strip(w io.Writer, r *gapscan.Result) error {
	pic, err := drawStrip(r)
	if err != nil {
		return err
	}
	return pic.encode(w)
}

func drawStrip(r *gapscan.Result) (*fewColors, error) {
	width := min(plotRight-plotLeft, widestColumn*len(r.Layers))
	columns, err := stripColumns(r.Layers, width)
	if err != nil {
		return nil, err
	}
	p, err := newPens()
	if err != nil {
		return nil, err
	}
	rows := stripMarks(r)
	deep := len(rows) * markRow
	pic := newFewColors(image.Rect(0, 0, stripWidth, stripHeight+deep))
	c := canvas{pic}
	stripTitle(c, &p, r)
	stripNeeds(c, &p, worstLayer(r) >= 0)
	for x, end := 0, 0; x < width; x = end {
		m := columns[x]
		for end = x + 1; end < width && columns[end] == m; {
			end++
		}
		if math.IsNaN(m) {
			continue
		}
		c.fill(plotLeft+x, marginLine(m), plotLeft+end, groundLine, stripColor(m))
		if m < needMargin {
			c.fill(plotLeft+x, needLine, plotLeft+end, groundLine, stripPale(m))
		}
	}
	if n := len(r.Layers); n > 0 && width/n >= gapFrom {
		for i := 1; i < n; i++ {
			x := plotLeft + columnAt(i, n, width)
			c.fill(x, touchLine, x+1, groundLine, paper)
		}
	}
	stripLines(c)
	drawMarks(c, &p, rows, len(r.Layers), width)
	stripAxes(c, &p, r.Layers, width, groundLine+deep)
	stripWorst(c, &p, r, width)
	stripFoot(c, &p, len(r.Layers), width, groundLine+deep)
	return pic, nil
}

// The strip shows the margins in so many steps from one need to the next, each
// too small to be seen, so that it is a picture of few colours.
const (
	colorSteps = 64
	paleSteps  = 32
)

// stripColor is the colour of a margin on the strip, stripPale its pale one.
func stripColor(m float64) color.RGBA {
	return rampColor(math.Round(min(m, roomy)*colorSteps) / colorSteps)
}

func stripPale(m float64) color.RGBA { return paleColor(math.Round(m*paleSteps) / paleSteps) }

// columnAt is the pixel at which the column of layer index i of n begins.
func columnAt(i, n, width int) int { return i * width / n }

// stripColumns gives each pixel of the strip the least margin of the layers
// that fall on it, NaN where none has one. A need is met from a little below
// it on: a layer that is not short counts as margin 1 then.
func stripColumns(layers []gapscan.Layer, width int) ([]float64, error) {
	columns := make([]float64, width)
	for x := range columns {
		columns[x] = math.NaN()
	}
	for i := range layers {
		m := layers[i].Margin
		if m == nil {
			continue
		}
		if math.IsNaN(*m) || math.IsInf(*m, 0) {
			return nil, &NotFiniteError{Field: fmt.Sprintf("layers[%d].margin", i), Value: *m}
		}
		tight := *m
		if o := layers[i].Outcome; o != nil && !bad(*o) {
			tight = max(tight, needMargin)
		}
		x, end := columnAt(i, len(layers), width), columnAt(i+1, len(layers), width)
		for end = max(end, x+1); x < end; x++ {
			if !(columns[x] <= tight) {
				columns[x] = tight
			}
		}
	}
	return columns, nil
}

// marginLine is the height at which a column of margin m ends. Most of the
// height is for margins short of the need: there it matters by how much.
func marginLine(m float64) int {
	if m < needMargin {
		return touchLine + int(math.Round(max(m, 0)*(needLine-touchLine)/needMargin))
	}
	return needLine + int(math.Round((min(m, roomy)-needMargin)*(roomyLine-needLine)/(roomy-needMargin)))
}

// The margins with a line across the strip: the need itself, and where close
// ends and free begins.
const (
	needMargin = 1
	freeMargin = 1.25
)

// stripTitle names the file, its outcome and the machine.
func stripTitle(c canvas, p *pens, r *gapscan.Result) {
	const room = stripWidth - 2*border
	outcome := unglued(": " + plain(string(r.Outcome)) + doubt(r))
	name := p.title.legible(plain(viewName(r.Model.File)))
	if r.Model.File == "" {
		name = "model"
	}
	c.text(p.title, border, titleLine, ink, p.title.fit(name, room-p.title.width(outcome))+outcome)

	says := verdict(r, firstAndWorst(r))
	if r.Outcome == gapscan.NoJoint && len(r.Parts) > 0 {
		says += "; " + slotsInShort(r)
	}
	c.text(p.line, border, verdictLine, ink, p.line.fit(unglued(says), room))

	// A long name is cut rather than a need.
	pen := p.label
	if !r.Machine.Tested {
		pen = p.bold
	}
	m := r.Machine
	m.Name = "-"
	m.Name = pen.fit(pen.legible(plain(r.Machine.Name)), room-pen.width(unglued(machineWords(&m))))
	c.text(pen, border, machineLine, ink, pen.fit(unglued(machineWords(&m)), room))
}

// unglued has plain spaces for those that keep words together in a text.
func unglued(s string) string { return strings.ReplaceAll(s, nbsp, " ") }

// stripNeeds labels what the height of a column means: at the left the
// margins with their colours, at the right what becomes of them. A blank
// strip has no outcomes, so that "no joint" is never beside "free".
func stripNeeds(c canvas, p *pens, judged bool) {
	const down = 7 // from the middle of a letter to its baseline
	right := rampLeft - 10
	c.textRight(p.label, right, touchLine+down+5, faint, "margin 0")
	c.textRight(p.words, right, needLine+down-4, ink, "need = 1")
	c.textRight(p.label, right, marginLine(freeMargin)+down+3, ink, "1.25")
	c.textRight(p.label, right, roomyLine+down, faint, "2 or more")
	for y := touchLine; y < groundLine; y++ {
		c.fill(rampLeft, y, rampRight, y+1, stripColor(marginAt(y)))
	}
	if !judged {
		return
	}
	left := plotRight + 14
	c.text(p.label, left, (touchLine+needLine)/2+down, ink, "welds or sticks")
	c.text(p.label, left, (needLine+marginLine(freeMargin))/2+down, ink, "close")
	c.text(p.label, left, (marginLine(freeMargin)+groundLine)/2+down, ink, "free")
}

// marginAt is the margin of a height between touchLine and the ground.
func marginAt(y int) float64 {
	if y < needLine {
		return needMargin * float64(y-touchLine) / (needLine - touchLine)
	}
	return needMargin + (roomy-needMargin)*min(1, float64(y-needLine)/(roomyLine-needLine))
}

// stripLines draws the need, and 1.25 times it in dashes, over the columns,
// with the paper's colour beside the ink so that they show on dark ones.
func stripLines(c canvas) {
	y := marginLine(needMargin)
	c.fill(rampLeft-4, y-2, plotRight+6, y+2, paper)
	c.fill(rampLeft-4, y-1, plotRight+6, y+1, ink)
	y = marginLine(freeMargin)
	const dash, space = 9, 6
	for x := rampLeft - 4; x < plotRight+6; x += dash + space {
		c.fill(x, y, min(x+dash, plotRight+6), y+1, ink)
		c.fill(x+dash, y, min(x+dash+space, plotRight+6), y+1, paper)
	}
}

// stripAxes draws the ground and, under base, z in millimetres and the
// layers' numbers.
func stripAxes(c canvas, p *pens, layers []gapscan.Layer, width, base int) {
	c.fill(plotLeft-6, groundLine, plotRight+6, groundLine+1, hair)
	n := len(layers)
	if n == 0 {
		return
	}
	c.fill(plotLeft, groundLine, plotLeft+width, groundLine+2, ink)
	zLine, layerLine := base+zBelow, base+layerBelow
	right := rampLeft - 10
	c.textRight(p.label, right, zLine, faint, "z, mm")
	c.textRight(p.label, right, layerLine, faint, "layer")

	most := max(1, width/tickRoom)
	at, step := ticks(layers[0].ZBottomMM, layers[n-1].ZTopMM, max(most, 2), 0.01)
	decimals := max(0, int(math.Ceil(-math.Log10(step)-tickSlack)))
	for _, z := range at {
		x := plotLeft + int(math.Round(columnOfZ(layers, z)*float64(width)/float64(n)))
		c.fill(x, base, x+1, base+9, ink)
		c.textMid(p.label, x, zLine, ink, rounded(z, decimals))
	}
	at, _ = ticks(1, float64(n), most, 1)
	for _, layer := range at {
		i := int(layer) - 1
		x := plotLeft + (columnAt(i, n, width)+columnAt(i+1, n, width))/2
		c.textMid(p.label, x, layerLine, faint, strconv.Itoa(layers[i].Layer))
	}
}

// columnOfZ is where a height falls among the layers, in columns from the
// left end.
func columnOfZ(layers []gapscan.Layer, z float64) float64 {
	i := 0
	for i < len(layers)-1 && layers[i].ZTopMM <= z {
		i++
	}
	l := &layers[i]
	if thick := l.ZTopMM - l.ZBottomMM; thick > 0 {
		return float64(i) + min(max((z-l.ZBottomMM)/thick, 0), 1)
	}
	return float64(i)
}

// stripWorst calls out the tightest layer in words, with a line down to its
// column; or says why the strip is blank.
func stripWorst(c canvas, p *pens, r *gapscan.Result, width int) {
	worst := worstLayer(r)
	if worst < 0 {
		c.textMid(p.line, (plotLeft+plotRight)/2, (touchLine+needLine)/2+8, faint, blankWords(r))
		return
	}
	words := unglued(worstWords(r, worst))
	n := len(r.Layers)
	x := plotLeft + (columnAt(worst, n, width)+max(columnAt(worst+1, n, width)-1, columnAt(worst, n, width)))/2
	half := p.words.width(words) / 2
	mid := min(max(x, border+half), stripWidth-border-half)
	c.textMid(p.words, mid, wordsLine, ink, words)
	top := marginLine(*r.Layers[worst].Margin)
	c.fill(x-2, wordsLine+8, x+3, top-2, paper)
	c.fill(x-1, wordsLine+8, x+1, top-4, ink)
	for k := range 7 { // a point on the column
		c.fill(x-7+k, top-8+k, x+7-k, top-7+k, ink)
	}
}

func blankWords(r *gapscan.Result) string {
	switch {
	case len(r.Layers) == 0:
		return "no layers"
	case len(r.Parts) == 1:
		return "one part: there is no gap between parts to show"
	case len(r.Joints) > 0:
		return "no layer has two beads facing each other"
	}
	return "no two parts come within " + size(r.ReachMM) + " mm of each other"
}

// worstWords says what limits the worst layer: "layer 41, z 8.2 mm, the
// worst: side gap 0.21 of 0.40 mm, parts 2 and 3".
func worstWords(r *gapscan.Result, i int) string {
	l := &r.Layers[i]
	s := layerAt(r, i+1) + ", the tightest: "
	if bad(r.Outcome) {
		s = layerAt(r, i+1) + ", the worst: "
	}
	cause, parts, margin := l.Cause, l.Parts, *l.Margin
	has, needs, ok := layerGap(r, l)
	if j := worstJoint(r, l.Layer); j != nil {
		cause, parts = j.Cause, j.Parts[:]
		if j.Margin != nil {
			margin = *j.Margin
		}
		if ok = j.GapMM != nil && j.NeedMM != nil; ok {
			has, needs = *j.GapMM, *j.NeedMM
		}
	}
	s += causeWords(cause)
	if ok {
		h, n := gapPair(has, needs)
		s += " " + h + " of " + n + nbsp + "mm"
	} else {
		s += " " + rounded(margin, 2) + " of its need"
	}
	if len(parts) > 0 {
		s += ", parts " + numbers(parts)
	}
	return s
}

// worstJoint is the joint listed first if it is tightest in this layer.
func worstJoint(r *gapscan.Result, layer int) *gapscan.Joint {
	if len(r.Joints) == 0 || r.Joints[0].Outcome == nil || r.Joints[0].WorstLayer == nil || *r.Joints[0].WorstLayer != layer {
		return nil
	}
	return &r.Joints[0]
}

// layerGap is the gap of a layer's margin and the need it is held against, as
// far as the layer itself tells.
func layerGap(r *gapscan.Result, l *gapscan.Layer) (has, needs float64, ok bool) {
	if l.Cause == nil {
		return 0, 0, false
	}
	switch {
	case (*l.Cause == gapscan.CauseSide || *l.Cause == gapscan.CauseBottom) && l.SideGapMM != nil:
		return *l.SideGapMM, l.SideNeedMM, true
	case *l.Cause == gapscan.CauseRoof && l.RoofAirMM != nil:
		return *l.RoofAirMM, r.Machine.RoofMM, true
	}
	return 0, 0, false
}

// stripFoot explains the columns.
func stripFoot(c canvas, p *pens, layers, width, base int) {
	s := "a column is a layer, from the bed to the top"
	if layers > width && width > 0 {
		s = fmt.Sprintf("a column is the tightest of up to %d layers, from the bed to the top", (layers+width-1)/width)
	}
	c.text(p.label, border, base+footBelow, faint, s+"; the tighter, the higher and darker; blank: no parts near each other")
}
