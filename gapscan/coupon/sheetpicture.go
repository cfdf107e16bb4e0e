package coupon

import (
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"
	"strconv"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// The picture's layout, in pixels. It is sqrt 2 times as wide as high, the
// form of A4 lying down, unless the list or the plan is long.
const (
	sheetWide   = 2400.0
	sheetTall   = 1697.0
	sheetBorder = 60.0
	planTop     = 150.0
	planWide    = 1180.0 // the room for the plan
	planScale   = 9.0    // pixels a mm
	listLeft    = 1310.0
	listStep    = 38.0 // from line to line of the list
	cellsLeft   = 1570.0
	cellStep    = 196.0 // from cell to cell of a level
	cellsInLine = 4
	noteStep    = 29.0 // from line to line of running text
)

var (
	paper = color.RGBA{252, 251, 247, 255}
	ink   = color.RGBA{34, 32, 36, 255}
	faint = color.RGBA{110, 106, 112, 255}
	plate = color.RGBA{226, 230, 218, 255}
	wall  = color.RGBA{176, 190, 160, 255}
	loose = color.RGBA{250, 250, 244, 255}
)

// writePicture draws the plan at the left, the notes below it, and the list
// at the right.
func writePicture(w io.Writer, c *Coupon) error {
	p, err := newPens()
	if err != nil {
		return err
	}
	// Once without paper to see how much is needed.
	tall := max(sheetTall, drawSheet(canvas{image.NewRGBA(image.Rectangle{})}, p, c)+sheetBorder)
	pic := canvas{image.NewRGBA(image.Rect(0, 0, sheetWide, int(tall)))}
	draw.Draw(pic, pic.Bounds(), image.NewUniform(paper), image.Point{}, draw.Src)
	drawSheet(pic, p, c)
	return png.Encode(w, pic.RGBA)
}

// drawSheet returns how far down it went.
func drawSheet(pic canvas, p pens, c *Coupon) float64 {
	pic.text(p.title, sheetBorder, 82, ink, "Test coupon: "+headline(c))
	pic.text(p.text, sheetBorder, 122, faint, sizeLine(c))
	y := drawPlan(pic, p, c)
	y = drawNotes(pic, p, y+56, "How to judge", judging(c))
	y = drawNotes(pic, p, y+20, "Take care", takeCare)
	return max(y, drawList(pic, p, c))
}

// drawPlan draws the plate as it lies on the bed, seen from above.
func drawPlan(pic canvas, p pens, c *Coupon) float64 {
	mid := r2.Vec{X: sheetBorder + planWide/2, Y: planTop + c.Size.Y/2*planScale}
	on := func(pts []r2.Vec) []r2.Vec {
		out := make([]r2.Vec, len(pts))
		for i, q := range pts {
			out[i] = r2.Vec{X: mid.X + float64(q.X*planScale), Y: mid.Y - float64(q.Y*planScale)}
		}
		return out
	}
	fill := func(at, half r2.Vec, tint color.Color) {
		pic.polygon(on(shape.Rect(at.X-half.X, at.Y-half.Y, at.X+half.X, at.Y+half.Y)), tint)
	}
	pic.polygon(on(c.plate), plate)
	const rim = 0.25 // mm, round what moves
	for i, cell := range c.Cells {
		at, half := cell.Center, r2.Scale(0.5, r2.Sub(c.body[i].Max, c.body[i].Min))
		fill(at, r2.Sub(half, r2.Vec{X: 0.15, Y: 0.15}), wall)
		piece := func(x, y float64) {
			fill(at, r2.Vec{X: x + rim, Y: y + rim}, ink)
			fill(at, r2.Vec{X: x, Y: y}, loose)
		}
		switch {
		case cell.Family == Bridge:
			fill(at, r2.Vec{X: cell.SpanMM / 2, Y: half.Y - 0.15}, loose)
		case cell.Family == Roof:
			piece(roofSlide/2, roofSpan/2-roomy)
			fill(at, r2.Vec{X: roofLong / 2, Y: half.Y - 0.15}, wall)
		case cell.Axis == Round:
			r := pinRadius
			if cell.Family == Slope {
				r = half.X - 2
			}
			pic.polygon(on(shape.Circle(at, r+rim, segments, 0)), ink)
			pic.polygon(on(shape.Circle(at, r, segments, 0)), loose)
		case cell.Family == Slope:
			piece(axleBlock/2+roomy+wheelThick, axleHigh(cell.GapMM))
			fill(at, r2.Vec{X: axleBlock / 2, Y: half.Y - 0.15}, wall)
		case cell.Axis == AlongX: // the slot shows where it can go
			fill(at, r2.Vec{X: sliderLong/2 + roomy, Y: sliderWide/2 + rim}, ink)
			fill(at, r2.Vec{X: sliderLong / 2, Y: sliderWide / 2}, loose)
		default:
			fill(at, r2.Vec{X: sliderWide/2 + rim, Y: sliderLong/2 + roomy}, ink)
			fill(at, r2.Vec{X: sliderWide / 2, Y: sliderLong / 2}, loose)
		}
		s := strconv.Itoa(cell.Number)
		low := on([]r2.Vec{{X: at.X, Y: at.Y - half.Y}})[0]
		pic.text(p.label, low.X-width(p.label, s)/2, low.Y+28, ink, s)
	}
	return mid.Y + c.Size.Y/2*planScale
}

// drawNotes writes paragraphs below a heading.
func drawNotes(pic canvas, p pens, y float64, head string, notes []string) float64 {
	pic.text(p.head, sheetBorder, y, ink, head)
	y += noteStep + 4
	for _, note := range notes {
		for _, line := range lines(p.text, note, planWide) {
			pic.text(p.text, sheetBorder, y, ink, line)
			y += noteStep
		}
	}
	return y
}

// drawList writes a line for each level, with a box for each cell.
func drawList(pic canvas, p pens, c *Coupon) float64 {
	y := 122.0
	pic.text(p.text, listLeft, y, faint, "In testing order. Write f, s or w in the box; of a bridge, its sag in mm.")
	y += 18
	var family Family
	for _, g := range groups(c) {
		if g.family != family {
			family = g.family
			y += listStep + 6
			x := pic.text(p.head, listLeft, y, ink, string(family))
			pic.text(p.text, x+14, y, faint, about(family, c))
		}
		y += listStep
		pic.text(p.text, listLeft, y, ink, g.level)
		for i, cell := range g.cells {
			if i > 0 && i%cellsInLine == 0 {
				y += listStep
			}
			x := cellsLeft + cellStep*float64(i%cellsInLine)
			s := tag(cell)
			pic.text(p.label, x+56-width(p.label, s), y, ink, s)
			pic.frame(x+66, y-25, x+150, y+7, 2, faint)
		}
	}
	return y
}
