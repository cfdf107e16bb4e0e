package report

import (
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan"
	"playgauge/mesh"
)

// tinted is a model with a colour for each facet.
type tinted struct {
	v     []r3.Vec
	t     [][3]int32
	part  []int32 // index, for each facet
	color []uint8 // index into palette, for each facet
	table []oklab // the palette: the heat colours, then the parts' tints
}

const (
	// tintSteps is how many colours the margins from 0 to 1.25 are told by.
	tintSteps = 26
	// tintShades is how many tints the parts share.
	tintShades = 64
	// tintEdge is the length in mm down to which facets are divided where
	// the surface is partly tight, so that a long facet is not tight all over.
	tintEdge = 0.8
	// mostTinted bounds the facets; no facet is divided any more then.
	mostTinted = 4_000_000
)

// tintModel divides the facets near tight places and gives each its colour:
// that of the margin in its middle, or the part's tint where it is free.
func tintModel(r *gapscan.Result, m *mesh.Mesh) *tinted {
	h := newHeatMap(r)
	out := &tinted{v: append([]r3.Vec(nil), m.V...), t: append([][3]int32(nil), m.T...)}
	out.part = make([]int32, len(m.T))
	for i, s := range m.ShellOf {
		out.part[i] = m.Shells[s].Part
	}
	for out.divide(h, m) {
	}
	for k := range tintSteps {
		out.table = append(out.table, rampLab(freeMargin*(float64(k)+0.5)/tintSteps))
	}
	shades := min(len(m.Parts), tintShades)
	for k := range shades {
		out.table = append(out.table, partTint(k+1))
	}
	out.color = make([]uint8, len(out.t))
	for i, f := range out.t {
		a, b, c := out.v[f[0]], out.v[f[1]], out.v[f[2]]
		n := unit(r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))
		mid := r3.Scale(1.0/3, r3.Add(r3.Add(a, b), c))
		id := m.Parts[out.part[i]].ID
		out.color[i] = uint8(tintSteps + (id-1)%shades)
		if margin, ok := h.at(id, mid, n); ok {
			out.color[i] = uint8(min(max(int(margin/freeMargin*tintSteps), 0), tintSteps-1))
		}
	}
	return out
}

// divide halves the long edges of all facets near tight places once; a
// neighbour that shares such an edge is divided with it, so that no gap opens.
// False when there was nothing to divide.
func (m *tinted) divide(h *heatMap, src *mesh.Mesh) bool {
	if len(m.t) >= mostTinted {
		return false
	}
	middles := map[[2]int32]int32{}
	key := func(a, b int32) [2]int32 { return [2]int32{min(a, b), max(a, b)} }
	for i, f := range m.t {
		a, b, c := m.v[f[0]], m.v[f[1]], m.v[f[2]]
		if max(r3.Norm(r3.Sub(a, b)), r3.Norm(r3.Sub(b, c)), r3.Norm(r3.Sub(c, a))) <= tintEdge {
			continue
		}
		box := r3.Box{
			Min: r3.Vec{X: min(a.X, b.X, c.X), Y: min(a.Y, b.Y, c.Y), Z: min(a.Z, b.Z, c.Z)},
			Max: r3.Vec{X: max(a.X, b.X, c.X), Y: max(a.Y, b.Y, c.Y), Z: max(a.Z, b.Z, c.Z)},
		}
		if !h.touches(src.Parts[m.part[i]].ID, box) {
			continue
		}
		for e := range 3 {
			p, q := f[e], f[(e+1)%3]
			if r3.Norm(r3.Sub(m.v[p], m.v[q])) <= tintEdge {
				continue
			}
			if _, ok := middles[key(p, q)]; !ok {
				middles[key(p, q)] = int32(len(m.v))
				m.v = append(m.v, r3.Scale(0.5, r3.Add(m.v[p], m.v[q])))
			}
		}
	}
	if len(middles) == 0 {
		return false
	}
	facets, parts := make([][3]int32, 0, 2*len(m.t)), make([]int32, 0, 2*len(m.t))
	for i, f := range m.t {
		for _, g := range split(f, func(a, b int32) int32 {
			if v, ok := middles[key(a, b)]; ok {
				return v
			}
			return -1
		}) {
			facets, parts = append(facets, g), append(parts, m.part[i])
		}
	}
	m.t, m.part = facets, parts
	return true
}

// split divides a facet at the middles of its edges, -1 for those that stay
// whole, and keeps the side it faces.
func split(f [3]int32, middle func(a, b int32) int32) [][3]int32 {
	var mid [3]int32
	n := 0
	for e := range 3 {
		if mid[e] = middle(f[e], f[(e+1)%3]); mid[e] >= 0 {
			n++
		}
	}
	switch n {
	case 0:
		return [][3]int32{f}
	case 3:
		return [][3]int32{{f[0], mid[0], mid[2]}, {mid[0], f[1], mid[1]}, {mid[2], mid[1], f[2]}, {mid[0], mid[1], mid[2]}}
	}
	// Turn it so that the first edge is divided and the last is not.
	e := 0
	for mid[e] < 0 || mid[(e+2)%3] >= 0 {
		e++
	}
	a, b, c := f[e], f[(e+1)%3], f[(e+2)%3]
	ab, bc := mid[e], mid[(e+1)%3]
	if n == 1 {
		return [][3]int32{{a, ab, c}, {ab, b, c}}
	}
	return [][3]int32{{a, ab, c}, {ab, bc, c}, {ab, b, bc}}
}

// touches says that a part may be tight somewhere in a box.
func (h *heatMap) touches(part int, b r3.Box) bool {
	lo, hi := layerOfZ(h.layers, b.Min.Z), layerOfZ(h.layers, b.Max.Z)
	for k := max(lo-1, 0); k <= min(hi+1, len(h.walls)-1); k++ {
		if g := h.walls[k][part]; g != nil && g.touches(b) {
			return true
		}
		for _, f := range h.roofs[k][part] {
			if f.box.meets(b) {
				return true
			}
		}
	}
	return false
}

// touches says that a stretch of wall is near a box in plan.
func (g *wallGrid) touches(b r3.Box) bool {
	if !g.box.meets(b) {
		return false
	}
	for i := range g.segs {
		s := &g.segs[i]
		if min(s.a.X, s.b.X) <= b.Max.X+heatNear && max(s.a.X, s.b.X) >= b.Min.X-heatNear &&
			min(s.a.Y, s.b.Y) <= b.Max.Y+heatNear && max(s.a.Y, s.b.Y) >= b.Min.Y-heatNear {
			return true
		}
	}
	return false
}
