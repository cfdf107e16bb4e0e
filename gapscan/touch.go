package gapscan

import (
	"fmt"

	"playgauge/mesh"
)

// touchGap is the true gap in mm up to which two parts touch: what float32
// makes of surfaces drawn at the same place.
const touchGap = 1e-4

// mostTouching is how many pairs of parts that touch are named.
const mostTouching = 5

// touchWarnings tells of parts that touch and are yet two: a joint without any
// gap, unless they were meant as one piece.
func (sc *scanner) touchWarnings(m *mesh.Mesh) []string {
	var out []string
	n := 0
	for _, p := range sc.pairs {
		if p.trueGap > touchGap {
			continue
		}
		if n++; n <= mostTouching {
			out = append(out, fmt.Sprintf("parts %d and %d touch, overlapping by no more than %g mm; taken as two parts without a gap: if they are one piece, unite them", m.Parts[p.a].ID, m.Parts[p.b].ID, mesh.ContactDepth))
		}
	}
	if n > mostTouching {
		return []string{fmt.Sprintf("%d pairs of parts touch, overlapping by no more than %g mm; taken as parts without a gap: those that are one piece, unite them", n, mesh.ContactDepth)}
	}
	return out
}
