package bvh

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// maxBinnedDepth is the depth below which a node is halved by count, so that
// no arrangement of facets makes a deep tree.
const maxBinnedDepth = 32

// maxDepth bounds the depth of a tree: the binned levels and 31 halvings.
const maxDepth = maxBinnedDepth + 32

// Builder builds one tree after the other and keeps its memory from one to
// the next.
type Builder struct {
	v     []r3.Vec
	t     [][3]int32
	items []item
	patch [patchFacets]patchFacet

	facets []int32
	nodes  []node
	slabs  []slab
}

// item is a facet while the tree is built. Its box only steers the splits,
// so float32 will do.
type item struct {
	// lo is the least corner of its box, far the largest one, negated: min
	// alone takes half of what max does, and no branches, which nothing could
	// foretell here.
	lo, far [3]float32
	facet   int32
	bin     int16 // in the split being made
	patch   int16 // its place in Builder.patch, of a few facets
}

// middle is twice the middle of the item's box along an axis.
func (it *item) middle(axis int) float32 { return it.lo[axis] - it.far[axis] }

// New is the package's New.
func (b *Builder) New(v []r3.Vec, t [][3]int32, facets []int32) *Tree {
	if len(facets) >= largeTree {
		return newLarge(v, t, facets, branchFacets)
	}
	tr := &Tree{v: v, t: t}
	if len(facets) == 0 {
		return tr
	}
	b.v, b.t = v, t
	b.items = slices.Grow(b.items[:0], len(facets))[:len(facets)]
	for i, f := range facets {
		b.items[i] = b.itemOf(f)
	}
	b.facets, b.nodes, b.slabs = b.facets[:0], b.nodes[:0], b.slabs[:0]
	b.build(b.items, 0)
	tr.facets, tr.nodes, tr.slabs = slices.Clone(b.facets), slices.Clone(b.nodes), slices.Clone(b.slabs)
	return tr
}

func (b *Builder) itemOf(f int32) item {
	c := b.t[f]
	p, q, r := float32s(b.v[c[0]]), float32s(b.v[c[1]]), float32s(b.v[c[2]])
	return item{
		lo:    [3]float32{min(p[0], q[0], r[0]), min(p[1], q[1], r[1]), min(p[2], q[2], r[2])},
		far:   [3]float32{min(-p[0], -q[0], -r[0]), min(-p[1], -q[1], -r[1]), min(-p[2], -q[2], -r[2])},
		facet: f,
	}
}

func float32s(p r3.Vec) [3]float32 { return [3]float32{float32(p.X), float32(p.Y), float32(p.Z)} }

// build appends the node over items, and all below it, and returns its index.
func (b *Builder) build(items []item, depth int) int32 {
	if len(items) <= patchFacets {
		b.layOut(items)
		return b.buildPatch(items, depth)
	}
	return b.fork(items, cutOf(items, depth), depth, b.build)
}

// cutOf orders items into two groups and returns the size of the first.
func cutOf(items []item, depth int) int {
	cut := 0
	if depth < maxBinnedDepth {
		cut = split(items)
	}
	return orHalf(cut, items)
}

// orHalf is a cut, or half of the items where it divides nothing.
func orHalf(cut int, items []item) int {
	if cut <= 0 || cut >= len(items) {
		return len(items) / 2
	}
	return cut
}

// fork appends a node over two groups of items, the first of which ends at
// cut, and all below it, and returns its index.
func (b *Builder) fork(items []item, cut, depth int, build func([]item, int) int32) int32 {
	at := int32(len(b.nodes))
	b.nodes = append(b.nodes, node{})
	left := build(items[:cut], depth+1)
	right := build(items[cut:], depth+1)
	b.nodes[at] = forkOf(&b.nodes[left], &b.nodes[right], right)
	return at
}

// forkOf is the node over two nodes, the right one of the given index.
func forkOf(l, r *node, right int32) node {
	return node{box: union(&l.box, &r.box), at: right, face: l.face | r.face}
}

// union is the box that holds two. Which of them reaches farther is as good
// as random, so min and max, which do without branches, are faster than
// comparisons.
func union(a, b *r3.Box) r3.Box {
	return r3.Box{Min: least(a.Min, b.Min), Max: most(a.Max, b.Max)}
}

func least(a, b r3.Vec) r3.Vec {
	return r3.Vec{X: min(a.X, b.X), Y: min(a.Y, b.Y), Z: min(a.Z, b.Z)}
}

func most(a, b r3.Vec) r3.Vec {
	return r3.Vec{X: max(a.X, b.X), Y: max(a.Y, b.Y), Z: max(a.Z, b.Z)}
}

func emptyBox() r3.Box {
	inf := math.Inf(1)
	return r3.Box{Min: r3.Vec{X: inf, Y: inf, Z: inf}, Max: r3.Vec{X: -inf, Y: -inf, Z: -inf}}
}
