// Package slot finds the narrow gaps inside one part that would close when
// printed: between the teeth of a comb, at the neck of a clip, in the cuts of
// a living hinge.
//
// A chord leads straight from one wall of a part to another, in the plane of
// a layer. It belongs to a slot if
//   - it is shorter than the need,
//   - it runs through air, also as to other parts,
//   - it makes at most 30 degrees with the outward normal of the segment it
//     leaves and of the one it meets, and
//   - the shortest way from one of its ends to the other over the part is at
//     least ten times its length and at least 5 mm.
//
// The way in the plane is the shorter one along the contour; islands have
// none. The way through the stack follows both walls of the gap up or down,
// layer by layer, until they are joined: until the straight line between them
// lies in material, or both lie on one contour. Its length is that of the way
// down (or up) both walls, plus the line or the way along that contour. Where
// the gap goes on narrow in the next layer only the height is counted, so that
// the length is at most that of the path described. A wall that ends in mid-air leads nowhere. So two legs joined 20
// mm further up have a way of 40 mm, two letters on a plate 0.4 mm below one
// of about 1 mm, and a groove cut into a flat face twice its depth.
//
// The way through the stack is looked up once for each stretch of up to 5 mm,
// at its narrowest place: a shorter floor under a slot may be missed.
package slot

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/parallel"
	"playgauge/slice"
	"playgauge/slice/near"
)

// The bounds of the definition.
const (
	// MaxTilt is the largest angle between the chord and the outward normal
	// of a wall, in degrees.
	MaxTilt = 30
	// MinWay is the shortest way round in mm, MinWidths the shortest in
	// widths: below, it is a corner or an ornament.
	MinWay    = 5.0
	MinWidths = 10.0
	// MetShare is the share of the need from which it counts as met, as
	// everywhere in a verdict: microns weld nothing.
	MetShare = 0.995
)

// Options of a search.
type Options struct {
	// Need is the least gap in mm that the machine keeps open in a layer,
	// counted from 1. A layer that needs nothing has no slots.
	Need func(layer int) float64
}

// Slot is one connected narrow place in one layer. A gap that bends or
// branches is one place as long as it stays narrow.
type Slot struct {
	// Part is the index of the part, Layer counts from 1.
	Part  int32
	Layer int
	// Width is the least length in mm of the chords of this place, exact for
	// the polygons cut (where something else stands in the gap, to within an
	// eighth of the need along the wall), but at least near.Skin; Need is what the machine needs there.
	Width, Need float64
	// At is the middle of Ends, the two walls at the narrowest place. Where
	// a stretch is equally narrow it is the middle of that, or of a part of
	// it, so that the ends may be up to 1e-4 mm farther apart than Width.
	At   r2.Vec
	Ends [2]r2.Vec
}

// Find lists the slots of all layers, sorted by part, layer and place (At.X,
// then At.Y). Layers are searched in parallel; the result does not depend on
// it. Cost grows with the number of contour points, and with the number of
// segments within the need of each, up to a bound: crowded lists the layers,
// counted from 1 and ascending, in which so many walls stand within the need of
// each other that not all of them were looked at.
func Find(plan slice.Plan, ix *near.Layers, opt Options) (slots []Slot, crowded []int) {
	s := NewSearch(plan, ix, opt)
	parallel.EachWorker(ix.Len(), func() func(int) {
		w := s.Worker()
		return func(k int) { w.Layer(k + 1) }
	})
	return s.Find()
}

// Search is Find in steps, for those who look at every layer anyway: each
// layer once, by any Worker, then Find.
type Search struct{ f *finder }

// NewSearch begins a search.
func NewSearch(plan slice.Plan, ix *near.Layers, opt Options) *Search {
	return &Search{newFinder(plan, ix, opt)}
}

// Worker looks at layers one at a time. Several may work side by side.
type Worker struct{ s search }

// Worker makes a worker.
func (s *Search) Worker() *Worker { return &Worker{search{f: s.f}} }

// Layer looks at layer n, which counts from 1.
func (w *Worker) Layer(n int) {
	f, k := w.s.f, n-1
	if f.need[k] == 0 {
		return
	}
	f.faces[k] = w.s.layer(k)
	f.sides[k] = sidesOf(f.faces[k])
}

// Find gives what the function Find does once all layers are looked at.
func (s *Search) Find() (slots []Slot, crowded []int) {
	f := s.f
	f.ways()
	found := make([][]Slot, f.ix.Len())
	parallel.EachWorker(f.ix.Len(), func() func(int) {
		return func(k int) { found[k] = f.places(k) }
	})
	slots = slices.Concat(found...)
	slices.SortFunc(slots, func(a, b Slot) int {
		return cmp.Or(cmp.Compare(a.Part, b.Part), cmp.Compare(a.Layer, b.Layer),
			cmp.Compare(a.At.X, b.At.X), cmp.Compare(a.At.Y, b.At.Y), cmp.Compare(a.Width, b.Width))
	})
	for k, c := range f.crowded {
		if c {
			crowded = append(crowded, k+1)
		}
	}
	return slots, crowded
}

// finder holds what the steps hand on. Layers are counted from 0 here.
type finder struct {
	plan slice.Plan
	ix   *near.Layers
	need []float64 // 0 where nothing is needed
	// faces holds the pairs of stretches of wall that face each other in
	// each layer, sorted by their segments; sides finds them by segment.
	faces [][]facing
	sides [][]side
	trees []lazyTree
	// crowded says of each layer that the search was given up.
	crowded []bool
	// wayCap is the length of way that is enough for any slot, mm.
	wayCap float64
}

func newFinder(plan slice.Plan, ix *near.Layers, opt Options) *finder {
	n := ix.Len()
	f := &finder{
		plan: plan, ix: ix, need: make([]float64, n),
		faces: make([][]facing, n), sides: make([][]side, n), trees: make([]lazyTree, n),
		crowded: make([]bool, n),
	}
	most := 0.0
	for k := range ix.Len() {
		if need := opt.Need(k + 1); need > 0 && !math.IsInf(need, 1) {
			f.need[k] = need
			most = max(most, need)
		}
	}
	f.wayCap = minWay(most)
	return f
}

// minWay is the shortest way round a slot of a width.
func minWay(width float64) float64 { return max(MinWay, MinWidths*width) }
