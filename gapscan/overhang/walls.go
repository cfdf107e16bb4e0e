package overhang

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice/near"
)

// walls measures how far one place after another lies from a part's contours in
// a layer. Places that follow each other are mostly near the same wall, which is
// asked before others are looked for.
type walls struct {
	ix   *near.Index
	part int32
	// last is the wall found last, if there is any.
	last  near.Wall
	known bool
}

// distance is that from a place to the nearest contour, +Inf where that is more
// than limit.
func (w *walls) distance(p r2.Vec, limit float64) float64 {
	wall, d, ok := w.ix.NearestWall(w.part, p, limit)
	if !ok {
		return math.Inf(1)
	}
	w.last, w.known = wall, true
	return d
}

// within says whether a contour lies within a distance of a place.
func (w *walls) within(p r2.Vec, distance float64) bool {
	return w.reaches(distance, p) || w.distance(p, distance) <= distance
}

// reaches says whether the wall found last surely lies within a distance of all
// that is between some places.
func (w *walls) reaches(distance float64, corners ...r2.Vec) bool {
	return w.known && w.last.ReachesAll(corners, distance)
}
