package slice

import (
	"fmt"

	"playgauge/mesh"
)

// MaxSegments bounds how many segments a stack may have. Each takes about 20
// bytes for as long as gaps are measured, and in thin layers some 20
// microseconds of work; a toy of a million facets in a thousand layers has a
// few million.
const MaxSegments = 20_000_000

// Segments counts the segments that a mesh will be cut into: one a facet and
// cut that it crosses.
func (p Plan) Segments(m *mesh.Mesh) int64 {
	n := int64(0)
	for _, t := range m.T {
		a, b, c := m.V[t[0]].Z, m.V[t[1]].Z, m.V[t[2]].Z
		n += int64(p.Below(max(a, b, c)) - p.Below(min(a, b, c)))
	}
	return n
}

// Check refuses a mesh that the plan would cut into more than MaxSegments.
func (p Plan) Check(m *mesh.Mesh) error {
	if n := p.Segments(m); n > MaxSegments {
		return fmt.Errorf("its %d facets in %d layers come to %d million lines, more than %d million; is the model in other units, or too large?",
			len(m.T), p.Layers, n/1_000_000, MaxSegments/1_000_000)
	}
	return nil
}
