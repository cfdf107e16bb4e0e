package gapscan

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
	"playgauge/slice"
)

// What the facets between two cuts can do to the layers. The flags only save
// work: where one is not set, the thing cannot happen.
const (
	slabSlopes uint8 = 1 << iota // the outline may change from the layer below
	slabFaces                    // something may face down: a layer may reach beyond the one below
	slabHangs                    // something may reach out beyond what stands
)

// uprightTan is the tangent of the angle from vertical up to which a facet
// counts as upright: over a layer it shifts the outline by less than a micron.
const uprightTan = 0.001

// slabs holds the flags of one part, layer by layer: those of layer n, for
// the slab between cut n-1 and cut n, at index n.
type slabs []uint8

// partSlabs looks at every facet and edge of the mesh. tanHang is the tangent
// of the machine's overhang angle.
func partSlabs(m *mesh.Mesh, p slice.Plan, tanHang float64) []slabs {
	out := make([]slabs, len(m.Parts))
	for i := range out {
		out[i] = make(slabs, p.Layers+2)
	}
	level := make([]int32, len(m.V))
	for i, v := range m.V {
		level[i] = int32(p.Below(v.Z))
	}
	lowest := make([]bool, len(m.V))
	for i := range lowest {
		lowest[i] = true
	}
	normals := make([]r3.Vec, len(m.T))
	for t, c := range m.T {
		for e := range 3 {
			a, b := c[e], c[(e+1)%3]
			if m.V[b].Z <= m.V[a].Z {
				lowest[a] = false
			}
			if m.V[a].Z <= m.V[b].Z {
				lowest[b] = false
			}
		}
		normals[t] = r3.Cross(r3.Sub(m.V[c[1]], m.V[c[0]]), r3.Sub(m.V[c[2]], m.V[c[0]]))
	}
	for t, c := range m.T {
		s := out[m.Shells[m.ShellOf[t]].Part]
		n := normals[t]
		flat := math.Hypot(n.X, n.Y)
		var f uint8
		if math.Abs(n.Z) > uprightTan*flat {
			f |= slabSlopes
			if n.Z < 0 {
				f |= slabFaces
			}
		}
		if n.Z < 0 && -n.Z > tanHang*flat {
			f |= slabHangs
		}
		s.mark(f, level[c[0]], level[c[1]], level[c[2]])
		for e := range 3 {
			a, b := c[e], c[(e+1)%3]
			if lowest[a] {
				s.mark(slabHangs, level[a])
			}
			if mate := m.Mate[3*t+e]; mate >= 0 && int(mate/3) > t && keel(m, normals, t, int(mate/3), a, b, tanHang) {
				s.mark(slabHangs, level[a], level[b])
			}
		}
	}
	return out
}

// mark sets flags in every slab that the vertices' levels span.
func (s slabs) mark(f uint8, levels ...int32) {
	if f == 0 {
		return
	}
	lo, hi := levels[0], levels[0]
	for _, l := range levels[1:] {
		lo, hi = min(lo, l), max(hi, l)
	}
	for n := lo + 1; n <= hi+1 && int(n) < len(s); n++ {
		s[n] |= f
	}
}

// keel says whether the edge from a to b of facets t and u is a bottom line
// that lies flatter than the overhang angle: both facets rise from it, so
// that what runs down them goes on along the edge.
func keel(m *mesh.Mesh, normals []r3.Vec, t, u int, a, b int32, tanHang float64) bool {
	if normals[t].Z >= 0 && normals[u].Z >= 0 {
		return false
	}
	d := r3.Sub(m.V[b], m.V[a])
	if math.Hypot(d.X, d.Y) <= math.Abs(d.Z)*tanHang {
		return false
	}
	// Into facet t, square to the edge: normal x edge, the facet being on the
	// left of its edge; into u the other way round.
	it := r3.Cross(normals[t], d)
	iu := r3.Cross(d, normals[u])
	return it.Z >= 0 && iu.Z >= 0
}

// any says whether a flag is set in any of the layers from..to.
func (s slabs) any(f uint8, from, to int) bool {
	for n := max(from, 0); n <= min(to, len(s)-1); n++ {
		if s[n]&f != 0 {
			return true
		}
	}
	return false
}
