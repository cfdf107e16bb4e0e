package gapscan

import (
	"fmt"

	"playgauge/mesh"
	"playgauge/slice"
)

// repairWarnings tells, layer by layer, of contours that did not close by
// themselves; runs of layers with the same tale share a line.
func repairWarnings(m *mesh.Mesh, s *slice.Stack) []string {
	var out []string
	type tale struct {
		first, last     int
		closed, dropped int
		widest          float64
	}
	var t tale
	tell := func() {
		where := fmt.Sprintf("layer %d", t.first)
		if t.last > t.first {
			where = fmt.Sprintf("layers %d to %d", t.first, t.last)
		}
		if t.closed > 0 {
			out = append(out, fmt.Sprintf("%s: %s closed across %s", where, contours(t.closed), gapWords(t.widest)))
		}
		if t.dropped > 0 {
			out = append(out, fmt.Sprintf("%s: %s left out: open by more than %g mm, or a fold in the surface; gaps there are not measured", where, contours(t.dropped), slice.CloseWithin))
		}
	}
	for i := range s.Layers {
		l := &s.Layers[i]
		if len(l.Repairs) == 0 {
			continue
		}
		n := tale{first: l.Number, last: l.Number}
		for _, r := range l.Repairs {
			if r.Dropped {
				n.dropped++
			} else {
				n.closed++
				n.widest = max(n.widest, r.Gap)
			}
		}
		if t.first > 0 && t.last == n.first-1 {
			t.last = n.last
			t.closed, t.dropped = t.closed+n.closed, t.dropped+n.dropped
			t.widest = max(t.widest, n.widest)
			continue
		}
		if t.first > 0 {
			tell()
		}
		t = n
	}
	if t.first > 0 {
		tell()
	}
	return out
}

func contours(n int) string {
	if n == 1 {
		return "1 contour"
	}
	return fmt.Sprintf("%d contours", n)
}

// hairline is the widest crack in mm whose closing cannot have changed what
// prints: a fortieth of a line.
const hairline = 0.01

func gapWords(mm float64) string {
	if mm < hairline {
		return "hairline cracks of less than 0.01 mm; the answer does not hang on them"
	}
	return fmt.Sprintf("gaps of up to %.2f mm; the walls there are a guess", mm)
}
