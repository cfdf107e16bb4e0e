// Package bvh answers questions about distance, inside and outside of
// triangle surfaces through trees of bounding boxes. Lengths are mm.
//
// A Tree is never changed after New, so any number of goroutines may ask it.
// Products are rounded before they are added, so an answer is the same on
// every processor.
package bvh

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// leafFacets is the largest number of facets in a leaf. Pairs of leaves are
// compared facet by facet; more would cost there, fewer would cost memory.
const leafFacets = 8

// facedFacets is the number of facets up to which a node is divided by the
// way they face, if they face different ways: leaves of one plane can be told
// apart by their slabs alone.
const facedFacets = 4 * leafFacets

// sameFacing is the square of the difference of two unit normals up to which
// they face the same way: what float32 coordinates leave of a plane.
const sameFacing = 1e-6

// bins is the number of places at which a split is tried.
const bins = 16

// maxBinnedDepth is the depth below which a node is halved by count, so that
// no arrangement of facets makes a deep tree.
const maxBinnedDepth = 32

// maxDepth bounds the depth of a tree: the binned levels and 31 halvings.
const maxDepth = maxBinnedDepth + 32

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
	tr := &Tree{v: v, t: t}
	if len(facets) == 0 {
		return tr
	}
	b := builder{items: make([]item, len(facets)), Tree: tr}
	tr.facets = make([]int32, 0, len(facets))
	// Leaves come out about two thirds full, seldom less than half.
	tr.nodes = make([]node, 0, len(facets)/2+1)
	tr.slabs = make([]slab, 0, len(facets)/4+1)
	for i, f := range facets {
		box := tr.facetBox(f)
		b.items[i] = item{
			lo:    [3]float32{float32(box.Min.X), float32(box.Min.Y), float32(box.Min.Z)},
			hi:    [3]float32{float32(box.Max.X), float32(box.Max.Y), float32(box.Max.Z)},
			facet: f,
		}
	}
	b.build(b.items, 0)
	tr.nodes, tr.slabs = slices.Clone(tr.nodes), slices.Clone(tr.slabs)
	return tr
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

func (t *Tree) facetBox(f int32) r3.Box {
	return boxOf(t.corners(f))
}

// item is a facet while the tree is built. Its box only steers the splits,
// so float32 will do.
type item struct {
	lo, hi [3]float32
	facet  int32
	bin    int32 // in the split being made
}

// middle is twice the middle of the item's box along an axis.
func (it *item) middle(axis int) float32 { return it.lo[axis] + it.hi[axis] }

type builder struct {
	*Tree
	items []item
}

// build appends the node over items, and all below it, and returns its index.
func (b *builder) build(items []item, depth int) int32 {
	at := int32(len(b.nodes))
	b.nodes = append(b.nodes, node{})
	if len(items) <= leafFacets {
		nd := node{box: emptyBox(), at: int32(len(b.facets)), n: uint8(len(items))}
		for i := range items {
			f := items[i].facet
			b.facets = append(b.facets, f)
			pa, pb, pc := b.corners(f)
			grow(&nd.box, pa)
			grow(&nd.box, pb)
			grow(&nd.box, pc)
			switch area := planArea2(pa, pb, pc); {
			case area > 0:
				nd.face |= looksUp
			case area < 0:
				nd.face |= looksDown
			}
		}
		nd.slab = int32(len(b.slabs))
		b.slabs = append(b.slabs, b.slabOf(&nd))
		b.nodes[at] = nd
		return at
	}
	cut := len(items) / 2
	if depth < maxBinnedDepth {
		k := 0
		if len(items) <= facedFacets {
			k = b.splitByNormal(items)
		}
		if k == 0 {
			k = split(items)
		}
		if k > 0 && k < len(items) {
			cut = k
		}
	}
	left := b.build(items[:cut], depth+1)
	right := b.build(items[cut:], depth+1)
	l, r := &b.nodes[left], &b.nodes[right]
	b.nodes[at] = node{box: union(&l.box, &r.box), at: right, face: l.face | r.face}
	return at
}

// splitByNormal orders items into those that face more like the first one and
// those that face more like the one that differs most from it. It returns the
// size of the first group, 0 where all face alike.
func (b *builder) splitByNormal(items []item) int {
	var normals [facedFacets]r3.Vec
	far, other := sameFacing, -1
	for i := range items {
		p, q, r := b.corners(items[i].facet)
		n := cross(sub(q, p), sub(r, p))
		if l := math.Sqrt(dot(n, n)); l > 0 {
			n = r3.Vec{X: n.X / l, Y: n.Y / l, Z: n.Z / l}
		}
		normals[i] = n
		if d := dist2(n, normals[0]); d > far {
			far, other = d, i
		}
	}
	if other < 0 {
		return 0
	}
	near, off := normals[0], normals[other]
	i, j := 0, len(items)
	for i < j {
		if dist2(normals[i], near) <= dist2(normals[i], off) {
			i++
			continue
		}
		j--
		items[i], items[j] = items[j], items[i]
		normals[i], normals[j] = normals[j], normals[i]
	}
	return i
}

// split orders items into two groups where the expected cost of a query, the
// sum of the two boxes' surfaces times their facets, is least, among bins
// places along the axis on which the facets' middles spread most. It returns
// the size of the first group, which is 0 or all where no place divides.
func split(items []item) int {
	var lo, hi [3]float32
	for k := range 3 {
		lo[k], hi[k] = math.MaxFloat32, -math.MaxFloat32
	}
	for i := range items {
		x, y, z := items[i].middle(0), items[i].middle(1), items[i].middle(2)
		stretch(&lo[0], &hi[0], x, x)
		stretch(&lo[1], &hi[1], y, y)
		stretch(&lo[2], &hi[2], z, z)
	}
	axis := 0
	for k := 1; k < 3; k++ {
		if hi[k]-lo[k] > hi[axis]-lo[axis] {
			axis = k
		}
	}
	width := hi[axis] - lo[axis]
	if !(width > 0) {
		return 0
	}
	from, scale := lo[axis], bins/width
	var bin [bins]struct {
		lo, hi [3]float32
		n      int
	}
	for i := range items {
		it := &items[i]
		it.bin = binOf(it.middle(axis), from, scale)
		s := &bin[it.bin]
		s.n++
		if s.n == 1 {
			s.lo, s.hi = it.lo, it.hi
			continue
		}
		stretch(&s.lo[0], &s.hi[0], it.lo[0], it.hi[0])
		stretch(&s.lo[1], &s.hi[1], it.lo[1], it.hi[1])
		stretch(&s.lo[2], &s.hi[2], it.lo[2], it.hi[2])
	}
	// cost[i] is that of the bins from i on, as one group.
	var cost [bins]float32
	var l, h [3]float32
	n := 0
	for i := bins - 1; i > 0; i-- {
		n, l, h = joined(n, l, h, bin[i].n, bin[i].lo, bin[i].hi)
		cost[i] = float32(n) * surface(l, h)
	}
	best, least := 0, float32(math.Inf(1))
	n = 0
	for i := 1; i < bins; i++ {
		n, l, h = joined(n, l, h, bin[i-1].n, bin[i-1].lo, bin[i-1].hi)
		if n == 0 || n == len(items) {
			continue
		}
		if c := float32(float32(n)*surface(l, h)) + cost[i]; c < least {
			best, least = i, c
		}
	}
	if best == 0 {
		return 0
	}
	i, j := 0, len(items)
	for i < j {
		if items[i].bin < int32(best) {
			i++
			continue
		}
		j--
		items[i], items[j] = items[j], items[i]
	}
	return i
}

// stretch widens a span. Plain comparisons are faster here than min and max,
// which care for NaN and -0.
func stretch(lo, hi *float32, lo2, hi2 float32) {
	if lo2 < *lo {
		*lo = lo2
	}
	if hi2 > *hi {
		*hi = hi2
	}
}

// binOf finds the bin of a middle; whatever is not a number goes to the first.
func binOf(m, from, scale float32) int32 {
	f := (m - from) * scale
	if !(f > 0) {
		return 0
	}
	if f >= bins-1 {
		return bins - 1
	}
	return int32(f)
}

func joined(n int, lo, hi [3]float32, n2 int, lo2, hi2 [3]float32) (int, [3]float32, [3]float32) {
	switch {
	case n2 == 0:
		return n, lo, hi
	case n == 0:
		return n2, lo2, hi2
	}
	for k := range 3 {
		stretch(&lo[k], &hi[k], lo2[k], hi2[k])
	}
	return n + n2, lo, hi
}

// surface is half the surface of a box.
func surface(lo, hi [3]float32) float32 {
	x, y, z := hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2]
	return float32(x*y) + float32(y*z) + float32(z*x)
}
