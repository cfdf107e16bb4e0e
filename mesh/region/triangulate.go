// Package region divides flat regions into triangles: rings out of the
// directed edges that bound a region, and triangles out of an outer ring and
// the holes in it. Which side of a line a point lies on is decided exactly.
package region

import (
	"cmp"
	"container/heap"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// Triangulate divides the region inside an outer ring and outside the holes
// into triangles, counter-clockwise. Rings are indices into pts; the outer
// one runs counter-clockwise, the holes clockwise. The triangles use every
// corner of the rings and no other point, and no corner of one lies on a side
// of another: whatever shares the rings' edges meets them edge to edge.
//
// A ring may touch itself at corners, as those of Rings do. Whatever the
// rings are, the edges of the triangles cancel but for those of the rings, so
// that a surface closed with them is closed; forced counts the bridges and
// triangles for which there was no right place, as where sides cross, and is
// 0 for rings that do not cross themselves or each other. Then every triangle
// has area.
//
// Holes are joined to the outer ring by bridges, the one that reaches
// farthest along x first, so that a visible corner is always there; then ears
// are clipped, with a grid over the corners that may be in the way. The cost
// is about linear in the corners, and one look at all corners a hole.
func Triangulate(pts []r2.Vec, outer []int32, holes [][]int32) (tris [][3]int32, forced int) {
	t := &triangulation{pts: pts, ring: slices.Clone(outer)}
	for _, h := range holes {
		// Begin at the corner that reaches farthest.
		far := 0
		for i := range h {
			if pts[h[i]].X > pts[h[far]].X {
				far = i
			}
		}
		t.holes = append(t.holes, append(slices.Clone(h[far:]), h[:far]...))
	}
	slices.SortStableFunc(t.holes, func(a, b []int32) int { return cmp.Compare(t.pts[b[0]].X, t.pts[a[0]].X) })
	for len(t.holes) > 0 {
		t.bridge()
	}
	t.clip()
	return t.tris, t.forced
}

type triangulation struct {
	pts    []r2.Vec
	ring   []int32   // the outline, bridges included
	holes  [][]int32 // not yet bridged, next one first
	tris   [][3]int32
	forced int
}

// byDistance is a heap of the outline's corners, the nearest first, equal
// ones by index.
type byDistance struct {
	at   []int
	dist []float64 // of every corner
}

func (h *byDistance) Len() int { return len(h.at) }
func (h *byDistance) Less(i, j int) bool {
	a, b := h.at[i], h.at[j]
	return cmp.Or(cmp.Compare(h.dist[a], h.dist[b]), cmp.Compare(a, b)) < 0
}
func (h *byDistance) Swap(i, j int) { h.at[i], h.at[j] = h.at[j], h.at[i] }
func (h *byDistance) Push(any)      {} // only ever shrinks
func (h *byDistance) Pop() any {
	last := h.at[len(h.at)-1]
	h.at = h.at[:len(h.at)-1]
	return last
}

// bridge joins the next hole to the nearest corner of the outline that its
// first corner sees; to the nearest of all if it sees none.
func (t *triangulation) bridge() {
	hole := t.holes[0]
	m := t.pts[hole[0]]
	near := &byDistance{at: make([]int, len(t.ring)), dist: make([]float64, len(t.ring))}
	for i := range near.at {
		near.at[i], near.dist[i] = i, r2.Norm2(r2.Sub(t.pts[t.ring[i]], m))
	}
	heap.Init(near)
	nearest, to := near.at[0], -1
	for near.Len() > 0 && to < 0 {
		i := heap.Pop(near).(int)
		v := t.pts[t.ring[i]]
		if t.opens(t.ring, i, m) && t.opens(hole, 0, v) && t.sees(m, v) {
			to = i
		}
	}
	if to < 0 {
		to = nearest
		t.forced++
	}
	ring := slices.Clone(t.ring[:to+1])
	ring = append(ring, hole...)
	ring = append(ring, hole[0])
	t.ring = append(ring, t.ring[to:]...)
	t.holes = t.holes[1:]
}

// opens says whether the way from corner i of a ring to p leaves into the
// material, which lies to the left of the ring.
func (t *triangulation) opens(ring []int32, i int, p r2.Vec) bool {
	n := len(ring)
	a, v, b := t.pts[ring[(i+n-1)%n]], t.pts[ring[i]], t.pts[ring[(i+1)%n]]
	in, out := Orient(a, v, p) > 0, Orient(v, b, p) > 0
	if Orient(a, v, b) > 0 {
		return in && out
	}
	return in || out
}

// sees says whether nothing but its own ends touches the segment mv.
func (t *triangulation) sees(m, v r2.Vec) bool {
	x0, x1, y0, y1 := min(m.X, v.X), max(m.X, v.X), min(m.Y, v.Y), max(m.Y, v.Y)
	clear := func(ring []int32) bool {
		for i := range ring {
			a, b := t.pts[ring[i]], t.pts[ring[(i+1)%len(ring)]]
			if a.X > x1 && b.X > x1 || a.X < x0 && b.X < x0 || a.Y > y1 && b.Y > y1 || a.Y < y0 && b.Y < y0 {
				continue
			}
			if a == m || a == v {
				a, b = b, a
			}
			switch {
			case a == m || a == v: // the side joins both ends
				return false
			case b == m || b == v:
				if Orient(m, v, a) == 0 && Within(m, v, a) {
					return false
				}
			case Meet(m, v, a, b):
				return false
			}
		}
		return true
	}
	return clear(t.ring) && !slices.ContainsFunc(t.holes, func(h []int32) bool { return !clear(h) })
}

// flatCorner is how far a corner may stand off the line through its two
// neighbours and still count as lying on it, in mm. Points that divide a side
// do so by rounding, and float32 would flatten an ear there.
const flatCorner = 1e-6

// ears is the outline while ears are cut off it.
type ears struct {
	*triangulation
	prev, next []int
	// blunt marks the corners that may lie in an ear: the others never do.
	blunt []bool
	grid  grid
}

func (e *ears) p(i int) r2.Vec { return e.pts[e.ring[i]] }

// convex says whether corner i stands out by more than flat.
func (e *ears) convex(i int, flat float64) bool {
	a, b, c := e.p(e.prev[i]), e.p(i), e.p(e.next[i])
	return Orient(a, b, c) > 0 && (flat == 0 || offLine(a, c, b) < -flat)
}

// ear says whether corner i can be cut off.
func (e *ears) ear(i int, flat float64) bool {
	if !e.convex(i, flat) {
		return false
	}
	a, b, c := e.p(e.prev[i]), e.p(i), e.p(e.next[i])
	lo := r2.Vec{X: min(a.X, b.X, c.X) - flat, Y: min(a.Y, b.Y, c.Y) - flat}
	hi := r2.Vec{X: max(a.X, b.X, c.X) + flat, Y: max(a.Y, b.Y, c.Y) + flat}
	return !e.grid.any(lo, hi, func(k int) bool {
		q := e.p(k)
		return e.blunt[k] && q.X >= lo.X && q.X <= hi.X && q.Y >= lo.Y && q.Y <= hi.Y &&
			q != a && q != b && q != c &&
			leftOf(a, b, q, flat) && leftOf(b, c, q, flat) && leftOf(c, a, q, flat)
	})
}

// clip cuts ears off the outline until nothing is left. It leaves flat
// corners alone as long as there are other ears.
func (t *triangulation) clip() {
	n := len(t.ring)
	e := &ears{triangulation: t, prev: make([]int, n), next: make([]int, n), blunt: make([]bool, n)}
	for i := range n {
		e.prev[i], e.next[i] = (i+n-1)%n, (i+1)%n
	}
	var blunt []int
	for i := range n {
		if e.blunt[i] = !e.convex(i, flatCorner); e.blunt[i] {
			blunt = append(blunt, i)
		}
	}
	e.grid = newGrid(blunt, e.p)
	i, left, tried, flat := 0, n, 0, flatCorner
	for left >= 3 {
		if left > 3 && !e.ear(i, flat) || left == 3 && !e.convex(i, 0) {
			if tried++; tried <= left {
				i = e.next[i]
				continue
			}
			tried = 0
			if flat > 0 && left > 3 {
				flat = 0
				continue
			}
			i = e.worst(i)
			t.forced++
		}
		a, c := e.prev[i], e.next[i]
		t.add(t.ring[a], t.ring[i], t.ring[c])
		e.next[a], e.prev[c] = c, a
		e.blunt[i] = false
		for _, k := range []int{a, c} {
			if e.blunt[k] && e.convex(k, flatCorner) {
				e.blunt[k] = false
			}
		}
		left--
		tried, flat = 0, flatCorner
		i = e.next[c] // not the neighbour: fans make thin triangles
	}
}

// worst is the corner to cut off where no ear is left: the one whose cut is
// shortest, convex ones first.
func (e *ears) worst(from int) int {
	best, convex, least := from, false, math.Inf(1)
	for i := e.next[from]; ; i = e.next[i] {
		c, d := e.convex(i, 0), r2.Norm2(r2.Sub(e.p(e.prev[i]), e.p(e.next[i])))
		if c && !convex || c == convex && d < least {
			best, convex, least = i, c, d
		}
		if i == from {
			return best
		}
	}
}

// add keeps a triangle of three different corners. Another encloses nothing,
// and its edges cancel.
func (t *triangulation) add(a, b, c int32) {
	if a != b && b != c && c != a {
		t.tris = append(t.tris, [3]int32{a, b, c})
	}
}

// offLine is how far q lies to the left of the line from a to b.
func offLine(a, b, q r2.Vec) float64 {
	d := r2.Sub(b, a)
	return r2.Cross(d, r2.Sub(q, a)) / r2.Norm(d)
}

// leftOf says whether q lies to the left of the line from a to b, on it, or
// to its right by no more than flat.
func leftOf(a, b, q r2.Vec, flat float64) bool {
	return Orient(a, b, q) >= 0 || flat > 0 && offLine(a, b, q) >= -flat
}
