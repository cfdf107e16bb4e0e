package gapscan

import (
	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice/near"
)

// waller measures walls; one for each worker.
type waller struct {
	*scanner
	// depth is how many layers up and down are looked at, most the margin from
	// which on nothing is asked.
	depth int
	most  float64
	spans []near.Span
	// beside is what lies near in the wall's own layer; lower and upper are what
	// facing found.
	beside       near.Around
	lower, upper []faced
	overLower    bool      // something in the lower ones is near
	piece        wallPiece // that is told of
}

func (sc *scanner) waller(most float64) *waller {
	return &waller{scanner: sc, depth: sc.weldDepth(most), most: most}
}

// wallPiece is a piece of a part's contour that faces another part.
type wallPiece struct {
	own, other int32
	near.Stretch
	margin float64
}

// walls finds the pieces of both parts' contours in layer k that have a margin
// below most. A piece is good until the next.
func (w *waller) walls(joint int32, k int, found func(*wallPiece)) {
	for _, side := range w.pairs[joint].sides() {
		own, other := side[0], side[1]
		box, ok := w.around(other, k)
		if !ok {
			continue
		}
		// No need is met only from farther off than this.
		within := w.most*max(w.sideNeed(k), w.side, w.roof) + w.stack.Plan.Height(k)
		box.Min, box.Max = r2.Sub(box.Min, r2.Vec{X: within, Y: within}), r2.Add(box.Max, r2.Vec{X: within, Y: within})
		w.facing(own, other, k)
		piece := func(s *near.Stretch) {
			if !box.Contains(s.Mid) {
				return
			}
			if m := w.pieceMargin(own, other, k, s.Mid); m < w.most {
				w.piece = wallPiece{own, other, *s, m}
				found(&w.piece)
			}
		}
		w.index.At(k).Runs(own, box, func(r *near.Run) {
			if w.comesNear(r, other, k) {
				r.Stretches(weldStep, piece)
			}
		})
	}
}

// faced is a layer in which the other part may come nearer than in the wall's
// own.
type faced struct {
	layer  int
	s      stagger
	same   bool        // it does not, unless the wall hangs
	within float64     // no margin is below most from farther off
	near   near.Around // what of the other part lies near the run looked at
	// at is the place that was looked at last, d how far it is from the other
	// part's contours, and in whether it lies inside. 0 for none.
	at r2.Vec
	d  float64
	in bool
}

// inside says whether a place, d away from the other part's contours in the
// layer, lies inside them: as the last one does where no contour fits between.
func (f *faced) inside(ix *near.Index, other int32, p r2.Vec, d float64) bool {
	const noise = 1e-9 // more than rounding makes of a distance, mm
	if !(r2.Norm(r2.Sub(p, f.at)) < f.d-noise) {
		f.in = ix.Inside(other, p)
	}
	f.at, f.d = p, d
	return f.in
}

// facing lists the layers below and above layer k that matter to a wall of one
// part against another: of several in which the other has one outline, the
// nearest.
func (w *waller) facing(own, other int32, k int) {
	hangs := w.slabs[own].any(slabHangs, k, k)
	w.lower, w.upper = w.lower[:0], w.upper[:0]
	for m := k - 1; m >= max(1, k-w.depth); m-- {
		if same := w.upright(other, m, k); (!same || hangs) && !(m+1 < k && w.unchanged(other, m, m+1)) {
			w.lower = w.faces(w.lower, m, w.stagger(k, m), same)
		}
	}
	for n := k + 1; n <= min(w.index.Len(), k+w.depth); n++ {
		if w.upright(other, k, n) {
			continue
		}
		// What hangs has needs of its own.
		if n-1 == k || !w.unchanged(other, n-1, n) || w.slabs[other].any(slabHangs, n-1, n) {
			w.upper = w.faces(w.upper, n, w.stagger(n, k), false)
		}
	}
}

// unchanged says that a part has one outline in two neighbouring layers of one
// height. Where it is open a contour may be there in one layer and left out of
// the other.
func (w *waller) unchanged(part int32, below, n int) bool {
	return w.stack.Plan.Height(below) == w.stack.Plan.Height(n) && w.upright(part, below, n) && !w.slabs[part].any(slabOpen, n, n)
}

// faces adds a layer to a list, in memory that is used again.
func (w *waller) faces(list []faced, layer int, s stagger, same bool) []faced {
	if len(list) == cap(list) {
		list = append(list, faced{})[:len(list)]
	}
	list = list[:len(list)+1]
	f := &list[len(list)-1]
	f.layer, f.s, f.same, f.d = layer, s, same, 0
	f.within = s.lowered(w.sagMost).reach(w.most, max(w.side, w.roof))
	return list
}

// comesNear says whether the other part comes near a run of a wall of layer k, in
// its own layer or in those that facing found.
func (w *waller) comesNear(r *near.Run, other int32, k int) bool {
	beside := w.beside.Set(w.index.At(k), other, r, w.most*w.sideNeed(k))
	set := func(list []faced) bool {
		found := false
		for i := range list {
			f := &list[i]
			found = f.near.Set(w.index.At(f.layer), other, r, f.within) || found
		}
		return found
	}
	w.overLower = set(w.lower)
	underUpper := set(w.upper)
	return beside || w.overLower || underUpper
}

// around bounds a part's islands in the layers within depth of k.
func (w *waller) around(part int32, k int) (r2.Box, bool) {
	var box r2.Box
	found := false
	for n := max(1, k-w.depth); n <= min(w.index.Len(), k+w.depth); n++ {
		is, _ := islandsOf(w.index.At(n).Layer, part)
		for _, i := range is {
			if !found {
				box, found = i.Box, true
			}
			box = unionBox(box, i.Box)
		}
	}
	return box, found
}

// pieceMargin is the least margin below most of a place on a wall of layer k
// against another part, in its own layer, as the upper bead and as the lower
// one; most if there is none. Places that overlap the other part in plan are
// left to the roof. facing was called for the two, and comesNear for the run that
// the place is on.
func (w *waller) pieceMargin(own, other int32, k int, p r2.Vec) float64 {
	best := w.most
	need := w.sideNeed(k)
	if d, ok := w.beside.Distance(p, w.most*need); ok {
		best = min(best, d/need)
	}
	best = w.aboveLower(own, other, k, p, best)
	for i := range w.upper {
		f := &w.upper[i]
		if f.near.Empty() {
			continue
		}
		n, s := f.layer, f.s
		low := s
		if w.sags(n, other) {
			low = s.lowered(w.sagMost)
		}
		limit := low.reach(best, max(w.side, w.roof))
		if limit < 0 {
			continue // a layer further up may come as low again: by its sag
		}
		q, d, ok := f.near.NearestOn(p, limit)
		if !ok || f.inside(w.index.At(n), other, p, d) {
			continue
		}
		v := w.side
		if w.hangsAt(n, other, q) {
			v = w.roof
			s = s.lowered(w.sagAt(n, other, q))
		}
		if m := s.margin(d, v); m < best && w.clear(q, p, k+1, n-1, &w.spans) {
			best = m
		}
	}
	return best
}

// aboveLower lowers best to the least margin of the place as the upper bead.
func (w *waller) aboveLower(own, other int32, k int, p r2.Vec, best float64) float64 {
	if !w.overLower {
		return best
	}
	hangs, sag, v := w.hangsAt(k, own, p), 0.0, w.side
	if hangs {
		sag, v = w.sagAt(k, own, p), w.roof
	}
	for i := range w.lower {
		f := &w.lower[i]
		m, s := f.layer, f.s.lowered(sag)
		limit := s.reach(best, v)
		if limit < 0 {
			break
		}
		if f.near.Empty() || !hangs && f.same {
			continue
		}
		q, d, ok := f.near.NearestOn(p, limit)
		if ok && !f.inside(w.index.At(m), other, p, d) && w.clear(p, q, m+1, k-1, &w.spans) {
			best = min(best, s.margin(d, v))
		}
	}
	return best
}
