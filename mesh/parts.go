package mesh

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"gonum.org/v1/gonum/spatial/r3"
)

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
	// looked holds of each vertex the number, look being the last, of the search
	// that looked at it.
	looked []int32
	look   int32
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
