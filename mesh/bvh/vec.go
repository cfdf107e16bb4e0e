package bvh

import "gonum.org/v1/gonum/spatial/r3"

// The conversions to float64 below keep products from being fused with the
// sums, which some processors do and others do not.

func dot(a, b r3.Vec) float64 {
	return float64(a.X*b.X) + float64(a.Y*b.Y) + float64(a.Z*b.Z)
}

func cross(a, b r3.Vec) r3.Vec {
	return r3.Vec{
		X: float64(a.Y*b.Z) - float64(a.Z*b.Y),
		Y: float64(a.Z*b.X) - float64(a.X*b.Z),
		Z: float64(a.X*b.Y) - float64(a.Y*b.X),
	}
}

func sub(a, b r3.Vec) r3.Vec { return r3.Vec{X: a.X - b.X, Y: a.Y - b.Y, Z: a.Z - b.Z} }

// along returns p + s d.
func along(p r3.Vec, s float64, d r3.Vec) r3.Vec {
	return r3.Vec{X: p.X + float64(s*d.X), Y: p.Y + float64(s*d.Y), Z: p.Z + float64(s*d.Z)}
}

// dist2 is the squared distance of two points.
func dist2(a, b r3.Vec) float64 {
	d := sub(a, b)
	return dot(d, d)
}

// planArea2 is twice the signed area of a facet seen from above: above 0
// where the facet looks up.
func planArea2(a, b, c r3.Vec) float64 {
	return float64((b.X-a.X)*(c.Y-a.Y)) - float64((b.Y-a.Y)*(c.X-a.X))
}

// boxOf is the box of a facet. Which corner reaches farthest is as good as
// random, so min and max are faster than comparisons.
func boxOf(a, b, c r3.Vec) r3.Box {
	return r3.Box{Min: least(a, least(b, c)), Max: most(a, most(b, c))}
}

// girth is the sum of a box's sides: which of two boxes to open first.
func girth(b *r3.Box) float64 {
	return b.Max.X - b.Min.X + b.Max.Y - b.Min.Y + b.Max.Z - b.Min.Z
}

// boxes2 is the squared distance of two boxes.
func boxes2(a, b *r3.Box) float64 {
	x := between(a.Min.X, a.Max.X, b.Min.X, b.Max.X)
	y := between(a.Min.Y, a.Max.Y, b.Min.Y, b.Max.Y)
	z := between(a.Min.Z, a.Max.Z, b.Min.Z, b.Max.Z)
	return float64(x*x) + float64(y*y) + float64(z*z)
}

// axesApart says whether two boxes are farther apart than d along some axis.
// That is true of most that are farther apart, and told sooner than by boxes2.
func axesApart(a, b *r3.Box, d float64) bool {
	return a.Min.X-b.Max.X > d || b.Min.X-a.Max.X > d ||
		a.Min.Y-b.Max.Y > d || b.Min.Y-a.Max.Y > d ||
		a.Min.Z-b.Max.Z > d || b.Min.Z-a.Max.Z > d
}

// between is the distance of two spans. It is the inmost loop of every
// search, and plain comparisons are faster than max.
func between(a0, a1, b0, b1 float64) float64 {
	if d := a0 - b1; d > 0 {
		return d
	}
	if d := b0 - a1; d > 0 {
		return d
	}
	return 0
}

// boxTo2 is the squared distance of a box from a point.
func boxTo2(b *r3.Box, p r3.Vec) float64 {
	x := between(b.Min.X, b.Max.X, p.X, p.X)
	y := between(b.Min.Y, b.Max.Y, p.Y, p.Y)
	z := between(b.Min.Z, b.Max.Z, p.Z, p.Z)
	return float64(x*x) + float64(y*y) + float64(z*z)
}
