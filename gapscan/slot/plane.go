package slot

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Products are rounded before they are added, so that every processor gets
// the same.

func dot(a, b r2.Vec) float64   { return float64(a.X*b.X) + float64(a.Y*b.Y) }
func cross(a, b r2.Vec) float64 { return float64(a.X*b.Y) - float64(a.Y*b.X) }
func length(a r2.Vec) float64   { return math.Sqrt(dot(a, a)) }

// step is the point at distance s from p in the direction d.
func step(p, d r2.Vec, s float64) r2.Vec {
	return r2.Vec{X: p.X + float64(s*d.X), Y: p.Y + float64(s*d.Y)}
}

func middle(p, q r2.Vec) r2.Vec { return r2.Vec{X: (p.X + q.X) / 2, Y: (p.Y + q.Y) / 2} }

func dist(p, q r2.Vec) float64 { return length(r2.Sub(q, p)) }

// meet says whether two segments have a point in common, of segments whose
// boxes do.
func meet(p, q, a, b r2.Vec) bool {
	d, e := r2.Sub(q, p), r2.Sub(b, a)
	s0, s1 := cross(d, r2.Sub(a, p)), cross(d, r2.Sub(b, p))
	if s0 > 0 && s1 > 0 || s0 < 0 && s1 < 0 {
		return false
	}
	t0, t1 := cross(e, r2.Sub(p, a)), cross(e, r2.Sub(q, a))
	return !(t0 > 0 && t1 > 0 || t0 < 0 && t1 < 0)
}
