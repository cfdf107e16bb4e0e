package garden

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// The gears, mm: three in a row along x, the middle one at the origin.
const (
	gearTeeth    = 10
	gearModule   = 2.5
	gearPressure = 25.0
	gearAddendum = 2.1
	gearHigh     = 6.5
	gearFoot     = 3.4 // the pins' feet and waists
	gearWaist    = 1.9
	gearCap      = 6.4 // the pins' upper ends
	gearRing     = 3.2 // thickness of the frame
	gearBar      = 5.0 // width of the bars
	gearPlate    = 2.2 // thickness of the bars
	gearRound    = 64
	gearChords   = 10
)

// GearFrame returns three gears of ten teeth in a frame, about 88 x 38 x 10
// mm. Each turns on a pin that stands on the bed, with a foot under the gear,
// and carries a bar across it to the frame.
//
// The gap, in mm, is the true gap round the pins and under the bars; the play
// is that between two teeth, on either side of each. Facets add up to 0.02 mm
// between the teeth. Turned together, the gears keep it.
func GearFrame(gap, play float64) (shape.Solid, error) { return one(gearFrame(gap, play)) }

// gearFrame returns the three gears from left to right, then the frame.
func gearFrame(gap, play float64) ([]shape.Solid, error) {
	for _, g := range []float64{gap, play} {
		if err := checkGap("gears", g); err != nil {
			return nil, err
		}
	}
	g := shape.Gear{
		Teeth: gearTeeth, Module: gearModule, Pressure: gearPressure,
		Addendum: gearAddendum, Dedendum: gearAddendum + max(gap, play) + 0.1, Play: play,
	}
	far := 2 * g.PitchRadius()
	pin := rivet{foot: gearFoot, waist: gearWaist, top: gearCap, high: gearHigh + gap}
	hole := pin.hole(gap, gearHigh)
	const halfPitch = 180.0 / gearTeeth
	inside := g.TipRadius() + gap + 0.5
	outside := inside + gearRing

	frame, err := shape.Extrude(lobes(far, outside), [][]r2.Vec{lobes(far, inside)}, 0, gearHigh+gap+1.2)
	if err != nil {
		return nil, err
	}
	var parts []shape.Solid
	for i := -1; i <= 1; i++ {
		x := float64(i) * far
		// The middle gear's teeth stand in the others' spaces.
		outline, err := g.Outline(gearChords, halfPitch*float64(i*i))
		if err != nil {
			return nil, err
		}
		gear, err := shape.Bored(outline, 0, gearHigh, shape.Bore{Profile: hole, N: gearRound})
		if err != nil {
			return nil, err
		}
		parts = append(parts, gear.Move(x, 0, 0))
		bar, err := shape.Extrude(shape.Rect(-gearBar/2, -inside-gearRing/2, gearBar/2, inside+gearRing/2), nil, gearHigh+gap, gearHigh+gap+gearPlate)
		if err != nil {
			return nil, err
		}
		frame = frame.Append(bar.Move(x, 0, 0), pin.solid(1.4, gearRound).Move(x, 0, 0))
	}
	return append(parts, frame), nil
}

// lobes is the outline of three equal circles in a row, the middle one round
// the origin.
func lobes(far, radius float64) []r2.Vec {
	// Where two circles cross, seen from a middle.
	cross := math.Acos(far/2/radius) * 180 / math.Pi
	var out []r2.Vec
	for _, l := range []struct{ x, from, to float64 }{
		{far, cross - 180, 180 - cross},
		{0, cross, 180 - cross},
		{-far, cross, 360 - cross},
		{0, 180 + cross, 360 - cross},
	} {
		n := int(math.Ceil((l.to - l.from) / 360 * gearRound))
		out = append(out, shape.Arc(r2.Vec{X: l.x}, radius, l.from, l.to, n)[:n]...)
	}
	return out
}
