package coupon

import (
	"fmt"
	"math"
	"slices"

	"playgauge/gapscan/machine"
)

// Family is a group of cells that teach one limit: the family of trials that
// they are recorded as.
type Family = machine.Family

// The families, in testing order.
const (
	// Side: upright pins and straight sliders, relieved at the bottom so
	// that the first layers cannot decide.
	Side = machine.FamilySide
	// Bottom: the same without the relief.
	Bottom = machine.FamilyBottom
	// Roof: sliders under flat ceilings, the air in whole layers.
	Roof = machine.FamilyRoof
	// Slope: upright cones of 45 degrees, and level pins in bores. They check
	// the rule for slopes; it has no limit of its own, so no trial is of this
	// family.
	Slope Family = "slope"
	// Bridge: decks of one layer over a low step.
	Bridge = machine.FamilyBridge
)

// Families lists all families in testing order.
func Families() []Family { return []Family{Side, Bottom, Roof, Slope, Bridge} }

// Options of a coupon. A zero value stands for the default named with it.
type Options struct {
	// NozzleMM is the nozzle's bore; 0.4.
	NozzleMM float64
	// FirstMM is the height of layer 1, RestMM that of every other; 0.2. No
	// layer may be higher than the nozzle is wide.
	FirstMM, RestMM float64
	// Material is told on the sheet; PLA.
	Material string
	// Families to include, in any order; all.
	Families []Family
	// Ladders holds the levels of each family.
	Ladders Ladders
	// Seed shuffles the cells; 4. The same seed gives the same coupon.
	Seed uint64
}

// Ladders holds the levels of each family, ascending, each once. An empty one
// stands for the default. Gaps in mm.
type Ladders struct {
	// Side; 0.15, 0.2, 0.25, 0.3, 0.4, 0.6.
	Side []float64
	// Bottom; 0.3, 0.4, 0.5, 0.6, 0.7, 0.8. A bottom limit is never below the
	// side limit, so less would only ask for the side limit again.
	Bottom []float64
	// Roof, in layers of air; 1, 2, 3, 4.
	Roof []int
	// Slope, true gaps of the upright cones; 0.2, 0.3, 0.4, 0.5, 0.6.
	Slope []float64
	// Level, gaps round the level pins of the slope family; 0.4, or the
	// height of two layers where that is more.
	Level []float64
	// Bridge, spans in mm; 10, 20, 30, 40.
	Bridge []float64
}

// DefaultSeed is the seed of a coupon that asks for none.
const DefaultSeed = 4

// Bounds of what can be asked for. Below the smallest gap float32 begins to
// show; above the largest the walls round a cell grow thin.
const (
	minNozzle = 0.15 // mm
	maxNozzle = 1.2  // mm
	minHeight = 0.04 // mm, of a layer
	minGap    = 0.05 // mm
	maxGap    = 1.0  // mm
	maxAir    = 10   // layers
	minSpan   = 2.0  // mm
	maxSpan   = 100.0
)

// OptionError says which option cannot be met, and why.
type OptionError struct {
	// Option names it: "nozzle", "layers", "families", or a ladder.
	Option string
	// Rule says in a few words what was broken.
	Rule string
}

func (e *OptionError) Error() string { return e.Option + ": " + e.Rule }

// SizeError says that the cells asked for do not fit on one coupon.
type SizeError struct {
	// Cells is the number of cells.
	Cells int
}

func (e *SizeError) Error() string {
	return fmt.Sprintf("%d cells do not fit on %g x %g mm; print fewer families at a time, or fewer levels", e.Cells, MaxSizeMM, MaxSizeMM)
}

// withDefaults returns the options with every default filled in, checked.
func (o Options) withDefaults() (Options, error) {
	fill := func(p *float64, v float64) {
		if *p == 0 {
			*p = v
		}
	}
	fill(&o.NozzleMM, machine.DefaultNozzleMM)
	fill(&o.FirstMM, 0.2)
	fill(&o.RestMM, 0.2)
	if o.Material == "" {
		o.Material = machine.DefaultMaterial
	}
	if o.Seed == 0 {
		o.Seed = DefaultSeed
	}
	if !(o.NozzleMM >= minNozzle && o.NozzleMM <= maxNozzle) {
		return o, &OptionError{"nozzle", fmt.Sprintf("%g mm is not between %g and %g", o.NozzleMM, minNozzle, maxNozzle)}
	}
	for _, h := range []float64{o.FirstMM, o.RestMM} {
		if !(h >= minHeight && h <= o.NozzleMM) {
			return o, &OptionError{"layers", fmt.Sprintf("%g mm is not between %g and the nozzle's %g", h, minHeight, o.NozzleMM)}
		}
	}
	families, err := pick(o.Families)
	if err != nil {
		return o, err
	}
	o.Families = families
	return o, o.Ladders.fill(o.RestMM)
}

// pick returns the families in testing order, each once; all for none.
func pick(asked []Family) ([]Family, error) {
	all := Families()
	for _, f := range asked {
		if !slices.Contains(all, f) {
			return nil, &OptionError{"families", fmt.Sprintf("%q is none of %v", string(f), all)}
		}
	}
	if len(asked) == 0 {
		return all, nil
	}
	return slices.DeleteFunc(all, func(f Family) bool { return !slices.Contains(asked, f) }), nil
}

// fill puts the defaults in and checks what was given.
func (l *Ladders) fill(layer float64) error {
	for _, r := range []struct {
		name    string
		ladder  *[]float64
		def     []float64
		lo, hi  float64
		measure string
	}{
		{"side", &l.Side, []float64{0.15, 0.2, 0.25, 0.3, 0.4, 0.6}, minGap, maxGap, "gap"},
		{"bottom", &l.Bottom, []float64{0.3, 0.4, 0.5, 0.6, 0.7, 0.8}, minGap, maxGap, "gap"},
		{"slope", &l.Slope, []float64{0.2, 0.3, 0.4, 0.5, 0.6}, minGap, maxGap, "gap"},
		{"level", &l.Level, []float64{max(0.4, 2*layer)}, minGap, maxGap, "gap"},
		{"bridge", &l.Bridge, []float64{10, 20, 30, 40}, minSpan, maxSpan, "span"},
	} {
		if len(*r.ladder) == 0 {
			*r.ladder = r.def
			continue
		}
		before := math.Inf(-1)
		for _, v := range *r.ladder {
			if !(v >= r.lo && v <= r.hi) {
				return &OptionError{r.name, fmt.Sprintf("a %s of %g mm is not between %g and %g", r.measure, v, r.lo, r.hi)}
			}
			if v <= before {
				return &OptionError{r.name, fmt.Sprintf("%g after %g: levels must ascend", v, before)}
			}
			before = v
		}
	}
	if len(l.Roof) == 0 {
		l.Roof = []int{1, 2, 3, 4}
	}
	for i, n := range l.Roof {
		if n < 1 || n > maxAir {
			return &OptionError{"roof", fmt.Sprintf("%d layers of air are not between 1 and %d", n, maxAir)}
		}
		if i > 0 && n <= l.Roof[i-1] {
			return &OptionError{"roof", fmt.Sprintf("%d after %d: levels must ascend", n, l.Roof[i-1])}
		}
	}
	return nil
}
