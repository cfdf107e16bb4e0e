package bvh

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/parallel"
)

const (
	// largeTree is the number of facets from which a tree is built by several
	// processors, branchFacets how many are left to one of them.
	largeTree    = 1 << 16
	branchFacets = 1 << 13
	// itemRun is the number of facets that one processor readies together.
	itemRun = 1 << 13
)

// limb is a node near the root: one that is divided, over two other limbs, or
// a branch, which one processor builds.
type limb struct {
	items       []item
	depth       int
	left, right int // where it is divided, otherwise 0

	facets []int32
	nodes  []node
	slabs  []slab
}

// newLarge is New of one facet or more by several processors: the same tree.
// Branches have most facets, patchFacets or more.
func newLarge(v []r3.Vec, t [][3]int32, facets []int32, most int) *Tree {
	items := make([]item, len(facets))
	in := Builder{v: v, t: t}
	parallel.Each(parallel.Runs(len(items), itemRun), func(r int) {
		for i := r * itemRun; i < min((r+1)*itemRun, len(items)); i++ {
			items[i] = in.itemOf(facets[i])
		}
	})
	limbs := divide(items, most)
	parallel.EachWorker(len(limbs), func() func(int) {
		b := Builder{v: v, t: t}
		return func(i int) {
			l := &limbs[i]
			if l.left > 0 {
				return
			}
			b.facets, b.nodes, b.slabs = b.facets[:0], b.nodes[:0], b.slabs[:0]
			b.build(l.items, l.depth)
			l.facets, l.nodes, l.slabs = slices.Clone(b.facets), slices.Clone(b.nodes), slices.Clone(b.slabs)
		}
	})
	nodes, slabs := 0, 0
	for i := range limbs {
		nodes += max(1, len(limbs[i].nodes))
		slabs += len(limbs[i].slabs)
	}
	tr := &Tree{v: v, t: t, facets: make([]int32, 0, len(facets)), nodes: make([]node, 0, nodes), slabs: make([]slab, 0, slabs)}
	tr.grow(limbs, 0)
	return tr
}

// divide divides items, those of a round side by side, until no limb has more
// than most. The first is the root.
func divide(items []item, most int) []limb {
	limbs := []limb{{items: items}}
	for first := 0; first < len(limbs); {
		round := limbs[first:]
		cuts := make([]int, len(round))
		parallel.Each(len(round), func(i int) {
			if len(round[i].items) > most {
				cuts[i] = cutOf(round[i].items, round[i].depth)
			}
		})
		for i, cut := range cuts {
			if cut > 0 {
				l := &limbs[first+i]
				l.left, l.right = len(limbs), len(limbs)+1
				limbs = append(limbs, limb{items: l.items[:cut], depth: l.depth + 1}, limb{items: l.items[cut:], depth: l.depth + 1})
			}
		}
		first += len(cuts)
	}
	return limbs
}

// grow appends a limb and all it carries, and returns its index.
func (t *Tree) grow(limbs []limb, i int) int32 {
	l, at := &limbs[i], int32(len(t.nodes))
	if l.left > 0 {
		t.nodes = append(t.nodes, node{})
		left, right := t.grow(limbs, l.left), t.grow(limbs, l.right)
		t.nodes[at] = forkOf(&t.nodes[left], &t.nodes[right], right)
		return at
	}
	for _, nd := range l.nodes {
		if nd.n > 0 {
			nd.at += int32(len(t.facets))
			nd.slab += int32(len(t.slabs))
		} else {
			nd.at += at
		}
		t.nodes = append(t.nodes, nd)
	}
	t.facets, t.slabs = append(t.facets, l.facets...), append(t.slabs, l.slabs...)
	return at
}
