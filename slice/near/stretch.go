package near

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Stretch is a run of neighbouring segments of one contour.
type Stretch struct {
	Mid    r2.Vec // a point of the contour in its middle
	Length float64
}

// Stretches cuts the contours of a part near a box into runs of about the
// given length: long segments are divided, short ones put together. Runs
// farther than within from the box may be left out.
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
		done, next := 0.0, step/2
		for k := bl.first; k < bl.first+bl.n; k++ {
			a, c := pts[k], pts[bl.next(k)]
			l := r2.Norm(r2.Sub(c, a))
			for l > 0 && next <= done+l && next < total {
				visit(Stretch{Mid: Along(a, c, (next-done)/l), Length: step})
				next += step
			}
			done += l
		}
	})
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
