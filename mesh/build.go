package mesh

import (
	"fmt"
	"math"
	"slices"
)

// Build makes a mesh of a soup: equal corners become one vertex, facets are
// joined into shells, shells turned outward and gathered into parts, and the
// whole is placed on the bed.
//
// A placement that cannot be used gives a *PlacementError, a soup without a
// single facet of three corners and some area a *FormatError. Whatever else
// is wrong is repaired or left open, and told in Mesh.Warnings.
func Build(s *Soup, p Placement) (*Mesh, error) { return build(s, p, orderFrom) }

// build is Build; soups of fewer than ordered triangles stay in their order.
func build(s *Soup, p Placement, ordered int) (*Mesh, error) {
	l, err := p.linear()
	if err != nil {
		return nil, err
	}
	if s.Triangles() > math.MaxInt32/3 {
		return nil, fmt.Errorf("%d triangles are more than can be handled", s.Triangles())
	}
	// The soup is not needed once it is welded: where the caller has no use
	// for it either, its memory is free for what follows.
	m := &Mesh{Format: s.Format, Read: s.Triangles(), Warnings: slices.Clip(s.Warnings)}
	var notes notes
	m.V, m.T, m.Order, notes.degenerate = weld(s.XYZ, spaceOrder(s.XYZ, ordered))
	far, err := l.move(m.V)
	if err != nil {
		return nil, err
	}
	notes.coarse = coarse(far, &l)
	out := insideOut(m.V, m.T)
	pairs := pair(m.V, m.T, out)
	m.Mate = pairs.mate
	open, nonManifold := pairs.open, pairs.nonManifold
	pairs = m.mend(pairs, out, &notes)
	open, nonManifold = open-pairs.open, nonManifold-pairs.nonManifold
	surf := gather(m.V, m.T, pairs, m.Order)
	// Rare, and the numbers of all that follows change.
	again := func() {
		pairs = pair(m.V, m.T, out)
		m.Mate = pairs.mate
		surf = gather(m.V, m.T, pairs, m.Order)
	}
	if notes.extra = m.dropExtra(surf, pairs); notes.extra > 0 {
		open, nonManifold = open+pairs.open, nonManifold+pairs.nonManifold
		again()
		open, nonManifold = open-pairs.open, nonManifold-pairs.nonManifold
	}
	if dust := len(surf.shells); m.dropDust(surf) {
		again()
		notes.dust = dust - len(surf.shells)
	}
	if len(m.T) == 0 {
		return nil, formatErrorf(KindNoTriangles, "no triangle of %d has any area; export the model again", m.Read)
	}
	m.dropToBed(surf.shells)
	m.ShellOf, m.Shells = surf.shellOf, surf.shells
	m.LeftOpen = pairs.open
	m.OpenEdges, m.NonManifoldEdges = open+m.LeftOpen, nonManifold+pairs.nonManifold
	m.findParts(surf, pairs, out)
	for _, c := range pairs.copies {
		if !c.reversed {
			notes.copies++
		}
	}
	notes.reversed, notes.cut = surf.reversed, surf.cut
	m.Warnings = append(m.Warnings, m.warnings(&notes)...)
	return m, nil
}
