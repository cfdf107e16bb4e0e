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
	// BottomFrom says what Bottom comes from.
	BottomFrom BottomSource
}

// BottomSource names what a bottom need was reckoned from.
type BottomSource string

// The sources. From all but BottomBuiltIn and BottomSide twice the trim is
// taken off.
const (
	BottomTested  BottomSource = "tested"
	BottomSpread  BottomSource = "spread"   // the side need and twice the spread
	BottomBuiltIn BottomSource = "built-in" // nothing is known of this machine
	BottomSide    BottomSource = "side"     // the side need, being more
)

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
		n.Bottom, n.BottomFrom = *m.Tested.BottomMM-trim, BottomTested
	case m.SpreadMM != nil:
		n.Bottom, n.BottomFrom = n.Side+float64(2**m.SpreadMM)-trim, BottomSpread
	default:
		n.Bottom, n.BottomFrom = need("bottom_mm", nil, CautiousBottomMM), BottomBuiltIn
	}
	if n.Bottom = math.Round(n.Bottom*needsPerMM) / needsPerMM; n.Bottom < n.Side {
		n.Bottom, n.BottomFrom = n.Side, BottomSide
	}
	n.Bridge = need("bridge_mm", m.Tested.BridgeMM, CautiousBridgeMM)
	return n
}
