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

// tightStep is the length in mm of the pieces of contour that are judged one
// by one: as fine as a picture needs.
const tightStep = weldStep

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

func (tw *tightWalls) waller() *waller { return &waller{scanner: tw.sc, depth: tw.depth} }

// measure finds the walls of layer n. All layers up to depth above are scanned.
func (tw *tightWalls) measure(w *waller, n int) {
	below := tw.tight(n - 1)
	for _, j := range tw.tight(n) {
		t := tightJoint{joint: j}
		// As of welds: where the walls are those of the layer below, so is the
		// picture, to a micron.
		if _, t.repeats = slices.BinarySearch(below, j); t.repeats {
			t.repeats = tw.sc.repeats(j, n, tw.depth)
		}
		if !t.repeats {
			t.walls = w.tightWalls(tw.m, j, n)
		}
		tw.found[n-1] = append(tw.found[n-1], t)
	}
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

// tightWalls finds the tight stretches of both parts of a joint in layer k.
func (w *waller) tightWalls(m *mesh.Mesh, joint int32, k int) (out []TightWall) {
	p := w.pairs[joint]
	l := w.index.At(k).Layer
	for _, side := range [2][2]int32{{p.a, p.b}, {p.b, p.a}} {
		own, other := side[0], side[1]
		box, ok := w.around(other, k)
		if !ok {
			continue
		}
		// No need is met only from farther off than this.
		within := tightUpTo*max(w.sideNeed(k), w.side, w.roof) + w.stack.Plan.Height(k)
		box.Min, box.Max = r2.Sub(box.Min, r2.Vec{X: within, Y: within}), r2.Add(box.Max, r2.Vec{X: within, Y: within})
		w.facing(own, other, k)
		for i := range contoursOf(l, own) {
			c := &l.Contours[i]
			if !boxes2Meet(c.Box, box) {
				continue
			}
			w.divider.stretches(l.Pts[c.Start:c.End], func(p r2.Vec) float64 {
				if !box.Contains(p) {
					return tightUpTo
				}
				return w.pieceMargin(own, other, k, p, tightUpTo)
			}, func(t TightWall) {
				t.Part, t.Other = m.Parts[own].ID, m.Parts[other].ID
				out = append(out, t)
			})
		}
	}
	return out
}

// divider cuts closed lines into pieces and keeps its memory.
type divider struct {
	ends     []linePlace // between which the pieces lie
	middles  []r2.Vec
	margins  []float64
	outcomes []Outcome
}

// linePlace is a place on a closed line: p, on the side that begins at a point
// of the line.
type linePlace struct {
	p    r2.Vec
	side int
}

// stretches cuts a closed line into pieces of about tightStep, judges each by
// the margin of its middle, and yields the runs of neighbours with the same
// outcome that are not free.
func (d *divider) stretches(ring []r2.Vec, margin func(r2.Vec) float64, yield func(TightWall)) {
	n := d.divide(ring)
	if n == 0 {
		return
	}
	d.margins, d.outcomes = d.margins[:0], d.outcomes[:0]
	for _, mid := range d.middles {
		m := margin(mid)
		d.margins, d.outcomes = append(d.margins, m), append(d.outcomes, shortOrClose(m))
	}
	// Begin where the outcome changes, so that no run is cut in two.
	first := 0
	for first < n-1 && d.outcomes[first] == d.outcomes[(first+n-1)%n] {
		first++
	}
	for i := 0; i < n; {
		k := (first + i) % n
		run, least := 1, d.margins[k]
		for ; i+run < n && d.outcomes[(k+run)%n] == d.outcomes[k]; run++ {
			least = min(least, d.margins[(k+run)%n])
		}
		if d.outcomes[k] != Free {
			yield(TightWall{Line: d.line(ring, k, run), Margin: least, Outcome: d.outcomes[k]})
		}
		i += run
	}
}

// divide cuts a closed line into equal pieces of about tightStep, from its first
// point on, and gives their number; 0 if it has no length.
func (d *divider) divide(ring []r2.Vec) int {
	total := 0.0
	for i, p := range ring {
		total += r2.Norm(r2.Sub(ring[(i+1)%len(ring)], p))
	}
	if total == 0 {
		return 0
	}
	n := max(1, int(math.Round(total/tightStep)))
	d.ends, d.middles = append(d.ends[:0], linePlace{ring[0], 0}), d.middles[:0]
	done, next := 0.0, 1 // half pieces
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		l := r2.Norm(r2.Sub(q, p))
		for ; next < 2*n; next++ {
			s := float64(next) * total / float64(2*n)
			if s > done+l {
				break
			}
			at := near.Along(p, q, (s-done)/l)
			if next%2 == 1 {
				d.middles = append(d.middles, at)
			} else {
				d.ends = append(d.ends, linePlace{at, i})
			}
		}
		done += l
	}
	end := linePlace{ring[0], len(ring) - 1}
	if len(d.middles) < n { // rounding left it just past the end
		d.middles = append(d.middles, end.p)
	}
	for len(d.ends) < n+1 {
		d.ends = append(d.ends, end)
	}
	return n
}

// line is what of a closed line run pieces from piece k on take.
func (d *divider) line(ring []r2.Vec, k, run int) []r2.Vec {
	to, round := k+run, 0
	if n := len(d.ends) - 1; to > n {
		to, round = to-n, len(ring)
	}
	from, corners := d.ends[k].side+1, round+d.ends[to].side-d.ends[k].side
	out := append(make([]r2.Vec, 0, corners+2), d.ends[k].p)
	for i := range corners {
		out = append(out, ring[(from+i)%len(ring)])
	}
	return append(out, d.ends[to].p)
}

// tightRoofs notes the outlines of the places where the region, swept before,
// is no freer than close to what lies under it.
func (u *under) tightRoofs() {
	w := u.w
	for i, lo := range u.lies {
		f := u.met[i].f
		if f == nil || u.met[i].thick == 0 {
			continue
		}
		least := math.Inf(1)
		rings := w.sw.RunOver(func(wind []int32, t *sweep.Trapezoid) bool {
			if wind[i+1] <= 0 || t.Thick <= near.Skin {
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
