package bvh

import (
	"gonum.org/v1/gonum/spatial/r3"
)

// TouchNoise is the distance in mm up to which two surfaces touch and their
// distance is 0: what rounding leaves of a zero between points within a
// hundred metres, and far below what float32 files can say.
const TouchNoise = 1e-10

// needle is the square of the least height of a triangle over its longest
// side at which its normal is trusted to find the nearest point on its face.
// Of a thinner one the sides are looked at as well.
const needle = 1e-8

// noArea is the square of a cross product, in mm to the fourth, below which
// it is 0: products of such numbers would leave float64's range.
const noArea = 1e-200

// tri is a facet made ready for distances: all of it after ready, after place
// only p, box and face.
type tri struct {
	p    [3]r3.Vec // corners
	e    [3]r3.Vec // sides: e[i] runs from p[i] to p[i+1]
	n    r3.Vec    // e[0] x -e[2]: not of unit length, 0 if degenerate
	nn   float64   // n squared
	lo   float64   // the span of the corners along n, from p[0]: all but 0
	hi   float64
	fat  bool // n can be trusted
	box  r3.Box
	face int32
	done bool // it was made ready
}

// place is all that most facets of a leaf need.
func (t *Tree) place(f int32, out *tri) {
	a, b, c := t.corners(f)
	out.p = [3]r3.Vec{a, b, c}
	out.box = boxOf(a, b, c)
	out.face, out.done = f, false
}

func (t *tri) ready() {
	if !t.done {
		t.done = true
		t.measure()
	}
}

func (t *tri) measure() {
	a, b, c := t.p[0], t.p[1], t.p[2]
	t.e = [3]r3.Vec{sub(b, a), sub(c, b), sub(a, c)}
	t.n = cross(t.e[0], sub(c, a))
	t.nn = dot(t.n, t.n)
	if t.nn < noArea {
		t.n, t.nn = r3.Vec{}, 0
	}
	t.lo, t.hi = spanOf(0, dot(t.n, t.e[0]), -dot(t.n, t.e[2]))
	long := max(dot(t.e[0], t.e[0]), dot(t.e[1], t.e[1]), dot(t.e[2], t.e[2]))
	t.fat = t.nn > needle*float64(long*long)
}

// loadLeaf places the facets of a leaf.
func (t *Tree) loadLeaf(n *node, out *[leafFacets]tri) {
	for i, f := range t.facets[n.at : n.at+int32(n.n)] {
		t.place(f, &out[i])
	}
}

// nearer is the least squared distance found so far, and where.
type nearer struct {
	d2   float64
	a, b r3.Vec
	// way leads from a to b of the nearest pair that was tried since way2, its
	// length squared, was set to infinity, whether or not it was near enough.
	way  r3.Vec
	way2 float64
}

// try takes the pair of points if it is nearer.
func (n *nearer) try(a, b r3.Vec) bool {
	way := sub(b, a)
	d2 := dot(way, way)
	if d2 < n.way2 {
		n.way, n.way2 = way, d2
	}
	if !(d2 < n.d2) {
		return false
	}
	if d2 <= TouchNoise*TouchNoise {
		d2 = 0
	}
	n.d2, n.a, n.b = d2, a, b
	return true
}

// beyond reports whether u surely lies farther from t than the pair found so
// far, along the way between the two facets looked at last.
func (n *nearer) beyond(t, u *tri) bool {
	way, o := n.way, t.p[0]
	t1, t2 := dot(way, t.e[0]), -dot(way, t.e[2])
	u0, u1, u2 := dot(way, sub(u.p[0], o)), dot(way, sub(u.p[1], o)), dot(way, sub(u.p[2], o))
	gap := min(u0, u1, u2) - max(0, t1, t2)
	return gap > 0 && float64(gap*gap) > float64(n.d2*n.way2)*(1+tie)
}

// apart reports whether the shadows of two facets on the first one's normal
// lie at least the square root of d2 apart. It holds for any normal, so a
// needle's useless one does no harm.
func (t *tri) apart(u *tri, d2 float64) bool {
	o := t.p[0]
	u0, u1, u2 := dot(t.n, sub(u.p[0], o)), dot(t.n, sub(u.p[1], o)), dot(t.n, sub(u.p[2], o))
	ul, uh := spanOf(u0, u1, u2)
	gap := ul - t.hi
	if g := t.lo - uh; g > gap {
		gap = g
	}
	return gap > 0 && float64(gap*gap) >= float64(d2*t.nn)
}

// spanOf is the least and the greatest of three. Their order is as good as
// random, so min and max are faster than comparisons.
func spanOf(a, b, c float64) (lo, hi float64) { return min(a, b, c), max(a, b, c) }

// closest finds the point of the triangle nearest to q.
func (t *tri) closest(q r3.Vec) r3.Vec {
	at := t.p[0]
	outside := [3]bool{true, true, true} // of side i
	if t.nn > 0 {
		w := sub(q, t.p[0])
		wc := dot(cross(t.e[0], w), t.n) / t.nn
		wb := dot(cross(t.e[2], w), t.n) / t.nn
		if wb >= 0 && wc >= 0 && wb+wc <= 1 {
			at = along(along(t.p[0], wb, t.e[0]), -wc, t.e[2])
			if t.fat {
				return at
			}
		} else if t.fat {
			// Of a convex shape only the sides that see the point count.
			outside = [3]bool{wc < 0, wb+wc > 1, wb < 0}
		}
	}
	least := dist2(q, at)
	for i, o := range outside {
		if !o {
			continue
		}
		r := onSegment(t.p[i], t.e[i], q)
		if d2 := dist2(q, r); d2 < least {
			at, least = r, d2
		}
	}
	return at
}

// onSegment finds the point of the segment from p along e nearest to q.
func onSegment(p, e, q r3.Vec) r3.Vec {
	ee := dot(e, e)
	if ee == 0 {
		return p
	}
	s := dot(sub(q, p), e) / ee
	switch {
	case !(s > 0):
		return p
	case s >= 1:
		return r3.Vec{X: p.X + e.X, Y: p.Y + e.Y, Z: p.Z + e.Z}
	}
	return along(p, s, e)
}

// off reports whether a point at height h along n, from p[0], lies farther from the
// triangle than the square root of d2, but for rounding. It holds for any n, as
// apart does.
func (t *tri) off(h, d2 float64) bool {
	gap := h - t.hi
	if g := t.lo - h; g > gap {
		gap = g
	}
	return gap > 0 && float64(gap*gap) > float64(d2*t.nn)*(1+tie)
}

// nearest lowers n to the distance of two triangles, if that is less, and
// says whether it did. Two triangles are nearest at a corner of one of them,
// or inside two of their sides, or where a side of one passes through the
// other. Every pair of points looked at lies on the triangles, so rounding
// can never make the distance too small.
func nearest(t, u *tri, n *nearer) bool {
	found := false
	var td, ud [3]float64 // heights of corners over the other's plane
	for i := range 3 {
		td[i] = dot(u.n, sub(t.p[i], u.p[0]))
		if !u.off(td[i], n.d2) && n.try(t.p[i], u.closest(t.p[i])) {
			found = true
		}
		ud[i] = dot(t.n, sub(u.p[i], t.p[0]))
		if !t.off(ud[i], n.d2) && n.try(t.closest(u.p[i]), u.p[i]) {
			found = true
		}
	}
	if n.d2 == 0 {
		return found
	}
	for i := range 3 {
		for j := range 3 {
			m := cross(t.e[i], u.e[j])
			mm := dot(m, m)
			w := sub(u.p[j], t.p[i])
			h := dot(w, m)
			if mm < noArea || float64(h*h) >= float64(n.d2*mm) {
				continue // parallel, or their lines are too far apart
			}
			r := dot(cross(w, u.e[j]), m) / mm
			s := dot(cross(w, t.e[i]), m) / mm
			if r >= 0 && r <= 1 && s >= 0 && s <= 1 && n.try(along(t.p[i], r, t.e[i]), along(u.p[j], s, u.e[j])) {
				found = true
			}
		}
	}
	for i := range 3 {
		if n.d2 == 0 {
			break
		}
		j := (i + 1) % 3
		if (td[i] < 0) != (td[j] < 0) {
			x := along(t.p[i], td[i]/(td[i]-td[j]), t.e[i])
			found = n.try(x, u.closest(x)) || found
		}
		if (ud[i] < 0) != (ud[j] < 0) {
			x := along(u.p[i], ud[i]/(ud[i]-ud[j]), u.e[i])
			found = n.try(t.closest(x), x) || found
		}
	}
	return found
}
