package bvh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// slab is the space between two planes that holds the facets of a leaf. It
// lies along them where a box stands askew, and tells two leaves of close
// curved surfaces apart that their boxes do not.
type slab struct {
	n      r3.Vec // the facets' mean normal, of length 1, or 0
	lo, hi float64
}

// gap is a lower bound of the distance of what lies in slab s from what lies
// in slab t and in its box, measured along the normal of s; below 0 it says
// nothing.
func (s *slab) gap(t *slab, box *r3.Box) float64 {
	lo, hi := s.over(t, box)
	return max(-hi, lo)
}

// over bounds how far what lies in slab t and in its box is beyond what lies in
// slab s, along the normal of s. Along t's normal the far leaf reaches from t.lo
// to t.hi, and the small turn from one normal to the other is paid for with its
// box.
func (s *slab) over(t *slab, box *r3.Box) (lo, hi float64) {
	d := sub(s.n, t.n)
	middle := (float64(d.X*(box.Min.X+box.Max.X)) + float64(d.Y*(box.Min.Y+box.Max.Y)) + float64(d.Z*(box.Min.Z+box.Max.Z))) / 2
	reach := (float64(math.Abs(d.X)*(box.Max.X-box.Min.X)) + float64(math.Abs(d.Y)*(box.Max.Y-box.Min.Y)) + float64(math.Abs(d.Z)*(box.Max.Z-box.Min.Z))) / 2
	return t.lo + middle - reach - s.hi, t.hi + middle + reach - s.lo
}

// along is the slab, or the same with its normal turned over where that looks
// away from that of another.
func (s *slab) along(o *slab) slab {
	if dot(s.n, o.n) < 0 {
		return slab{n: r3.Vec{X: -s.n.X, Y: -s.n.Y, Z: -s.n.Z}, lo: -s.hi, hi: -s.lo}
	}
	return *s
}

// nearer appends to out the facets that may be nearer than d to what lies in a
// slab and its box.
func (s *slab) nearer(facets []tri, box *r3.Box, d float64, out []*tri) []*tri {
	for i := range facets {
		t := &facets[i]
		if axesApart(&t.box, box, d) {
			continue
		}
		lo, hi := spanOf(dot(s.n, t.p[0]), dot(s.n, t.p[1]), dot(s.n, t.p[2]))
		if lo-s.hi > d || s.lo-hi > d {
			continue
		}
		out = append(out, t)
	}
	return out
}

// leavesApart reports whether two leaves' slabs alone keep their facets at
// least the square root of d2 apart. Normals that look at each other are
// turned to agree.
func leavesApart(s, t *slab, sBox, tBox *r3.Box, d2 float64) bool {
	u := t.along(s)
	g := max(s.gap(&u, tBox), u.gap(s, sBox))
	return g > 0 && float64(g*g) >= d2
}
