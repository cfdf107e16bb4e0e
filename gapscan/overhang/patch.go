package overhang

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice/near"
)

// patch is a connected piece of what hangs, under study. The edges of the
// uncarried area it belongs to are in worker.local.
type patch struct {
	part    int32
	area    float64
	rows    []stretch // ascending by v, then u
	ends    []r2.Vec  // of the rows, once they are asked for
	box     uvBox
	length  float64  // of all rows
	samples []r2.Vec // that lie evenly over it, once they are asked for
	// alone says that nothing else hangs in its uncarried area.
	alone bool
}

// patchSamples is the number of places that stand for a patch when it is asked
// how much of it held runs cover: a share is good to about one in a hundred
// then.
const patchSamples = 256

func (w *worker) patch(part, c int32, alone bool) *patch {
	rows := &w.scan.patches[c]
	return w.newPatch(part, rows.hung, rows.area, alone)
}

func (w *worker) newPatch(part int32, of []int32, area float64, alone bool) *patch {
	sc := &w.scan
	p := &patch{part: part, area: area, alone: alone, rows: make([]stretch, 0, len(of))}
	for _, i := range of {
		h := &sc.hung[i]
		p.rows = append(p.rows, stretch{sc.line(int(h.row)), h.u0, h.u1})
	}
	p.measure()
	return p
}

// measure finds the box and the length.
func (p *patch) measure() {
	p.box = uvBox{math.Inf(1), p.rows[0].v, math.Inf(-1), p.rows[len(p.rows)-1].v}
	p.length = 0
	for _, r := range p.rows {
		p.box.u0, p.box.u1 = min(p.box.u0, r.u0), max(p.box.u1, r.u1)
		p.length += r.u1 - r.u0
	}
}

// sample gives the samples: one at every so much of the length of all rows.
func (p *patch) sample() []r2.Vec {
	if p.samples != nil {
		return p.samples
	}
	step := p.length / patchSamples
	next := step / 2
	p.samples = make([]r2.Vec, 0, patchSamples+1)
	for _, r := range p.rows {
		for ; next < r.u1-r.u0; next += step {
			p.samples = append(p.samples, scanFrame.from(r.u0+next, r.v))
		}
		next -= r.u1 - r.u0
	}
	if len(p.samples) == 0 { // a row too short for its own rounding
		p.samples = append(p.samples, scanFrame.from((p.rows[0].u0+p.rows[0].u1)/2, p.rows[0].v))
	}
	return p.samples
}

// across is the extent of the rows across a direction.
func (p *patch) across(f frame) (lo, hi float64) {
	if p.ends == nil {
		p.ends = make([]r2.Vec, 0, 2*len(p.rows))
		for _, r := range p.rows {
			p.ends = append(p.ends, scanFrame.from(r.u0, r.v), scanFrame.from(r.u1, r.v))
		}
	}
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, q := range p.ends {
		_, v := f.to(q)
		if v < lo {
			lo = v
		}
		if v > hi {
			hi = v
		}
	}
	return lo, hi
}

// some gives up to n of the samples, spread evenly.
func (p *patch) some(n int) []r2.Vec {
	all := p.sample()
	if len(all) <= n {
		return all
	}
	out := make([]r2.Vec, n)
	for i := range out {
		out[i] = all[(2*i+1)*len(all)/(2*n)]
	}
	return out
}

// start makes the piece of an island that begins in mid-air.
func (w *worker) start(part int32, g *group) piece {
	var of []int32
	area := 0.0
	for _, r := range g.rings {
		area += w.scan.ringArea(r)
	}
	for _, c := range g.patches {
		of = append(of, w.scan.patches[c].hung...)
	}
	slices.Sort(of)
	var p *patch
	if len(of) > 0 {
		p = w.newPatch(part, of, area, true)
	} else {
		p = w.between(part, area)
	}
	pc := w.piece(p, MidAir, 0)
	pc.under = w.below(p.some(underSamples))
	pc.under.lie(w, p.some(lieSamples))
	return pc
}

// between makes the patch of an island too small for the lines: on one line
// through its middle.
func (w *worker) between(part int32, area float64) *patch {
	a := &w.across
	a.turnEdges(w.local, scanFrame)
	lo, hi := a.extent()
	a.lay(lo, hi, math.Inf(1), 1)
	p := &patch{part: part, area: area, alone: true}
	for row := a.row(0); len(row) > 1; row = row[2:] {
		p.rows = append(p.rows, stretch{a.line(0), row[0].u, row[1].u})
	}
	p.measure()
	return p
}

// judge says what a patch is that is held somewhere; false for a trifle.
func (w *worker) judge(p *patch) (piece, bool) {
	if p.area < max(MinArea, MinWidth*math.Hypot(p.box.u1-p.box.u0, p.box.v1-p.box.v0)) {
		return piece{}, false
	}
	if !w.beyond(p, MinBridge/2) {
		return piece{}, false
	}
	if span, ok := w.span(p); ok {
		if span < MinBridge {
			return piece{}, false
		}
		pc := w.piece(p, Bridge, span)
		pc.under = w.below(p.some(underSamples))
		return pc, true
	}
	pc := w.piece(p, Cantilever, 0)
	pc.span = w.reach(p)
	if pc.span >= MinReach {
		pc.under = w.below(p.some(underSamples))
	}
	return pc, true
}

func (w *worker) piece(p *patch, kind Kind, span float64) piece {
	return piece{
		part: p.part, layer: w.n, kind: kind, span: span, area: p.area, at: w.inside(p),
		rows: p.rows, step: w.scan.step, box: p.box, under: under{over: noPart, liesOn: noPart},
	}
}

// beyond says whether one of the samples lies farther than limit from the
// part's layer below. Most lie near a contour of it; then it does not matter on
// which side.
func (w *worker) beyond(p *patch, limit float64) bool {
	lo := walls{ix: w.lower(), part: p.part}
	return slices.ContainsFunc(p.sample(), func(s r2.Vec) bool {
		return !lo.within(s, limit) && !lo.ix.Inside(p.part, s)
	})
}

// insideSamples is the number of places from which the one to name is chosen.
const insideSamples = 24

// inside is the place, of a few, that lies farthest from the outline.
func (w *worker) inside(p *patch) r2.Vec {
	best, at := -1.0, r2.Vec{}
	for _, s := range p.some(insideSamples) {
		d := math.Inf(1)
		for i := range w.local {
			if d = min(d, segment2(s, w.local[i].a, w.local[i].b)); d <= best {
				break
			}
		}
		if d > best {
			best, at = d, s
		}
	}
	return at
}

// segment2 is the squared distance from p to the segment a-b.
func segment2(p, a, b r2.Vec) float64 {
	d, q := r2.Sub(b, a), r2.Sub(p, a)
	l := float64(d.X*d.X) + float64(d.Y*d.Y)
	t := 0.0
	if l > 0 {
		t = min(max((float64(q.X*d.X)+float64(q.Y*d.Y))/l, 0), 1)
	}
	x, y := q.X-float64(t*d.X), q.Y-float64(t*d.Y)
	return float64(x*x) + float64(y*y)
}

// holds says whether a place lies in the patch, or as near as its rows are to
// each other.
func (p *patch) holds(step float64, at r2.Vec) bool {
	u, v := scanFrame.to(at)
	i, _ := slices.BinarySearchFunc(p.rows, v-step, func(r stretch, v float64) int {
		if r.v < v {
			return -1
		}
		return 1
	})
	for ; i < len(p.rows) && p.rows[i].v <= v+step; i++ {
		if p.rows[i].u0-step <= u && u <= p.rows[i].u1+step {
			return true
		}
	}
	return false
}

// reachTo is how far in mm a reach may fall short where it is not at a corner:
// half of the distance of the scan's lines.
const reachTo = scanStep / 2

// reach is the farthest distance of a place of the patch from the layer below.
// That is mostly at a corner of the outline; else along a free edge, or, where
// the layer below lies all round, on one of the rows.
func (w *worker) reach(p *patch) float64 {
	f := farthest{w: w, p: p, walls: walls{ix: w.lower(), part: p.part}}
	for i := range w.local {
		if e := &w.local[i]; !e.held {
			if i == 0 || w.local[i-1].held || w.local[i-1].b != e.a {
				f.corner(e.a)
			}
			f.corner(e.b)
		}
	}
	for i := range w.local {
		if e := &w.local[i]; !e.held {
			f.along(e.a, e.b, math.Inf(1))
		}
	}
	for _, r := range p.rows {
		f.along(scanFrame.from(r.u0, r.v), scanFrame.from(r.u1, r.v), math.Inf(1))
	}
	return f.best
}

// farthest keeps the greatest distance from the layer below.
type farthest struct {
	w     *worker
	p     *patch
	walls walls
	best  float64
}

// corner counts a corner of the outline.
func (f *farthest) corner(q r2.Vec) {
	if !f.walls.reaches(f.best, q) {
		f.try(q, math.Inf(1))
	}
}

// try measures a place, which is at most so far away, and counts it if it lies
// in the patch.
func (f *farthest) try(q r2.Vec, most float64) float64 {
	d := f.walls.distance(q, most)
	if d > f.best && f.walls.ix.Inside(f.p.part, q) {
		return 0
	}
	if d > f.best && (f.p.alone || f.p.holds(f.w.scan.step, q)) {
		f.best = d
	}
	return d
}

// along seeks on a segment, halving it while it could hold a place farther
// than the best by more than reachTo: the distance changes by no more than the
// way gone. most bounds the distance at its middle. What one wall is near
// enough to from end to end holds none.
func (f *farthest) along(a, b r2.Vec, most float64) {
	if f.walls.reaches(f.best, a, b) {
		return
	}
	mid := near.Along(a, b, 0.5)
	half := r2.Norm(r2.Sub(b, a)) / 2
	d := f.try(mid, most)
	if half <= reachTo || d+half <= f.best+reachTo || f.walls.reaches(f.best, a, b) {
		return
	}
	// Inside the layer below the middle is no way from it.
	if half <= f.best+reachTo && f.walls.ix.Inside(f.p.part, mid) {
		return
	}
	next := d + half // to the middle of a half it is half of that
	f.along(a, mid, next)
	f.along(mid, b, next)
}
