package mesh

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"
)

// insideDepth is how far below a surface, in mm, a point is taken to tell what
// a shell that touches others lies in: deeper than contact, so that a plug
// pressed into a hole is not taken for a piece of the block.
const insideDepth = 2 * ContactDepth

// innerSamples bounds the facets, spread evenly over a shell that touches
// others, that must all say that it lies inside them.
const innerSamples = 20_000

// Surfaces that bound less than this bound no volume.
const (
	// flatVolume is in mm3: a cube of a micron.
	flatVolume = 1e-9
	// flatThickness is the volume over the area, in mm: a flat sheet shows
	// float32 noise only.
	flatThickness = 1e-5
)

// gathering is what is known of the shells while they become parts.
type gathering struct {
	m         *Mesh
	insideOut bool // the file's volume is negative
	copyOf    []int32
	rank      []int32 // place by falling volume
	near      *neighbours
	body      []int32   // the outer shell a shell belongs to
	cavities  [][]int32 // of each outer shell
	sets      *unionFind
}

// findParts turns shells outward, tells cavities from solids and gathers
// what moves as one piece. It builds the trees.
func (m *Mesh) findParts(s *surfaces, joined *pairing, insideOut bool) {
	n := len(m.Shells)
	g := &gathering{m: m, insideOut: insideOut, rank: make([]int32, n),
		body: make([]int32, n), cavities: make([][]int32, n), sets: newUnionFind(n)}
	order := make([]int32, n)
	for i := range order {
		order[i], g.body[i] = int32(i), int32(i)
		v := math.Abs(m.Shells[i].Volume)
		m.Shells[i].Flat = v < flatVolume || v < flatThickness*s.area[i]
	}
	g.sort(order)
	g.findCopies(joined.copies)
	pairs := boxPairs(m.Shells)
	g.near = newNeighbours(n, pairs)
	g.turnLonely()
	m.buildTrees()
	findTouching(pairs, m.Trees)
	g.near = newNeighbours(n, pairs)
	for _, sh := range order {
		g.decide(sh)
	}
	g.unite(pairs)
	m.listParts(g.sets)
	for _, h := range joined.nested {
		m.Parts[m.Shells[m.ShellOf[h/3]].Part].Overlapping = true
	}
}

// sort puts the shells in order of falling volume, to 6 digits, sheets last,
// and ranks them. Of a hollow and what fills it exactly, the hollow is first.
func (g *gathering) sort(order []int32) {
	type size struct {
		volume float64
		solid  bool
	}
	sizes := make([]size, len(order))
	for i := range sizes {
		v := g.m.Shells[i].Volume
		sizes[i] = size{sixDigits(math.Abs(v)), (v > 0) != g.insideOut}
	}
	slices.SortFunc(order, func(a, b int32) int {
		return cmp.Or(compareBool(g.m.Shells[a].Flat, g.m.Shells[b].Flat), cmp.Compare(sizes[b].volume, sizes[a].volume),
			compareBool(sizes[a].solid, sizes[b].solid), cmp.Compare(a, b))
	})
	for i, sh := range order {
		g.rank[sh] = int32(i)
	}
}

// compareBool puts false first.
func compareBool(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// sixDigits rounds to 6 significant digits, so that the order in which
// volumes were added up does not decide which is larger.
func sixDigits(v float64) float64 {
	r, err := strconv.ParseFloat(strconv.FormatFloat(v, 'e', 5, 64), 64)
	if err != nil {
		return v
	}
	return r
}

// findCopies finds shells that are facet for facet another shell, so that
// they lie on it everywhere.
func (g *gathering) findCopies(copies []facetCopy) {
	if len(copies) == 0 {
		return
	}
	m := g.m
	g.copyOf = make([]int32, len(m.Shells))
	count := make([]int, len(m.Shells))
	for i := range g.copyOf {
		g.copyOf[i] = -1
	}
	for _, c := range copies {
		sh, of := m.ShellOf[c.facet], m.ShellOf[c.of]
		if sh == of {
			continue
		}
		if count[sh] == 0 {
			g.copyOf[sh] = of
		}
		if g.copyOf[sh] == of {
			count[sh]++
		}
	}
	// The largest in rank stands for all that are alike.
	first := make([]int32, len(m.Shells))
	for i := range first {
		first[i] = int32(i)
	}
	for i, o := range g.copyOf {
		if o >= 0 && (count[i] != len(m.Shells[i].Facets) || len(m.Shells[o].Facets) != count[i]) {
			g.copyOf[i] = -1
		} else if o >= 0 && g.rank[i] < g.rank[first[o]] {
			first[o] = int32(i)
		}
	}
	for i, o := range g.copyOf {
		if o >= 0 {
			g.copyOf[i] = first[o]
		}
	}
	for i, f := range first {
		if f != int32(i) {
			g.copyOf[i], g.copyOf[f] = f, -1
		}
	}
}

// turnLonely turns the inside-out shells that no larger shell can hold, so
// that their trees are built once.
func (g *gathering) turnLonely() {
	for i := range g.m.Shells {
		sh := int32(i)
		if g.m.Shells[i].Volume >= 0 || g.m.Shells[i].Flat {
			continue
		}
		held := slices.ContainsFunc(g.near.of(sh), func(o neighbour) bool { return g.rank[o.shell] < g.rank[sh] })
		if !held {
			g.m.turnShell(sh)
		}
	}
}

// turnShell turns the facets of a shell around.
func (m *Mesh) turnShell(sh int32) {
	s := &m.Shells[sh]
	for _, f := range s.Facets {
		turnFacet(m.T, m.Mate, f)
	}
	for _, f := range s.Facets {
		for h := 3 * f; h < 3*f+3; h++ {
			if m.Mate[h] >= 0 {
				m.Mate[h] = turnedHalf(m.Mate[h])
			}
		}
	}
	s.Volume, s.Turned = -s.Volume, !s.Turned
}

// turn turns a shell that has its tree already.
func (g *gathering) turn(sh int32) {
	g.m.turnShell(sh)
	g.m.buildTree(sh)
}

// decide tells what a shell is, all larger ones being decided.
func (g *gathering) decide(sh int32) {
	var larger []neighbour
	touching := false
	for _, o := range g.near.of(sh) {
		if g.rank[o.shell] < g.rank[sh] {
			larger = append(larger, o)
			touching = touching || o.touches
		}
	}
	if len(larger) == 0 {
		return // turned already where it had to be
	}
	s := &g.m.Shells[sh]
	if g.doubled(sh) {
		return
	}
	at := g.witness(sh, larger, touching)
	w := g.winding(larger, at)
	switch {
	case s.Flat:
		if touching {
			g.join(sh, g.body[firstTouching(larger)], true)
		} else if w >= 1 {
			g.join(sh, g.container(larger, at), true)
		}
	case w >= 1:
		g.within(sh, larger, touching, at)
	case s.Volume < 0:
		g.turn(sh)
	}
}

// within decides about a shell that lies in the solid of larger ones, as far
// as can be told from one point.
func (g *gathering) within(sh int32, larger []neighbour, touching bool, at r3.Vec) {
	in := g.container(larger, at)
	if g.insideOut && g.m.Shells[in].Turned && (g.m.Shells[sh].Volume < 0) == touching {
		// The container was inside out, and so was the file: what looked
		// against it bounds a hollow, also if it looked outward; but a
		// hollow does not reach the surface.
		g.turn(sh)
	}
	inside := !touching || g.whollyInside(sh, larger, func(p r3.Vec) bool { return g.winding(larger, p) >= 1 })
	switch {
	case g.m.Shells[sh].Volume < 0 && inside:
		g.hollow(sh, in, larger, at)
	case g.m.Shells[sh].Volume < 0:
		g.turn(sh)
	case inside && (!touching || g.whollyInside(sh, larger, func(p r3.Vec) bool { return g.bodyWinding(in, p) >= 1 })):
		g.join(sh, in, true)
	case inside:
		// It lies in several together, which it may hold together.
		g.m.Shells[sh].Inner = true
	}
	// A solid that reaches out of its container overlaps it: that is for
	// unite to see.
}

// doubled joins a shell that is a copy of one already decided, turned like
// it. What fills a hollow exactly is no copy of the hollow.
func (g *gathering) doubled(sh int32) bool {
	if g.copyOf == nil || g.copyOf[sh] < 0 {
		return false
	}
	s, of := &g.m.Shells[sh], &g.m.Shells[g.copyOf[sh]]
	if inFile := (of.Volume < 0) != of.Turned; of.Cavity && (s.Volume < 0) != inFile {
		return false
	}
	if (s.Volume < 0) != (of.Volume < 0) {
		g.turn(sh)
	}
	s.Cavity = of.Cavity
	g.join(sh, g.body[g.copyOf[sh]], true)
	return true
}

func firstTouching(larger []neighbour) int32 {
	for _, o := range larger {
		if o.touches {
			return o.shell
		}
	}
	return larger[0].shell
}

// join makes a shell one part with a body. An inner one adds nothing to it.
func (g *gathering) join(sh, body int32, inner bool) {
	g.sets.join(sh, body)
	if inner {
		g.m.Shells[sh].Inner = true
		g.body[sh] = body
	}
}

// hollow makes a shell a cavity of a body.
func (g *gathering) hollow(sh, body int32, larger []neighbour, at r3.Vec) {
	// What was called inner before, and fills the hollow, adds something.
	for _, o := range larger {
		if in := &g.m.Shells[o.shell]; in.Inner && !in.Flat && g.windingOf(o.shell, at) >= 1 {
			in.Inner = false
		}
	}
	g.m.Shells[sh].Cavity = true
	g.sets.join(sh, body)
	g.body[sh] = body
	g.cavities[body] = append(g.cavities[body], sh)
}

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
	for i := range n {
		f := facets[i*len(facets)/n]
		for k, c := range g.m.T[f] {
			if out(g.m.inFacet(f, k)) || out(g.m.V[c]) {
				return false
			}
		}
	}
	return true
}

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
