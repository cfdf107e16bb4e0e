package report

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// camera looks at a model from far away, so that equal lengths stay equal.
type camera struct {
	right, up, toward r3.Vec // unit vectors; toward points at the eye
	center            r3.Vec
	// perMM is pixels a mm, width and height the picture's in pixels.
	perMM         float64
	width, height int
	// depth is half the depth of what is drawn, mm.
	depth float64
}

// newCamera looks from an azimuth (0: from +x, counter-clockwise) and an
// elevation, in degrees.
func newCamera(azimuth, elevation float64, width, height int) camera {
	az, el := azimuth*math.Pi/180, elevation*math.Pi/180
	return camera{
		toward: r3.Vec{X: math.Cos(el) * math.Cos(az), Y: math.Cos(el) * math.Sin(az), Z: math.Sin(el)},
		right:  r3.Vec{X: -math.Sin(az), Y: math.Cos(az)},
		up:     r3.Vec{X: -math.Sin(el) * math.Cos(az), Y: -math.Sin(el) * math.Sin(az), Z: math.Cos(el)},
		perMM:  1, width: width, height: height, depth: 1,
	}
}

// viewFill is the share of a picture's width or height that a model takes.
const viewFill = 0.94

// seeAll moves the camera so that all places show, as large as they may.
func (c *camera) seeAll(places []r3.Vec) {
	lo := r3.Vec{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	hi := r3.Scale(-1, lo)
	for _, p := range places {
		x, y, z := r3.Dot(c.right, p), r3.Dot(c.up, p), r3.Dot(c.toward, p)
		lo = r3.Vec{X: min(lo.X, x), Y: min(lo.Y, y), Z: min(lo.Z, z)}
		hi = r3.Vec{X: max(hi.X, x), Y: max(hi.Y, y), Z: max(hi.Z, z)}
	}
	if !(hi.X >= lo.X) {
		return
	}
	const least = 1e-3 // mm: a single place is not seen infinitely large
	mid := r3.Scale(0.5, r3.Add(lo, hi))
	c.center = r3.Add(r3.Add(r3.Scale(mid.X, c.right), r3.Scale(mid.Y, c.up)), r3.Scale(mid.Z, c.toward))
	c.perMM = viewFill * min(float64(c.width)/max(hi.X-lo.X, least), float64(c.height)/max(hi.Y-lo.Y, least))
	c.depth = (hi.Z-lo.Z)/2 + 1
}

// closeUp moves the camera to a place, with so many mm to the nearer edge.
func (c *camera) closeUp(at r3.Vec, mm float64) {
	near := r3.Dot(c.toward, r3.Sub(at, c.center))
	c.depth += math.Abs(near)
	c.center = at
	c.perMM = float64(min(c.width, c.height)) / (2 * mm)
}

// project gives the pixel of a place, and how near it is: 1 at the near end
// of what is drawn, -1 at the far end.
func (c *camera) project(p r3.Vec) (x, y, near float64) {
	d := r3.Sub(p, c.center)
	x = float64(c.width)/2 + float64(r3.Dot(c.right, d)*c.perMM)
	y = float64(c.height)/2 - float64(r3.Dot(c.up, d)*c.perMM)
	return x, y, r3.Dot(c.toward, d) / c.depth
}

// place is the inverse of project.
func (c *camera) place(x, y, near float64) r3.Vec {
	p := r3.Add(c.center, r3.Scale((x-float64(c.width)/2)/c.perMM, c.right))
	p = r3.Add(p, r3.Scale((float64(c.height)/2-y)/c.perMM, c.up))
	return r3.Add(p, r3.Scale(near*c.depth, c.toward))
}
