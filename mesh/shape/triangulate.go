package shape

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// triangulate divides the region inside the outer ring and outside the holes
// into triangles, counter-clockwise. The outer ring runs counter-clockwise,
// the holes clockwise. The triangles index the points of all rings, one ring
// after the other; each has area, and no corner of one lies on a side of
// another.
//
// Holes are joined to the outer ring by bridges, the one that reaches
// farthest along x first, so that a visible corner is always there; then ears
// are clipped. The way is quadratic in the corners at worst.
func triangulate(op string, outer []r2.Vec, holes [][]r2.Vec) ([][3]int32, error) {
	if err := checkRings(op, append([][]r2.Vec{outer}, holes...)); err != nil {
		return nil, err
	}
	for i, h := range holes {
		if !contains(outer, h[0]) {
			return nil, &Error{Op: op, Rule: "a hole lies outside", At: h[0], Placed: true}
		}
		for j, g := range holes {
			if i != j && contains(g, h[0]) {
				return nil, &Error{Op: op, Rule: "a hole lies in another", At: h[0], Placed: true}
			}
		}
	}
	t := &triangulation{pts: slices.Clone(outer)}
	for i := range outer {
		t.ring = append(t.ring, int32(i))
	}
	for _, h := range holes {
		ring := make([]int32, len(h))
		for i := range h {
			ring[i] = int32(len(t.pts) + i)
		}
		t.pts = append(t.pts, h...)
		// Begin at the corner that reaches farthest.
		far := 0
		for i := range h {
			if h[i].X > h[far].X {
				far = i
			}
		}
		t.holes = append(t.holes, append(ring[far:len(ring):len(ring)], ring[:far]...))
	}
	slices.SortStableFunc(t.holes, func(a, b []int32) int { return cmp.Compare(t.pts[b[0]].X, t.pts[a[0]].X) })
	for len(t.holes) > 0 {
		if !t.bridge() {
			return nil, &Error{Op: op, Rule: "no way from a hole to the outline", At: t.pts[t.holes[0][0]], Placed: true}
		}
	}
	if !t.clip() {
		return nil, &Error{Op: op, Rule: "the outline cannot be divided into triangles", At: outer[0], Placed: true}
	}
	return t.tris, nil
}

type triangulation struct {
	pts   []r2.Vec
	ring  []int32   // the outline, bridges included
	holes [][]int32 // not yet bridged, next one first
	tris  [][3]int32
}

// bridge joins the next hole to the nearest corner of the outline that its
// first corner sees.
func (t *triangulation) bridge() bool {
	hole := t.holes[0]
	m := t.pts[hole[0]]
	at := make([]int, len(t.ring))
	for i := range at {
		at[i] = i
	}
	dist := func(i int) float64 { return r2.Norm2(r2.Sub(t.pts[t.ring[i]], m)) }
	slices.SortStableFunc(at, func(i, j int) int { return cmp.Compare(dist(i), dist(j)) })
	for _, i := range at {
		v := t.pts[t.ring[i]]
		if !t.opens(t.ring, i, m) || !t.opens(hole, 0, v) || !t.sees(m, v) {
			continue
		}
		ring := slices.Clone(t.ring[:i+1])
		ring = append(ring, hole...)
		ring = append(ring, hole[0])
		t.ring = append(ring, t.ring[i:]...)
		t.holes = t.holes[1:]
		return true
	}
	return false
}

// opens says whether the way from corner i of a ring to p leaves into the
// material, which lies to the left of the ring.
func (t *triangulation) opens(ring []int32, i int, p r2.Vec) bool {
	n := len(ring)
	a, v, b := t.pts[ring[(i+n-1)%n]], t.pts[ring[i]], t.pts[ring[(i+1)%n]]
	in, out := orient(a, v, p) > 0, orient(v, b, p) > 0
	if orient(a, v, b) > 0 {
		return in && out
	}
	return in || out
}

// sees says whether nothing but its own ends touches the segment mv.
func (t *triangulation) sees(m, v r2.Vec) bool {
	for _, ring := range append([][]int32{t.ring}, t.holes...) {
		for i := range ring {
			a, b := t.pts[ring[i]], t.pts[ring[(i+1)%len(ring)]]
			if a == m || a == v {
				a, b = b, a
			}
			switch {
			case a == m || a == v: // the side joins both ends
				return false
			case b == m || b == v:
				if orient(m, v, a) == 0 && within(m, v, a) {
					return false
				}
			case meet(m, v, a, b):
				return false
			}
		}
	}
	return true
}

// flatCorner is how far a corner may stand off the line through its two
// neighbours and still count as lying on it, in mm. Points that divide a side
// do so by rounding, and float32 would flatten an ear there.
const flatCorner = 1e-6

// clip cuts ears off the outline until nothing is left. It leaves flat
// corners alone as long as there are other ears.
func (t *triangulation) clip() bool {
	n := len(t.ring)
	prev, next := make([]int, n), make([]int, n)
	for i := range n {
		prev[i], next[i] = (i+n-1)%n, (i+1)%n
	}
	p := func(i int) r2.Vec { return t.pts[t.ring[i]] }
	convex := func(i int, flat float64) bool {
		a, b, c := p(prev[i]), p(i), p(next[i])
		return orient(a, b, c) > 0 && (flat == 0 || offLine(a, c, b) < -flat)
	}
	// blunt holds the corners that may lie in an ear: the others never do.
	var blunt []int
	isBlunt := make([]bool, n)
	for i := range n {
		if isBlunt[i] = !convex(i, flatCorner); isBlunt[i] {
			blunt = append(blunt, i)
		}
	}
	ear := func(i int, flat float64) bool {
		if !convex(i, flat) {
			return false
		}
		a, b, c := p(prev[i]), p(i), p(next[i])
		x0, x1 := min(a.X, b.X, c.X)-flat, max(a.X, b.X, c.X)+flat
		y0, y1 := min(a.Y, b.Y, c.Y)-flat, max(a.Y, b.Y, c.Y)+flat
		for _, k := range blunt {
			q := p(k)
			if !isBlunt[k] || q.X < x0 || q.X > x1 || q.Y < y0 || q.Y > y1 || q == a || q == b || q == c {
				continue
			}
			if leftOf(a, b, q, flat) && leftOf(b, c, q, flat) && leftOf(c, a, q, flat) {
				return false
			}
		}
		return true
	}
	i, left, tried, flat := 0, n, 0, flatCorner
	for left > 3 {
		if !ear(i, flat) {
			i = next[i]
			if tried++; tried > left {
				if flat == 0 {
					return false
				}
				tried, flat = 0, 0
			}
			continue
		}
		a, c := prev[i], next[i]
		t.tris = append(t.tris, [3]int32{t.ring[a], t.ring[i], t.ring[c]})
		next[a], prev[c] = c, a
		isBlunt[i] = false
		for _, k := range []int{a, c} {
			if isBlunt[k] && convex(k, flatCorner) {
				isBlunt[k] = false
			}
		}
		left--
		tried, flat = 0, flatCorner
		i = next[c] // not the neighbour: fans make thin triangles
	}
	if !convex(i, 0) {
		return false
	}
	t.tris = append(t.tris, [3]int32{t.ring[prev[i]], t.ring[i], t.ring[next[i]]})
	return true
}

// offLine is how far q lies to the left of the line from a to b.
func offLine(a, b, q r2.Vec) float64 {
	d := r2.Sub(b, a)
	return r2.Cross(d, r2.Sub(q, a)) / r2.Norm(d)
}

// leftOf says whether q lies to the left of the line from a to b, on it, or
// to its right by no more than flat.
func leftOf(a, b, q r2.Vec, flat float64) bool {
	return orient(a, b, q) >= 0 || flat > 0 && offLine(a, b, q) >= -flat
}
