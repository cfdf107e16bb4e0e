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
	// From says where each need was found, before the trim and the side need
	// have their say about Bottom.
	From NeedsFrom
}

// NeedsFrom holds where each of the four needs was found.
type NeedsFrom struct{ Side, Roof, Bottom, Bridge Found }

// BottomSource names what a bottom need was reckoned from.
type BottomSource string

// The sources. From all but BottomBuiltIn and BottomSide twice the trim is
// taken off.
const (
	BottomTested  BottomSource = "tested"   // a limit written by hand
	BottomTrials  BottomSource = "trials"   // learned from trials
	BottomSpread  BottomSource = "spread"   // the side need and twice the spread
	BottomBuiltIn BottomSource = "built-in" // nothing is known of this machine
	BottomSide    BottomSource = "side"     // the side need, being more
)

// needsPerMM is one over what a computed need is rounded to: a thousandth of
// a micron, so that 0.45 less twice 0.05 is the 0.35 a person would write.
const needsPerMM = 1e6

// Needs gives what gaps must be on this machine: each is the limit written by
// hand, failing that what the trials say (Found tells by which rule), failing
// that the built-in machine's. The bottom need, failing hand and trials, is
// the side need and twice the spread where that is known; in all these cases
// less twice the trim. No trim is taken off the built-in one but what Trimmed
// added. It is at least the side need.
func (m Machine) Needs() Needs {
	n := Needs{Defaults: []string{}}
	n.Side, n.From.Side = found(m.Tested.SideMM, m.Learned.Side, CautiousSideMM, SourceBuiltIn)
	n.Roof, n.From.Roof = found(m.Tested.RoofMM, m.Learned.Roof, CautiousRoofMM, SourceBuiltIn)
	n.Bridge, n.From.Bridge = foundBridge(m.Tested.BridgeMM, m.Learned.Bridge)

	otherwise, source := CautiousBottomMM, SourceBuiltIn
	if m.SpreadMM != nil {
		otherwise, source = n.Side+float64(2**m.SpreadMM), SourceSpread
	}
	n.Bottom, n.From.Bottom = found(m.Tested.BottomMM, m.Learned.Bottom, otherwise, source)
	n.BottomFrom = bottomSources[n.From.Bottom.Source]
	trim := m.TrimMM
	if n.BottomFrom == BottomBuiltIn {
		trim = m.AddedTrimMM
	}
	n.Bottom -= 2 * trim
	if n.Bottom = math.Round(n.Bottom*needsPerMM) / needsPerMM; n.Bottom < n.Side {
		n.Bottom, n.BottomFrom = n.Side, BottomSide
	}

	for _, d := range []struct {
		name string
		from Found
	}{{"side_mm", n.From.Side}, {"roof_mm", n.From.Roof}, {"bottom_mm", n.From.Bottom}, {"bridge_mm", n.From.Bridge}} {
		if d.from.Source == SourceBuiltIn {
			n.Defaults = append(n.Defaults, d.name)
		}
	}
	return n
}

// Trimmed is the machine with so many mm more cut off each side of the bottom
// layers before printing: the bottom need is less by twice that, but never
// less than the side need.
func (m Machine) Trimmed(mm float64) Machine {
	m.TrimMM += mm
	m.AddedTrimMM += mm
	return m
}

var bottomSources = map[Source]BottomSource{
	SourceHand: BottomTested, SourceTrials: BottomTrials, SourceSpread: BottomSpread, SourceBuiltIn: BottomBuiltIn,
}
