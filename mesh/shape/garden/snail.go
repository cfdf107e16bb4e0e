package garden

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// The snail, mm. Its body's axis runs along x; the ball's middle is over the
// origin.
const (
	snailAxis  = 4.5 // height of the body's axis
	snailBall  = 6.0
	snailWall  = 2.6 // round the socket
	snailTail  = 6.0 // radius of the body's end
	snailNeckR = 3.0
	// The ball and its socket are divided alike, from the pole in the socket
	// to the angles, in degrees, where the neck and the rim begin. The rim
	// lies at 52.5 degrees from the neck's axis: its opening is 0.793 of the
	// socket's radius, narrower than the ball.
	snailNeckAngle = 30.0
	snailRimAngle  = 52.5
	snailRound     = 72 // segments round the axes; along the arcs they are finer
)

// Snail returns a snail of two pieces, about 50 mm long, standing on the bed:
// a head with a neck that ends in a ball, and a body whose front is the
// socket round it, with the house on its back. Ball, socket and neck lie
// level and are cut off by the bed 4.5 mm under the ball's middle, so that
// the ball stands on the bed by itself. The socket holds more than half of
// the ball, and its opening is narrower than the ball in every direction.
//
// The gap, in mm, is the difference of the two radii: the true gap but for
// 0.11 % that the facets of aligned n-gons take.
func Snail(gap float64) (shape.Solid, error) { return one(snail(gap)) }

// snail returns the body with the socket and the head with the ball.
func snail(gap float64) ([]shape.Solid, error) {
	if err := checkGap("snail", gap); err != nil {
		return nil, err
	}
	body, err := snailBody(gap)
	if err != nil {
		return nil, err
	}
	head, err := snailHead()
	if err != nil {
		return nil, err
	}
	return []shape.Solid{body, head}, nil
}

// ballArc is a half profile round the ball's middle, from the given angle
// off the neck's axis to the pole in the socket: r as X, x as Y.
func ballArc(radius, from float64) []r2.Vec {
	n := int((180 - from) / 360 * round)
	return shape.Arc(r2.Vec{}, radius, 90-from, -90, n)
}

func snailBody(gap float64) (shape.Solid, error) {
	const end = -22.0 // the tail's ball
	socket := snailBall + gap
	outer := socket + snailWall
	inner := ballArc(socket, snailRimAngle)
	rim := inner[0].Y
	// From the tail along the outside to the rim, then the socket to its
	// pole.
	profile := shape.Arc(r2.Vec{Y: end}, snailTail, -90, 0, round/6)
	profile = append(profile, r2.Vec{X: outer, Y: -outer})
	profile = append(profile, shape.Arc(r2.Vec{X: outer - 1.5, Y: rim - 1.5}, 1.5, 0, 90, round/8)...)
	profile = append(profile, inner...)
	slug, err := shape.Lathe(profile, snailRound, 0)
	if err != nil {
		return shape.Solid{}, err
	}
	body := lying(slug).Append(snailHouse())
	return shape.Trim(body, 0)
}

// snailHouse is a round house on edge, its windings two rounded ridges on
// both sides.
func snailHouse() shape.Solid {
	const (
		radius = 11.4
		brim   = 3.6 // radius of its rounded edge
		thick  = 5.0 // half
		x, z   = -17.4, 12.3
	)
	// The right side from the middle to the edge: r as X, y as Y.
	var side []r2.Vec
	for _, ridge := range []struct{ r, half, y float64 }{{1.6, 1.6, thick + 1.2}, {5.2, 1.8, thick}} {
		side = append(side, shape.Arc(r2.Vec{X: ridge.r, Y: ridge.y - ridge.half}, ridge.half, 165, 15, 10)...)
	}
	side[0].X = 0
	edge := shape.Arc(r2.Vec{X: radius - brim}, brim, 75, 0, 12)
	side = append(side, edge...)
	other := slices.Clone(side[:len(side)-1])
	slices.Reverse(other)
	for i := range other {
		other[i].Y = -other[i].Y
	}
	house := shape.Must(shape.Lathe(append(side, other...), snailRound, 0))
	return house.Turn(90, 0, 0).Move(x, 0, z)
}

func snailHead() (shape.Solid, error) {
	const (
		neck  = 7.5  // its end, where it widens by 45 degrees
		skull = 6.2  // radius
		front = 15.8 // the middle of the skull's round end
	)
	ball := ballArc(snailBall, snailNeckAngle)
	slices.Reverse(ball)
	profile := append(ball, r2.Vec{X: snailNeckR, Y: neck}, r2.Vec{X: skull - 0.8, Y: neck + skull - 0.8 - snailNeckR})
	profile = append(profile, r2.Vec{X: skull, Y: neck + skull - snailNeckR + 0.4})
	profile = append(profile, shape.Arc(r2.Vec{Y: front}, skull, 0, 90, round/6)...)
	skullAndNeck, err := shape.Lathe(profile, snailRound, 0)
	if err != nil {
		return shape.Solid{}, err
	}
	head := lying(skullAndNeck)
	for _, side := range []float64{-1, 1} {
		head = head.Append(snailFeeler(7, 15.5).Move(17, side*2.6, 0))
	}
	return shape.Trim(head, 0)
}

// snailFeeler is an upright stalk with a ball on top that widens by 45
// degrees only: from the height root, its knob's middle at the height top.
func snailFeeler(root, top float64) shape.Solid {
	const stalk, knob = 1.1, 1.6
	under := math.Asin(stalk/knob) * 180 / math.Pi
	profile := []r2.Vec{{Y: root}, {X: stalk, Y: root}}
	profile = append(profile, shape.Arc(r2.Vec{Y: top}, knob, under-90, 90, round/8)...)
	return shape.Must(shape.Lathe(profile, snailRound/3, 0))
}

// lying turns a body made upright round the z axis onto its side, z to x,
// the body's axis at its height above the bed.
func lying(s shape.Solid) shape.Solid {
	return s.Turn(0, 90, 0).Move(0, 0, snailAxis)
}
