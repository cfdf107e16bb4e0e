package overhang

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice"
	"playgauge/slice/near"
	"playgauge/slice/sweep"
)

// worker searches layers one at a time.
type worker struct {
	plan slice.Plan
	ix   *near.Layers
	opt  Options
	n    int
	grow float64 // of layer n

	sw     sweep.Sweep
	edges  []edge
	scan   scan
	across raster // lines of one direction across one patch
	local  []edge // of the patch under study
	probe  []crossing
	// Of the lines across: where each enters by a held edge at the earliest, and
	// leaves by one at the latest.
	firstIn, lastOut []float64
	parts            []int32
}

func (w *worker) upper() *near.Index { return w.ix.At(w.n) }
func (w *worker) lower() *near.Index { return w.ix.At(w.n - 1) }

// piece is a region of one layer.
type piece struct {
	part  int32
	layer int
	kind  Kind
	span  float64
	area  float64
	at    r2.Vec
	under under
	rows  []stretch // ascending by v, then u
	step  float64   // between rows
	box   uvBox
}

// uvBox bounds a piece in the scan's frame.
type uvBox struct{ u0, v0, u1, v1 float64 }

// layer finds the pieces of layer n, by part, and where it bridges, and gives
// the outlines that are wanted.
func (w *worker) layer(n int, want func(part int32) []r2.Box) (pieces []piece, spans []partSpans, outlines []Outline) {
	if n < 2 {
		return nil, nil, nil
	}
	w.n, w.grow = n, growth(w.plan, n, w.opt.TanHang)
	islands := w.upper().Layer.Islands
	for i := range islands {
		part := islands[i].Part
		if i > 0 && islands[i-1].Part == part {
			continue
		}
		hangs := w.opt.MayHang == nil || w.opt.MayHang(part, n)
		var wanted []r2.Box
		if want != nil {
			wanted = want(part)
		}
		rings, thick := w.uncarried(part, hangs, wanted, max(w.grow, MinBridge/2))
		if len(thick) > 0 {
			outlines = append(outlines, Outline{part, thick})
		}
		if len(rings) == 0 {
			continue
		}
		from := len(pieces)
		pieces = w.partLayer(part, rings, pieces)
		if s, ok := w.scan.spans(part, pieces[from:]); ok {
			spans = append(spans, s)
		}
	}
	return pieces, spans, outlines
}

// partLayer appends the pieces of a part in the layer, given the outline of
// what is not carried. It leaves in w.scan which stretch belongs to which.
func (w *worker) partLayer(part int32, rings [][]r2.Vec, pieces []piece) []piece {
	w.outline(part, rings)
	sc := &w.scan
	sc.chords(w.edges, len(rings))
	sc.hang(w.lower().Layer, part, w.grow)
	sc.join()
	first := len(pieces)
	for g := range sc.groups {
		gr := &sc.groups[g]
		w.local = w.local[:0]
		held := false
		for _, r := range gr.rings {
			e := w.edges[sc.ringStart[r]:sc.ringStart[r+1]]
			for i := range e {
				held = held || e[i].held
			}
			w.local = append(w.local, e...)
		}
		if !held && !w.reaches(part, w.local) {
			pieces = append(pieces, w.start(part, gr))
			continue
		}
		for _, c := range gr.patches {
			p := w.patch(part, c, len(gr.patches) == 1)
			if pc, ok := w.judge(p); ok {
				sc.patchPiece[c] = int32(len(pieces) - first)
				pieces = append(pieces, pc)
			}
		}
	}
	return pieces
}

// outline turns rings into edges and finds the held ones.
func (w *worker) outline(part int32, rings [][]r2.Vec) {
	w.edges = w.edges[:0]
	walls := walls{ix: w.lower(), part: part}
	for r, ring := range rings {
		a := ring[len(ring)-1]
		for _, b := range ring {
			// At two places that no symmetry links: an edge may touch a corner.
			held := walls.within(near.Along(a, b, 0.5), near.Skin) && walls.within(near.Along(a, b, 0.31), near.Skin)
			w.edges = append(w.edges, edge{a, b, held, int32(r)})
			a = b
		}
	}
}

// reachStep is the distance of the places on an outline at which it is asked
// how near the layer below comes, mm: the answer is off by at most 0.005 at
// the growth of common layers.
const reachStep = 0.1

// reaches says whether a part's layer below comes as near to the edges as its
// growth.
func (w *worker) reaches(part int32, edges []edge) bool {
	lo := w.lower()
	if !lo.Has(part) {
		return false
	}
	box := r2.Box{Min: edges[0].a, Max: edges[0].a}
	for i := range edges {
		box = union(box, r2.Box{Min: edges[i].a, Max: edges[i].a})
	}
	box.Min, box.Max = r2.Sub(box.Min, r2.Vec{X: w.grow, Y: w.grow}), r2.Add(box.Max, r2.Vec{X: w.grow, Y: w.grow})
	if !lo.MayReach(part, box) {
		return false
	}
	for i := range edges {
		e := &edges[i]
		n := math.Ceil(r2.Norm(r2.Sub(e.b, e.a)) / reachStep)
		for k := 0.0; k < n; k++ {
			if _, ok := lo.ToPart(part, near.Along(e.a, e.b, k/n), w.grow); ok {
				return true
			}
		}
	}
	return false
}
