package gapscan

import (
	"slices"
	"sync/atomic"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan/overhang"
	"playgauge/mesh"
	"playgauge/mesh/parallel"
	"playgauge/slice"
)

// What the facets between two cuts can do to the layers. The flags only save
// work: where one is not set, the thing cannot happen. The walls of the layers
// may recede from the facets'.
const (
	slabSlopes  uint8 = 1 << iota // the outline may change from the layer below
	slabFaces                     // something may face down: a layer may reach beyond the one below
	slabHangs                     // something may reach out beyond what stands
	slabReaches                   // and so far that it may be news: a bridge or a cantilever
	slabEnds                      // something faces up, if by more than endsTan: a layer may reach beyond the one above
	slabLeans                     // something is not upright, be it by endsTan: the outline is not that of the layer below
	slabOpen                      // the part is open there
	slabRecedes                   // walls recede
)

// slabUntold says that facets do not tell all.
const slabUntold = slabOpen | slabRecedes

// slabNews says that a layer may have something that the one above has not.
const slabNews = slabEnds | slabUntold

// uprightTan is the tangent of the angle from vertical up to which a facet
// counts as upright: over a layer it shifts the outline by less than a micron.
const uprightTan = 0.001

// endsTan is the tangent of the angle from vertical up to which a facet does
// not count as facing up: rounding makes upright walls lean so. Over 300 mm
// it shifts the outline by three microns.
const endsTan = 1e-5

// slabs holds the flags of one part, layer by layer: those of layer n, for
// the slab between cut n-1 and cut n, at index n.
type slabs []uint8

// partSlabs looks at every facet and edge of the mesh. tanHang is the tangent
// of the machine's overhang angle. Where walls recede, what is thin is gone, and
// what it carried hangs, however steep it is.
func partSlabs(m *mesh.Mesh, p slice.Plan, tanHang float64, recede bool) []slabs {
	out := make([]slabs, len(m.Parts))
	tan := outTans{squared(tanHang), squared(max(tanHang, overhang.MinBridge/2/max(p.First, p.Rest)))}
	if recede {
		tan = outTans{squared(uprightTan), squared(uprightTan)}
	}
	for i := range out {
		out[i] = make(slabs, p.Layers+2)
		if recede {
			out[i].mark(slabRecedes, 0, int32(p.Layers))
		}
	}
	level, falls := p.Levels(m), falling(m)
	parallel.Each(len(m.Parts), func(i int) {
		for _, sh := range m.Parts[i].Shells {
			for _, t := range m.Shells[sh].Facets {
				out[i].facet(m, t, level, falls, tan)
			}
		}
	})
	return out
}

// outTans are the tangents, squared, of the angles from vertical beyond which
// something hangs, and beyond which it may lie farther from the layer below than
// what is news: over a layer, whatever is steeper reaches out by less.
type outTans struct{ hangs, reaches float64 }

// flags gives what may be of something whose run and rise have these squares.
func (t outTans) flags(run, rise float64) uint8 {
	switch {
	case !(run > float64(rise*t.hangs)):
		return 0
	case !(run > float64(rise*t.reaches)):
		return slabHangs
	}
	return slabHangs | slabReaches
}

func squared(x float64) float64 { return float64(x * x) }

// mayEnd says of a box in plan, and then of a layer, whether something within
// the box may lie in the layer that the next one does not have.
func mayEnd(m *mesh.Mesh, of []slabs) func(box r2.Box) func(layer int) bool {
	return func(box r2.Box) func(int) bool {
		var near []slabs
		for i := range m.Parts {
			b := &m.Parts[i].Box
			if boxes2Meet(r2.Box{Min: r2.Vec{X: b.Min.X, Y: b.Min.Y}, Max: r2.Vec{X: b.Max.X, Y: b.Max.Y}}, box) {
				near = append(near, of[i])
			}
		}
		return func(layer int) bool {
			return slices.ContainsFunc(near, func(s slabs) bool { return s.any(slabNews, layer+1, layer+1) })
		}
	}
}

// falling says of each vertex whether any edge does not rise from it.
func falling(m *mesh.Mesh) []atomic.Bool {
	falls := make([]atomic.Bool, len(m.V))
	set := func(v int32, does bool) {
		if does && !falls[v].Load() {
			falls[v].Store(true)
		}
	}
	parallel.Blocks(len(m.T), func(_, from, to int) {
		for _, t := range m.T[from:to] {
			a, b, c := m.V[t[0]].Z, m.V[t[1]].Z, m.V[t[2]].Z
			set(t[0], b <= a || c <= a)
			set(t[1], a <= b || c <= b)
			set(t[2], a <= c || b <= c)
		}
	})
	return falls
}

// facet sets what a facet, its edges and its corners can do. level and falls
// say of each vertex in which slab it lies and whether any edge does not rise
// from it.
func (s slabs) facet(m *mesh.Mesh, t int32, level []int32, falls []atomic.Bool, tan outTans) {
	c, n := m.T[t], normal(m, t)
	// A facet runs out as far as its normal rises.
	run, rise := squared(n.Z), squared(n.X)+squared(n.Y)
	var f uint8
	if run > float64(rise*squared(uprightTan)) {
		f |= slabSlopes
		if n.Z < 0 {
			f |= slabFaces
		}
	}
	if run > float64(rise*squared(endsTan)) {
		f |= slabLeans
		if n.Z > 0 {
			f |= slabEnds
		}
	}
	if n.Z < 0 {
		f |= tan.flags(run, rise)
	}
	s.mark(f, level[c[0]], level[c[1]], level[c[2]])
	for e := range 3 {
		a, b := c[e], c[(e+1)%3]
		if !falls[a].Load() {
			// A tip just below a cut has no contour there: the next one is where
			// it begins.
			s.mark(slabHangs|slabReaches, level[a], level[a]+1)
		}
		switch mate := m.Mate[3*int(t)+e]; {
		case mate < 0:
			s.mark(slabOpen, level[a], level[b])
		case mate/3 > t:
			s.mark(keel(m, n, mate/3, a, b, tan), level[a], level[b])
		}
	}
}

// normal is at right angles to a facet, outward, and as long as twice its area.
func normal(m *mesh.Mesh, t int32) r3.Vec {
	c := m.T[t]
	return r3.Cross(r3.Sub(m.V[c[1]], m.V[c[0]]), r3.Sub(m.V[c[2]], m.V[c[0]]))
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

// keel gives what may be of the edge from a to b of facets t, whose normal is
// nt, and u where it is a bottom line: both facets rise from it, so that what
// runs down them goes on along the edge.
func keel(m *mesh.Mesh, nt r3.Vec, u, a, b int32, tan outTans) uint8 {
	d := r3.Sub(m.V[b], m.V[a])
	// How the ways into the facets rise that are square to the edge: into t it is
	// normal x edge, the facet being on the left of its edge; into u the other way
	// round.
	if float64(nt.X*d.Y)-float64(nt.Y*d.X) < 0 {
		return 0
	}
	f := tan.flags(squared(d.X)+squared(d.Y), squared(d.Z))
	if f == 0 {
		return 0
	}
	nu := normal(m, u)
	if nt.Z >= 0 && nu.Z >= 0 || float64(d.X*nu.Y)-float64(d.Y*nu.X) < 0 {
		return 0
	}
	return f
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

// upright says that a part has both layers and the same outline in all from
// one to the other: it comes no nearer in the one than in the other.
func (sc *scanner) upright(part int32, from, to int) bool {
	return !sc.slabs[part].any(slabSlopes, from+1, to) && sc.index.At(from).Has(part) && sc.index.At(to).Has(part)
}

// grows says that whatever a part has in layer from it has in layer to above it
// too: nothing between faces up. Beside another part it comes no nearer in the
// one than in the other.
func (sc *scanner) grows(part int32, from, to int) bool {
	return !sc.slabs[part].any(slabNews, from+1, to)
}
