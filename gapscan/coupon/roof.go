package coupon

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan/machine"
	"playgauge/mesh/shape"
)

// Sizes of a roof cell, mm. The slider is held by the ceiling above, the posts
// beside and the plate at its ends, and has room to move between all of them.
const (
	roofSpan     = machine.DefaultRoofSpanMM
	roofLong     = 3.5 // of the ceiling, along the slider
	roofThick    = 0.8 // at least
	roofSlide    = 8.5 // length of the slider
	roofTall     = 1.6 // at least, of the slider
	roofFinThick = 1.2
	roofFinLong  = 4.0
	roofFinInset = 0.1 // so that no two faces coincide
	roofFinTall  = 0.6 // at least, above the ceiling
)

func (d *drawing) roofKind(layers int) kind {
	return kind{
		Cell{Family: Roof, GapMM: float64(layers) * d.rest, Layers: layers, SpanMM: roofSpan, Axis: AlongX},
		r2.Vec{X: roofSlide/2 + roomy + d.wall, Y: roofSpan/2 + d.wall},
		d.roof,
	}
}

// roof is a slider under a flat ceiling between two posts.
func (d *drawing) roof(k kind) (body, error) {
	slide := d.up(roofTall)
	ceiling := d.above(slide, k.Layers)
	top := d.up(ceiling + roofThick)
	const in = roofSpan / 2
	out := k.half.Y
	portal, err := alongX([]r2.Vec{{X: -out}, {X: -in}, {X: -in, Y: ceiling}, {X: in, Y: ceiling}, {X: in}, {X: out},
		{X: out, Y: top}, {X: -out, Y: top}}, roofLong)
	if err != nil {
		return body{}, err
	}
	const long, wide = roofSlide / 2, roofSpan/2 - roomy
	slider := shape.Box(r3.Vec{X: -long, Y: -wide}, r3.Vec{X: long, Y: wide, Z: slide})
	const x1 = long - roofFinInset
	fin := shape.Box(r3.Vec{X: x1 - roofFinThick, Y: -roofFinLong / 2, Z: slide - bite},
		r3.Vec{X: x1, Y: roofFinLong / 2, Z: d.up(top + roofFinTall)})
	return body{
		fixed:  []shape.Solid{portal},
		loose:  []shape.Solid{slider, fin, fin.Turn(0, 0, 180)},
		window: r2.Vec{X: long + roomy, Y: in + 0.2},
	}, nil
}
