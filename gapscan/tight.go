package gapscan

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh"
	"playgauge/slice/near"
	"playgauge/slice/sweep"
)

// Tight is what of one layer is not free: what a picture of it draws heavy.
type Tight struct {
	Walls []TightWall
	Roofs []TightRoof
}

// TightWall is a stretch of contour along which one part is no freer than
// close to another, in its own layer or in one above or below it.
type TightWall struct {
	Part, Other int      // ids
	Line        []r2.Vec // along the contour, mm, with all corners between its ends; its first point again at the end where it goes all round
	Margin      float64  // the least along it
	Outcome     Outcome  // Close, or Sticks for all that is short
}

// TightRoof is a place over which a part of the layer is no freer than close
// to another below it.
type TightRoof struct {
	Part, Over int        // ids
	OverLayer  int        // the layer of the lower part
	Rings      [][]r2.Vec // with the place on their left, mm
	Margin     float64    // the least of it
	Outcome    Outcome    // as of TightWall
}

// tightUpTo is the margin from which on a place is free.
const tightUpTo = freeFrom * metShare

// shortOrClose is the outcome of a place by itself.
func shortOrClose(margin float64) Outcome { return outcomeOf(margin, 0, math.Inf(1)) }

// tightWalls gathers for every layer the walls that are not free, as wallWelds
// does those that come out welded.
type tightWalls struct {
	sc     *scanner
	m      *mesh.Mesh
	layers []layerScan
	depth  int
	// found holds the walls of layer n at n-1, by joint.
	found [][]tightJoint
}

// tightJoint is the tight walls of one joint in a layer.
type tightJoint struct {
	joint   int32
	repeats bool // those of the layer below
	walls   []TightWall
}

func newTightWalls(sc *scanner, m *mesh.Mesh, layers []layerScan) *tightWalls {
	return &tightWalls{sc: sc, m: m, layers: layers, depth: sc.weldDepth(tightUpTo), found: make([][]tightJoint, len(layers))}
}

// in lists the walls of layer n as wallWelds.in does.
func (tw *tightWalls) in(n int, w *waller) []tightJoint {
	below := tw.tight(n - 1)
	for _, j := range tw.tight(n) {
		t := tightJoint{joint: j}
		// As of welds: where the walls are those of the layer below, so is the
		// picture, to a micron.
		if _, t.repeats = slices.BinarySearch(below, j); t.repeats {
			t.repeats = w.repeats(j, n)
		}
		tw.found[n-1] = append(tw.found[n-1], t)
	}
	return tw.found[n-1]
}

// tight lists the joints that may be tight in layer n.
func (tw *tightWalls) tight(n int) []int32 { return beadsIn(tw.layers, n, tw.depth, tightUpTo) }

// places gives the tight places of all layers.
func (tw *tightWalls) places() []Tight {
	out := make([]Tight, len(tw.layers))
	last := make([][]TightWall, len(tw.sc.pairs)) // of each joint, in the layer below
	for i := range out {
		for _, t := range tw.found[i] {
			if !t.repeats {
				last[t.joint] = t.walls
			}
			out[i].Walls = append(out[i].Walls, last[t.joint]...)
		}
		for k := range tw.layers[i].joints {
			out[i].Roofs = append(out[i].Roofs, tw.layers[i].joints[k].tight...)
		}
		for k := range out[i].Roofs {
			r := &out[i].Roofs[k]
			r.Part, r.Over = tw.m.Parts[r.Part].ID, tw.m.Parts[r.Over].ID
		}
	}
	return out
}

// tightRuns joins pieces of wall that follow one another to walls.
type tightRuns []tightRun

type tightRun struct {
	from, to wallPiece // its first piece and its last
	least    float64
	outcome  Outcome
}

// add adds the next piece of a layer.
func (runs *tightRuns) add(w *wallPiece) {
	o := shortOrClose(w.margin)
	if n := len(*runs); n > 0 {
		if last := &(*runs)[n-1]; last.outcome == o && w.Follows(&last.to.Stretch) {
			last.to, last.least = *w, min(last.least, w.margin)
			return
		}
	}
	*runs = append(*runs, tightRun{*w, *w, w.margin, o})
}

// close joins the runs that go on past their contour's first point.
func (runs tightRuns) close() tightRuns {
	out := runs[:0]
	for i := 0; i < len(runs); {
		j := i + 1
		for j < len(runs) && runs[j].from.SameContour(&runs[i].from.Stretch) {
			j++
		}
		first, last := &runs[i], &runs[j-1]
		if first != last && first.outcome == last.outcome && first.from.Follows(&last.to.Stretch) {
			last.to, last.least = first.to, min(last.least, first.least)
			i++
		}
		out = append(out, runs[i:j]...)
		i = j
	}
	return out
}

// walls gives the walls that the runs in layer k make.
func (tw *tightWalls) walls(runs tightRuns, k int) []TightWall {
	ix := tw.sc.index.At(k)
	out := make([]TightWall, 0, len(runs))
	for _, r := range runs.close() {
		out = append(out, TightWall{
			Part: tw.m.Parts[r.from.own].ID, Other: tw.m.Parts[r.from.other].ID,
			Line: ix.Line(&r.from.Stretch, &r.to.Stretch), Margin: r.least, Outcome: r.outcome,
		})
	}
	return out
}

// tightRoofs notes the outlines of the places where the region, swept before,
// is no freer than close to what lies under it.
func (u *under) tightRoofs() {
	w := u.w
	if u.s.lowered(w.sagMost).roofGap()/w.roof >= tightUpTo && u.s.roofGap()/w.side >= tightUpTo {
		return // too far down
	}
	for i, lo := range u.lies {
		f := u.met[i].f
		if f == nil || u.met[i].thick == 0 {
			continue
		}
		least := math.Inf(1)
		rings := w.sw.RunOver(func(wind []int32, t *sweep.Trapezoid) bool {
			if wind[i+1] <= 0 || !t.Thicker(near.Skin) {
				return false
			}
			m := u.tightMargin(t)
			if m < tightUpTo {
				least = min(least, m)
			}
			return m < tightUpTo
		})
		if len(rings) > 0 {
			f.tight = append(f.tight, TightRoof{Part: int(u.part), Over: int(lo), OverLayer: u.m, Rings: rings, Margin: least, Outcome: shortOrClose(least)})
		}
	}
}

// tightMargin is the least margin of a trapezoid of the region over layer u.m,
// if it is below tightUpTo: what hangs in it needs other air than what stands.
func (u *under) tightMargin(t *sweep.Trapezoid) float64 {
	w, least := u.w, math.Inf(1)
	if u.s.lowered(w.sagMost).roofGap()/w.roof < tightUpTo && w.slabs[u.part].any(slabHangs, w.n, w.n) {
		if at, ok := w.anywhere(u.part, t, true); ok {
			least = u.s.lowered(w.sagAt(w.n, u.part, at)).roofGap() / w.roof
		}
	}
	if m := u.s.roofGap() / w.side; m < min(least, tightUpTo) {
		if _, ok := w.anywhere(u.part, t, false); ok {
			least = m
		}
	}
	return least
}
