package mesh

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// MendWithin is how far apart, in mm, vertices of open edges may lie and be
// made one: a fifth of ContactDepth, so that nothing that is told apart can
// close, and several times what rounding a coordinate anew moves it.
const MendWithin = 0.002

// sliverHeight is the height in mm below which a facet is a line: float32
// noise of a coordinate of 100 mm.
const sliverHeight = 1e-5

// mend closes what is open for no reason but how the file was written. It
// changes nothing unless fewer edges are open afterwards, and returns the
// pairing as it is then.
func (m *Mesh) mend(p *pairing, insideOut bool, n *notes) *pairing {
	try := func(better func(*Mesh) int, told *int) {
		if p.open == 0 {
			return
		}
		c := Mesh{V: m.V, T: slices.Clone(m.T), Order: slices.Clone(m.Order), Mate: m.Mate}
		changed := better(&c)
		if changed == 0 {
			return
		}
		if q := pair(c.V, c.T, insideOut); q.open < p.open {
			p, *told = q, changed
			m.V, m.T, m.Order, m.Mate = c.V, c.T, c.Order, q.mate
		}
	}
	try((*Mesh).joinNear, &n.mended)
	if p.nonManifold > 0 {
		try((*Mesh).dropSlivers, &n.slivers)
	}
	return p
}

// joinNear makes one vertex of those at open edges that lie within MendWithin
// of each other, and returns how many went. In the order of their coordinates,
// each joins the nearest that stays, so that neither the order of the facets
// nor a chain of near vertices matters. Facets that lose a corner are left
// out.
func (m *Mesh) joinNear() int {
	var ends []int32
	for h, g := range m.Mate {
		if g < 0 {
			c := m.T[h/3]
			ends = append(ends, c[h%3], c[next(h%3)])
		}
	}
	slices.SortFunc(ends, func(a, b int32) int {
		p, q := m.V[a], m.V[b]
		return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y), cmp.Compare(p.Z, q.Z), cmp.Compare(a, b))
	})
	ends = slices.Compact(ends)
	type cell [3]int64
	at := func(p r3.Vec) cell {
		return cell{int64(math.Floor(p.X / MendWithin)), int64(math.Floor(p.Y / MendWithin)), int64(math.Floor(p.Z / MendWithin))}
	}
	kept := map[cell][]int32{}
	joined := map[int32]int32{}
	for _, v := range ends {
		c := at(m.V[v])
		to, best := int32(-1), float64(MendWithin*MendWithin)
		for x := c[0] - 1; x <= c[0]+1; x++ {
			for y := c[1] - 1; y <= c[1]+1; y++ {
				for z := c[2] - 1; z <= c[2]+1; z++ {
					for _, k := range kept[cell{x, y, z}] {
						d := sub(m.V[k], m.V[v])
						if d2 := dot(d, d); d2 < best || d2 == best && to < 0 {
							to, best = k, d2
						}
					}
				}
			}
		}
		if to < 0 {
			kept[c] = append(kept[c], v)
			continue
		}
		joined[v] = to
	}
	if len(joined) == 0 {
		return 0
	}
	for i := range m.T {
		for k, v := range m.T[i] {
			if to, ok := joined[v]; ok {
				m.T[i][k] = to
			}
		}
	}
	m.keep(func(f int32) bool {
		c := m.T[f]
		return c[0] != c[1] && c[1] != c[2] && c[2] != c[0]
	})
	return len(joined)
}

// dropSlivers leaves out the facets that are lines and lie at an edge that has
// two facets without them, and returns how many.
func (m *Mesh) dropSlivers() int {
	line := make([]bool, len(m.T))
	corner := make([]bool, len(m.V)) // of a line
	// The other facets at the edges of lines.
	others := map[[2]int32]int{}
	for f, c := range m.T {
		if line[f] = isLine(m.V[c[0]], m.V[c[1]], m.V[c[2]]); line[f] {
			for e, v := range c {
				corner[v] = true
				others[edgeOf(v, c[next(e)])] = 0
			}
		}
	}
	if len(others) == 0 {
		return 0
	}
	for f, c := range m.T {
		if line[f] {
			continue
		}
		for e, v := range c {
			if w := c[next(e)]; corner[v] && corner[w] {
				if n, ok := others[edgeOf(v, w)]; ok {
					others[edgeOf(v, w)] = n + 1
				}
			}
		}
	}
	return m.keep(func(f int32) bool {
		c := m.T[f]
		return !line[f] || others[edgeOf(c[0], c[1])] < 2 && others[edgeOf(c[1], c[2])] < 2 && others[edgeOf(c[2], c[0])] < 2
	})
}

// edgeOf is an edge, whichever way it runs.
func edgeOf(a, b int32) [2]int32 { return [2]int32{min(a, b), max(a, b)} }

// isLine says whether a triangle is no higher than sliverHeight over its
// longest side.
func isLine(a, b, c r3.Vec) bool {
	ab, ac, bc := sub(b, a), sub(c, a), sub(c, b)
	n := cross(ab, ac)
	longest := max(dot(ab, ab), dot(ac, ac), dot(bc, bc))
	return dot(n, n) <= sliverHeight*sliverHeight*longest
}
