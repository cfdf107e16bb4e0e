package overhang

import (
	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice"
	"playgauge/slice/near"
)

// Search is Find in steps, for those who look at every layer anyway: each
// layer once, by any Worker, then Follow.
type Search struct {
	plan   slice.Plan
	ix     *near.Layers
	opt    Options
	pieces [][]piece
	found  Overhangs
}

// NewSearch begins a search.
func NewSearch(plan slice.Plan, ix *near.Layers, opt Options) *Search {
	n := ix.Len()
	return &Search{plan: plan, ix: ix, opt: opt, pieces: make([][]piece, n), found: Overhangs{spans: make([][]partSpans, n)}}
}

// Found is what has been found: where the layers searched so far bridge, and
// after Follow the regions.
func (s *Search) Found() *Overhangs { return &s.found }

// Follow gathers the regions once all layers are searched.
func (s *Search) Follow() {
	s.found.Regions = follow(s.pieces, func(layer int) float64 { return growth(s.plan, layer, s.opt.TanHang) })
}

// Worker searches layers one at a time. Several may work side by side.
type Worker struct {
	s *Search
	w worker
}

// Worker makes a worker.
func (s *Search) Worker() *Worker {
	return &Worker{s: s, w: worker{plan: s.plan, ix: s.ix, opt: s.opt}}
}

// Outline is what a part's layer has outside its own layer below, whether it
// hangs or not, save what is no thicker than near.Skin.
type Outline struct {
	Part int32
	// Rings have the region on their left.
	Rings [][]r2.Vec
}

// Layer searches layer n. It gives outlines too, by part, of what lies in the
// boxes that want answers, which must be apart; more may be given. want may be
// nil.
func (w *Worker) Layer(n int, want func(part int32) []r2.Box) []Outline {
	var outlines []Outline
	w.s.pieces[n-1], w.s.found.spans[n-1], outlines = w.w.layer(n, want)
	return outlines
}
