package report

import (
	"image/color"
	"math"

	"playgauge/gapscan"
)

// The rows of marks under the columns, in pixels.
const (
	markRow  = 28 // from one row to the next
	markHalf = 8  // half the size of a mark
	markRoom = 20 // the least from one mark to the next; between, a bar
)

// markKind is something that belongs to a layer and is no margin. Each has a
// row and a shape of its own, so that none is told by colour.
type markKind struct {
	label string
	shape func(c canvas, x, y int, ink color.Color)
	// on says at which layers it is; a layer may be named again and again.
	on func(r *gapscan.Result, at func(first, last int))
}

// markKinds are the rows, in their order from the top.
var markKinds = []markKind{
	{"parts join", disc, func(r *gapscan.Result, at func(first, last int)) {
		for _, j := range r.Joined {
			at(j.Layer, j.Layer)
		}
	}},
	{"mid-air start", wedge, func(r *gapscan.Result, at func(first, last int)) {
		for i := range r.Overhangs {
			if o := &r.Overhangs[i]; o.Kind == midAirKind && o.LiesOnPart == nil {
				at(o.Layers[0], o.Layers[0])
			}
		}
	}},
	{"long bridge", trestle, func(r *gapscan.Result, at func(first, last int)) {
		for i := range r.Overhangs {
			if o := &r.Overhangs[i]; o.Kind == bridgeKind && o.SpanMM != nil && *o.SpanMM > r.Machine.BridgeMM {
				at(o.Layers[0], o.Layers[1])
			}
		}
	}},
	{"slot closes", pinch, func(r *gapscan.Result, at func(first, last int)) {
		for i := range r.Slots {
			if s := &r.Slots[i]; bad(s.Outcome) {
				at(s.Layer, s.Layer)
			}
		}
	}},
}

// marks is one row: a kind that is present, with the layers it is at.
type marks struct {
	*markKind
	marked []bool // by layer index
}

// stripMarks are the rows there is something in.
func stripMarks(r *gapscan.Result) []marks {
	var rows []marks
	for k := range markKinds {
		row, any := marks{&markKinds[k], make([]bool, len(r.Layers))}, false
		row.on(r, func(first, last int) {
			for n := max(first, 1); n <= min(last, len(r.Layers)); n++ {
				row.marked[n-1], any = true, true
			}
		})
		if any {
			rows = append(rows, row)
		}
	}
	return rows
}

// drawMarks draws the rows with their legend at the right: a bar under each
// layer that is marked, and the shape wherever it has room.
func drawMarks(c canvas, p *pens, rows []marks, layers, width int) {
	for k, row := range rows {
		y := groundLine + k*markRow + markRow/2 + 3
		c.fill(plotLeft, y, plotRight, y+1, hair)
		last := math.MinInt / 2
		for i, marked := range row.marked {
			if !marked {
				continue
			}
			from := plotLeft + columnAt(i, layers, width)
			to := max(plotLeft+columnAt(i+1, layers, width), from+1)
			c.fill(from, y-1, to, y+2, ink)
			if x := (from + to) / 2; x-last >= markRoom {
				row.shape(c, x, y, ink)
				last = x
			}
		}
		row.shape(c, plotRight+14+markHalf, y, ink)
		c.text(p.label, plotRight+14+2*markHalf+10, y+7, ink, row.label)
	}
}

// The shapes fill a square of twice markHalf about x, y; one that is not full
// lies on paper, so that the bar does not run through it.

// disc is two parts in one.
func disc(c canvas, x, y int, ink color.Color) {
	for d := -markHalf; d < markHalf; d++ {
		h := int(math.Round(math.Sqrt(markHalf*markHalf - (float64(d)+0.5)*(float64(d)+0.5))))
		c.fill(x-h, y+d, x+h, y+d+1, ink)
	}
}

// wedge points down to where nothing is.
func wedge(c canvas, x, y int, ink color.Color) {
	for d := range 2 * markHalf {
		h := markHalf - d/2
		c.fill(x-h, y-markHalf+d, x+h, y-markHalf+d+1, ink)
	}
}

// trestle is a beam on two posts.
func trestle(c canvas, x, y int, ink color.Color) {
	c.fill(x-markHalf, y-markHalf+1, x+markHalf, y+markHalf-1, paper)
	c.fill(x-markHalf, y-markHalf+1, x+markHalf, y-markHalf+6, ink)
	c.fill(x-markHalf, y-markHalf+1, x-markHalf+4, y+markHalf-1, ink)
	c.fill(x+markHalf-4, y-markHalf+1, x+markHalf, y+markHalf-1, ink)
}

// pinch is two sides that come together.
func pinch(c canvas, x, y int, ink color.Color) {
	c.fill(x-markHalf, y-markHalf, x+markHalf, y+markHalf, paper)
	for d := range markHalf {
		c.fill(x-markHalf+d, y-markHalf+d, x-markHalf+d+1, y+markHalf-d, ink)
		c.fill(x+markHalf-d-1, y-markHalf+d, x+markHalf-d, y+markHalf-d, ink)
	}
}
