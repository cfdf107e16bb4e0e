package garden

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// The windmill, mm. Its axis is upright, the sails lie on the bed.
const (
	millRollers = 8
	millHigh    = 8.0
	millEnd     = 2.6 // radius of a roller's ends
	millBulge   = 2.0 // how much wider its middle is
	millFlat    = 1.2 // length of its ends
	millWall    = 2.4 // of the rim round the rollers, at its thinnest
	millSail    = 47.0
	millThick   = 3.0 // of the sails
	// Segments: the rollers' are multiples of 16, so that corners face the
	// axis, the rim and the next roller alike.
	millRollerRound = 32
	millRound       = 96
)

// Windmill returns a spinner, about 94 mm across and 8 mm tall: a hub to hold
// between two fingers, eight rollers round it, and a rim with four sails that
// spins on them. The rollers' middles are 2 mm wider than their ends, by 45
// degrees, in grooves of the same form; so nothing falls out, though there is
// no cage. Edges on the bed are taken off by 0.3 mm.
//
// The gap, in mm, is the true gap between rollers, hub and rim and from one
// roller to the next; corners face each other there, so it is exact.
func Windmill(gap float64) (shape.Solid, error) { return one(windmill(gap)) }

// windmill returns the hub, the rim with the sails, and the rollers in turn.
func windmill(gap float64) ([]shape.Solid, error) {
	if err := checkGap("windmill", gap); err != nil {
		return nil, err
	}
	middle := millEnd + millBulge
	pitch := (2*middle + gap) / (2 * math.Sin(math.Pi/millRollers))
	roller := []r2.Vec{
		{X: millEnd}, {X: millEnd, Y: millFlat}, {X: middle, Y: millFlat + millBulge},
		{X: middle, Y: millHigh - millFlat - millBulge}, {X: millEnd, Y: millHigh - millFlat}, {X: millEnd, Y: millHigh},
	}
	race := beside(roller, gap)
	hub, rim := make([]r2.Vec, len(race)), make([]r2.Vec, len(race))
	for i, p := range race {
		hub[i], rim[i] = r2.Vec{X: pitch - p.X, Y: p.Y}, r2.Vec{X: pitch + p.X, Y: p.Y}
	}
	hub, rim = relieved(hub, 1), relieved(rim, -1)

	outer := pitch + middle + gap + millWall
	wheel, err := shape.Lathe(append(rim, r2.Vec{X: outer, Y: millHigh}, r2.Vec{X: outer}), millRound, 0)
	if err != nil {
		return nil, err
	}
	for i := range 4 {
		sail, err := millSailcloth(outer - 1.2)
		if err != nil {
			return nil, err
		}
		wheel = wheel.Append(sail.Turn(0, 0, 90*float64(i)))
	}
	button, err := shape.Lathe(append(hub, millDish(hub[len(hub)-1].X)...), millRound, 0)
	if err != nil {
		return nil, err
	}
	parts := []shape.Solid{button, wheel}
	turned, err := shape.Lathe(append(relieved(roller, 1), r2.Vec{Y: millHigh}, r2.Vec{}), millRollerRound, 0)
	if err != nil {
		return nil, err
	}
	for i := range millRollers {
		parts = append(parts, turned.Move(pitch, 0, 0).Turn(0, 0, 360*float64(i)/millRollers))
	}
	return parts, nil
}

// millDish is the hub's upper end from its edge inward, with a dish for a
// finger.
func millDish(edge float64) []r2.Vec {
	const deep, steps = 1.4, 6
	wide := edge - 1.4
	p := make([]r2.Vec, 0, steps+2)
	for i := range steps + 1 {
		r := wide * float64(steps-i) / steps
		p = append(p, r2.Vec{X: r, Y: millHigh - deep*(1-r*r/(wide*wide))})
	}
	return append(p, r2.Vec{})
}

// millSailcloth is a sail along x: a spar from the given radius on, and a
// lattice on one side of it.
func millSailcloth(from float64) (shape.Solid, error) {
	const (
		spar  = 2.0 // half its width
		cloth = 25.0
		wide  = 12.4
		lath  = 1.5
		rows  = 2
		cols  = 4
	)
	outline := []r2.Vec{
		{X: from, Y: -spar}, {X: millSail, Y: -spar}, {X: millSail, Y: wide},
		{X: cloth, Y: wide}, {X: cloth, Y: spar}, {X: from, Y: spar},
	}
	var holes [][]r2.Vec
	dx := (millSail - cloth - lath) / cols
	dy := (wide - lath - 1) / rows
	for i := range cols {
		for j := range rows {
			x, y := cloth+lath+float64(i)*dx, 1+lath+float64(j)*dy
			holes = append(holes, shape.Rect(x, y, x+dx-lath, y+dy-lath))
		}
	}
	return shape.Extrude(outline, holes, 0, millThick)
}
