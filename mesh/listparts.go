package mesh

import (
	"cmp"
	"slices"

	"playgauge/mesh/bvh"
	"playgauge/mesh/parallel"
)

func (m *Mesh) buildTrees() {
	m.Trees = make([]*bvh.Tree, len(m.Shells))
	// Large shells first, so that no processor is left with one at the end.
	order := make([]int32, len(m.Shells))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortStableFunc(order, func(a, b int32) int {
		return cmp.Compare(len(m.Shells[b].Facets), len(m.Shells[a].Facets))
	})
	parallel.EachWorker(len(order), func() func(int) {
		var b bvh.Builder
		return func(i int) { m.Trees[order[i]] = b.New(m.V, m.T, m.Shells[order[i]].Facets) }
	})
}

// WithoutTrees is the mesh without its trees: for those who have measured what
// they need them for, and let go of the mesh itself.
func (m *Mesh) WithoutTrees() *Mesh {
	out := *m
	out.Trees = nil
	return &out
}

func (m *Mesh) buildTree(sh int32) { m.Trees[sh] = bvh.New(m.V, m.T, m.Shells[sh].Facets) }

// listParts makes a part of each set of shells, in the order of their ids.
func (m *Mesh) listParts(sets *unionFind) {
	of := make([]int32, len(m.Shells))    // the part of each set, by its least shell
	solids := make([]bool, len(m.Shells)) // of each part: a solid was seen
	for i := range m.Shells {
		set := sets.find(int32(i))
		if set == int32(i) {
			of[set] = int32(len(m.Parts))
			m.Parts = append(m.Parts, Part{Box: noBox()})
		}
		p, s := &m.Parts[of[set]], &m.Shells[i]
		if !s.Cavity {
			p.Overlapping = solids[of[set]]
			solids[of[set]] = true
		}
		p.Shells = append(p.Shells, int32(i))
		p.Facets += len(s.Facets)
		if !s.Inner {
			p.Volume += s.Volume
		}
		p.Box.Min, p.Box.Max = lower(p.Box.Min, s.Box.Min), upper(p.Box.Max, s.Box.Max)
	}
	size := func(p *Part) float64 { return sixDigits(p.Volume) }
	slices.SortFunc(m.Parts, func(a, b Part) int {
		return cmp.Or(cmp.Compare(size(&b), size(&a)),
			cmp.Compare(a.Box.Min.X, b.Box.Min.X), cmp.Compare(a.Box.Min.Y, b.Box.Min.Y), cmp.Compare(a.Box.Min.Z, b.Box.Min.Z),
			cmp.Compare(a.Shells[0], b.Shells[0]))
	})
	m.Box = noBox()
	for i := range m.Parts {
		p := &m.Parts[i]
		p.ID = i + 1
		for _, sh := range p.Shells {
			m.Shells[sh].Part = int32(i)
		}
		m.Box.Min, m.Box.Max = lower(m.Box.Min, p.Box.Min), upper(m.Box.Max, p.Box.Max)
	}
}
