package slice

import (
	"fmt"

	"playgauge/mesh"
)

// MaxSegments bounds how many segments a stack may have. Each takes in thin
// layers some 20 microseconds of work, and where layers are kept about 25 bytes;
// a toy of a million facets in a thousand layers has a few million.
const MaxSegments = 20_000_000

// Check refuses a mesh that the plan would cut into more than MaxSegments.
func (p Plan) Check(m *mesh.Mesh) error {
	if n := Crossings(m, p); n > MaxSegments {
		return fmt.Errorf("its %d facets in %d layers come to %d million lines, more than %d million; is the model in other units, or too large?",
			len(m.T), p.Layers, n/1_000_000, MaxSegments/1_000_000)
	}
	return nil
}
