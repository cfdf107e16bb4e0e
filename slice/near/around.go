package near

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Around is what of a part's contours lies about a run of another's: many
// places along the run ask for what is nearest to them, and the pyramid is
// searched once for all. The zero value is about nothing. Its memory is kept
// when it is set anew.
type Around struct {
	ix     *Index
	blocks []int32 // the numbers of those that are near
	last   int     // which of them was nearest to the place before
	search pointSearch
	// Nothing is nearer to far than by clear.
	far   r2.Vec
	clear float64
}

// lookOut is how much farther than asked it is looked around a place, mm, so
// that the next ones need not look where there is nothing.
const lookOut = 0.5

// Set sets it to the contours of a part that come within a distance of a run
// of the same layer or another, and says whether there are any.
func (ar *Around) Set(ix *Index, part int32, r *Run, within float64) bool {
	ar.ix, ar.blocks, ar.last, ar.clear = ix, ar.blocks[:0], 0, 0
	pi := ix.part(part)
	ar.search.pi, ar.search.pts = pi, ix.Layer.Pts
	if pi == nil || !(within >= 0) {
		return false
	}
	l := boundOf(within)
	wide := r.box.wider(l.d)
	pi.over.meeting(&wide, func(i int) bool {
		if r.box.dist2(&pi.over[0][i]) <= l.d*l.d {
			ar.blocks = append(ar.blocks, int32(i))
		}
		return true
	})
	return len(ar.blocks) > 0
}

// Empty says that nothing is near.
func (ar *Around) Empty() bool { return len(ar.blocks) == 0 }

// Distance is that of p from the nearest contour, if it is at most limit. p
// must lie on the run, and limit be no more than the distance that was set.
func (ar *Around) Distance(p r2.Vec, limit float64) (float64, bool) {
	d2, seg, _ := ar.nearest(p, limit)
	return math.Sqrt(d2), seg >= 0
}

// NearestOn is the point nearest to p, and its distance: the same that
// Index.NearestOn gives. p and limit are as for Distance.
func (ar *Around) NearestOn(p r2.Vec, limit float64) (r2.Vec, float64, bool) {
	d2, seg, tied := ar.nearest(p, limit)
	switch {
	case seg < 0:
		return r2.Vec{}, 0, false
	case tied:
		return ar.ix.NearestOn(ar.search.pi.part, p, limit)
	}
	return ar.foot(p, seg), math.Sqrt(d2), true
}

// foot is the point of a segment nearest to p.
func (ar *Around) foot(p r2.Vec, seg int32) r2.Vec {
	a, b := segmentOf(ar.search.pi.contours, ar.search.pts, seg)
	return foot(p, a, b)
}

// nearest finds the segment nearest to p by its first point, and its squared
// distance; -1 if there is none within limit. tied says that there may be
// another as near, with a nearest point of its own.
func (ar *Around) nearest(p r2.Vec, limit float64) (d2 float64, seg int32, tied bool) {
	if !(limit >= 0) {
		return 0, -1, false
	}
	if ar.clear > limit {
		if v, left := r2.Sub(p, ar.far), ar.clear-limit; dot(v, v) < left*left {
			return 0, -1, false
		}
	}
	s := &ar.search
	s.p, s.d2, s.seg = p, (limit+lookOut)*(limit+lookOut), -1
	from := ar.last
	for turn := range ar.blocks {
		// The one that was nearest last, then the others in turn.
		at := turn
		switch {
		case turn == 0:
			at = from
		case turn <= from:
			at = turn - 1
		}
		i := ar.blocks[at]
		if s.pi.over[0][i].toPoint2(p) > s.d2 {
			continue
		}
		was, wasSeg := s.d2, s.seg
		if s.block(&s.pi.blocks[i]); s.seg == wasSeg {
			continue
		}
		ar.last = at
		// Of equals in one block it is the last in any case.
		if tied = tied && s.d2 == was; wasSeg >= 0 && s.d2 == was && ar.foot(p, wasSeg) != ar.foot(p, s.seg) {
			tied = true
		}
	}
	if s.d2 > limit*limit*(1+1e-14) {
		ar.far, ar.clear = p, math.Sqrt(s.d2)-boxNoise
		return 0, -1, false
	}
	return s.d2, s.seg, tied
}
