package machine

import "math"

// Needs is what a gap must at least be on a machine, and the longest bridge
// it lays; mm.
type Needs struct {
	Side, Roof, Bottom, Bridge float64
	// Defaults names the needs ("side_mm", ...) that were neither tested nor
	// learned here and are the built-in machine's, in the order side, roof,
	// bottom, bridge; empty, not nil, where there are none.
	Defaults []string
}

// needsPerMM is one over what a computed need is rounded to: a thousandth of
// a micron, so that 0.45 less twice 0.05 is the 0.35 a person would write.
const needsPerMM = 1e6

// Needs gives what gaps must be on this machine. The bottom need is what was
// tested or, failing that, the side need and twice the spread; less twice the
// trim; and at least the side need. Without either it is the built-in
// machine's, again at least the side need, and no trim is taken off it.
func (m Machine) Needs() Needs {
	n := Needs{Defaults: []string{}}
	need := func(name string, tested *float64, cautious float64) float64 {
		if tested != nil {
			return *tested
		}
		n.Defaults = append(n.Defaults, name)
		return cautious
	}
	n.Side = need("side_mm", m.Tested.SideMM, CautiousSideMM)
	n.Roof = need("roof_mm", m.Tested.RoofMM, CautiousRoofMM)
	switch trim := 2 * m.TrimMM; {
	case m.Tested.BottomMM != nil:
		n.Bottom = *m.Tested.BottomMM - trim
	case m.SpreadMM != nil:
		n.Bottom = n.Side + float64(2**m.SpreadMM) - trim
	default:
		n.Bottom = need("bottom_mm", nil, CautiousBottomMM)
	}
	n.Bottom = max(math.Round(n.Bottom*needsPerMM)/needsPerMM, n.Side)
	n.Bridge = need("bridge_mm", m.Tested.BridgeMM, CautiousBridgeMM)
	return n
}
