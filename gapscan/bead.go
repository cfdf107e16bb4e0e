package gapscan

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// bead is the tightest pair of beads found so far between two parts.
type bead struct {
	margin float64 // +Inf: none within reach
	gap    float64 // between the beads' surfaces, mm
	cause  Cause
	at     r2.Vec // on the upper layer
	upper  int32  // the part the upper bead belongs to
	// ends are the places of the two beads, in the layer and in layer low:
	// the upper one's first, of two in one layer that of the joint's part a.
	ends  [2]r2.Vec
	low   int
	steep bool // on a slope: hangs, and lies further above than aside
}

var noBead = bead{margin: math.Inf(1)}

func (b bead) found() bool { return !math.IsInf(b.margin, 1) }

// better keeps the first of equals, so that the order of work decides ties.
func (b *bead) better(o bead) {
	if o.margin < b.margin {
		*b = o
	}
}

// jointLayer is what one layer shows of one joint.
type jointLayer struct {
	joint    int32
	side     float64 // least side gap within reach; +Inf if none
	sideEnds [2]r2.Vec
	best     bead
	roof     roofFind // over both directions
	roofWeld weldLayer
	tight    []TightRoof // only where they are asked for
	// slope is the least gap of two beads that a side need must meet; as long
	// as it is the side gap, no slope is less.
	slope float64
	// mixed says that beads of this layer may hang, so that slope may be
	// theirs.
	mixed bool
}

// roofFind is the least air over overlapping places.
type roofFind struct {
	found      bool
	air        float64 // mm between the beads
	airLayers  int
	sags       bool    // sagged is known
	sagged     float64 // the least air under what hangs, less the sag
	hangs      bool    // an overlapping place hangs
	hangAir    float64 // the least air under one that does
	hangLayers int
	stands     bool // an overlapping place stands
	least      float64
}

// standAir is the least air in mm over which an overlapping place stands, +Inf
// if none does.
func (r *roofFind) standAir() float64 {
	if !r.stands {
		return math.Inf(1)
	}
	return r.least
}

// addSagged notes the air that is left under a place that hangs.
func (r *roofFind) addSagged(air float64) {
	if !r.sags || air < r.sagged {
		r.sagged, r.sags = air, true
	}
}

func (r *roofFind) add(air float64, layers int, hangs, stands bool) {
	if !r.found || air < r.air {
		r.air, r.airLayers, r.found = air, layers, true
	}
	if stands && (!r.stands || air < r.least) {
		r.least, r.stands = air, true
	}
	if hangs && (!r.hangs || air < r.hangAir) {
		r.hangAir, r.hangLayers, r.hangs = air, layers, true
	}
}
