// Package overhang finds what a sliced model lays over air: bridges,
// cantilevers and starts in mid-air, each followed through its layers, and
// what lies below them.
package overhang

import (
	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/parallel"
	"playgauge/slice"
	"playgauge/slice/near"
)

// Kind says how a region hangs.
type Kind string

// The kinds.
const (
	Bridge     Kind = "bridge"     // held at both ends
	Cantilever Kind = "cantilever" // held somewhere, but not so
	MidAir     Kind = "mid-air"    // held nowhere
)

const (
	// MinReach is the least reach of a cantilever that is news, mm. Any slope
	// a little flatter than the overhang angle reaches out by some tenths a
	// layer, and prints.
	MinReach = 1.0
	// MinBridge is the least span of a bridge that is news, mm: about two
	// lines. What lies nowhere farther than half of it from support, one line,
	// is neither a bridge nor a cantilever.
	MinBridge = 1.0
	// MinArea in mm2 and MinWidth in mm are the least of a bridge or cantilever
	// in one layer that any bead is laid for: a twentieth of a millimetre is an
	// eighth of a line. An edge that ends just below a cut leaves hairs. (What
	// the next layer lays on a hair counts as carried by it.)
	MinArea  = 0.02
	MinWidth = 0.05
	// LiesWithin is the number of air layers within which a start in mid-air
	// lies down on what is below.
	LiesWithin = 3
	// HeldShare is the share of a region that held runs of one direction must
	// cover for the region to be a bridge.
	HeldShare = 0.9
	// hangNoise keeps surfaces drawn at just the overhang angle standing: 0.1
	// micron, in mm.
	hangNoise = 1e-4
)

// Options of a search.
type Options struct {
	// TanHang is the tangent of the angle from vertical up to which a surface
	// stands on its own part.
	TanHang float64
	// MayHang may say of a part and a layer (from 2 on) that nothing of that
	// part can hang there, by answering false; that saves the work. nil: all
	// may.
	MayHang func(part int32, layer int) bool
	// MayEnd may say of a box in plan, and then of one layer after the other,
	// that nothing in the box ends between that layer and the next, by answering
	// false; that saves looking there for what lies below. nil: anything may.
	MayEnd func(box r2.Box) func(layer int) bool
}

// Region is one place that hangs, through all the layers in which it goes on.
// Lengths in mm.
//
// What layer n of a part lays over air is its islands less its own layer n-1
// grown by the layer's height times Options.TanHang; layer 1 stands on the
// bed. Neighbouring layers' regions never overlap, so they continue one
// another where they lie no farther apart than that growth and one line of
// the scan. A region gathers those of one kind; a start in mid-air also takes
// in the cantilevers that grow out of it, unless it lies down on something, but
// never another start.
type Region struct {
	// Part is the index of its part.
	Part int32
	// First and Last are its lowest and highest layer.
	First, Last int
	Kind        Kind
	// Span is a bridge's span or a cantilever's reach, the most in any layer;
	// 0 in mid-air.
	//
	// A run across what layer n-1 does not carry is held if both its ends meet
	// layer n-1. A direction qualifies when held runs cover HeldShare of what
	// hangs; the span is the least, over those directions, of the longest held
	// run. A reach is the farthest distance of a hanging place from layer n-1.
	Span float64
	// Area is that of what hangs, mm2, summed over the layers.
	Area float64
	// At is a place well inside, in layer AtLayer: where the span or reach is
	// greatest, or where the start is.
	At      r2.Vec
	AtLayer int
	// OverPart is the part, which may be its own, that lies nearest below it,
	// nil where that is the bed; Drop is how far below the region's underside
	// that part's top or the bed lies.
	OverPart *int32
	Drop     float64
	// LiesOn is the part, which may be its own, on which a start in mid-air lies down, since at least
	// half of it begins within LiesWithin air layers above that part; it needs
	// no support then. nil otherwise. AirLayers is the least number of air
	// layers between.
	LiesOn    *int32
	AirLayers int
}

// Overhangs is all that hangs in a stack. It is only read; any number of
// goroutines may do so at once.
type Overhangs struct {
	// Regions is sorted by first layer, then part, then place.
	Regions []Region
	// spans holds, for layer n at n-1, the parts that bridge there, ascending.
	spans [][]partSpans
}

// Find finds all that hangs. Layers are searched in parallel; the result does
// not depend on it.
func Find(plan slice.Plan, ix *near.Layers, opt Options) *Overhangs {
	s := NewSearch(plan, ix, opt)
	parallel.EachWorker(ix.Len(), func() func(int) {
		w := s.Worker()
		return func(i int) { w.Layer(i+1, nil) }
	})
	s.Follow()
	return s.Found()
}

// LongestBridge is the bridge of the greatest span, the first of equals.
func (o *Overhangs) LongestBridge() (Region, bool) {
	best := -1
	for i := range o.Regions {
		if r := &o.Regions[i]; r.Kind == Bridge && (best < 0 || r.Span > o.Regions[best].Span) {
			best = i
		}
	}
	if best < 0 {
		return Region{}, false
	}
	return o.Regions[best], true
}

// growth is how far from its own layer below a place of a layer must lie to
// hang, mm.
func growth(p slice.Plan, layer int, tanHang float64) float64 {
	return float64(p.Height(layer)*tanHang) + hangNoise
}
