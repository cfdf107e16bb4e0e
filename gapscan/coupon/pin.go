package coupon

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/shape"
)

// Sizes of pins and sliders, mm.
const (
	pinRadius  = 2.4
	sliderWide = 4.2
	sliderLong = 4.4
	relief     = 0.6 // by how much each side is drawn back at the foot
)

// facing is the distance from the axis to a facet, for a radius of 1 at the
// vertices.
var facing = math.Cos(math.Pi / segments)

// pin is an upright pin in a bore, turned by a fin on its top.
func (d *drawing) pin(k kind) (body, error) {
	profile := []r2.Vec{{}, {X: pinRadius}, {X: pinRadius, Y: d.top}, {Y: d.top}}
	if k.Family == Side {
		profile = []r2.Vec{{}, {X: pinRadius - relief}, {X: pinRadius - relief, Y: d.foot},
			{X: pinRadius, Y: d.foot + relief}, {X: pinRadius, Y: d.top}, {Y: d.top}}
	}
	pin, err := shape.Lathe(profile, segments, 0)
	if err != nil {
		return body{}, err
	}
	r := pinRadius + k.GapMM/facing
	frame, err := shape.Bored(rect(k.half), 0, d.top, shape.Bore{
		Profile: []r2.Vec{{X: r}, {X: r, Y: d.top}}, N: segments,
	})
	return body{
		fixed:  []shape.Solid{frame},
		loose:  []shape.Solid{pin, d.fin(d.top, finThick, finLong)},
		window: r2.Vec{X: k.half.X - inset, Y: k.half.Y - inset},
		framed: true,
	}, err
}

// slider is a block in a frame, pushed along its axis by a fin on its top.
// The gap is at both sides; at the ends there is room to move.
func (d *drawing) slider(k kind) (body, error) {
	const w = sliderWide / 2
	section := shape.Rect(-w, 0, w, d.top)
	if k.Family == Side {
		const foot = w - relief
		section = []r2.Vec{{X: -foot}, {X: foot}, {X: foot, Y: d.foot}, {X: w, Y: d.foot + relief}, {X: w, Y: d.top},
			{X: -w, Y: d.top}, {X: -w, Y: d.foot + relief}, {X: -foot, Y: d.foot}}
	}
	block, err := alongX(section, sliderLong)
	if err != nil {
		return body{}, err
	}
	end := max(roomy, k.GapMM+0.2)
	frame, err := shape.Extrude(rect(k.half), [][]r2.Vec{rect(r2.Vec{X: sliderLong/2 + end, Y: w + k.GapMM})}, 0, d.top)
	b := body{
		fixed:  []shape.Solid{frame},
		loose:  []shape.Solid{block, d.fin(d.top, finThick, sliderWide-1)},
		window: r2.Vec{X: k.half.X - inset, Y: k.half.Y - inset},
		framed: true,
	}
	if k.Axis == AlongY { // the frame is square in plan
		for _, solids := range [][]shape.Solid{b.fixed, b.loose} {
			for i, s := range solids {
				solids[i] = s.Turn(0, 0, 90)
			}
		}
	}
	return b, err
}

// fin is a grip across x that rises from the height z, its root in what lies
// below.
func (d *drawing) fin(z, thick, long float64) shape.Solid {
	return shape.Box(r3.Vec{X: -thick / 2, Y: -long / 2, Z: z - bite}, r3.Vec{X: thick / 2, Y: long / 2, Z: d.up(z + finTall)})
}

// alongX is the prism over a section (y as X, z as Y) that lies along x,
// centred.
func alongX(section []r2.Vec, long float64) (shape.Solid, error) {
	s, err := shape.Extrude(section, nil, -long/2, long/2)
	return s.Turn(90, 0, 90), err
}

// rect is the rectangle round the origin with the given half sides.
func rect(half r2.Vec) []r2.Vec { return shape.Rect(-half.X, -half.Y, half.X, half.Y) }
