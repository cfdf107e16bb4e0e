package bvh

import "gonum.org/v1/gonum/spatial/r3"

// line is a straight line in the frame of one main axis: for axis 2 its
// points are (u, v, w) = (x, y, z), for the others the same turned round. It
// runs through (u, v, w) and moves by ku, kv for each unit of w.
type line struct {
	axis    int
	u, v, w float64
	ku, kv  float64
}

// rays are the directions of Winding: no two near each other, none along
// anything that a person would draw.
var rays = [3]line{
	{axis: 2, ku: 0.1370829183, kv: 0.2912370493},
	{axis: 0, ku: 0.2238461197, kv: 0.0931747723},
	{axis: 1, ku: 0.0719283741, kv: 0.1808339619},
}

func turned(p r3.Vec, axis int) (u, v, w float64) {
	switch axis {
	case 0:
		return p.Y, p.Z, p.X
	case 1:
		return p.Z, p.X, p.Y
	}
	return p.X, p.Y, p.Z
}

// shadow is a point seen along a line: how far it is off the line, and how
// far along.
type shadow struct{ u, v, w float64 }

func (l *line) see(p r3.Vec) shadow {
	u, v, w := turned(p, l.axis)
	w -= l.w
	return shadow{(u - l.u) - float64(l.ku*w), (v - l.v) - float64(l.kv*w), w}
}

// meets reports whether a facet in the box may be pierced, somewhere at or
// after the line's own point. Rounding never reverses an order, so the box's
// shadow, rounded like its facets', holds theirs. Slopes are not negative.
func (l *line) meets(b *r3.Box) bool {
	lo, hi := l.span(b)
	return lo.v <= 0 && hi.v > 0 && lo.u <= 0 && hi.u >= 0 && hi.w >= 0
}

func (l *line) span(b *r3.Box) (lo, hi shadow) {
	u0, v0, w0 := turned(b.Min, l.axis)
	u1, v1, w1 := turned(b.Max, l.axis)
	w0 -= l.w
	w1 -= l.w
	lo = shadow{(u0 - l.u) - float64(l.ku*w1), (v0 - l.v) - float64(l.kv*w1), w0}
	hi = shadow{(u1 - l.u) - float64(l.ku*w0), (v1 - l.v) - float64(l.kv*w0), w1}
	return lo, hi
}

// pierced tells how a line passes through a facet: 0 not at all, +1 out of
// it (the facet looks along the line), -1 into it; and how far along. The
// line is at u = v = 0.
//
// The sign is the winding number of the facet's outline about the line,
// counted by the sides that cross the half axis u >= 0. Whether a side does
// is decided from its lower end to its upper end, so both of its facets see
// the same, however it rounds: the signs of a closed surface add up to 0
// along every line, also through its edges and corners.
func pierced(p *[3]shadow) (sign int, along float64) {
	var right, left struct{ u, w float64 }
	for i := range 3 {
		a, b := &p[i], &p[(i+1)%3]
		rises := 1
		switch {
		case (a.v > 0) == (b.v > 0):
			continue
		case a.v > 0:
			a, b, rises = b, a, -1
		}
		dv := b.v - a.v
		u := float64(a.u*b.v) - float64(b.u*a.v)
		w := a.w - float64(a.v/dv*(b.w-a.w))
		if u >= 0 {
			sign += rises
			right.u, right.w = u/dv, w
		} else {
			left.u, left.w = u/dv, w
		}
	}
	if sign == 0 {
		return 0, 0
	}
	return sign, right.w + float64(right.u/(right.u-left.u)*(left.w-right.w))
}

func (t *Tree) see(l *line, f int32) [3]shadow {
	a, b, c := t.corners(f)
	return [3]shadow{l.see(a), l.see(b), l.see(c)}
}

// Winding tells how often the surface goes round p: 1 inside a closed
// surface that looks outward, -1 inside one that looks inward, 0 outside. On
// the surface it is either.
//
// It counts the signed crossings of a ray, in up to three fixed directions,
// and returns the middle one of the three counts. On a closed surface they
// all agree; where facets are missing one ray may leave through the hole
// without the answer being wrong.
func (t *Tree) Winding(p r3.Vec) int {
	a, b := t.crossings(p, 0), t.crossings(p, 1)
	if a == b {
		return a
	}
	c := t.crossings(p, 2)
	return max(min(a, b), min(max(a, b), c))
}

// crossings adds up the signs of the crossings of a ray from p.
func (t *Tree) crossings(p r3.Vec, ray int) int {
	if len(t.nodes) == 0 {
		return 0
	}
	l := rays[ray]
	l.u, l.v, l.w = turned(p, l.axis)
	count := 0
	var stack [maxDepth]int32
	for n := 1; n > 0; {
		n--
		at := stack[n]
		nd := &t.nodes[at]
		if !l.meets(&nd.box) {
			continue
		}
		if nd.n == 0 {
			stack[n], stack[n+1] = nd.at, at+1
			n += 2
			continue
		}
		for _, f := range t.facets[nd.at : nd.at+int32(nd.n)] {
			s := t.see(&l, f)
			if sign, w := pierced(&s); sign != 0 && w > 0 {
				count += sign
			}
		}
	}
	return count
}
