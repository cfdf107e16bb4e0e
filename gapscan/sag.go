package gapscan

import (
	"gonum.org/v1/gonum/spatial/r2"
)

// sagTable is how far bridges of a span sag on a machine: span and sag in mm,
// spans ascending.
type sagTable [][2]float64

// at is the sag of a span: linear between the entries, held before the first
// and beyond the last.
func (t sagTable) at(span float64) float64 {
	if len(t) == 0 {
		return 0
	}
	if span <= t[0][0] {
		return t[0][1]
	}
	for i := 1; i < len(t); i++ {
		if a, b := t[i-1], t[i]; span <= b[0] {
			return a[1] + (b[1]-a[1])*((span-a[0])/(b[0]-a[0]))
		}
	}
	return t[len(t)-1][1]
}

// most is the greatest sag of the table.
func (t sagTable) most() float64 {
	m := 0.0
	for _, e := range t {
		m = max(m, e[1])
	}
	return m
}

// sags says whether places of a part in a layer may sag more than the tested
// roof did.
func (sc *scanner) sags(n int, part int32) bool {
	return sc.sagMost > 0 && sc.over.HasBridge(n, part)
}

// sagAt is how far below its layer a hanging place of layer n lies, beyond
// what the tested roof sagged: the need was learned with that in it.
func (sc *scanner) sagAt(n int, part int32, p r2.Vec) float64 {
	if !sc.sags(n, part) {
		return 0
	}
	span, ok := sc.over.BridgeSpan(n, part, p)
	if !ok {
		return 0
	}
	return max(sc.sag.at(span)-sc.sag.at(sc.roofSpan), 0)
}

// lowered is the stagger with the upper bead lower by sag, but not below the
// lower one.
func (s stagger) lowered(sag float64) stagger {
	s.dz = max(s.dz-sag, 0)
	return s
}
