package coupon

import (
	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// Sizes of a bridge cell, mm.
const (
	deckWide = 4.0
	deckPost = 2.0
	deckAir  = 1.2 // at least, between the plate and the deck
)

func (d *drawing) deckKind(span float64) kind {
	under := d.up(d.plate + deckAir)
	return kind{
		Cell{Family: Bridge, GapMM: under - d.plate, Layers: d.layer(under) - d.layer(d.plate), SpanMM: span, Axis: AlongX},
		r2.Vec{X: span/2 + deckPost, Y: deckWide / 2},
		d.deck,
	}
}

// deck is a strip of one layer between two posts on the plate, which is the
// step below it.
func (d *drawing) deck(k kind) (body, error) {
	under := d.up(d.plate + deckAir)
	top := d.above(under, 1)
	in, out := k.SpanMM/2, k.half.X
	// Over x and z, turned so that it lies across y.
	deck, err := shape.Extrude([]r2.Vec{{X: -out}, {X: -in}, {X: -in, Y: under}, {X: in, Y: under}, {X: in}, {X: out},
		{X: out, Y: top}, {X: -out, Y: top}}, nil, -deckWide/2, deckWide/2)
	return body{fixed: []shape.Solid{deck.Turn(90, 0, 0)}}, err
}
