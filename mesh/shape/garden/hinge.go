package garden

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/shape"
)

// The gate hinge, mm. The axis runs along x.
const (
	hingeLong    = 60.0
	hingeWide    = 40.0
	hingeLeaf    = 2.8 // thickness
	hingeLeg     = 2.4 // the knuckles' legs under the leaves' tops, so that no two faces coincide
	hingeKnuckle = 5.6 // radius
	// hingeAxis is where a knuckle cut off by the bed still rises from it at
	// 45 degrees.
	hingeAxis  = hingeKnuckle * tilted45
	hingeGrip  = 1.5  // of a leg in its leaf
	hingeConeR = 2.45 // of a pin at its root
	hingeTipR  = 0.4
	// A foot is one layer thin and reaches so far under the knuckle.
	hingeFoot     = 0.2
	hingeFootLong = 3.0
)

// GateHinge returns two leaves lying flat on the bed, about 60 x 40 x 10 mm,
// with five interleaved knuckles. The knuckles of the second leaf carry pins
// on both ends, cones of 45 degrees in seats of the same form; so the leaves
// fold upward by half a turn and do not come apart, and no pin hangs. Knuckles
// and legs stand on the bed.
//
// The gap, in mm, is the true gap everywhere: between the knuckles' ends,
// round the cones, between a knuckle and the other leaf. Facets of
// aligned n-gons take at most 0.06 % of it.
func GateHinge(gap float64) (shape.Solid, error) { return one(gateHinge(gap, gap)) }

// gateHinge returns the leaf with the seats and the leaf with the pins. Where
// feet is less than the gap, the knuckles stand on feet one layer thin, meant
// to hold them to the bed, that leave only so much between them.
func gateHinge(gap, feet float64) ([]shape.Solid, error) {
	for _, g := range []float64{gap, feet} {
		if err := checkGap("gate hinge", g); err != nil {
			return nil, err
		}
	}
	const knuckles = 5
	wide := (hingeLong - (knuckles-1)*gap) / knuckles
	lo := func(i int) float64 { return float64(i) * (wide + gap) }
	// The leaf's upper edge is what comes nearest to the other's knuckles.
	edge := math.Sqrt((hingeKnuckle+gap)*(hingeKnuckle+gap) - (hingeAxis-hingeLeaf)*(hingeAxis-hingeLeaf))
	seats, err := hingePlate(edge)
	if err != nil {
		return nil, err
	}
	pins := seats
	for i := range knuckles {
		x0, x1 := lo(i), lo(i)+wide
		var bores []shape.Bore
		if i%2 == 0 {
			if i > 0 {
				bores = append(bores, hingeBore(hingeSeat(gap), hingeAxis, x0, +1))
			}
			if i < knuckles-1 {
				bores = append(bores, hingeBore(hingeSeat(gap), hingeAxis, x1, -1))
			}
		} else {
			bores = append(bores, hingeBore(hingePin(), hingeAxis, x0, -1), hingeBore(hingePin(), hingeAxis, x1, +1))
		}
		k, err := shape.Bored(hingeSection(edge), x0, x1, bores...)
		if err != nil {
			return nil, err
		}
		k = k.Turn(90, 0, 90) // the prism's axis to x, its section upright
		if wider := (gap - feet) / 2; wider > 0 {
			k = k.Append(shape.Box(r3.Vec{X: x0 - wider, Y: -hingeFootLong}, r3.Vec{X: x1 + wider, Y: hingeFootLong, Z: hingeFoot}))
		}
		if i%2 == 0 {
			seats = seats.Append(k)
		} else {
			pins = pins.Append(k)
		}
	}
	return []shape.Solid{seats, pins.Move(-hingeLong, 0, 0).Turn(0, 0, 180)}, nil
}

// hingePlate is a leaf at positive y, its straight edge at the given y.
func hingePlate(edge float64) (shape.Solid, error) {
	const inset = 0.6 // from the outer knuckles' ends
	base := edge + 2
	outline, err := shape.Rounded([]r2.Vec{
		{X: inset, Y: edge}, {X: hingeLong - inset, Y: edge},
		{X: hingeLong - inset, Y: base + 3}, {X: hingeLong - 12, Y: hingeWide / 2},
		{X: 12, Y: hingeWide / 2}, {X: inset, Y: base + 3},
	}, 1.2, round/8)
	if err != nil {
		return shape.Solid{}, err
	}
	var holes [][]r2.Vec
	for _, c := range []r2.Vec{{X: 9, Y: base + 3.5}, {X: 30, Y: 15.5}, {X: 51, Y: base + 3.5}} {
		holes = append(holes, shape.Circle(c, 1.8, round/2, 0))
	}
	return shape.Extrude(outline, holes, 0, hingeLeaf)
}

// hingeSection is a knuckle with its leg: y as X, z as Y.
func hingeSection(edge float64) []r2.Vec {
	c := r2.Vec{Y: hingeAxis}
	from := math.Asin((hingeLeg-hingeAxis)/hingeKnuckle) * 180 / math.Pi
	arc := shape.Arc(c, hingeKnuckle, from, 225, int(math.Ceil((225-from)/360*round)))
	arc[len(arc)-1].Y = 0
	return append(arc, r2.Vec{X: edge + hingeGrip}, r2.Vec{X: edge + hingeGrip, Y: hingeLeg})
}

// hingePin is the pin's profile: the radius as X, as Y the distance from the
// end of the knuckle that carries it.
func hingePin() []r2.Vec {
	const long = hingeConeR - hingeTipR
	return []r2.Vec{{X: hingeConeR}, {X: hingeTipR, Y: long}, {Y: long}}
}

// hingeSeat is the line at the distance gap round hingePin, from the end of
// the knuckle that holds the seat.
func hingeSeat(gap float64) []r2.Vec {
	// Two lines at 45 degrees to each other, both moved by the gap, cross
	// tan(22.5) of it further on.
	shift := gap * math.Tan(math.Pi/8)
	p := hingePin()
	for i := range p {
		p[i].Y -= gap // seen from the other knuckle's end
	}
	return []r2.Vec{{X: p[0].X + shift}, {X: p[1].X + shift, Y: p[1].Y + gap}, {Y: p[2].Y + gap}}
}

// hingeBore places a profile on an axis along x at the given height, where it
// leads from x along the axis (toward 1) or against it (-1).
func hingeBore(profile []r2.Vec, axis, x, toward float64) shape.Bore {
	p := make([]r2.Vec, len(profile))
	for i, q := range profile {
		p[i] = r2.Vec{X: q.X, Y: x + toward*q.Y}
	}
	return shape.Bore{Center: r2.Vec{Y: axis}, Profile: p, N: round}
}
