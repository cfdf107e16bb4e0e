package gapscan

import (
	"math"

	"playgauge/gapscan/machine"
)

// WhatIf is how a model is placed, sliced and looked at: what the flags of
// vet change. Lengths in mm.
type WhatIf struct {
	// FirstMM is the height of layer 1, RestMM that of the others.
	FirstMM, RestMM float64
	// TurnDeg turns about x, then y, then z.
	TurnDeg [3]float64
	// Scale along x, y and z, after turning.
	Scale [3]float64
	// Units is what the numbers in the file are: a name of Units, or empty for
	// what the file says, and mm where it says nothing.
	Units string
	// ReachMM is how far apart parts are still looked at; 0 leaves it to the
	// machine's needs.
	ReachMM float64
	// TrimMM is what is cut off each side of the bottom layers before
	// printing, on top of the machine's own trim: machine.Trimmed.
	TrimMM float64
	// InsetMM is how far every wall recedes in plan before printing:
	// slice.Inset.
	InsetMM float64
	// Flow is the share of the nominal material that is laid, at most 1: less
	// makes lines narrower, which acts as an inset does (FlowInset).
	Flow float64
	// LiftMM shifts the model up against the layers, or down below 0.
	LiftMM float64
}

// DefaultLayerMM is the layer height most toys are printed with.
const DefaultLayerMM = 0.2

// AsIs is the what-if that changes nothing.
func AsIs() WhatIf {
	return WhatIf{FirstMM: DefaultLayerMM, RestMM: DefaultLayerMM, Scale: [3]float64{1, 1, 1}, Flow: 1}
}

// FlowInset is how far a wall recedes in mm when only a share of the nominal
// material is laid: half of what the line grows narrower. A line of width W and
// height h has straight sides rounded by semicircles, a section of
// A = h(W-h) + pi h^2/4; so W = A/h + h(1-pi/4), and at the share flow of A the
// width is less by (1-flow)(W - h(1-pi/4)). lineMM is W at the nominal flow,
// heightMM is h. Never below 0.
func FlowInset(flow, lineMM, heightMM float64) float64 {
	return max((1-flow)*(lineMM-float64(heightMM*(1-math.Pi/4)))/2, 0)
}

// recede is how far walls recede in all on a machine, mm: the inset, and what
// the flow makes of it at the height of the layers above the first. (Layer 1
// of another height would differ by microns, below what its spread leaves
// of them.)
func (w WhatIf) recede(mc machine.Machine) float64 {
	return w.InsetMM + FlowInset(w.Flow, mc.LineMM, w.RestMM)
}

// adjusted tells of trim, inset, flow and lift, nil where there is none.
func (w WhatIf) adjusted(mc machine.Machine) *Adjusted {
	if w.TrimMM == 0 && w.InsetMM == 0 && w.Flow == 1 && w.LiftMM == 0 {
		return nil
	}
	return &Adjusted{TrimMM: w.TrimMM, InsetMM: w.InsetMM, Flow: w.Flow, LiftMM: w.LiftMM, RecededMM: round6(w.recede(mc))}
}
