package coupon

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// Sizes shared by the cells, mm.
const (
	plateTall = 0.8 // at least, of the plate
	cellTall  = 2.2 // at least, of pins, sliders and what they stand in
	roomy     = 1.0 // a clearance that decides nothing
	inset     = 0.4 // of a window in the plate from the outside of its cell
	// lap is how far neighbouring cells of a row overlap: less than inset, so
	// that no two faces coincide.
	lap = 0.3
	// bite is how deep solids of one piece reach into each other where
	// nothing else decides.
	bite = 0.4
	// footTall is how high the relief reaches at least: the plastic spreads
	// in the first layer, on a hot bed in the second.
	footTall = 0.4
	finLong  = 4.4 // the grip on a pin
	finThick = 1.6
	finTall  = 2.0
)

// segments of a full turn; divisible by 4. At a radius of 2.4 mm a facet is
// half a millimetre wide, about as fine as a nozzle draws.
const segments = 32

// drawing holds the sizes that follow from the options.
type drawing struct {
	opt Options
	grid
	plate   float64 // top of the plate
	top     float64 // of pins, sliders and their frames
	foot    float64 // top of the relieved bottom
	wall    float64
	label   labelFont
	padDeep float64 // of the strip below a cell that carries its label
	shared  float64 // mm3, what the plate and the frames in it both fill
}

func newDrawing(opt Options) *drawing {
	d := &drawing{opt: opt, grid: grid{opt.FirstMM, opt.RestMM}}
	d.plate = d.up(plateTall)
	d.top = d.up(cellTall)
	d.foot = d.up(max(footTall, d.at(2)))
	d.wall = max(1.2, 2*opt.NozzleMM)
	d.label = newLabelFont(opt.NozzleMM)
	d.padDeep = d.label.tall() + 2*labelMargin
	return d
}

// kind is what a cell is, before it has a place.
type kind struct {
	Cell
	// half is half the body's extent in plan, without the label.
	half r2.Vec
	draw func(kind) (body, error)
}

// body is a cell's solids round the middle of its body.
type body struct {
	fixed, loose []shape.Solid
	// window is half the opening in the plate; zero for none.
	window r2.Vec
	// framed says that a frame fills the whole body round the window.
	framed bool
}

// pairs lists the cells of all families in testing order, two by two.
func (d *drawing) pairs() [][2]kind {
	var out [][2]kind
	l := d.opt.Ladders
	for _, f := range d.opt.Families {
		switch f {
		case Side, Bottom:
			ladder := l.Side
			if f == Bottom {
				ladder = l.Bottom
			}
			half := pinRadius + max(0.8, ladder[len(ladder)-1]) + d.wall
			cell := func(gap float64, axis string, draw func(kind) (body, error)) kind {
				return kind{Cell{Family: f, GapMM: gap, Axis: axis}, r2.Vec{X: half, Y: half}, draw}
			}
			for _, g := range ladder {
				r := cell(g, Round, d.pin)
				out = append(out, [2]kind{r, r}, [2]kind{cell(g, AlongX, d.slider), cell(g, AlongY, d.slider)})
			}
		case Roof:
			for _, n := range l.Roof {
				out = append(out, twice(d.roofKind(n)))
			}
		case Slope:
			for _, g := range l.Slope {
				out = append(out, twice(d.coneKind(g, l.Slope[len(l.Slope)-1])))
			}
			for _, g := range l.Level {
				out = append(out, twice(d.levelKind(g)))
			}
		case Bridge:
			for _, span := range l.Bridge {
				out = append(out, twice(d.deckKind(span)))
			}
		}
	}
	return out
}

func twice(k kind) [2]kind { return [2]kind{k, k} }

// build draws the cells where they lie, numbers them, and joins all to one
// solid.
func (d *drawing) build(c *Coupon, lay *layout) error {
	var fixed, loose []shape.Solid
	var windows [][]r2.Vec
	for i, p := range lay.placed {
		b, err := p.draw(p.kind)
		if err != nil {
			return err
		}
		cell := p.Cell
		cell.Number, cell.Center = i+1, p.at
		c.Cells = append(c.Cells, cell)
		c.body = append(c.body, r2.Box{Min: r2.Sub(p.at, p.half), Max: r2.Add(p.at, p.half)})
		for _, s := range b.fixed {
			fixed = append(fixed, s.Move(p.at.X, p.at.Y, 0))
		}
		for _, s := range b.loose {
			loose = append(loose, s.Move(p.at.X, p.at.Y, 0))
		}
		if w := b.window; w.X > 0 {
			windows = append(windows, shape.Rect(p.at.X-w.X, p.at.Y-w.Y, p.at.X+w.X, p.at.Y+w.Y))
			if b.framed {
				d.shared += 4 * (p.half.X*p.half.Y - w.X*w.Y) * d.plate
			}
		}
		low := r2.Vec{X: p.at.X, Y: p.at.Y - p.half.Y - d.padDeep + labelMargin}
		digits, err := d.label.number(cell.Number, low, d.plate-labelBite, d.up(d.plate+labelTall))
		if err != nil {
			return err
		}
		fixed = append(fixed, digits...)
	}
	c.plate = lay.outline()
	plate, err := shape.Extrude(c.plate, windows, 0, d.plate)
	if err != nil {
		return err
	}
	c.Solid = plate.Append(fixed...).Append(loose...)
	order(c.Cells)
	return nil
}

// order numbers the cells in testing order.
func order(cells []Cell) {
	rank := map[Family]int{}
	for i, f := range Families() {
		rank[f] = i
	}
	byTest := make([]*Cell, len(cells))
	for i := range cells {
		byTest[i] = &cells[i]
	}
	slices.SortStableFunc(byTest, func(a, b *Cell) int {
		return cmp.Or(
			cmp.Compare(rank[a.Family], rank[b.Family]),
			cmp.Compare(level(*a), level(*b)), // level pins after the cones
			-cmp.Compare(a.Layers, b.Layers),
			-cmp.Compare(a.GapMM, b.GapMM),
			cmp.Compare(a.SpanMM, b.SpanMM),
			cmp.Compare(a.Number, b.Number))
	})
	for i, c := range byTest {
		c.Order = i + 1
	}
}

// level is 1 for a level pin, 0 for any other cell.
func level(c Cell) int {
	if c.Family == Slope && c.Axis != Round {
		return 1
	}
	return 0
}
