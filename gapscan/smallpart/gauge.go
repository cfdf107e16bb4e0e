// Package smallpart says whether a body would go whole into the small-parts
// gauge that toy rules hold against toys for children under three years.
//
// The gauge is convex, so a body fits if its convex hull does: only the
// vertices count. In the gauge's own coordinates its axis is z, the open rim
// lies on z = 0, the inside is below, and the shallow side is at -x. All
// lengths are mm.
package smallpart

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// The gauge: 16 CFR 1501.4(b), figure 1, by its inch figures 1.25, 1.00 and
// 2.25. ISO 8124-1 and EN 71-1 show the same.
const (
	WidthMM   = 31.75 // inner diameter of the cylinder
	ShallowMM = 25.40 // depth where the slanted floor is highest
	DeepMM    = 57.15 // depth where it is lowest: ShallowMM + WidthMM, 45 degrees
)

// CloseMM is how far, in mm, a body must be from touching all round before it
// is said to fit, or the walls from making room before it is said to be too
// large: about what a printed size is worth, and more than the facets of a
// finely divided round part differ from it.
const CloseMM = 0.02

const (
	radius = WidthMM / 2
	// floorAt is how far the floor's plane lies from the rim's centre.
	floorAt = (ShallowMM + radius) / math.Sqrt2
)

// Verdict is whether a body goes into the gauge.
type Verdict string

// The verdicts. TooLarge and Fits are certain; Close is everything else.
const (
	Fits     Verdict = "fits"
	TooLarge Verdict = "too large"
	Close    Verdict = "close"
)

// Position is a place of a body: turned first, then moved.
type Position struct {
	Turn r3.Rotation
	Move r3.Vec
}

// Place returns where the position puts p.
func (at Position) Place(p r3.Vec) r3.Vec { return r3.Add(at.Turn.Rotate(p), at.Move) }

// Slack returns the least distance of the points, placed so, from the walls,
// the floor and the plane of the rim: by so much could all of them move
// inwards. It is negative where a point is outside, and +Inf for no points.
func Slack(points []r3.Vec, at Position) float64 {
	least := math.Inf(1)
	for _, p := range points {
		v := at.Place(p)
		least = min(least, -v.Z, floorAt+(v.X+v.Z)/math.Sqrt2, radius-math.Hypot(v.X, v.Y))
	}
	return least
}

// longest is the greatest distance within the gauge with all walls moved
// outwards by grow: from the deep side up to the rim on the other side.
func longest(grow float64) float64 {
	return math.Sqrt(sq(WidthMM+2*grow) + sq(DeepMM+(2+math.Sqrt2)*grow))
}
