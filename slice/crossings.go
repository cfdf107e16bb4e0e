package slice

import "playgauge/mesh"

// Crossings counts how often the cuts of a plan go through a facet: about the
// number of points that Cut's stack will have. Unions of overlapping shells
// may have some more, or fewer.
func Crossings(m *mesh.Mesh, p Plan) int {
	level := make([]int32, len(m.V))
	for v := range m.V {
		level[v] = int32(p.Below(m.V[v].Z))
	}
	n := 0
	for _, t := range m.T {
		a, b, c := level[t[0]], level[t[1]], level[t[2]]
		n += int(max(a, b, c) - min(a, b, c))
	}
	return n
}
