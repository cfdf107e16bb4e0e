package gapscan

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
	"playgauge/mesh/bvh"
	"playgauge/mesh/parallel"
	"playgauge/slice"
)

// pair is two parts whose surfaces come within reach of each other: a joint.
// a < b are indices of parts.
type pair struct {
	a, b    int32
	trueGap float64
	// roof is the least vertical clearance within reach that no third part
	// lies in, nil if there is none.
	roof *float64
	// over[0] says that some face of a looks down on b so near that layers
	// could meet there, over[1] the same of b on a.
	over [2]bool
}

// sides are the two parts, each before the other.
func (p *pair) sides() [2][2]int32 { return [2][2]int32{{p.a, p.b}, {p.b, p.a}} }

// slackOf is how much nearer than the surfaces the layers can come, mm: two of
// the highest.
func slackOf(p slice.Plan) float64 { return 2 * max(p.First, p.Rest) }

// findPairs lists the joints, by a, then b. slack is slackOf the plan.
func findPairs(m *mesh.Mesh, reach, slack float64) []pair {
	boxes := make([]r3.Box, len(m.Parts))
	for i, p := range m.Parts {
		boxes[i] = p.Box
	}
	near := closeBoxes(boxes, reach+slack)
	beside := make([][]int32, len(boxes))
	for _, c := range near {
		beside[c[0]] = append(beside[c[0]], c[1])
		beside[c[1]] = append(beside[c[1]], c[0])
	}
	gaps := make([]float64, len(near)) // below 0: out of reach
	parallel.Each(len(near), func(i int) {
		gap, ok := trueGap(m, near[i][0], near[i][1], reach)
		if !ok {
			gap = -1
		}
		gaps[i] = gap
	})
	var pairs []pair
	for i, c := range near {
		if gaps[i] >= 0 {
			pairs = append(pairs, pair{a: c[0], b: c[1], trueGap: gaps[i]})
		}
	}
	parallel.Each(len(pairs), func(i int) {
		p := &pairs[i]
		g := [2]float64{-1, -1}
		t := third(m, beside, p.a, p.b)
		within := reach
		if len(t) == 0 {
			within += slack // and this tells of over, too
		}
		for k, ul := range p.sides() {
			d, ok := clearance(m, ul[0], ul[1], within, t)
			p.over[k] = ok || len(t) > 0 && overlooks(m, ul[0], ul[1], reach+slack)
			if ok && d <= reach {
				g[k] = d
			}
		}
		if p.trueGap == 0 {
			// Walls that pass through each other, no deeper than contact,
			// overlap in plan with no face above another.
			p.over = [2]bool{true, true}
		}
		switch {
		case g[0] >= 0 && (g[1] < 0 || g[0] <= g[1]):
			p.roof = &g[0]
		case g[1] >= 0:
			p.roof = &g[1]
		}
	})
	return pairs
}

// closeBoxes lists the pairs of boxes no farther apart than within along each
// axis, ascending, by a sweep along x.
func closeBoxes(boxes []r3.Box, within float64) [][2]int32 {
	order := make([]int32, len(boxes))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(boxes[a].Min.X, boxes[b].Min.X), cmp.Compare(a, b))
	})
	var out [][2]int32
	var live []int32
	for _, i := range order {
		bi := boxes[i]
		keep := live[:0]
		for _, j := range live {
			bj := boxes[j]
			if bj.Max.X+within < bi.Min.X {
				continue
			}
			keep = append(keep, j)
			if bj.Min.Y-within <= bi.Max.Y && bi.Min.Y-within <= bj.Max.Y &&
				bj.Min.Z-within <= bi.Max.Z && bi.Min.Z-within <= bj.Max.Z {
				out = append(out, [2]int32{min(i, j), max(i, j)})
			}
		}
		live = append(keep, i)
	}
	slices.SortFunc(out, func(a, b [2]int32) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	return out
}

// trueGap is the least distance in space between the surfaces of two parts.
func trueGap(m *mesh.Mesh, a, b int32, limit float64) (float64, bool) {
	found := false
	eachShellPair(m, a, b, func(ta, tb *bvh.Tree) {
		if p, ok := bvh.Nearest(ta, tb, limit); ok {
			limit, found = p.Dist, true
		}
	})
	return limit, found
}

// clearance is the least vertical distance from part lo up to part up.
func clearance(m *mesh.Mesh, up, lo int32, limit float64, third bvh.Solids) (float64, bool) {
	var between bvh.Blocker
	if len(third) > 0 {
		between = third
	}
	found := false
	eachShellPair(m, up, lo, func(tu, tl *bvh.Tree) {
		if d, ok := bvh.Clearance(tu, tl, limit, between); ok {
			limit, found = d.Gap, true
		}
	})
	return limit, found
}

// overlooks says whether part up looks down on part lo within limit, whatever
// is between.
func overlooks(m *mesh.Mesh, up, lo int32, limit float64) bool {
	found := false
	eachShellPair(m, up, lo, func(tu, tl *bvh.Tree) {
		found = found || bvh.Overlooks(tu, tl, limit)
	})
	return found
}

func eachShellPair(m *mesh.Mesh, a, b int32, visit func(ta, tb *bvh.Tree)) {
	for _, sa := range m.Parts[a].Shells {
		for _, sb := range m.Parts[b].Shells {
			visit(m.Trees[sa], m.Trees[sb])
		}
	}
}

// third is what could lie between parts a and b: the shells of parts that reach
// into the box over the plan both share. What lies between is beside either, and
// of the two a plate may have thousands beside it.
func third(m *mesh.Mesh, beside [][]int32, a, b int32) bvh.Solids {
	few := beside[a]
	if len(beside[b]) < len(few) {
		few = beside[b]
	}
	ba, bb := m.Parts[a].Box, m.Parts[b].Box
	col := r3.Box{
		Min: r3.Vec{X: max(ba.Min.X, bb.Min.X), Y: max(ba.Min.Y, bb.Min.Y), Z: min(ba.Min.Z, bb.Min.Z)},
		Max: r3.Vec{X: min(ba.Max.X, bb.Max.X), Y: min(ba.Max.Y, bb.Max.Y), Z: max(ba.Max.Z, bb.Max.Z)},
	}
	var out bvh.Solids
	for _, i := range few {
		if i == a || i == b || !boxesMeet(m.Parts[i].Box, col) {
			continue
		}
		for _, s := range m.Parts[i].Shells {
			out = append(out, m.Trees[s])
		}
	}
	return out
}

func boxesMeet(a, b r3.Box) bool {
	return a.Min.X <= b.Max.X && b.Min.X <= a.Max.X &&
		a.Min.Y <= b.Max.Y && b.Min.Y <= a.Max.Y &&
		a.Min.Z <= b.Max.Z && b.Min.Z <= a.Max.Z
}
