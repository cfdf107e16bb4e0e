// Package coupon makes the test piece from which the limits of a machine are
// learned: a plate with small cells, in each a pin or a slider at a stated
// gap, or a deck of a stated span. What moves, and what does not, is what a
// machine file is made of.
//
// Lengths are millimetres. The coupon is centred on x = y = 0 and stands on
// z = 0; every movable piece stands on the bed from layer 1 on and ends on
// the layer grid. Round cells are n-gons by vertices with their facets
// aligned: a pin of radius a stands in a bore of a + g/cos(pi/n), so that
// the distance between facets is the gap g.
package coupon

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/shape"
)

// MaxSizeMM bounds a coupon along x and along y.
const MaxSizeMM = 120.0

// The axes of cells.
const (
	// Round pins turn about an upright axis.
	Round = "round"
	// AlongX: sliders move along x, level pins and decks lie along it.
	AlongX = "x"
	// AlongY: the same along y.
	AlongY = "y"
)

// Cell is one place on the coupon.
type Cell struct {
	// Number is the raised label below the cell. Cells are counted from 1 in
	// reading order, the cut corner of the plate at the lower left.
	Number int
	Family Family
	// GapMM is the gap drawn: between the facets of the sides, along the
	// normal of a slope, the height of the air under a ceiling or a deck.
	GapMM float64
	// Layers is the number of layers of air under a ceiling or a deck; 0
	// elsewhere.
	Layers int
	// SpanMM is the free width under a ceiling or a deck; 0 elsewhere.
	SpanMM float64
	// Axis is Round, AlongX or AlongY.
	Axis string
	// Center is the middle of the cell in plan.
	Center r2.Vec
	// Order counts from 1 in testing order: family by family, the widest
	// gaps (the shortest spans) first.
	Order int
}

// Moves says whether the cell holds a piece that is to move; a deck does not.
func (c Cell) Moves() bool { return c.Family != Bridge }

// Coupon is a test piece.
type Coupon struct {
	// Options are those it was made for, with all defaults filled in.
	Options Options
	// Solid is the whole piece: the plate with all that is fixed to it, and
	// the movable pieces. Bodies of one piece overlap by 0.3 mm or more.
	Solid shape.Solid
	// Cells in the order of their numbers.
	Cells []Cell
	// Size is the extent along x, y and z.
	Size r3.Vec
	// Minutes is the printing time to expect. It is reckoned from the volume,
	// all of it solid, laid in lines as wide as the nozzle at 60 mm/s, a fifth
	// more for ways without a line, 3 seconds a layer, and the first layer at
	// half the speed: a machine of no great haste.
	Minutes float64

	plate []r2.Vec // its outline
	body  []r2.Box // of each cell, without the label
}

// Design makes a coupon. An *OptionError names an option that cannot be met,
// a *SizeError says that the cells do not fit on MaxSizeMM.
//
// A level of the side and the bottom family has two round pins, a slider
// along x and one along y; every other level has two cells. The two lie in
// different halves of the plate, mirrored.
func Design(opt Options) (*Coupon, error) {
	opt, err := opt.withDefaults()
	if err != nil {
		return nil, err
	}
	d := newDrawing(opt)
	pairs := d.pairs()
	lay, err := arrange(pairs, d.padDeep, opt.Seed)
	if err != nil {
		return nil, err
	}
	c := &Coupon{Options: opt}
	if err := d.build(c, lay); err != nil {
		return nil, err
	}
	b := c.Solid.Bounds()
	c.Size = r3.Sub(b.Max, b.Min)
	c.Minutes = d.estimate(c.Solid)
	return c, nil
}
