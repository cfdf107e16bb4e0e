package garden

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// rivet is an upright pin that stands on the bed and carries what lies over
// a plate: a foot that narrows by 45 degrees to a waist, so that the plate
// cannot come off, and widens by 45 degrees to its upper end, which so needs
// no support. Radii and heights in mm.
type rivet struct {
	foot, waist float64
	top         float64 // radius of the upper end
	high        float64 // height of the upper end
}

// rivetRim is the height of the foot's upright rim, mm.
const rivetRim = 0.4

// line is the pin's wall from the bed to its upper end: r as X, z as Y.
func (p rivet) line() []r2.Vec {
	return []r2.Vec{
		{X: p.foot}, {X: p.foot, Y: rivetRim},
		{X: p.waist, Y: rivetRim + p.foot - p.waist},
		{X: p.waist, Y: p.high - p.top + p.waist},
		{X: p.top, Y: p.high},
	}
}

// hole is the wall at the distance gap round the pin, through a plate on the
// bed.
func (p rivet) hole(gap, plate float64) []r2.Vec {
	l := upTo(beside(p.line(), gap), plate)
	l[0].Y = 0
	return l
}

// solid is the pin, going on by cap above its upper end and ending in a flat
// dome.
func (p rivet) solid(over float64, n int) shape.Solid {
	profile := append([]r2.Vec{{}}, p.line()...)
	edge := p.high + over
	profile = append(profile, r2.Vec{X: p.top, Y: edge})
	const dome, steps = 0.3, 4 // its height as a share of the radius
	for i := 1; i <= steps; i++ {
		sin, cos := math.Sincos(float64(i) / steps * math.Pi / 2)
		if i == steps {
			cos = 0
		}
		profile = append(profile, r2.Vec{X: float64(p.top * cos), Y: edge + float64(dome*p.top*sin)})
	}
	return shape.Must(shape.Lathe(profile, n, 0))
}
