package report

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"path"
	"strconv"
	"strings"

	"playgauge/gapscan"
)

// The strip's layout, in pixels.
const (
	stripWidth  = 1500
	stripHeight = 432
	border      = 24
	plotLeft    = 140
	plotRight   = stripWidth - 150
	titleLine   = 40  // baselines of the texts
	verdictLine = 68  //
	wordsLine   = 106 // of the words on the worst layer
	touchLine   = 126 // where a column of margin 0 ends
	roomyLine   = 296 // where one of twice the need or more does
	groundLine  = 318 // where all columns stand
	zLine       = 342
	layerLine   = 364
	keyTop      = 380
	keyLine     = 408

	widestColumn = 48 // a strip of few layers is not drawn wider
	gapFrom      = 6  // columns this wide stand apart by one pixel
	tickRoom     = 68 // an axis number with the space beside it
)

var (
	paper = color.RGBA{252, 251, 247, 255}
	ink   = color.RGBA{34, 32, 36, 255}
	faint = color.RGBA{110, 106, 112, 255}
	hair  = color.RGBA{205, 202, 198, 255}
)

// pens are the sizes of type on the strip.
type pens struct{ title, words, bold, label, line *pen }

func newPens() (s pens, err error) {
	f, err := fonts()
	if err != nil {
		return s, err
	}
	if s.title, err = newPen(f.bold, 26); err != nil {
		return s, err
	}
	if s.words, err = newPen(f.bold, 17); err != nil {
		return s, err
	}
	if s.bold, err = newPen(f.bold, 16); err != nil {
		return s, err
	}
	if s.label, err = newPen(f.regular, 16); err != nil {
		return s, err
	}
	s.line, err = newPen(f.regular, 18)
	return s, err
}

// Strip writes the heat-strip as a PNG of 1500 by 432 pixels: one column a
// layer, from the bed at the left to the top at the right. The tighter a
// layer, the higher and darker its column; one that rises over the line
// "need" does not stay apart. A layer where no two parts come near each other
// is left blank. Where there are more layers than pixels a column is the
// tightest of its layers. A margin that is NaN or infinite is a
// *NotFiniteError, and nothing is written.
func Strip(w io.Writer, r *gapscan.Result) error {
	img, err := drawStrip(r)
	if err != nil {
		return err
	}
	return (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(w, img)
}

func drawStrip(r *gapscan.Result) (*image.RGBA, error) {
	width := min(plotRight-plotLeft, widestColumn*len(r.Layers))
	columns, err := stripColumns(r.Layers, width)
	if err != nil {
		return nil, err
	}
	p, err := newPens()
	if err != nil {
		return nil, err
	}
	c := canvas{image.NewRGBA(image.Rect(0, 0, stripWidth, stripHeight))}
	c.fill(0, 0, stripWidth, stripHeight, paper)
	stripTitle(c, &p, r)
	stripNeeds(c, &p, worstLayer(r.Layers) >= 0)
	for x, m := range columns {
		if !math.IsNaN(m) {
			c.fill(plotLeft+x, marginLine(m), plotLeft+x+1, groundLine, rampColor(m))
		}
	}
	if n := len(r.Layers); n > 0 && width/n >= gapFrom {
		for i := 1; i < n; i++ {
			x := plotLeft + columnAt(i, n, width)
			c.fill(x, touchLine, x+1, groundLine, paper)
		}
	}
	stripLines(c)
	stripAxes(c, &p, r.Layers, width)
	stripWorst(c, &p, r, width)
	stripKey(c, &p, len(r.Layers), width)
	return c.RGBA, nil
}

// columnAt is the pixel at which the column of layer index i of n begins.
func columnAt(i, n, width int) int { return i * width / n }

// stripColumns gives each pixel of the strip the least margin of the layers
// that fall on it, NaN where none has one.
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
		x, end := columnAt(i, len(layers), width), columnAt(i+1, len(layers), width)
		for end = max(end, x+1); x < end; x++ {
			if !(columns[x] <= *m) {
				columns[x] = *m
			}
		}
	}
	return columns, nil
}

// marginLine is the height at which a column of margin m ends.
func marginLine(m float64) int {
	m = min(max(m, 0), roomy)
	return touchLine + int(math.Round(m*(roomyLine-touchLine)/roomy))
}

// The margins with a line across the strip: the need itself, and where close
// ends and free begins.
const (
	needMargin = 1
	freeMargin = 1.25
)

// stripTitle names the file, its outcome and the machine.
func stripTitle(c canvas, p *pens, r *gapscan.Result) {
	outcome := ": " + plain(string(r.Outcome))
	room := stripWidth - 2*border
	name := p.title.legible(plain(path.Base(strings.ReplaceAll(r.Model.File, `\`, "/"))))
	if r.Model.File == "" {
		name = "model"
	}
	c.text(p.title, border, titleLine, ink, p.title.fit(name, room-p.title.width(outcome))+outcome)

	// The machine keeps its words, and the verdict what they leave it. A long
	// name is cut rather than a need.
	const leastVerdict, between = 560, 40
	limit, pen := room-between-leastVerdict, p.label
	if !r.Machine.Tested {
		pen = p.bold
	}
	m := r.Machine
	m.Name = "-"
	m.Name = pen.fit(pen.legible(plain(r.Machine.Name)), limit-pen.width(unglued(machineWords(&m))))
	tested := unglued(machineWords(&m))
	tested = pen.fit(tested, limit)
	c.textRight(pen, stripWidth-border, verdictLine, ink, tested)
	left := room - between - pen.width(tested)
	c.text(p.line, border, verdictLine, ink, p.line.fit(unglued(verdict(r)), left))
}

// unglued has plain spaces for those that keep words together in a text.
func unglued(s string) string { return strings.ReplaceAll(s, nbsp, " ") }

// stripNeeds labels what the height of a column means: at the left the
// margins, at the right what becomes of them. A blank strip has no outcomes,
// so that "no joint" is never beside "free".
func stripNeeds(c canvas, p *pens, judged bool) {
	const down = 6 // from the middle of a letter to its baseline
	right := plotLeft - 12
	c.textRight(p.label, right, marginLine(0)+down+4, faint, "touching")
	c.textRight(p.words, right, marginLine(needMargin)+down-3, ink, "need")
	c.textRight(p.label, right, marginLine(freeMargin)+down+1, ink, "1.25 x need")
	c.textRight(p.label, right, marginLine(roomy)+down, faint, "2 x need")
	if !judged {
		return
	}
	left := plotRight + 12
	c.text(p.label, left, (marginLine(0)+marginLine(needMargin))/2+down, ink, "welds or sticks")
	c.text(p.label, left, (marginLine(needMargin)+marginLine(freeMargin))/2+down, ink, "close")
	c.text(p.label, left, (marginLine(freeMargin)+groundLine)/2+down, ink, "free")
}

// stripLines draws the need, and 1.25 times it in dashes, over the columns,
// with the paper's colour beside the ink so that they show on dark ones.
func stripLines(c canvas) {
	y := marginLine(needMargin)
	c.fill(plotLeft-6, y-2, plotRight+6, y+2, paper)
	c.fill(plotLeft-6, y-1, plotRight+6, y+1, ink)
	y = marginLine(freeMargin)
	const dash, space = 9, 6
	for x := plotLeft - 6; x < plotRight+6; x += dash + space {
		c.fill(x, y, min(x+dash, plotRight+6), y+1, ink)
		c.fill(x+dash, y, min(x+dash+space, plotRight+6), y+1, paper)
	}
}

// stripAxes draws the ground with z in millimetres and the layers' numbers.
func stripAxes(c canvas, p *pens, layers []gapscan.Layer, width int) {
	c.fill(plotLeft-6, groundLine, plotRight+6, groundLine+1, hair)
	n := len(layers)
	if n == 0 {
		return
	}
	c.fill(plotLeft, groundLine, plotLeft+width, groundLine+2, ink)
	right := plotLeft - 24
	c.textRight(p.label, right, zLine, faint, "z, mm")
	c.textRight(p.label, right, layerLine, faint, "layer")

	most := max(1, width/tickRoom)
	at, step := ticks(layers[0].ZBottomMM, layers[n-1].ZTopMM, max(most, 2), 0.01)
	decimals := max(0, int(math.Ceil(-math.Log10(step)-tickSlack)))
	for _, z := range at {
		x := plotLeft + int(math.Round(columnOfZ(layers, z)*float64(width)/float64(n)))
		c.fill(x, groundLine, x+1, groundLine+8, ink)
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
	worst := worstLayer(r.Layers)
	if worst < 0 {
		c.textMid(p.line, (plotLeft+plotRight)/2, (touchLine+marginLine(needMargin))/2+6, faint, blankWords(r))
		return
	}
	words := unglued(worstWords(r, worst))
	n := len(r.Layers)
	x := plotLeft + (columnAt(worst, n, width)+max(columnAt(worst+1, n, width)-1, columnAt(worst, n, width)))/2
	half := p.words.width(words) / 2
	mid := min(max(x, border+half), stripWidth-border-half)
	c.textMid(p.words, mid, wordsLine, ink, words)
	top := marginLine(*r.Layers[worst].Margin)
	c.fill(x-1, wordsLine+6, x+2, top-2, paper)
	c.fill(x, wordsLine+6, x+1, top-2, ink)
	for k := range 5 { // a point on the column
		c.fill(x-4+k, top-6+k, x+5-k, top-5+k, ink)
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

// worstWords says what limits a layer: "layer 41, z 8.2: side gap 0.21 of
// 0.40, parts 2 and 3, welds".
func worstWords(r *gapscan.Result, i int) string {
	l := &r.Layers[i]
	s := layerAt(r, i+1) + ": " + causeWords(l.Cause)
	if has, needs, ok := layerGap(r, l); ok {
		h, n := gapPair(has, needs)
		s += " " + h + " of " + n
	} else {
		s += " " + rounded(*l.Margin, 2) + " of its need"
	}
	if len(l.Parts) > 0 {
		s += ", parts " + numbers(l.Parts)
	}
	if l.Outcome != nil {
		s += ", " + plain(string(*l.Outcome))
	}
	return s
}

// layerGap is the gap of a layer's margin and the need it is held against:
// that of the joint which is tightest there, else the layer's own.
func layerGap(r *gapscan.Result, l *gapscan.Layer) (has, needs float64, ok bool) {
	for i := range r.Joints {
		j := &r.Joints[i]
		if j.WorstLayer != nil && *j.WorstLayer == l.Layer && j.GapMM != nil && j.NeedMM != nil &&
			len(l.Parts) == 2 && [2]int{l.Parts[0], l.Parts[1]} == j.Parts {
			return *j.GapMM, *j.NeedMM, true
		}
	}
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

// stripKey explains colour and columns.
func stripKey(c canvas, p *pens, layers, width int) {
	const rampWidth = 260
	x := plotLeft
	c.textRight(p.label, x-12, keyTop+17, faint, "gap / need")
	for k := range rampWidth {
		c.fill(x+k, keyTop+4, x+k+1, keyTop+16, rampColor(roomy*float64(k)/rampWidth))
	}
	for _, m := range []float64{0, needMargin, freeMargin, roomy} {
		at := x + int(math.Round(m*rampWidth/roomy))
		c.fill(at, keyTop+2, at+1, keyTop+18, ink)
		s := size(m)
		if m == roomy {
			s = "2 or more"
		}
		c.textMid(p.label, at, keyLine+4, faint, s)
	}
	x += rampWidth + 70
	s := "a column is a layer, from the bed to the top"
	if layers > width && width > 0 {
		s = fmt.Sprintf("a column is the tightest of up to %d layers, from the bed to the top", (layers+width-1)/width)
	}
	c.text(p.label, x, keyTop+17, faint, s+"; the tighter, the higher and darker; blank: no parts near each other")
}
