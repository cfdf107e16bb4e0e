package mesh

import "slices"

// dropExtra leaves out the open surfaces that only draw again, facet for
// facet, what other surfaces draw; of several alike the first stays. It
// returns how many facets went.
func (m *Mesh) dropExtra(s *surfaces, p *pairing) int {
	if len(p.copies) == 0 {
		return 0
	}
	alike := map[int32][]int32{} // facets of the same corners, by the first
	firstOf := map[int32]int32{}
	for _, c := range p.copies {
		if len(alike[c.of]) == 0 {
			alike[c.of] = append(alike[c.of], c.of)
			firstOf[c.of] = c.of
		}
		alike[c.of] = append(alike[c.of], c.facet)
		firstOf[c.facet] = c.of
	}
	extra := make([]bool, len(s.shells))
	any := false
	for i := len(s.shells) - 1; i >= 0; i-- {
		extra[i] = s.shells[i].Open && !slices.ContainsFunc(s.shells[i].Facets, func(f int32) bool {
			first, ok := firstOf[f]
			return !ok || !slices.ContainsFunc(alike[first], func(g int32) bool {
				return s.shellOf[g] != int32(i) && !extra[s.shellOf[g]]
			})
		})
		any = any || extra[i]
	}
	if !any {
		return 0
	}
	return m.keep(func(f int32) bool { return !extra[s.shellOf[f]] })
}
