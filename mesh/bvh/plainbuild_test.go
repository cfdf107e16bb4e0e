package bvh

import (
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// A tree is bit for bit that of the plain builder, whatever the builder has
// built before: what is told of equal distances rests on it.
func TestBuilderAgainstPlain(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 14))
	var b Builder
	check := func(m *model, facets []int32) {
		t.Helper()
		if len(facets) == 0 {
			return
		}
		want := plainNew(m.v, m.t, facets)
		for _, got := range []*Tree{b.New(m.v, m.t, facets), newLarge(m.v, m.t, facets, patchFacets+rng.IntN(100))} {
			if !slices.Equal(got.facets, want.facets) || !reflect.DeepEqual(got.nodes, want.nodes) || !slices.Equal(got.slabs, want.slabs) {
				t.Fatalf("%d facets: the trees differ", len(facets))
			}
		}
	}
	some := func(m *model) []int32 {
		var facets []int32
		for i := range m.t {
			if rng.IntN(8) > 0 {
				facets = append(facets, int32(i))
			}
		}
		if rng.IntN(2) == 0 {
			rng.Shuffle(len(facets), func(i, j int) { facets[i], facets[j] = facets[j], facets[i] })
		}
		return facets
	}
	for range 300 {
		m := random(rng, 1+rng.IntN(400), 10, 2)
		check(m, some(m))
	}
	for n := 4; n < 60; n += 5 {
		for _, m := range []*model{wall(n, 2*n, 5, -3, 20, 0.1), ball(n, 5), torus(n, 2*n, 10, 2), plate(n, 0.4, true)} {
			check(m, some(m))
		}
	}
}

// plainNew builds a tree as New does, by plain comparisons and moving nothing
// but facets: the judge of every box, leaf and slab.
func plainNew(v []r3.Vec, t [][3]int32, facets []int32) *Tree {
	tr := &Tree{v: v, t: t}
	if len(facets) == 0 {
		return tr
	}
	b := plainBuilder{items: make([]plainItem, len(facets)), Tree: tr}
	for i, f := range facets {
		box := boxOf(tr.corners(f))
		b.items[i] = plainItem{
			lo:    [3]float32{float32(box.Min.X), float32(box.Min.Y), float32(box.Min.Z)},
			hi:    [3]float32{float32(box.Max.X), float32(box.Max.Y), float32(box.Max.Z)},
			facet: f,
		}
	}
	b.build(b.items, 0)
	return tr
}

// plainItem is a facet while the tree is built. Its box only steers the splits,
// so float32 will do.
type plainItem struct {
	lo, hi [3]float32
	facet  int32
	bin    int32 // in the split being made
}

// middle is twice the middle of the item's box along an axis.
func (it *plainItem) middle(axis int) float32 { return it.lo[axis] + it.hi[axis] }

type plainBuilder struct {
	*Tree
	items []plainItem
}

// build appends the node over items, and all below it, and returns its index.
func (b *plainBuilder) build(items []plainItem, depth int) int32 {
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
		b.slabs = append(b.slabs, plainSlab(b.Tree, &nd))
		b.nodes[at] = nd
		return at
	}
	cut := len(items) / 2
	if depth < maxBinnedDepth {
		k := 0
		if len(items) <= patchFacets {
			k = b.splitByNormal(items)
		}
		if k == 0 {
			k = plainSplit(items)
		}
		if k > 0 && k < len(items) {
			cut = k
		}
	}
	left := b.build(items[:cut], depth+1)
	right := b.build(items[cut:], depth+1)
	l, r := &b.nodes[left], &b.nodes[right]
	b.nodes[at] = node{box: plainUnion(&l.box, &r.box), at: right, face: l.face | r.face}
	return at
}

// splitByNormal orders items into those that face more like the first one and
// those that face more like the one that differs most from it. It returns the
// size of the first group, 0 where all face alike.
func (b *plainBuilder) splitByNormal(items []plainItem) int {
	var normals [patchFacets]r3.Vec
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

// plainSplit orders items into two groups where the expected cost of a query, the
// sum of the two boxes' surfaces times their facets, is least, among bins
// places along the axis on which the facets' middles spread most. It returns
// the size of the first group, which is 0 or all where no place divides.
func plainSplit(items []plainItem) int {
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
		it.bin = plainBinOf(it.middle(axis), from, scale)
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
		n, l, h = plainJoined(n, l, h, bin[i].n, bin[i].lo, bin[i].hi)
		cost[i] = float32(n) * plainSurface(l, h)
	}
	best, least := 0, float32(math.Inf(1))
	n = 0
	for i := 1; i < bins; i++ {
		n, l, h = plainJoined(n, l, h, bin[i-1].n, bin[i-1].lo, bin[i-1].hi)
		if n == 0 || n == len(items) {
			continue
		}
		if c := float32(float32(n)*plainSurface(l, h)) + cost[i]; c < least {
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

// plainBinOf finds the bin of a middle; whatever is not a number goes to the first.
func plainBinOf(m, from, scale float32) int32 {
	f := (m - from) * scale
	if !(f > 0) {
		return 0
	}
	if f >= bins-1 {
		return bins - 1
	}
	return int32(f)
}

func plainJoined(n int, lo, hi [3]float32, n2 int, lo2, hi2 [3]float32) (int, [3]float32, [3]float32) {
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

// plainSurface is half the surface of a box.
func plainSurface(lo, hi [3]float32) float32 {
	x, y, z := hi[0]-lo[0], hi[1]-lo[1], hi[2]-lo[2]
	return float32(x*y) + float32(y*z) + float32(z*x)
}

func plainUnion(a, b *r3.Box) r3.Box {
	u := *a
	grow(&u, b.Min)
	grow(&u, b.Max)
	return u
}

func plainSlab(t *Tree, leaf *node) slab {
	var s slab
	facets := t.facets[leaf.at : leaf.at+int32(leaf.n)]
	for _, f := range facets {
		a, b, c := t.corners(f)
		n := cross(sub(b, a), sub(c, a))
		s.n = r3.Vec{X: s.n.X + n.X, Y: s.n.Y + n.Y, Z: s.n.Z + n.Z}
	}
	long := math.Sqrt(dot(s.n, s.n))
	if !(long > 0) || math.IsInf(long, 0) {
		return slab{}
	}
	s.n = r3.Vec{X: s.n.X / long, Y: s.n.Y / long, Z: s.n.Z / long}
	s.lo, s.hi = math.Inf(1), math.Inf(-1)
	for _, f := range facets {
		for _, k := range t.t[f] {
			h := dot(s.n, t.v[k])
			if h < s.lo {
				s.lo = h
			}
			if h > s.hi {
				s.hi = h
			}
		}
	}
	return s
}

func grow(b *r3.Box, p r3.Vec) { *b = r3.Box{Min: least(b.Min, p), Max: most(b.Max, p)} }
