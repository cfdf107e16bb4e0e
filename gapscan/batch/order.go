package batch

import (
	"cmp"
	"math"
	"slices"

	"playgauge/gapscan"
)

// WorstFirst sorts rows: first those that failed; then by the machine that
// does best with the model, those first with which none does well; where that
// is the same by the next best machine, and so on; then by the least margin.
// What has no joint stands last. Rows that are equal stay in their order.
func WorstFirst(rows []Row) {
	type key struct {
		failed   int
		outcomes []int // ranks, the best first
		margin   float64
	}
	type keyed struct {
		key
		row Row
	}
	all := make([]keyed, len(rows))
	for i, r := range rows {
		k := key{failed: 1, margin: math.Inf(1)}
		if r.Err != nil {
			k.failed = 0
		}
		for _, c := range r.Cells {
			k.outcomes = append(k.outcomes, slices.Index(ranks, c.Outcome))
			if c.Margin != nil {
				k.margin = min(k.margin, *c.Margin)
			}
		}
		slices.SortFunc(k.outcomes, func(a, b int) int { return cmp.Compare(b, a) })
		all[i] = keyed{k, r}
	}
	slices.SortStableFunc(all, func(a, b keyed) int {
		return cmp.Or(
			cmp.Compare(a.failed, b.failed),
			slices.Compare(a.outcomes, b.outcomes),
			cmp.Compare(a.margin, b.margin),
		)
	})
	for i := range all {
		rows[i] = all[i].row
	}
}

// ranks lists the outcomes, worst first.
var ranks = []gapscan.Outcome{gapscan.Welds, gapscan.Sticks, gapscan.Close, gapscan.Free, gapscan.NoJoint}
