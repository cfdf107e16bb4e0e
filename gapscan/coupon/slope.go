package coupon

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// Sizes of the upright cones, mm.
const (
	coneFoot = 1.6 // radius
	coneTall = 1.5 // at least, above the foot
)

func (d *drawing) coneKind(gap, widest float64) kind {
	half := coneFoot + (d.up(d.foot+coneTall)-d.foot+float64(widest*math.Sqrt2))/facing + d.wall
	return kind{Cell{Family: Slope, GapMM: gap, Axis: Round}, r2.Vec{X: half, Y: half}, d.cone}
}

// cone is a pin that widens upward at 45 degrees, in a bore of the same form.
// At the bottom the bore is wide, so that the first layers cannot decide. The
// facets lean by 45 degrees; the edges between them by a little more.
func (d *drawing) cone(k kind) (body, error) {
	top := d.up(d.foot + coneTall)
	wide := coneFoot + (top-d.foot)/facing
	pin, err := shape.Lathe([]r2.Vec{{}, {X: coneFoot}, {X: coneFoot, Y: d.foot}, {X: wide, Y: top}, {Y: top}}, segments, 0)
	if err != nil {
		return body{}, err
	}
	inPlane := k.GapMM * math.Sqrt2
	foot := max(roomy, inPlane+0.3) // the gap at the bottom
	low := coneFoot + foot/facing
	knee := d.foot + foot - inPlane // where the bore's cone begins
	frame, err := shape.Bored(rect(k.half), 0, top, shape.Bore{
		Profile: []r2.Vec{{X: low}, {X: low, Y: knee}, {X: wide + inPlane/facing, Y: top}}, N: segments,
	})
	return body{
		fixed:  []shape.Solid{frame},
		loose:  []shape.Solid{pin, d.fin(top, finThick, finLong)},
		window: r2.Vec{X: k.half.X - inset, Y: k.half.Y - inset},
		framed: true,
	}, err
}

// Sizes of the level pins, mm.
const (
	axleRadius = 1.2
	axleUnder  = 0.8 // of the block, below and above the bore
	axleBlock  = 3.0 // of the block, along the pin
	wheelThick = 2.0
	axleShort  = 0.5 // how much the pin ends before the wheels do
)

// axleHigh is the height of a level pin's axis.
func axleHigh(gap float64) float64 { return axleUnder + axleRadius + gap }

func (d *drawing) levelKind(gap float64) kind {
	return kind{
		Cell{Family: Slope, GapMM: gap, Axis: AlongX},
		r2.Vec{X: axleBlock/2 + roomy + wheelThick + roomy + d.wall, Y: axleHigh(gap) + roomy + d.wall},
		d.level,
	}
}

// level is a level pin in a bore, a wheel of eight sides on each end: the
// wheels stand on the bed, with sides of 45 degrees, and turn the pin.
func (d *drawing) level(k kind) (body, error) {
	high := axleHigh(k.GapMM)
	r := axleRadius + k.GapMM/facing
	const phase = 180.0 / segments // a facet below
	in := k.half.Y - d.wall
	block, err := shape.Bored(shape.Rect(-k.half.Y, 0, k.half.Y, d.up(high+r+axleUnder)), -axleBlock/2, axleBlock/2, shape.Bore{
		Center:  r2.Vec{Y: high},
		Profile: []r2.Vec{{X: r, Y: -axleBlock / 2}, {X: r, Y: axleBlock / 2}},
		N:       segments, Phase: phase,
	})
	if err != nil {
		return body{}, err
	}
	end := axleBlock/2 + roomy + wheelThick
	axle := shape.Cylinder(axleRadius, 2*(end-axleShort), segments, phase).Move(0, 0, -(end-axleShort)).Turn(90, 0, 90).Move(0, 0, high)
	s := high * math.Tan(math.Pi/8)
	wheel, err := alongX([]r2.Vec{{X: -s}, {X: s}, {X: high, Y: high - s}, {X: high, Y: high + s},
		{X: s, Y: 2 * high}, {X: -s, Y: 2 * high}, {X: -high, Y: high + s}, {X: -high, Y: high - s}}, wheelThick)
	x := end - wheelThick/2
	return body{
		fixed:  []shape.Solid{block.Turn(90, 0, 90)},
		loose:  []shape.Solid{axle, wheel.Move(-x, 0, 0), wheel.Move(x, 0, 0)},
		window: r2.Vec{X: end + roomy, Y: in},
	}, err
}
