package overhang

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

const (
	// sweepTurn is the angle between the directions of the coarse sweep.
	sweepTurn = math.Pi / 12
	// finestTurn is the angle, a tenth of a degree, at which refining a
	// direction ends: a bridge five times as long as wide loses a hundredth of
	// its runs when it is turned so far, as much as the share is good to.
	finestTurn = math.Pi / 1800
	// runLines is the number of lines that are laid across a region in one
	// direction, however small or large it is: shares of it are good to one in
	// a hundred. The longest run is then sought between them.
	runLines = 96
	// runHalvings is how often the distance between two lines is halved to
	// find the longest run: to a thousandth of a region's width at least.
	runHalvings = 8
	// edgeDirections is the number of directions taken from edges of each
	// kind, longest first.
	edgeDirections = 6
	// edgeShare is the least length of an edge that gives a direction, as a
	// share of the region's extent: shorter ones are facets of a curve.
	edgeShare = 0.1
	// sameDirection is the angle below which two directions count as one.
	sameDirection = math.Pi / 720
	// hopeless is the covered share below which turning on is no use: no
	// small turn wins the rest.
	hopeless = 0.5
)

// span is the span of a patch if it is a bridge.
func (w *worker) span(p *patch) (float64, bool) {
	if !slices.ContainsFunc(w.local, func(e edge) bool { return e.held }) {
		return 0, false
	}
	b := bridging{w: w, p: p, best: math.Inf(1)}
	for _, d := range w.directions() {
		b.try(d)
	}
	b.refine()
	return b.best, b.bestCover >= HeldShare
}

// bridging seeks the best direction for a patch.
type bridging struct {
	w         *worker
	p         *patch
	best      float64 // least longest run so far, over those that qualify
	bestCover float64 // the greatest share covered, while none qualifies
	bestTurn  float64
}

// try measures one direction and says whether it is the best so far. (It need
// not say so of one whose share is hopeless: turning on from there is no use.)
func (b *bridging) try(angle float64) bool {
	share, run, ok := b.w.runs(b.p, angle, b.best, b.beats)
	if !ok || !b.beats(share) || share >= HeldShare && !(run < b.best) {
		return false
	}
	if share >= HeldShare {
		b.best = run
	}
	b.bestCover, b.bestTurn = share, angle
	return true
}

// beats says whether a direction of which runs cover a share may be the best.
func (b *bridging) beats(share float64) bool {
	if b.bestCover >= HeldShare {
		return share >= HeldShare
	}
	return share > b.bestCover && share >= hopeless
}

// refine turns the best direction by ever smaller angles.
func (b *bridging) refine() {
	if b.bestCover < hopeless {
		return
	}
	for turn := sweepTurn / 2; turn >= finestTurn; turn /= 2 {
		from := b.bestTurn
		if !b.try(from + turn) {
			b.try(from - turn)
		}
	}
}

// runs measures the runs of one direction: the share of the patch that held
// ones cover and, if that is HeldShare or more, the longest held one. It gives up,
// and answers false, once the share cannot be enough any more, or such a run is
// no shorter than limit.
func (w *worker) runs(p *patch, angle, limit float64, enough func(share float64) bool) (share, longest float64, ok bool) {
	r := &w.across
	f := turned(angle)
	r.turnEdges(w.local, f)
	lo, hi := p.across(f)
	r.place(lo, hi, 0, runLines)
	if !w.mayHold() {
		return 0, 0, false
	}
	r.fill()
	held := func(row []crossing, i int) bool {
		return w.local[row[i].edge].held && w.local[row[i+1].edge].held
	}
	long := run{}
	seen, covered := 0, 0
	samples := p.sample()
	for n, s := range samples {
		u, v := f.to(s)
		k := int(min(max((v-r.v0)/r.step, 0), float64(r.n-1)))
		row := r.row(k)
		i := chordAt(row, u)
		if i < 0 {
			continue // between this line and the outline
		}
		seen++
		if held(row, i) {
			covered++
			if long.longer(run{k, row[i].u, row[i+1].u}); long.to-long.from >= limit {
				return 0, 0, false
			}
		} else if left := len(samples) - n - 1; !enough(float64(covered+left) / float64(seen+left)) {
			return 0, 0, false
		}
	}
	if seen == 0 {
		return 0, 0, false
	}
	share = float64(covered) / float64(seen)
	if share < HeldShare {
		return share, 0, true
	}
	if p.alone {
		for k := range r.n {
			row := r.row(k)
			for i := 0; i+1 < len(row); i += 2 {
				// A shorter run hangs nowhere.
				if row[i+1].u-row[i].u > 2*w.grow && held(row, i) {
					long.longer(run{k, row[i].u, row[i+1].u})
				}
			}
		}
	}
	if long.to-long.from >= limit {
		return 0, 0, false
	}
	return share, w.longest(long), true
}

// mayHold says whether any line of worker.across may enter the outline in local
// by a held edge and leave it by another: the outline has what it bounds on the
// left of its edges.
func (w *worker) mayHold() bool {
	r := &w.across
	w.firstIn, w.lastOut = w.firstIn[:0], w.lastOut[:0]
	for range r.n {
		w.firstIn, w.lastOut = append(w.firstIn, math.Inf(1)), append(w.lastOut, math.Inf(-1))
	}
	for i := range r.uv {
		if !w.local[i].held {
			continue
		}
		e := &r.uv[i]
		if e.va > e.vb {
			u := min(e.ua, e.ub)
			for k, v := range w.firstIn[e.from:e.to] {
				if u < v {
					w.firstIn[int(e.from)+k] = u
				}
			}
		} else {
			u := max(e.ua, e.ub)
			for k, v := range w.lastOut[e.from:e.to] {
				if u > v {
					w.lastOut[int(e.from)+k] = u
				}
			}
		}
	}
	for k, u := range w.firstIn {
		if u < w.lastOut[k] {
			return true
		}
	}
	return false
}

// run is a stretch of a line of worker.across.
type run struct {
	row      int
	from, to float64
}

func (r *run) longer(o run) {
	if o.to-o.from > r.to-r.from {
		*r = o
	}
}

// longest seeks the longest held run between a line and its neighbours that
// lies beside the line's own longest.
func (w *worker) longest(from run) float64 {
	r := &w.across
	best := from.to - from.from
	for _, side := range [2]float64{-1, 1} {
		good := r.line(from.row)
		bad := good + float64(side*r.step)
		for range runHalvings {
			mid := (good + bad) / 2
			if l := w.heldRun(mid, from.from, from.to); l > best {
				best, good = l, mid
			} else {
				bad = mid
			}
		}
	}
	return best
}

// heldRun is the longest held run on a line that overlaps a stretch.
func (w *worker) heldRun(v, u0, u1 float64) float64 {
	r := &w.across
	row := w.probe[:0]
	for i := range r.uv {
		e := &r.uv[i]
		if (e.va < v) != (e.vb < v) {
			row = append(row, crossing{e.at(v), int32(i)})
		}
	}
	w.probe = row
	sortCrossings(row)
	row = mend(row)
	best := 0.0
	for i := 0; i+1 < len(row); i += 2 {
		a, b := row[i], row[i+1]
		if a.u < u1 && b.u > u0 && w.local[a.edge].held && w.local[b.edge].held {
			best = max(best, b.u-a.u)
		}
	}
	return best
}

// directions lists the angles to try for runs across the outline in local:
// square to the longest held edges, along the longest free ones, from one held
// stretch of the outline to another, and all round from the longest edge on,
// so that a turned model is asked the same.
func (w *worker) directions() []float64 {
	sides := w.sides()
	box := r2.Box{Min: w.local[0].a, Max: w.local[0].a}
	for i := range w.local {
		box = union(box, r2.Box{Min: w.local[i].a, Max: w.local[i].a})
	}
	extent := r2.Norm(r2.Sub(box.Max, box.Min))
	var out []float64
	add := func(a float64) bool {
		for _, o := range out {
			if d := math.Abs(math.Remainder(a-o, math.Pi)); d < sameDirection {
				return false
			}
		}
		out = append(out, a)
		return true
	}
	for _, held := range [2]bool{true, false} {
		n := 0
		for _, s := range sides {
			if n == edgeDirections || s.length < edgeShare*extent {
				break
			}
			if s.held != held {
				continue
			}
			a := math.Atan2(s.along.Y, s.along.X)
			if held {
				a += math.Pi / 2
			}
			if add(a) {
				n++
			}
		}
	}
	arcs := w.arcs()
	for i := range arcs {
		for j := range i {
			if d := r2.Sub(arcs[i].middle, arcs[j].middle); r2.Norm(d) > edgeShare*extent {
				add(math.Atan2(d.Y, d.X))
			}
		}
	}
	first := 0.0
	if len(sides) > 0 {
		first = math.Atan2(sides[0].along.Y, sides[0].along.X)
	}
	for k := range 12 {
		add(first + float64(float64(k)*sweepTurn))
	}
	return out
}

// side is a straight stretch of an outline.
type side struct {
	along  r2.Vec
	length float64
	held   bool
}

// straight is the angle within which neighbouring edges make one side, as a
// sine.
const straight = 0.002

// sides joins edges in line and sorts them, longest first.
func (w *worker) sides() []side {
	var out []side
	for i := range w.local {
		e := &w.local[i]
		d := r2.Sub(e.b, e.a)
		l := r2.Norm(d)
		if k := len(out) - 1; k >= 0 && w.local[i-1].ring == e.ring && out[k].held == e.held {
			s := &out[k]
			c := math.Abs(float64(s.along.X*d.Y) - float64(s.along.Y*d.X))
			if c <= straight*l*s.length && float64(s.along.X*d.X)+float64(s.along.Y*d.Y) > 0 {
				s.along = r2.Add(s.along, d)
				s.length = r2.Norm(s.along)
				continue
			}
		}
		out = append(out, side{d, l, e.held})
	}
	slices.SortStableFunc(out, func(a, b side) int { return cmp.Compare(b.length, a.length) })
	return out
}

// arc is a stretch of one ring that is held all along.
type arc struct {
	middle r2.Vec // its centre of mass
	length float64
}

// arcsTaken is the number of held stretches, longest first, between which
// directions are taken.
const arcsTaken = 4

func (w *worker) arcs() []arc {
	var out []arc
	for i := 0; i < len(w.local); {
		end := i
		for end < len(w.local) && w.local[end].ring == w.local[i].ring {
			end++
		}
		ring := w.local[i:end]
		// Begin where a held stretch begins, so that none is cut in two.
		at := 0
		for k := range ring {
			if ring[k].held && !ring[(k+len(ring)-1)%len(ring)].held {
				at = k
				break
			}
		}
		open := false
		for k := range ring {
			e := &ring[(at+k)%len(ring)]
			if e.held {
				if !open {
					out = append(out, arc{})
				}
				a := &out[len(out)-1]
				l := r2.Norm(r2.Sub(e.b, e.a))
				a.middle = r2.Add(a.middle, r2.Scale(l/2, r2.Add(e.a, e.b)))
				a.length += l
			}
			open = e.held
		}
		i = end
	}
	slices.SortStableFunc(out, func(a, b arc) int { return cmp.Compare(b.length, a.length) })
	out = out[:min(len(out), arcsTaken)]
	for i := range out {
		out[i].middle = r2.Scale(1/out[i].length, out[i].middle)
	}
	return out
}
