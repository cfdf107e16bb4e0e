package garden

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// The plant clip, mm. Its pin runs along x, level, with a jaw on either side;
// both stand upright on their legs.
const (
	clipLong    = 38.0
	clipAxis    = 27.1 // height of the pin
	clipKnuckle = 4.6  // radius
	clipInner   = 3.4  // of a jaw's plate, from the pin's plane
	clipOuter   = 6.2
	clipPetal   = 5.0 // of a plate's upright sides above the pin
	clipInset   = 0.4 // of a plate from its knuckles' ends, inward or, at the clip's ends, outward
	clipLeg     = 6.4 // width
	clipLegHigh = 12.0
)

// clipLegs is what the jaws' legs are like.
type clipLegs struct {
	// slit is the width of the two openings between a jaw's legs: narrow,
	// it is a slit with a flat end; 0 stands for arches between legs of the
	// usual width.
	slit float64
	// lift is the height at which the middle leg begins.
	lift float64
}

// PlantClip returns a clip of two jaws, about 39 x 12 x 42 mm, on a pin like
// the gate hinge's: three legs each below it, and petals above, two of the one
// jaw and one of the other between them. It stands on its legs, as it would
// hold a stem between them; pressed together, the petals pass each other and
// the legs open.
// Arches between the legs and diamonds in the jaws rise by 45 degrees and
// more.
//
// The gap, in mm, is the true gap in the joint, as in the gate hinge.
func PlantClip(gap float64) (shape.Solid, error) { return one(plantClip(gap, clipLegs{})) }

// plantClip returns the jaw at positive y, which has the seats, and the other
// with the pins.
func plantClip(gap float64, legs clipLegs) ([]shape.Solid, error) {
	if err := checkGap("plant clip", gap); err != nil {
		return nil, err
	}
	wide := (clipLong - 2*gap) / 3
	from := []float64{0, wide + gap, 2 * (wide + gap)}
	knuckle := func(i int, bores ...shape.Bore) (shape.Solid, error) {
		k, err := shape.Bored(clipSection(), from[i], from[i]+wide, bores...)
		return k.Turn(90, 0, 90), err
	}
	first, err := knuckle(0, hingeBore(hingeSeat(gap), clipAxis, wide, -1))
	if err != nil {
		return nil, err
	}
	middle, err := knuckle(1, hingeBore(hingePin(), clipAxis, from[1], -1), hingeBore(hingePin(), clipAxis, from[1]+wide, +1))
	if err != nil {
		return nil, err
	}
	last, err := knuckle(2, hingeBore(hingeSeat(gap), clipAxis, from[2], +1))
	if err != nil {
		return nil, err
	}
	// Where the other jaw's knuckle passes, a plate's inner edge ends at the
	// gap below the wedge that carries it.
	low := clipAxis - ((clipKnuckle+gap)/tilted45 - clipInner)
	// The plates' upper edges from right to left: a petal over each of the
	// jaw's own knuckles.
	petal := func(i int) []r2.Vec {
		const spring = clipAxis + clipPetal
		x, w := from[i]+clipInset, wide-2*clipInset
		switch i { // at the clip's ends it covers its knuckle's
		case 0:
			x, w = -clipInset, wide
		case 2:
			w = wide
		}
		p := pointed(x, w, spring)
		slices.Reverse(p)
		return p
	}
	end := func(x float64) r2.Vec { return r2.Vec{X: x, Y: low} }
	two := slices.Concat(petal(2), []r2.Vec{end(from[2] + clipInset), end(wide - clipInset)}, petal(0))
	one := slices.Concat([]r2.Vec{end(clipLong + clipInset), end(from[1] + wide - clipInset)}, petal(1), []r2.Vec{end(from[1] + clipInset), end(-clipInset)})
	seats, err := clipPlate(legs, []float64{clipLong / 2}, two)
	if err != nil {
		return nil, err
	}
	pins, err := clipPlate(legs, []float64{wide / 2, clipLong - wide/2}, one)
	if err != nil {
		return nil, err
	}
	// The plates lie on y from -outer to -inner; turned round, on the other
	// side.
	other := func(s shape.Solid) shape.Solid { return s.Move(-clipLong, 0, 0).Turn(0, 0, 180) }
	return []shape.Solid{
		other(seats).Append(first, last),
		pins.Append(other(middle)),
	}, nil
}

// clipPlate is a jaw's plate with the given upper edge, from right to left,
// and with diamonds where no wedge stands behind them, at negative y.
func clipPlate(legs clipLegs, diamonds []float64, top []r2.Vec) (shape.Solid, error) {
	const left, right = -clipInset, clipLong + clipInset
	const third = (right - left - 3*clipLeg) / 2 // the width of an arch
	leg, open := clipLeg, third
	if legs.slit > 0 {
		open = legs.slit
		leg = (right - left - 2*open) / 3
	}
	var outline []r2.Vec
	x := left
	for i := range 3 {
		foot := 0.0
		if i == 1 {
			foot = legs.lift
		}
		outline = append(outline, r2.Vec{X: x, Y: foot}, r2.Vec{X: x + leg, Y: foot})
		x += leg
		if i == 2 {
			break
		}
		if legs.slit > 0 {
			outline = append(outline, r2.Vec{X: x, Y: clipLegHigh}, r2.Vec{X: x + open, Y: clipLegHigh})
		} else {
			outline = append(outline, pointed(x, open, clipLegHigh-open*math.Sqrt(3)/2)...)
		}
		x += open
	}
	outline = append(outline, top...)
	var holes [][]r2.Vec
	for _, x := range diamonds {
		const half, z = 2.7, clipLegHigh + 5.4
		holes = append(holes, []r2.Vec{{X: x - half, Y: z}, {X: x, Y: z - 1.2*half}, {X: x + half, Y: z}, {X: x, Y: z + 1.2*half}})
	}
	s, err := shape.Extrude(outline, holes, clipInner, clipOuter)
	return s.Turn(90, 0, 0), err
}

// pointed is a pointed arch from its left foot to its right one: two arcs
// about the far feet, so that it ends at 60 degrees from level.
func pointed(x, wide, foot float64) []r2.Vec {
	const steps = 10
	arch := shape.Arc(r2.Vec{X: x + wide, Y: foot}, wide, 180, 120, steps)
	right := shape.Arc(r2.Vec{X: x, Y: foot}, wide, 60, 0, steps)
	return append(arch, right[1:]...)
}

// clipSection is a knuckle of the jaw at positive y, with the wedge at 45
// degrees that carries it: y as X, z as Y.
func clipSection() []r2.Vec {
	c := r2.Vec{Y: clipAxis}
	arc := shape.Arc(c, clipKnuckle, 0, 225, round*5/8)
	t := arc[len(arc)-1]
	arc = append(arc, r2.Vec{X: clipKnuckle, Y: t.Y + t.X - clipKnuckle})
	return slices.Clip(arc)
}
