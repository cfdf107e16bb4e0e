package mesh

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"
)

// insideDepth is how far below a surface, in mm, a point is taken to tell what
// a shell that touches others lies in: deeper than contact, so that a plug
// pressed into a hole is not taken for a piece of the block.
const insideDepth = 2 * ContactDepth

// innerSamples bounds the facets, spread evenly over a shell that touches
// others, that must all say that it lies inside them.
const innerSamples = 20_000

// innerStride is a prime larger than any number of samples. By steps of it all
// are looked at, seldom one beside the one before: where some lie outside, one
// of the first does. Of the most samples a step passes over some golden section,
// so that those looked at always lie about as far from each other.
const innerStride = 32_363

// winding adds up how often the shells go round a point.
func (g *gathering) winding(shells []neighbour, p r3.Vec) int {
	w := 0
	for _, o := range shells {
		w += g.windingOf(o.shell, p)
	}
	return w
}

func (g *gathering) windingOf(sh int32, p r3.Vec) int {
	if !boxHolds(&g.m.Shells[sh].Box, p) {
		return 0
	}
	return g.m.Trees[sh].Winding(p)
}

func boxHolds(b *r3.Box, p r3.Vec) bool {
	return p.X >= b.Min.X && p.X <= b.Max.X && p.Y >= b.Min.Y && p.Y <= b.Max.Y && p.Z >= b.Min.Z && p.Z <= b.Max.Z
}

// bodyWinding is how often a body's outer shell and cavities go round p.
func (g *gathering) bodyWinding(body int32, p r3.Vec) int {
	w := g.windingOf(body, p)
	for _, c := range g.cavities[body] {
		w += g.windingOf(c, p)
	}
	return w
}

// witness is a point that a shell bounds, off the surfaces of larger ones. A
// point of the shell itself will do if it touches none of them.
func (g *gathering) witness(sh int32, larger []neighbour, touching bool) r3.Vec {
	facets := g.m.Shells[sh].Facets
	if !touching {
		return g.m.inFacet(facets[0], 0)
	}
	for _, f := range facets {
		if p := g.below(sh, f); !g.onSurface(larger, p) {
			return p
		}
	}
	return g.below(sh, facets[0])
}

// inFacet is one of three points in a facet, by number. They lie askew, so
// that in regular models they seldom fall on another's edge or plane.
func (m *Mesh) inFacet(f int32, number int) r3.Vec {
	c := m.T[f]
	a, b, d := m.V[c[number%3]], m.V[c[(number+1)%3]], m.V[c[(number+2)%3]]
	return between(between(a, b, 0.3819), d, 0.1459)
}

// below is a point insideDepth from a facet, on the side that its shell
// bounds.
func (g *gathering) below(sh, f int32) r3.Vec {
	p := g.m.inFacet(f, 0)
	c := g.m.T[f]
	a := g.m.V[c[0]]
	n := cross(sub(g.m.V[c[1]], a), sub(g.m.V[c[2]], a))
	l := math.Sqrt(dot(n, n))
	if l == 0 {
		return p
	}
	k := -insideDepth / l
	if g.m.Shells[sh].Volume < 0 {
		k = -k
	}
	return r3.Vec{X: p.X + float64(k*n.X), Y: p.Y + float64(k*n.Y), Z: p.Z + float64(k*n.Z)}
}

func (g *gathering) onSurface(shells []neighbour, p r3.Vec) bool {
	return slices.ContainsFunc(shells, func(o neighbour) bool {
		if !o.touches {
			return false
		}
		_, _, _, near := g.m.Trees[o.shell].NearestTo(p, surfaceNoise)
		return near
	})
}

// whollyInside looks at many facets of a shell that touches larger ones.
// Points on their surfaces are passed over.
func (g *gathering) whollyInside(sh int32, larger []neighbour, inside func(r3.Vec) bool) bool {
	facets := g.m.Shells[sh].Facets
	n := min(innerSamples, len(facets))
	out := func(p r3.Vec) bool { return !g.onSurface(larger, p) && !inside(p) }
	if g.looked == nil {
		g.looked = make([]int32, len(g.m.V))
	}
	g.look++
	for i := range n {
		f := facets[sampleOf(i, n)*len(facets)/n]
		for k, c := range g.m.T[f] {
			if out(g.m.inFacet(f, k)) {
				return false
			}
			// A corner belongs to some six facets.
			if g.looked[c] == g.look {
				continue
			}
			g.looked[c] = g.look
			if out(g.m.V[c]) {
				return false
			}
		}
	}
	return true
}

// sampleOf is the sample of n that is looked at after i others.
func sampleOf(i, n int) int { return i * innerStride % n }

// container is the smallest body that holds the point. Where only several
// together do, it is the smallest whose outer shell does.
func (g *gathering) container(larger []neighbour, p r3.Vec) int32 {
	best, loose := int32(-1), int32(-1)
	smaller := func(a, b int32) bool { return b < 0 || g.rank[a] > g.rank[b] }
	for _, o := range larger {
		if g.body[o.shell] != o.shell {
			continue
		}
		if smaller(o.shell, best) && g.bodyWinding(o.shell, p) >= 1 {
			best = o.shell
		}
		if smaller(o.shell, loose) && g.windingOf(o.shell, p) >= 1 {
			loose = o.shell
		}
	}
	switch {
	case best >= 0:
		return best
	case loose >= 0:
		return loose
	}
	return g.body[larger[0].shell]
}
