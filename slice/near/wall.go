package near

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Wall is a segment of a contour.
type Wall struct{ A, B r2.Vec }

// reachSlack is more than rounding makes of a distance, mm.
const reachSlack = 1e-9

// NearestWall is the segment of a part's contours nearest in plan to p, and
// its distance, if that is at most limit.
func (ix *Index) NearestWall(part int32, p r2.Vec, limit float64) (Wall, float64, bool) {
	pi := ix.part(part)
	if pi == nil || !(limit >= 0) {
		return Wall{}, 0, false
	}
	d2 := limit * limit * (1 + 1e-14)
	seg := pi.nearestSegment(ix.Layer.Pts, p, &d2)
	if seg < 0 {
		return Wall{}, 0, false
	}
	a, b := segmentOf(pi.contours, ix.Layer.Pts, seg)
	return Wall{a, b}, math.Sqrt(d2), true
}

// NearestOn is the point of a part's contours nearest in plan to p, and its
// distance, if that is at most limit.
func (ix *Index) NearestOn(part int32, p r2.Vec, limit float64) (r2.Vec, float64, bool) {
	w, d, ok := ix.NearestWall(part, p, limit)
	if !ok {
		return r2.Vec{}, 0, false
	}
	return foot(p, w.A, w.B), d, true
}

// ReachesAll says whether all that lies between some points is surely within a
// distance of the wall: the distance from a segment is a convex function of the
// place, so that it is greatest at a corner.
func (w Wall) ReachesAll(corners []r2.Vec, distance float64) bool {
	d := distance - reachSlack
	if d < 0 {
		return false
	}
	for _, c := range corners {
		if pointSeg2(c, w.A, w.B) > d*d {
			return false
		}
	}
	return true
}

// Walls are those found last by whoever asks of one place after another: the next
// place most likely lies by one of them. The zero value holds none.
type Walls struct {
	last  [4]Wall
	known int // how many have been found; of more than fit, the last ones stay
}

// Add adds a wall.
func (w *Walls) Add(wall Wall) {
	w.last[w.known%len(w.last)] = wall
	w.known++
}

// ReachAll says whether one of them surely reaches all between some points, as
// Wall.ReachesAll.
func (w *Walls) ReachAll(corners []r2.Vec, distance float64) bool {
	for i := range w.last[:min(w.known, len(w.last))] {
		if w.last[i].ReachesAll(corners, distance) {
			return true
		}
	}
	return false
}
