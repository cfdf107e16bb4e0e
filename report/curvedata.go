package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"playgauge/gapscan/machine"
)

// familyCurve is what the trials of one family say, for the curve as a
// picture and as text.
type familyCurve struct {
	name   string // of the gap
	found  machine.Found
	asked  float64 // the need that vet asks of what is drawn, mm
	trials []machine.Outcome
	post   machine.Posterior
	hi     float64 // the widest gap that is shown, mm; the narrowest is 0
}

// bridgeCurve is the same of the bridges.
type bridgeCurve struct {
	found  machine.Found
	trials []machine.Trial // by span, then sag
}

// machineCurves is all that is to be shown of a machine.
type machineCurves struct {
	families []familyCurve // those with trials: side, bottom, roof
	bridges  *bridgeCurve  // nil where there are none
	without  []string      // the names of families without trials
}

// curvesOf gathers what the trials of a machine say.
func curvesOf(mc machine.Machine) machineCurves {
	mc.Learned = machine.Learn(mc.Trials)
	n := mc.Needs()
	var out machineCurves
	for _, f := range []struct {
		family machine.Family
		found  machine.Found
		asked  float64
	}{
		{machine.FamilySide, n.From.Side, n.Side},
		{machine.FamilyBottom, n.From.Bottom, n.Bottom},
		{machine.FamilyRoof, n.From.Roof, n.Roof},
	} {
		trials := slices.DeleteFunc(machine.Outcomes(f.family, mc.Trials), func(o machine.Outcome) bool { return resultOrder(o.Result) < 0 })
		if len(trials) == 0 {
			out.without = append(out.without, familyGap(f.family))
			continue
		}
		post, _ := mc.Posterior(f.family)
		slices.SortStableFunc(trials, func(a, b machine.Outcome) int {
			return cmp.Or(cmp.Compare(a.Gap, b.Gap), cmp.Compare(resultOrder(a.Result), resultOrder(b.Result)))
		})
		c := familyCurve{name: familyGap(f.family), found: f.found, asked: f.asked, trials: trials, post: post}
		c.hi = c.widestShown()
		out.families = append(out.families, c)
	}
	b := bridgeCurve{found: n.From.Bridge}
	for _, t := range mc.Trials {
		if t.Family == machine.FamilyBridge && t.LayerHeightMM > 0 {
			b.trials = append(b.trials, t)
		}
	}
	if len(b.trials) == 0 {
		out.without = append(out.without, "bridges")
		return out
	}
	slices.SortStableFunc(b.trials, func(x, y machine.Trial) int {
		return cmp.Or(cmp.Compare(x.SpanMM, y.SpanMM), cmp.Compare(sagLayers(x), sagLayers(y)))
	})
	out.bridges = &b
	return out
}

// resultOrder sorts results from best to worst.
func resultOrder(r machine.Result) int {
	return slices.Index([]machine.Result{machine.CameFree, machine.Stuck, machine.Welded}, r)
}

// sagLayers is the sag of a bridge in layers: what it is judged by.
func sagLayers(t machine.Trial) float64 { return t.SagMM / t.LayerHeightMM }

// How wide a range of gaps is shown.
const (
	sureFree   = 0.98 // the curve is shown up to where a joint is this sure
	leastShown = 0.4  // mm, at least: more than one step of any gauge
	mostRoom   = 2.5  // but at most so many times what has to be seen
	shownStep  = 0.05 // mm, the range ends on one
)

// widestShown takes in the limit, all that did not come out free and the
// narrowest that did, and as much of the curve as it takes to flatten out. A
// gap far above all that tells nothing, and would press the rest together.
func (c *familyCurve) widestShown() float64 {
	seen := max(leastShown, 1.2*c.found.MM)
	if mm := c.found.TrialsMM; mm != nil {
		seen = max(seen, 1.2**mm)
	}
	for _, t := range c.trials {
		if t.Result != machine.CameFree {
			seen = max(seen, 1.1*t.Gap)
		}
	}
	for _, t := range c.trials {
		if t.Result == machine.CameFree {
			seen = max(seen, 1.1*t.Gap)
			break // the narrowest
		}
	}
	hi := seen
	for p := 0.0; hi < mostRoom*seen; hi += shownStep {
		if p, _, _ = c.post.PFree(hi); p >= sureFree {
			break
		}
	}
	// What else came out free is shown as far as it costs little.
	for _, t := range c.trials {
		if t.Gap <= mostRoom*seen {
			hi = max(hi, 1.05*t.Gap)
		}
	}
	return math.Ceil(hi/shownStep-tickSlack) * shownStep
}

// beyond counts the trials that lie beyond what is shown.
func (c *familyCurve) beyond() int {
	n := 0
	for _, t := range c.trials {
		if t.Gap > c.hi {
			n++
		}
	}
	return n
}

// title is the head of a family: "side gap: needs 0.31 mm".
func (c *familyCurve) title() string {
	return c.name + ": need" + nbsp + gap(c.found.MM) + nbsp + "mm"
}

// words say where the need comes from, what vet asks where that is not it, and
// how the trials came out.
func (c *familyCurve) words() string {
	return needWords(&c.found, c.asked) + " " + c.tallyTrials()
}

// needWords say where a need comes from, and what vet asks where that is not
// it.
func needWords(f *machine.Found, asked float64) string {
	if math.Abs(asked-f.MM) <= sameNeed {
		return f.Words
	}
	s := f.Words + "; of what is drawn " + gap(asked) + nbsp + "mm is asked, "
	if asked > f.MM {
		return s + "the side need, being more"
	}
	return s + "less twice the trim"
}

// tallyTrials says how many came out how: "(trials: 7 free, 1 sticks, 4
// weld)".
func (c *familyCurve) tallyTrials() string {
	var n [3]int
	for _, t := range c.trials {
		if i := resultOrder(t.Result); i >= 0 {
			n[i]++
		}
	}
	var kinds []string
	for i, w := range [3][2]string{{"free", "free"}, {"sticks", "stick"}, {"welds", "weld"}} {
		switch n[i] {
		case 0:
		case 1:
			kinds = append(kinds, "1"+nbsp+w[0])
		default:
			kinds = append(kinds, fmt.Sprintf("%d"+nbsp+"%s", n[i], w[1]))
		}
	}
	s := "(trials: " + strings.Join(kinds, ", ")
	if k := c.beyond(); k > 0 {
		s += fmt.Sprintf("; %d beyond %s"+nbsp+"mm, not shown", k, gap(c.hi))
	}
	return s + ")"
}

func (b *bridgeCurve) title() string {
	return "bridges: up to" + nbsp + span(b.found.MM) + nbsp + "mm"
}

// layerWords names the layer heights that the bridges were laid with.
func (b *bridgeCurve) layerWords() string {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, t := range b.trials {
		lo, hi = min(lo, t.LayerHeightMM), max(hi, t.LayerHeightMM)
	}
	if lo == hi {
		return size(lo) + nbsp + "mm"
	}
	return size(lo) + nbsp + "to" + nbsp + size(hi) + nbsp + "mm"
}

// curveTitle names the machine; curveCounts says what there is of it.
func curveTitle(mc *machine.Machine) string {
	name := plain(mc.Name)
	if name == "" {
		name = "machine"
	}
	return name
}

func curveCounts(mc *machine.Machine, c *machineCurves) string {
	s := size(mc.NozzleMM) + nbsp + "mm nozzle"
	if mc.Material != "" {
		s += ", " + plain(mc.Material)
	}
	switch n := len(mc.Trials); {
	case n == 0:
		return s + "; no trials recorded yet, so there is no curve to show"
	case len(c.without) > 0:
		return s + "; " + count(n, "trial", "trials") + ", none of " + orSeries(c.without)
	default:
		return s + "; " + count(n, "trial", "trials")
	}
}

// orSeries joins words: "a", "a or b", "a, b or c".
func orSeries(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " or " + words[last]
}
