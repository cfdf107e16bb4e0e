package gapscan

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/gapscan/overhang"
	"playgauge/gapscan/slot"
	"playgauge/slice"
	"playgauge/slice/near"
	"playgauge/slice/sweep"
)

// scanner holds what every layer's scan shares and none changes.
type scanner struct {
	// stack tells of every layer what is in it; of its contours the index alone.
	stack *slice.Stack
	index *near.Layers
	slabs []slabs
	pairs []pair
	// roofs lists for each part the joints in which it could look down on
	// the other part.
	roofs [][]int32
	// active lists for each layer (at n-1) the joints whose parts could meet
	// there, ascending.
	active [][]int32

	side, roof, bottom float64 // needs, mm
	bottomLayers       int
	reach              float64
	tanHang            float64
	crack              float64 // mm2
	// search is of what hangs; the layers' scans take part. nil where that is
	// known from an earlier scan.
	search *overhang.Search
	over   *overhang.Overhangs
	slots  *slot.Search
	walls  *wallWelds
	tight  *tightWalls // nil where tight places need not be gathered
	// outlines holds, for layer n at n-1, the regions that roofs begin with, as
	// each layer's scan finds them; nil where they need not be kept.
	outlines [][]overhang.Outline
	sag      sagTable
	roofSpan float64 // the tested roof's, mm
	sagMost  float64 // the most that any bridge sags beyond it
	// enough is the margin from which on beads are passed over: +Inf where
	// everything is to be measured.
	enough float64
	// only is the one cause that is looked for, CauseSide for CauseBottom
	// too; empty for all.
	only Cause
}

// short says that only margins below enough are asked for.
func (sc *scanner) short() bool { return !math.IsInf(sc.enough, 1) }

// half is the radius of a bead of layer n.
func (sc *scanner) half(n int) float64 { return sc.stack.Plan.Height(n) / 2 }

func (sc *scanner) stagger(n, m int) stagger {
	return stagger{dz: sc.stack.Plan.Cut(n) - sc.stack.Plan.Cut(m), rr: sc.half(n) + sc.half(m), side: sc.side}
}

func (sc *scanner) sideNeed(n int) float64 {
	if n <= sc.bottomLayers {
		return sc.bottom
	}
	return sc.side
}

// hangFrom is how far from its own layer below a place of layer n must lie to
// hang, mm: never so little that a wall within near.Skin would.
func (sc *scanner) hangFrom(n int) float64 {
	return max(sc.stack.Plan.Height(n)*sc.tanHang+hangNoise, near.Skin)
}

// hangNoise keeps surfaces drawn at just the overhang angle standing: 0.1
// micron.
const hangNoise = 1e-4

// worker scans layers one at a time.
type worker struct {
	*scanner
	hang      *overhang.Worker
	n         int
	found     []jointLayer
	welded    [][2]islandRef
	hung      map[int32][]near.Span // hanging stretches of segments of layer n
	cover     map[coverKey]covered
	spans     []near.Span
	roofBoxes []roofBox
	sw        sweep.Sweep
	buf       []int32
	// carriers are what carried the places looked at last.
	carriers carriers
	// hints tell of each joint where it was nearest in the layer scanned
	// last.
	hints map[int32]*near.Hint
	// drops to the layers below, from the nearest down: of what stands, of what
	// hangs, and of what hangs and sags.
	drops [3][]drop
	// lean is what measures against a lower layer, visit a method of it.
	lean  leaning
	visit func(i, j int32, d float64) float64
}

func newWorker(sc *scanner) *worker {
	w := &worker{scanner: sc, hung: map[int32][]near.Span{}, cover: map[coverKey]covered{}, hints: map[int32]*near.Hint{}}
	w.visit = w.lean.visit
	if sc.search != nil {
		w.hang = sc.search.Worker()
	}
	return w
}

// layerScan is all that one layer shows.
type layerScan struct {
	joints []jointLayer
	// welded lists islands that print as one piece: of this layer, or of
	// this one and the layer below.
	welded [][2]islandRef
}

// scan measures layer n.
func (w *worker) scan(n int) layerScan {
	w.n = n
	w.found, w.welded = w.found[:0], nil
	clear(w.hung)
	clear(w.cover)
	for i := range w.drops {
		w.drops[i] = w.drops[i][:0]
	}
	for _, j := range w.active[n-1] {
		w.found = append(w.found, w.sideGap(j))
	}
	w.roofsOf()
	for i := range w.found {
		if w.only == CauseSide || w.only == CauseRoof {
			break
		}
		f := &w.found[i]
		p := w.pairs[f.joint]
		f.slope = min(f.side, f.roof.standAir())
		if w.short() {
			f.slope = 0 // no one asks for it
		}
		w.below(p.a, p.b, f)
		w.below(p.b, p.a, f)
	}
	if w.short() {
		return layerScan{joints: slices.Clone(w.found)}
	}
	w.pieces()
	keep := w.found[:0]
	for _, f := range w.found {
		if f.best.found() || f.side <= w.reach || f.roof.found {
			keep = append(keep, f)
		}
	}
	return layerScan{joints: slices.Clone(keep), welded: w.welded}
}

// of finds the record of a joint in the layer being scanned.
func (w *worker) of(joint int32) *jointLayer {
	lo, hi := 0, len(w.found)
	for lo < hi {
		if mid := (lo + hi) / 2; w.found[mid].joint < joint {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	if lo < len(w.found) && w.found[lo].joint == joint {
		return &w.found[lo]
	}
	return nil
}

// sideGap measures a joint within the layer.
func (w *worker) sideGap(joint int32) jointLayer {
	f := jointLayer{joint: joint, side: math.Inf(1), best: bead{margin: w.enough}}
	p := w.pairs[joint]
	ix := w.index.At(w.n)
	si, sj, ok := ix.Closest(p.a, p.b, min(w.reach, w.enough*w.sideNeed(w.n)), w.hint(joint))
	if !ok {
		return f
	}
	a0, a1 := ix.Segment(si)
	b0, b1 := ix.Segment(sj)
	pa, pb, dist := near.Nearest(a0, a1, b0, b1)
	f.side, f.sideEnds = dist, [2]r2.Vec{pa, pb}
	cause := CauseSide
	if w.n <= w.bottomLayers {
		cause = CauseBottom
	}
	f.best.better(bead{margin: dist / w.sideNeed(w.n), gap: dist, cause: cause, at: r2.Scale(0.5, r2.Add(pa, pb)), upper: p.a, ends: f.sideEnds, low: w.n})
	return f
}

// hint is what is known of the place where a joint is nearest.
func (w *worker) hint(joint int32) *near.Hint {
	h := w.hints[joint]
	if h == nil {
		h = new(near.Hint)
		w.hints[joint] = h
	}
	return h
}

// pastGap is the gap in mm, or twice the greatest need, up to which a way is
// looked for past what blocks the nearest one: wider, and it is free either
// way, and the search costs most.
const pastGap = 1.0

// below measures part up in this layer against part lo in lower ones, side by
// side, and lowers the joint's best margin and its slope.
func (w *worker) below(up, lo int32, f *jointLayer) {
	ix := w.index.At(w.n)
	if !ix.Has(up) {
		return
	}
	hangs := w.n > 1 && w.slabs[up].any(slabHangs, w.n, w.n)
	f.mixed = f.mixed || hangs
	need := w.side // the greatest vertical need that could apply
	if hangs {
		need = max(w.side, w.roof)
	}
	sag := 0.0 // the most that could apply
	if hangs && w.sags(w.n, up) {
		sag = w.sagMost
	}
	for m := w.n - 1; m >= 1; m-- {
		d := w.drop(m, hangs, need, sag)
		if d.most < 0 || !(d.margin < f.best.margin || d.gap < f.slope) {
			return // and no lower layer comes nearer
		}
		if need <= w.side && sag == 0 && (w.upright(lo, m, w.n) || w.grows(lo, m, w.n)) {
			continue // no nearer down there than in this layer
		}
		l := &w.lean
		*l = leaning{w: w, s: d.s, low: d.low, up: up, lo: lo, m: m, hangs: hangs, need: need, most: d.most, f: f}
		// Most pairs of layers are told apart by their boxes, before a limit is
		// reckoned.
		if b, ok := near.Bound(ix, up, w.index.At(m), lo); !ok || b > l.most || !l.matters(b) {
			continue
		}
		near.Pairs(ix, up, w.index.At(m), lo, l.limit(), w.visit)
		if l.blocked {
			// Now that the open ways have set the limit, few are left to
			// look for a way past what blocks them.
			l.past = true
			l.most = min(l.most, l.low.within(max(pastGap, 2*max(w.side, w.roof))))
			near.Pairs(ix, up, w.index.At(m), lo, l.limit(), w.visit)
		}
	}
}

// drop is what measuring against a lower layer begins with, the same for all
// parts that hang and sag alike.
type drop struct {
	s, low stagger // low with the most sag that could apply
	most   float64 // beyond this distance in plan the beads are out of reach
	// margin and gap are the least there are: those of beads that do not lie
	// apart in plan.
	margin, gap float64
}

// drop is that of this layer over layer m. The layers are asked for one after
// the other, from the one below on.
func (w *worker) drop(m int, hangs bool, need, sag float64) *drop {
	kind := &w.drops[0]
	if hangs {
		kind = &w.drops[1]
	}
	if sag > 0 {
		kind = &w.drops[2]
	}
	if i := w.n - 1 - m; i < len(*kind) {
		return &(*kind)[i]
	}
	s := w.stagger(w.n, m)
	low := s.lowered(sag)
	*kind = append(*kind, drop{s, low, low.within(w.reach), low.margin(0, need), s.gap(0)})
	return &(*kind)[len(*kind)-1]
}
