package remedy

import (
	"cmp"
	"math"
	"slices"

	"playgauge/gapscan"
)

// Kinds of change, in the order in which a practitioner would rather have
// them: what costs the model nothing first.
const (
	kindHeights = iota
	kindTrim
	kindTurn
	kindHeightsTrim
	kindFlow
	kindInset
	kindSettings // pairs of settings with flow or inset
	kindScale
	kindStretch // unequal scale
	kindScaled  // pairs with a scale
	kindMachine
)

// Tiers: what costs the model nothing, what costs its walls, what costs its
// size, and another machine.
var tierOf = [...]int{
	kindHeights: 0, kindTrim: 0, kindTurn: 0, kindHeightsTrim: 0,
	kindFlow: 1, kindInset: 1, kindSettings: 1,
	kindScale: 2, kindStretch: 2, kindScaled: 2,
	kindMachine: 3,
}

// rank sorts changes, best first: the steady ones; of these, those that start
// nothing new in mid-air, which would need support; then by what they cost the
// model; free before close; then by kind and as they were found.
func rank(changes []Change) {
	no := func(b bool) int {
		if b {
			return 0
		}
		return 1
	}
	slices.SortStableFunc(changes, func(a, b Change) int {
		return cmp.Or(
			cmp.Compare(no(a.Steady), no(b.Steady)),
			cmp.Compare(no(!a.support), no(!b.support)),
			cmp.Compare(a.tier, b.tier),
			cmp.Compare(no(a.Outcome == gapscan.Free), no(b.Outcome == gapscan.Free)),
			cmp.Compare(a.kind, b.kind),
		)
	})
}

// tidy rounds a ratio to 1e-6.
func tidy(v float64) float64 { return math.Round(v*1e6) / 1e6 }
