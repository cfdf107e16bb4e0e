package bvh

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/spatial/r3"
)

// tie is the relative difference below which two squared distances are the
// same: without it two round surfaces of one axis, where every facet is as
// near as any other, would be searched to the last rounding error.
const tie = 4e-12

// beyond is the square of a distance that is surely more than limit, however
// bounds and distances near it round.
func beyond(limit float64) float64 {
	far := limit + TouchNoise
	return float64(far*far) * (1 + 2*tie)
}

// Pair is the place where two surfaces are nearest.
type Pair struct {
	// Dist is the distance of A and B in mm.
	Dist float64
	// A and B lie on the first and on the second surface.
	A, B r3.Vec
	// FacetA and FacetB are the facets they lie on.
	FacetA, FacetB int32
}

// Nearest finds the least distance in space between two surfaces, if it is
// at most limit. It is 0, at a place they share, where they cross or touch
// (within TouchNoise); a surface that lies wholly inside the other's solid is
// as far from it as the surfaces are. Dist exceeds the least by no more than
// 2e-12 of itself; which one of equal pairs is returned is fixed by the trees.
func Nearest(a, b *Tree, limit float64) (Pair, bool) {
	if len(a.nodes) == 0 || len(b.nodes) == 0 || !(limit >= 0) {
		return Pair{}, false
	}
	s := nearestSearch{limit: limit}
	s.begin(a, b)
	defer s.end()
	s.best.d2 = beyond(limit)
	s.lower()
	if boxes2(&a.nodes[0].box, &b.nodes[0].box) < s.cut {
		s.visit(0, 0)
	}
	return s.pair, s.found
}

type nearestSearch struct {
	facetPairs
	limit float64
	best  nearer
	pair  Pair
	found bool
}

func (s *nearestSearch) lower() { s.cutAt(s.best.d2 * (1 - tie)) }

func (s *nearestSearch) visit(i, j int32) {
	na, nb := &s.a.nodes[i], &s.b.nodes[j]
	if na.n > 0 && nb.n > 0 {
		s.leaves(na, nb)
		return
	}
	if nb.n > 0 || na.n == 0 && girth(&na.box) >= girth(&nb.box) {
		l, r := i+1, na.at
		dl, dr := boxes2(&s.a.nodes[l].box, &nb.box), boxes2(&s.a.nodes[r].box, &nb.box)
		if dr < dl {
			l, r, dl, dr = r, l, dr, dl
		}
		if dl < s.cut {
			s.visit(l, j)
		}
		if dr < s.cut {
			s.visit(r, j)
		}
		return
	}
	l, r := j+1, nb.at
	dl, dr := boxes2(&na.box, &s.b.nodes[l].box), boxes2(&na.box, &s.b.nodes[r].box)
	if dr < dl {
		l, r, dl, dr = r, l, dr, dl
	}
	if dl < s.cut {
		s.visit(i, l)
	}
	if dr < s.cut {
		s.visit(i, r)
	}
}

func (s *nearestSearch) leaves(na, nb *node) {
	var bufA, bufB [leafFacets]*tri
	ta, tb := s.load(na, nb, &bufA, &bufB)
	for _, t := range ta {
		for _, u := range tb {
			if s.apart(t, u) || s.best.beyond(t, u) {
				continue
			}
			n := s.best
			n.way2 = math.Inf(1)
			found := nearest(t, u, &n)
			if !math.IsInf(n.way2, 1) {
				s.best.way, s.best.way2 = n.way, n.way2
			}
			if !found {
				continue
			}
			d := math.Sqrt(n.d2)
			if d > s.limit {
				continue
			}
			s.best = n
			s.lower()
			s.found = true
			s.pair = Pair{Dist: d, A: n.a, B: n.b, FacetA: t.face, FacetB: u.face}
		}
	}
}

// facetPairs readies the facets of two leaves and rejects pairs of them.
type facetPairs struct {
	a, b   *Tree
	cut    float64 // what is as far, squared, is not looked at
	root   float64 // no less than the root of cut
	kept   *keptPair
	second bool // the normal of b's facet told the last pair apart
}

func (p *facetPairs) cutAt(d2 float64) { p.cut, p.root = d2, math.Sqrt(d2)*(1+tie) }

// begin readies the search, end gives back what it was lent.
func (p *facetPairs) begin(a, b *Tree) { p.a, p.b, p.kept = a, b, spare.Get().(*keptPair) }

func (p *facetPairs) end() {
	p.kept.a.forget()
	p.kept.b.forget()
	spare.Put(p.kept)
}

// keptPair is the leaves of two trees that were looked at last: most are held
// against several others.
type keptPair struct{ a, b leaves }

// spare holds the memory of searches that have ended: a model has hundreds of
// pairs of surfaces, and each would take some tens of kilobytes anew.
var spare = sync.Pool{New: func() any { return new(keptPair) }}

// keptLeaves is the number of leaves of a tree that are kept ready: enough for
// those that lie opposite a leaf and its neighbours.
const keptLeaves = 16

// leaves holds the facets of some leaves of a tree. Of most pairs of small
// surfaces one leaf is looked at, or none: each has memory once it is asked for.
type leaves [keptLeaves]*leaf

type leaf struct {
	of     *node
	facets [leafFacets]tri
}

// forget drops what is known, but not the memory.
func (l *leaves) forget() {
	for _, k := range l {
		if k != nil {
			k.of = nil
		}
	}
}

// load gives the facets of a leaf, until keptLeaves others were asked for.
func (l *leaves) load(t *Tree, n *node) []tri {
	k := &l[n.slab%keptLeaves]
	if *k == nil {
		*k = new(leaf)
	}
	if (*k).of != n {
		(*k).of = n
		t.loadLeaf(n, &(*k).facets)
	}
	return (*k).facets[:n.n]
}

// load returns the facets of two leaves that may be near the other leaf, in
// the order of the leaves.
func (p *facetPairs) load(na, nb *node, bufA, bufB *[leafFacets]*tri) (ta, tb []*tri) {
	sa, sb := &p.a.slabs[na.slab], &p.b.slabs[nb.slab]
	if leavesApart(sa, sb, &na.box, &nb.box, p.cut) {
		return nil, nil
	}
	fa, fb := p.kept.a.load(p.a, na), p.kept.b.load(p.b, nb)
	ta = sb.nearer(fa, &nb.box, p.root, bufA[:0])
	if len(ta) > 0 {
		tb = sa.nearer(fb, &na.box, p.root, bufB[:0])
	}
	return ta, tb
}

// apart reports whether two facets are surely not nearer than cut.
func (p *facetPairs) apart(t, u *tri) bool {
	if axesApart(&t.box, &u.box, p.root) {
		return true
	}
	t.ready()
	u.ready()
	first, then := t, u
	if p.second {
		first, then = u, t
	}
	if first.apart(then, p.cut) {
		return true
	}
	if then.apart(first, p.cut) {
		p.second = !p.second
		return true
	}
	return false
}

// Touching calls visit for each pair of facets, one of a and one of b, that
// are at most limit apart (facets that cross are 0 apart), until visit
// returns false. The order is fixed by the trees.
func Touching(a, b *Tree, limit float64, visit func(fa, fb int32) bool) {
	if len(a.nodes) == 0 || len(b.nodes) == 0 || !(limit >= 0) {
		return
	}
	s := touchSearch{limit: limit, visitor: visit}
	s.begin(a, b)
	defer s.end()
	s.cutAt(beyond(limit))
	if boxes2(&a.nodes[0].box, &b.nodes[0].box) < s.cut {
		s.visit(0, 0)
	}
}

type touchSearch struct {
	facetPairs
	limit   float64
	visitor func(fa, fb int32) bool
}

// visit returns false where the search is to end.
func (s *touchSearch) visit(i, j int32) bool {
	na, nb := &s.a.nodes[i], &s.b.nodes[j]
	if na.n > 0 && nb.n > 0 {
		return s.leaves(na, nb)
	}
	if nb.n > 0 || na.n == 0 && girth(&na.box) >= girth(&nb.box) {
		for _, k := range [2]int32{i + 1, na.at} {
			if boxes2(&s.a.nodes[k].box, &nb.box) < s.cut && !s.visit(k, j) {
				return false
			}
		}
		return true
	}
	for _, k := range [2]int32{j + 1, nb.at} {
		if boxes2(&na.box, &s.b.nodes[k].box) < s.cut && !s.visit(i, k) {
			return false
		}
	}
	return true
}

func (s *touchSearch) leaves(na, nb *node) bool {
	var bufA, bufB [leafFacets]*tri
	ta, tb := s.load(na, nb, &bufA, &bufB)
	for _, t := range ta {
		for _, u := range tb {
			if s.apart(t, u) {
				continue
			}
			n := nearer{d2: s.cut}
			if nearest(t, u, &n) && math.Sqrt(n.d2) <= s.limit && !s.visitor(t.face, u.face) {
				return false
			}
		}
	}
	return true
}

// NearestTo finds the point of the surface nearest to p, if it is at most
// limit away. Dist exceeds the least by no more than 2e-12 of itself.
func (t *Tree) NearestTo(p r3.Vec, limit float64) (dist float64, at r3.Vec, facet int32, ok bool) {
	if len(t.nodes) == 0 || !(limit >= 0) {
		return 0, r3.Vec{}, 0, false
	}
	best := nearer{d2: beyond(limit)}
	type waiting struct {
		d2 float64
		at int32
	}
	var stack [maxDepth]waiting
	stack[0] = waiting{boxTo2(&t.nodes[0].box, p), 0}
	var f tri
	for n := 1; n > 0; {
		n--
		w := stack[n]
		if w.d2 >= best.d2*(1-tie) {
			continue
		}
		nd := &t.nodes[w.at]
		if nd.n == 0 {
			l := waiting{boxTo2(&t.nodes[w.at+1].box, p), w.at + 1}
			r := waiting{boxTo2(&t.nodes[nd.at].box, p), nd.at}
			if r.d2 < l.d2 {
				l, r = r, l
			}
			stack[n], stack[n+1] = r, l
			n += 2
			continue
		}
		for _, k := range t.facets[nd.at : nd.at+int32(nd.n)] {
			t.place(k, &f)
			if boxTo2(&f.box, p) >= best.d2*(1-tie) {
				continue
			}
			f.ready()
			b := best
			if !b.try(f.closest(p), p) {
				continue
			}
			if d := math.Sqrt(b.d2); d <= limit {
				best = b
				dist, at, facet, ok = d, b.a, k, true
			}
		}
	}
	return dist, at, facet, ok
}
