package garden

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// The trellis, mm.
const (
	trellisCells = 4
	trellisArm   = 17.0 // from a lath's middle rivet to its outer ones
	trellisHalf  = 2.5  // half a lower lath's width
	trellisHigh  = 4.0  // of a lower lath
	trellisThick = 2.4  // of an upper lath
	trellisFoot  = 3.1  // the rivets
	trellisWaist = 1.7
	trellisUpper = 2.9 // half an upper lath's width: less than a rivet's top
	trellisRim   = 1.4 // of a lower lath round a hole, at the bed
	trellisClear = 7.2 // from a rivet to an upper lath's foot
	trellisRound = 40
)

// Trellis returns a folding trellis of eight laths, about 107 x 34 x 8 mm:
// four crosses in a row, riveted in the middle and to each other. The laths
// of one direction lie on the bed; those of the other lie over them and stand
// on the rivets and on feet between them, so that no bridge is longer than 8
// mm. It stretches and folds until the laths cross at 50 degrees.
//
// The gap, in mm, is the true gap round the rivets. The roof is that between
// the lower and the upper laths, the lower ones' upper side low mm above the
// bed.
func Trellis(gap, roof, low float64) (shape.Solid, error) { return one(trellis(gap, roof, low)) }

// trellis returns the lower laths from left to right, then the upper ones.
func trellis(gap, roof, low float64) ([]shape.Solid, error) {
	for _, g := range []float64{gap, roof} {
		if err := checkGap("trellis", g); err != nil {
			return nil, err
		}
	}
	pin := rivet{foot: trellisFoot, waist: trellisWaist, top: trellisFoot, high: low + roof}
	hole := pin.hole(gap, low)
	eye := trellisFoot + gap + trellisRim
	pitch := 2 * trellisArm * tilted45
	var lower, upper []shape.Solid
	for i := range trellisCells {
		// Free ends have neither hole nor rivet: of a lower lath, which
		// rises to the right, on the left in the first cross and on the
		// right in the last; of an upper lath alike.
		var at []float64
		for k := -1; k <= 1; k++ {
			if j := i + k; j >= 0 && j < trellisCells {
				at = append(at, float64(k)*trellisArm)
			}
		}
		var bores []shape.Bore
		for _, x := range at {
			bores = append(bores, shape.Bore{Center: r2.Vec{X: x}, Profile: hole, N: trellisRound})
		}
		a, err := shape.Bored(lath(eye), 0, low, bores...)
		if err != nil {
			return nil, err
		}
		b, err := shape.Extrude(strip(trellisUpper), nil, low+roof, low+roof+trellisThick)
		if err != nil {
			return nil, err
		}
		const inset = 0.2 // so that no two faces coincide
		foot := func(outline []r2.Vec) error {
			f, err := shape.Extrude(outline, nil, 0, low+roof+1)
			b = b.Append(f)
			return err
		}
		for _, side := range []float64{-1, 1} {
			x := side * trellisArm / 2
			const half = trellisArm/2 - trellisClear
			if err := foot(shape.Rect(x-half, -trellisUpper+inset, x+half, trellisUpper-inset)); err != nil {
				return nil, err
			}
		}
		for k := -1; k <= 1; k++ {
			x := float64(k) * trellisArm
			if j := i + k; j >= 0 && j < trellisCells {
				b = b.Append(pin.solid(trellisThick, trellisRound).Move(x, 0, 0))
			} else if err := foot(shape.Circle(r2.Vec{X: x}, trellisUpper-inset, trellisRound, 0)); err != nil {
				return nil, err
			}
		}
		x := pitch * float64(i)
		lower = append(lower, a.Turn(0, 0, 45).Move(x, 0, 0))
		upper = append(upper, b.Turn(0, 0, -45).Move(x, 0, 0))
	}
	return append(lower, upper...), nil
}

// strip is the outline of a lath along x with round ends.
func strip(half float64) []r2.Vec {
	return append(shape.Arc(r2.Vec{X: trellisArm}, half, -90, 90, trellisRound/2),
		shape.Arc(r2.Vec{X: -trellisArm}, half, 90, 270, trellisRound/2)...)
}

// lath is the outline of a lath along x with discs of the given radius at
// its middle and its ends.
func lath(disc float64) []r2.Vec {
	a := math.Asin(trellisHalf/disc) * 180 / math.Pi
	var out []r2.Vec
	for _, l := range []struct{ x, from, to float64 }{
		{trellisArm, a - 180, 180 - a}, {0, a, 180 - a}, {-trellisArm, a, 360 - a}, {0, 180 + a, 360 - a},
	} {
		out = append(out, shape.Arc(r2.Vec{X: l.x}, disc, l.from, l.to, int(math.Ceil((l.to-l.from)/360*trellisRound)))...)
	}
	return out
}
