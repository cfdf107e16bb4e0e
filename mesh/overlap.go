package mesh

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/bvh"
)

// depthNoise is how much deeper than ContactDepth an overlap must be, in mm,
// so that float32 rounding does not decide about one drawn exactly so deep.
const depthNoise = 1e-5

// unite makes bodies one part whose solids overlap by more than ContactDepth:
// where a point of the surface of one lies that deep in the other. Surfaces
// that do not touch cannot cross, and what lies inside was told before.
func (g *gathering) unite(pairs []shellPair) {
	var o *overlapTest
	for _, p := range pairs {
		a, b := &g.m.Shells[p.a], &g.m.Shells[p.b]
		attached := a.Inner && g.body[p.a] != p.a || b.Inner && g.body[p.b] != p.b
		if !p.touches || attached || a.Flat || b.Flat ||
			g.sets.find(p.a) == g.sets.find(p.b) {
			continue
		}
		if o == nil {
			o = newOverlapTest(g)
		}
		if o.deep(p.a, p.b) {
			g.sets.join(p.a, p.b)
		}
	}
}

// overlapTest looks for a point of one shell deep in the body of another. It
// keeps what it has found of facets and vertices, stamped, so that nothing is
// tested twice and nothing must be cleared between pairs.
type overlapTest struct {
	g      *gathering
	facets []int32 // the stamp of those tested
	points []int32 // of each vertex: stamp*4 + place
	stamp  int32
}

// Where a point lies as to a body.
const (
	outside int32 = iota
	shallow       // inside, or on the surface
	deep          // inside, and deeper than contact
)

func newOverlapTest(g *gathering) *overlapTest {
	return &overlapTest{g: g, facets: make([]int32, len(g.m.T)), points: make([]int32, len(g.m.V))}
}

// side is the facets of one shell, tested against the body of another.
type side struct {
	body    int32
	stamp   int32
	flood   []int32
	pierced []pierced
}

// pierced is an edge that passes through a facet of the other shell, at the
// given share of its length.
type pierced struct {
	half int32
	at   float64
}

// deep says whether the solids of two shells' bodies overlap by more than
// ContactDepth. It looks, one after the other and only as long as it must, at
// the facets where the surfaces touch, at the stretches of their edges that
// lie inside, and from there at all facets that can be reached inside: a long
// shallow lens is deepest far from where the surfaces cross.
func (o *overlapTest) deep(a, b int32) bool {
	sa, sb := o.side(o.g.body[b]), o.side(o.g.body[a])
	found := false
	bvh.Touching(o.g.m.Trees[a], o.g.m.Trees[b], 0, func(fa, fb int32) bool {
		found = o.facet(sa, fa) || o.facet(sb, fb)
		if !found {
			o.pierce(sa, fa, fb)
			o.pierce(sb, fb, fa)
		}
		return !found
	})
	return found || o.stretches(sa) || o.stretches(sb) || o.spread(sa) || o.spread(sb)
}

func (o *overlapTest) side(body int32) *side {
	o.stamp++
	return &side{body: body, stamp: o.stamp}
}

// facet tests a facet's corners, the middles of its edges and its own middle,
// and remembers it for the flood if a corner is inside.
func (o *overlapTest) facet(s *side, f int32) bool {
	if o.facets[f] == s.stamp {
		return false
	}
	o.facets[f] = s.stamp
	m := o.g.m
	c := m.T[f]
	inside := false
	for _, v := range c {
		switch o.vertex(s, v) {
		case deep:
			return true
		case shallow:
			inside = true
		}
	}
	if inside {
		s.flood = append(s.flood, f)
	}
	if o.isDeep(s.body, m.centroid(f)) {
		return true
	}
	for e := range 3 {
		// One of the two facets at an edge is enough, unless it is open.
		if g := m.Mate[3*f+int32(e)]; g >= 0 && o.facets[g/3] == s.stamp && g/3 < f {
			continue
		}
		if o.isDeep(s.body, between(m.V[c[e]], m.V[c[next(e)]], 0.5)) {
			return true
		}
	}
	return false
}

func (m *Mesh) centroid(f int32) r3.Vec {
	c := m.T[f]
	a, b, d := m.V[c[0]], m.V[c[1]], m.V[c[2]]
	return r3.Vec{X: (a.X + b.X + d.X) / 3, Y: (a.Y + b.Y + d.Y) / 3, Z: (a.Z + b.Z + d.Z) / 3}
}

// between is the point that divides the way from a to b at the share t.
func between(a, b r3.Vec, t float64) r3.Vec {
	return r3.Vec{X: a.X + float64(t*(b.X-a.X)), Y: a.Y + float64(t*(b.Y-a.Y)), Z: a.Z + float64(t*(b.Z-a.Z))}
}

// vertex tells where a vertex lies as to the other body.
func (o *overlapTest) vertex(s *side, v int32) int32 {
	if o.points[v]>>2 == s.stamp {
		return o.points[v] & 3
	}
	p := o.g.m.V[v]
	where := outside
	if o.isDeep(s.body, p) {
		where = deep
	} else if o.g.bodyWinding(s.body, p) >= 1 {
		where = shallow
	}
	o.points[v] = s.stamp<<2 | where
	return where
}

// isDeep says whether a point lies in a body, farther than ContactDepth from
// its surface.
func (o *overlapTest) isDeep(body int32, p r3.Vec) bool {
	g := o.g
	if !boxHolds(&g.m.Shells[body].Box, p) || g.nearSurface(body, p) {
		return false
	}
	for _, c := range g.cavities[body] {
		if g.nearSurface(c, p) {
			return false
		}
	}
	return g.bodyWinding(body, p) >= 1
}

func (g *gathering) nearSurface(sh int32, p r3.Vec) bool {
	_, _, _, near := g.m.Trees[sh].NearestTo(p, ContactDepth+depthNoise)
	return near
}

// pierce remembers where the edges of f pass through the facet of the other
// shell.
func (o *overlapTest) pierce(s *side, f, other int32) {
	m := o.g.m
	c, k := m.T[f], m.T[other]
	a, b, d := m.V[k[0]], m.V[k[1]], m.V[k[2]]
	for e := range 3 {
		if t, ok := crosses(m.V[c[e]], m.V[c[next(e)]], a, b, d); ok {
			s.pierced = append(s.pierced, pierced{3*f + int32(e), t})
		}
	}
}

// crosses finds where the segment from p to q passes through the triangle,
// as a share of its length. Rounding may take a crossing just beside the
// triangle for one; that only adds a point to be tested.
func crosses(p, q, a, b, c r3.Vec) (float64, bool) {
	const slack = 1e-9
	d, e1, e2 := sub(q, p), sub(b, a), sub(c, a)
	n := cross(e1, e2)
	det := -dot(d, n)
	if det == 0 {
		return 0, false
	}
	ap := sub(p, a)
	t := dot(ap, n) / det
	h := cross(ap, d)
	u, v := dot(e2, h)/det, -dot(e1, h)/det
	if math.IsNaN(t) || t < 0 || t > 1 || u < -slack || v < -slack || u+v > 1+slack {
		return 0, false
	}
	return t, true
}

// stretches tests the middles of the stretches into which the edges are cut
// by the other surface.
func (o *overlapTest) stretches(s *side) bool {
	slices.SortFunc(s.pierced, func(a, b pierced) int {
		return cmp.Or(cmp.Compare(a.half, b.half), cmp.Compare(a.at, b.at))
	})
	m := o.g.m
	for i := 0; i < len(s.pierced); {
		h := s.pierced[i].half
		c := m.T[h/3]
		p, q := m.V[c[h%3]], m.V[c[next(int(h%3))]]
		from := 0.0
		for ; from < 1; i++ {
			to := 1.0
			if i < len(s.pierced) && s.pierced[i].half == h {
				to = s.pierced[i].at
			}
			if to > from && o.isDeep(s.body, between(p, q, (from+to)/2)) {
				return true
			}
			from = to
			if i == len(s.pierced) || s.pierced[i].half != h {
				break
			}
		}
		for i < len(s.pierced) && s.pierced[i].half == h {
			i++
		}
	}
	return false
}

// spread walks over the facets that can be reached through vertices inside
// the other body.
func (o *overlapTest) spread(s *side) bool {
	m := o.g.m
	for len(s.flood) > 0 {
		f := s.flood[len(s.flood)-1]
		s.flood = s.flood[:len(s.flood)-1]
		for e, v := range m.T[f] {
			if o.vertex(s, v) == outside {
				continue
			}
			// Both edges at the vertex lead on round it.
			for _, k := range [2]int{e, (e + 2) % 3} {
				if g := m.Mate[3*f+int32(k)]; g >= 0 && o.facet(s, g/3) {
					return true
				}
			}
		}
	}
	return false
}
