package mesh

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/parallel"
)

// angleNoise is the angle in radians below which two facets at one edge
// count as lying in the same plane: a float32 coordinate of 100 mm moves the
// corner of a facet 1 mm wide by 1e-5 mm.
const angleNoise = 1e-5

// pairing is how facets are joined through their edges.
type pairing struct {
	// mate is Mesh.Mate; mates may still run the same way.
	mate []int32
	// open counts the half-edges without a partner.
	open int
	// sameWay says that some mates do.
	sameWay bool
	// nonManifold counts the edges of more than two facets.
	nonManifold int
	// copies lists facets with the corners of an earlier one, ascending.
	copies []facetCopy
	// nested lists half-edges, ascending, where solids that share an edge
	// overlap, so that their facets may have become one shell.
	nested []int32
}

// facetCopy says that a facet has the three corners of an earlier one.
type facetCopy struct {
	facet, of int32
	reversed  bool
}

// pair joins every half-edge to another of its edge. Two facets at an edge
// are joined however they run. Of more than two, neighbours across the
// material are joined; insideOut says that the material lies on the side the
// facets call outside.
//
// The vertices are cut into ranges, each of which pairs the edges of which it
// has the lower vertex: no hash over all edges, and cost linear in the facets
// but for vertices of very many edges.
func pair(v []r3.Vec, t [][3]int32, insideOut bool) *pairing {
	return pairBy(v, t, insideOut, newPairRanges(len(v), t), (*edgePairer).simple)
}

// pairBy is pair by given ranges. A range is paired anew, edge by edge, where
// simple says that it has edges it cannot pair.
func pairBy(v []r3.Vec, t [][3]int32, insideOut bool, ranges *pairRanges, simple func(*edgePairer) bool) *pairing {
	p := &pairing{mate: make([]int32, 3*len(t))}
	found := make([]edgesFound, ranges.n)
	parallel.EachWorker(ranges.n, func() func(int) {
		q := &edgePairer{v: v, t: t, mate: p.mate, insideOut: insideOut, ranges: ranges}
		return func(i int) {
			q.from(i)
			if !simple(q) {
				q.from(i)
				q.edgeByEdge()
			}
			found[i] = q.edgesFound
		}
	})
	for i := range found {
		p.open += found[i].open
		p.sameWay = p.sameWay || found[i].sameWay
		p.nonManifold += found[i].nonManifold
		p.copies = append(p.copies, found[i].copies...)
		p.nested = append(p.nested, found[i].nested...)
	}
	slices.Sort(p.nested)
	slices.SortFunc(p.copies, func(a, b facetCopy) int { return cmp.Compare(a.facet, b.facet) })
	return p
}

// next is the corner after corner e.
func next(e int) int {
	if e == 2 {
		return 0
	}
	return e + 1
}

// edgesFound is what a range adds to the pairing.
type edgesFound struct {
	open        int
	sameWay     bool
	nonManifold int
	copies      []facetCopy
	nested      []int32
}

// edgePairer pairs the edges of one range of vertices after the other.
type edgePairer struct {
	v         []r3.Vec
	t         [][3]int32
	mate      []int32
	insideOut bool
	ranges    *pairRanges

	number      int   // of the range
	first, last int32 // its vertices, the last one not included
	edgesFound

	head   []int32
	ends   []edgeEnd
	start  []int32
	halves []int32
	edges  []uint64 // of one vertex
	fan    []wing
	loose  []int32
	third  []uint64
}

// from makes ready for a range.
func (q *edgePairer) from(number int) {
	q.number, q.edgesFound = number, edgesFound{}
	q.first, q.last = q.ranges.bounds(number)
}

// edgeByEdge pairs the edges of the range, whatever they are. Half-edges are
// gathered by their lower vertex (a counting sort) and sorted by the other.
func (q *edgePairer) edgeByEdge() {
	n := int(q.last - q.first)
	q.start = resized(q.start, n+2)
	clear(q.start)
	all := 0
	q.eachHalf(func(lo, half int32) {
		q.start[lo-q.first+2]++
		all++
	})
	for i := 2; i < len(q.start); i++ {
		q.start[i] += q.start[i-1]
	}
	q.halves = resized(q.halves, all)
	q.eachHalf(func(lo, half int32) {
		at := &q.start[lo-q.first+1]
		q.halves[*at] = half
		*at++
	})
	for i := range n {
		q.vertex(q.first+int32(i), q.halves[q.start[i]:q.start[i+1]])
	}
}

// eachHalf calls do with the half-edges of the range and their lower vertices,
// ascending.
func (q *edgePairer) eachHalf(do func(lo, half int32)) {
	for from, to := range q.ranges.of(q.number) {
		for i := from; i < to; i++ {
			c := &q.t[i]
			for e := range 3 {
				if lo := min(c[e], c[next(e)]); lo >= q.first && lo < q.last {
					do(lo, int32(3*i+e))
				}
			}
		}
	}
}

// vertex pairs the half-edges of which lo is the lower end.
func (q *edgePairer) vertex(lo int32, halves []int32) {
	// An entry is the higher vertex, then the half-edge.
	q.edges = q.edges[:0]
	for _, h := range halves {
		c := q.t[h/3]
		a, b := c[h%3], c[next(int(h%3))]
		q.edges = append(q.edges, uint64(max(a, b))<<32|uint64(h))
	}
	edges := q.edges
	slices.Sort(edges)
	for len(edges) > 0 {
		hi := int32(edges[0] >> 32)
		n := 1
		for n < len(edges) && int32(edges[n]>>32) == hi {
			n++
		}
		q.edge(lo, hi, edges[:n])
		edges = edges[n:]
	}
}

func (q *edgePairer) edge(lo, hi int32, group []uint64) {
	h := int32(group[0])
	switch len(group) {
	case 1:
		q.mate[h] = -1
		q.open++
		return
	case 2:
		g := int32(group[1])
		q.mate[h], q.mate[g] = g, h
		q.sameWay = q.sameWay || q.begin(h) == q.begin(g)
	default:
		q.nonManifold++
		q.around(lo, hi, group)
	}
	q.findCopies(lo, hi, group)
}

// begin is the vertex where a half-edge begins; opposite is the corner of its
// facet that it does not touch.
func (q *edgePairer) begin(h int32) int32 { return q.t[h/3][h%3] }

func (q *edgePairer) opposite(h int32) int32 { return q.t[h/3][(h+2-h/3*3)%3] }

// findCopies looks for facets of the same three corners, at the edge of their
// two lowest corners only.
func (q *edgePairer) findCopies(lo, hi int32, group []uint64) {
	q.third = q.third[:0]
	for _, k := range group {
		if c := q.opposite(int32(k)); c > hi {
			q.third = append(q.third, uint64(c)<<32|k&math.MaxUint32)
		}
	}
	slices.Sort(q.third)
	for i := 0; i < len(q.third); {
		first := int32(q.third[i])
		j := i + 1
		for ; j < len(q.third) && q.third[j]>>32 == q.third[i]>>32; j++ {
			h := int32(q.third[j])
			q.copies = append(q.copies, facetCopy{facet: h / 3, of: first / 3, reversed: q.begin(h) != q.begin(first)})
		}
		i = j
	}
}

// wing is a facet at an edge of more than two.
type wing struct {
	angle float64
	// opens says that the material begins at the facet, walking round
	// counter-clockwise; otherwise it ends there.
	opens bool
	half  int32
}

// around pairs the facets at an edge of more than two: walking round it, a
// facet where the material begins goes with the one where it ends, matched
// like brackets on a circle. What has no partner stays open.
//
// Facets in one plane: the material that ends there ends before the other
// begins, so that solids that touch stay apart; and of facets one on the
// other the first go together, then the second, all along the surface.
func (q *edgePairer) around(lo, hi int32, group []uint64) {
	q.fan = q.fan[:0]
	axis := sub(q.v[hi], q.v[lo])
	e1 := perpendicular(axis)
	e2 := cross(axis, e1)
	// e2 is as long as the axis times e1.
	scale := math.Sqrt(dot(axis, axis))
	for _, k := range group {
		h := int32(k)
		u := sub(q.v[q.opposite(h)], q.v[lo])
		a := math.Atan2(dot(u, e2), dot(u, e1)*scale)
		// Seen along the edge, outside lies counter-clockwise of a facet
		// that runs with it.
		q.fan = append(q.fan, wing{a, (q.begin(h) != lo) != q.insideOut, h})
	}
	slices.SortFunc(q.fan, func(a, b wing) int {
		return cmp.Or(cmp.Compare(a.angle, b.angle), cmp.Compare(a.half, b.half))
	})
	q.startAtGap()
	for i := 0; i < len(q.fan); {
		j := i + 1
		for j < len(q.fan) && q.fan[j].angle-q.fan[j-1].angle <= angleNoise {
			j++
		}
		slices.SortFunc(q.fan[i:j], inOnePlane)
		i = j
	}
	for i := range q.fan {
		q.mate[q.fan[i].half] = -1
	}
	// Twice round, since the material may reach past the first facet.
	q.loose = q.loose[:0]
	for round := range 2 {
		for _, w := range q.fan {
			switch {
			case w.opens && round == 0:
				q.loose = append(q.loose, w.half)
			case !w.opens && q.mate[w.half] < 0 && len(q.loose) > 0:
				if len(q.loose) > 1 {
					q.nested = append(q.nested, w.half)
				}
				o := q.loose[len(q.loose)-1]
				q.loose = q.loose[:len(q.loose)-1]
				q.mate[o], q.mate[w.half] = w.half, o
			}
		}
	}
	for i := range q.fan {
		if q.mate[q.fan[i].half] < 0 {
			q.open++
		}
	}
}

// startAtGap makes the fan, sorted by angle, begin after its widest gap, so
// that no plane is cut in two where the angles begin anew.
func (q *edgePairer) startAtGap() {
	n := len(q.fan)
	first, widest := 0, q.fan[0].angle+2*math.Pi-q.fan[n-1].angle
	for i := 1; i < n; i++ {
		if gap := q.fan[i].angle - q.fan[i-1].angle; gap > widest {
			first, widest = i, gap
		}
	}
	for i := range first {
		w := q.fan[i]
		w.angle += 2 * math.Pi
		q.fan = append(q.fan, w)
	}
	q.fan = append(q.fan[:0], q.fan[first:]...)
}

// inOnePlane sorts facets of one plane at an edge.
func inOnePlane(a, b wing) int {
	switch {
	case a.opens != b.opens:
		if b.opens {
			return -1
		}
		return 1
	case a.opens:
		return cmp.Compare(a.half, b.half)
	default:
		return cmp.Compare(b.half, a.half)
	}
}

// perpendicular is a unit vector at right angles to a.
func perpendicular(a r3.Vec) r3.Vec {
	x, y, z := math.Abs(a.X), math.Abs(a.Y), math.Abs(a.Z)
	var e r3.Vec
	switch {
	case x <= y && x <= z:
		e.X = 1
	case y <= z:
		e.Y = 1
	default:
		e.Z = 1
	}
	p := cross(a, e)
	l := math.Sqrt(dot(p, p))
	return r3.Vec{X: p.X / l, Y: p.Y / l, Z: p.Z / l}
}

// insideOut says whether the facets together bound a negative volume.
func insideOut(v []r3.Vec, t [][3]int32) bool {
	if len(t) == 0 {
		return false
	}
	// Away from the model, rounding could outweigh a small volume.
	o := v[t[0][0]]
	six, _ := sumInOrder(len(t), func(i int) (float64, float64) {
		c := &t[i]
		return sixfold(sub(v[c[0]], o), sub(v[c[1]], o), sub(v[c[2]], o)), 0
	})
	return six < 0
}

// sixfold is six times the signed volume of the tetrahedron 0 a b c.
func sixfold(a, b, c r3.Vec) float64 { return dot(a, cross(b, c)) }
