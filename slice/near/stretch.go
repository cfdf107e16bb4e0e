package near

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Stretch is a run of neighbouring segments of one contour.
type Stretch struct {
	Mid    r2.Vec // a point of the contour in its middle
	Length float64

	// It is number of the pieces that a block is cut into, from 0.
	block  *block
	number int
	last   bool // of its block
}

// Stretches cuts the contours of a part near a box into runs of about the
// given length: long segments are divided, short ones put together. Runs
// farther than within from the box may be left out. They come contour by
// contour, each from its first point on.
func (ix *Index) Stretches(part int32, b r2.Box, within, length float64, visit func(Stretch)) {
	pi := ix.part(part)
	if pi == nil {
		return
	}
	bb := boxOf(b)
	bb.x0, bb.y0, bb.x1, bb.y1 = bb.x0-within, bb.y0-within, bb.x1+within, bb.y1+within
	pts := ix.Layer.Pts
	pi.blocksNear(&bb, func(bl *block) {
		total := 0.0
		for k := bl.first; k < bl.first+bl.n; k++ {
			total += r2.Norm(r2.Sub(pts[bl.next(k)], pts[k]))
		}
		n := max(1, math.Round(total/length))
		step := total / n
		if step == 0 {
			return
		}
		// The middles of the n runs, found in one walk.
		done, next, i := 0.0, step/2, 0
		for k := bl.first; k < bl.first+bl.n; k++ {
			a, c := pts[k], pts[bl.next(k)]
			l := r2.Norm(r2.Sub(c, a))
			for l > 0 && next <= done+l && next < total {
				visit(Stretch{Along(a, c, (next-done)/l), step, bl, i, i+1 == int(n)})
				next += step
				i++
			}
			done += l
		}
	})
}

// Follows says that a stretch begins where another one ends.
func (s *Stretch) Follows(o *Stretch) bool {
	if s.block == o.block && s.number == o.number+1 {
		return true
	}
	return s.number == 0 && o.last && s.block.first == o.block.next(o.block.first+o.block.n-1)
}

// SameContour says that two stretches of a layer are of one contour.
func (s *Stretch) SameContour(o *Stretch) bool { return s.block.wrap == o.block.wrap }

// Line is the part of a contour from the beginning of one of its stretches to
// the end of another, or of the same: its ends and all points between.
func (ix *Index) Line(from, to *Stretch) []r2.Vec {
	pts := ix.Layer.Pts
	begin, first := from.place(pts, from.number)
	end, last := to.place(pts, to.number+1)
	n := last - first
	if before := to.block.first - from.block.first; before < 0 || before == 0 && to.number < from.number {
		n += from.block.end - from.block.wrap // past the contour's first point
	}
	line := append(make([]r2.Vec, 0, n+2), begin)
	for k := first; n > 0; n-- {
		k = from.block.next(k)
		line = append(line, pts[k])
	}
	return append(line, end)
}

// place is where piece i of the stretch's block begins, or where the one before
// it ends, and the first point of the segment it lies on.
func (s *Stretch) place(pts []r2.Vec, i int) (r2.Vec, int32) {
	bl := s.block
	if i == 0 {
		return pts[bl.first], bl.first
	}
	left := float64(i) * s.Length
	for k := bl.first; ; k++ {
		a, c := pts[k], pts[bl.next(k)]
		l := r2.Norm(r2.Sub(c, a))
		switch {
		case left < l:
			return Along(a, c, left/l), k
		case k+1 == bl.first+bl.n:
			return c, k
		}
		left -= l
	}
}

// NearestOn is the point of a part's contours nearest in plan to p, and its
// distance, if that is at most limit.
func (ix *Index) NearestOn(part int32, p r2.Vec, limit float64) (r2.Vec, float64, bool) {
	pi := ix.part(part)
	if pi == nil || !(limit >= 0) {
		return r2.Vec{}, 0, false
	}
	d2 := limit * limit * (1 + 1e-14)
	seg := pi.nearestSegment(ix.Layer.Pts, p, &d2)
	if seg < 0 {
		return r2.Vec{}, 0, false
	}
	a, b := segmentOf(pi.contours, ix.Layer.Pts, seg)
	return foot(p, a, b), math.Sqrt(d2), true
}
