// Package bvh answers questions about distance, inside and outside of
// triangle surfaces through trees of bounding boxes. Lengths are mm.
//
// A Tree is never changed after New, so any number of goroutines may ask it.
// Products are rounded before they are added, so an answer is the same on
// every processor.
package bvh

import "gonum.org/v1/gonum/spatial/r3"

// leafFacets is the largest number of facets in a leaf. Pairs of leaves are
// compared facet by facet; more would cost there, fewer would cost memory.
const leafFacets = 8

// Tree holds facets of a mesh in nested boxes.
type Tree struct {
	v      []r3.Vec
	t      [][3]int32
	facets []int32 // leaf by leaf
	nodes  []node  // depth first: the left child of i is i+1
	slabs  []slab  // one a leaf
}

// node is a box; a leaf holds facets[at:at+n] and has slabs[slab], any other
// node has n == 0 and its right child at nodes[at].
type node struct {
	box  r3.Box
	at   int32
	slab int32
	n    uint8
	face uint8
}

// Whether facets below a node look up or down.
const (
	looksUp uint8 = 1 << iota
	looksDown
)

// New builds a tree over the given facets of t, whose corners are indices
// into v. It keeps v and t and does not change them; they must not change
// while the tree is in use. The same input gives the same tree.
func New(v []r3.Vec, t [][3]int32, facets []int32) *Tree {
	return new(Builder).New(v, t, facets)
}

// Facets is the number of facets in the tree.
func (t *Tree) Facets() int { return len(t.facets) }

// Box bounds the facets. The box of an empty tree has its minimum at plus
// and its maximum at minus infinity: it is far from everything.
func (t *Tree) Box() r3.Box {
	if len(t.nodes) == 0 {
		return emptyBox()
	}
	return t.nodes[0].box
}

// corners returns the corners of a facet.
func (t *Tree) corners(f int32) (a, b, c r3.Vec) {
	k := t.t[f]
	return t.v[k[0]], t.v[k[1]], t.v[k[2]]
}
