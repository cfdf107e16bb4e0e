package slice

import (
	"sync/atomic"

	"playgauge/mesh"
	"playgauge/mesh/parallel"
)

// Crossings counts how often the cuts of a plan go through a facet: the number
// of segments that Cut's stack will have, and about that of its points. Unions
// of overlapping shells may have some more, or fewer.
func Crossings(m *mesh.Mesh, p Plan) int {
	level := p.Levels(m)
	var n atomic.Int64
	parallel.Blocks(len(m.T), func(_, lo, hi int) {
		sum := int64(0)
		for _, t := range m.T[lo:hi] {
			a, b, c := level[t[0]], level[t[1]], level[t[2]]
			sum += int64(max(a, b, c) - min(a, b, c))
		}
		n.Add(sum)
	})
	return int(n.Load())
}
