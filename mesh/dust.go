package mesh

import "gonum.org/v1/gonum/spatial/r3"

// dustArea is the area in mm2 below which a shell is left out: a thousandth
// of a millimetre wide, it is no part and prints as nothing.
const dustArea = 1e-6

// dropDust leaves out the facets of shells without area. It says whether
// there were any.
func (m *Mesh) dropDust(s *surfaces) bool {
	dust := false
	for _, a := range s.area {
		dust = dust || !(a >= dustArea)
	}
	return dust && m.keep(func(f int32) bool { return s.area[s.shellOf[f]] >= dustArea }) > 0
}

// keep leaves out the facets for which it is told false, and the vertices
// only they have, and returns how many facets went. Mates are not heeded.
func (m *Mesh) keep(wanted func(f int32) bool) int {
	number := make([]int32, len(m.V)) // of each vertex kept, plus one
	var v []r3.Vec
	facets := len(m.T)
	t, order := m.T[:0], m.Order[:0]
	for f, c := range m.T {
		if !wanted(int32(f)) {
			continue
		}
		for i, k := range c {
			if number[k] == 0 {
				v = append(v, m.V[k])
				number[k] = int32(len(v))
			}
			c[i] = number[k] - 1
		}
		t = append(t, c)
		if m.Order != nil {
			order = append(order, m.Order[f])
		}
	}
	m.V, m.T = v, t
	if m.Order != nil {
		m.Order = order
	}
	return facets - len(t)
}
