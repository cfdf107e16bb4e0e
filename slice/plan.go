package slice

import (
	"fmt"
	"math"
	"sort"
)

// CutNoise is how far above a vertex a cut may lie and still count as below
// it, in mm: float32 rounding of a coordinate must not decide which layer a
// horizontal face belongs to.
const CutNoise = 1e-5

// MaxLayers bounds a plan. A metre at 0.05 mm is 20,000.
const MaxLayers = 100_000

// Plan says how high each layer is. Lengths in mm; layers count from 1.
type Plan struct {
	// First is the height of layer 1, Rest that of every other.
	First, Rest float64
	// Lift is how far the model stands above the bed, or, below 0, how deep
	// it is sunk into it: the layers stay where they are.
	Lift float64
	// Layers is the number of layers.
	Layers int
}

// NewPlan plans the layers of a model that reaches from the bed to top.
// Layer n exists while its cut lies below top - CutNoise. Heights must be
// finite and above 0, and the plan must not exceed MaxLayers.
func NewPlan(first, rest, top float64) (Plan, error) { return NewLiftedPlan(first, rest, top, 0) }

// NewLiftedPlan is NewPlan for a model that is lifted off the bed, or sunk
// into it, after it was placed there; top is as it was before.
func NewLiftedPlan(first, rest, top, lift float64) (Plan, error) {
	if !(first > 0) || !(rest > 0) || math.IsInf(first, 0) || math.IsInf(rest, 0) {
		return Plan{}, fmt.Errorf("layer heights must be above 0 mm, not %g and %g", first, rest)
	}
	if math.IsNaN(top+lift) || math.IsInf(top+lift, 0) {
		return Plan{}, fmt.Errorf("the model's height is not a number")
	}
	p := Plan{First: first, Rest: rest, Lift: lift}
	for p.Cut(p.Layers+1) < top+lift-CutNoise {
		if p.Layers++; p.Layers > MaxLayers {
			return Plan{}, fmt.Errorf("%g mm in layers of %g mm is more than %d layers; is the model in other units, or too large?", top, rest, MaxLayers)
		}
	}
	return p, nil
}

// Cut is the height at which layer n is cut: its middle, rounded to 1e-6 mm.
func (p Plan) Cut(n int) float64 {
	z := p.First / 2
	if n > 1 {
		z = p.First + (float64(n)-1.5)*p.Rest
	}
	return math.Round(z*1e6) / 1e6
}

// Height is the height of layer n.
func (p Plan) Height(n int) float64 {
	if n == 1 {
		return p.First
	}
	return p.Rest
}

// Bottom is the height at which layer n begins, rounded to 1e-6 mm.
func (p Plan) Bottom(n int) float64 {
	if n == 1 {
		return 0
	}
	return math.Round((p.First+float64(n-2)*p.Rest)*1e6) / 1e6
}

// Top is the height at which layer n ends, rounded to 1e-6 mm.
func (p Plan) Top(n int) float64 { return p.Bottom(n + 1) }

// InModel is the height of cut n on the model's own axes, before it was
// lifted.
func (p Plan) InModel(n int) float64 { return p.Cut(n) - p.Lift }

// Below counts the cuts at or below z, within CutNoise: z lies above cut n
// when n <= Below(z), and in the slab between cut Below(z) and the next. z is
// a height of the model, before it was lifted.
func (p Plan) Below(z float64) int {
	z += p.Lift + CutNoise
	g := (z-p.First)/p.Rest + 1.5
	n := int(min(max(g, 0), float64(p.Layers)))
	if (n == 0 || p.Cut(n) <= z) && (n == p.Layers || p.Cut(n+1) > z) {
		return n
	}
	return sort.Search(p.Layers, func(i int) bool { return p.Cut(i+1) > z })
}
