package bvh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// patchFacets is the number of facets up to which a node is divided by the
// way they face, if they face different ways: leaves of one plane can be told
// apart by their slabs alone.
const patchFacets = 4 * leafFacets

// sameFacing is the square of the difference of two unit normals up to which
// they face the same way: what float32 coordinates leave of a plane.
const sameFacing = 1e-6

// patchFacet is a facet laid out for the last few splits.
type patchFacet struct {
	p [3]r3.Vec
	// area is its normal, as long as twice its area; normal the same of
	// length 1, or 0.
	area, normal r3.Vec
}

// layOut lays out the facets of no more than patchFacets items.
func (b *Builder) layOut(items []item) {
	for i := range items {
		items[i].patch = int16(i)
		f := &b.patch[i]
		c := b.t[items[i].facet]
		f.p = [3]r3.Vec{b.v[c[0]], b.v[c[1]], b.v[c[2]]}
		n := cross(sub(f.p[1], f.p[0]), sub(f.p[2], f.p[0]))
		f.area, f.normal = n, n
		if len(items) <= leafFacets {
			continue // not to be divided
		}
		if l := math.Sqrt(dot(n, n)); l > 0 {
			f.normal = r3.Vec{X: n.X / l, Y: n.Y / l, Z: n.Z / l}
		}
	}
}

// buildPatch is build for facets that are laid out.
func (b *Builder) buildPatch(items []item, depth int) int32 {
	if len(items) <= leafFacets {
		return b.leaf(items)
	}
	cut := 0
	if depth < maxBinnedDepth {
		if cut = b.splitByNormal(items); cut == 0 {
			cut = split(items)
		}
	}
	return b.fork(items, orHalf(cut, items), depth, b.buildPatch)
}

// splitByNormal orders items into those that face more like the first one and
// those that face more like the one that differs most from it. It returns the
// size of the first group, 0 where all face alike.
func (b *Builder) splitByNormal(items []item) int {
	near := b.patch[items[0].patch].normal
	far, off := sameFacing, r3.Vec{}
	for i := range items {
		n := b.patch[items[i].patch].normal
		if d := dist2(n, near); d > far {
			far, off = d, n
		}
	}
	if far == sameFacing {
		return 0
	}
	i, j := 0, len(items)
	for i < j {
		n := b.patch[items[i].patch].normal
		if dist2(n, near) <= dist2(n, off) {
			i++
			continue
		}
		j--
		items[i], items[j] = items[j], items[i]
	}
	return i
}

// leaf appends a leaf and returns its index.
func (b *Builder) leaf(items []item) int32 {
	nd := node{box: emptyBox(), at: int32(len(b.facets)), slab: int32(len(b.slabs)), n: uint8(len(items))}
	for i := range items {
		b.facets = append(b.facets, items[i].facet)
		f := &b.patch[items[i].patch]
		nd.box.Min = least(least(nd.box.Min, f.p[0]), least(f.p[1], f.p[2]))
		nd.box.Max = most(most(nd.box.Max, f.p[0]), most(f.p[1], f.p[2]))
		switch {
		case f.area.Z > 0:
			nd.face |= looksUp
		case f.area.Z < 0:
			nd.face |= looksDown
		}
	}
	b.slabs = append(b.slabs, b.slabOf(items))
	b.nodes = append(b.nodes, nd)
	return int32(len(b.nodes) - 1)
}

// slabOf is the slab of a leaf.
func (b *Builder) slabOf(items []item) slab {
	var s slab
	for i := range items {
		n := &b.patch[items[i].patch].area
		s.n = r3.Vec{X: s.n.X + n.X, Y: s.n.Y + n.Y, Z: s.n.Z + n.Z}
	}
	long := math.Sqrt(dot(s.n, s.n))
	if !(long > 0) || math.IsInf(long, 0) {
		return slab{}
	}
	s.n = r3.Vec{X: s.n.X / long, Y: s.n.Y / long, Z: s.n.Z / long}
	lo, far := math.Inf(1), math.Inf(1) // far is the highest, negated
	for i := range items {
		p := &b.patch[items[i].patch].p
		x, y, z := dot(s.n, p[0]), dot(s.n, p[1]), dot(s.n, p[2])
		lo = min(lo, min(x, min(y, z)))
		far = min(far, min(-x, min(-y, -z)))
	}
	s.lo, s.hi = lo, -far
	return s
}
