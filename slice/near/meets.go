package near

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// MayComeNear says whether a contour of a part may come within a distance of a
// convex polygon, given by its corners in order: true without fail if one does.
func (ix *Index) MayComeNear(part int32, convex []r2.Vec, distance float64) bool {
	pi := ix.part(part)
	if pi == nil {
		return false
	}
	d := distance + reachSlack
	around := nowhere
	for _, c := range convex {
		around.take(c)
	}
	around = around.wider(d)
	found := false
	pi.over.meeting(&around, func(i int) bool {
		bl := &pi.blocks[i]
		for k := bl.first; k < bl.first+bl.n && !found; k++ {
			a, b := ix.Layer.Pts[k], ix.Layer.Pts[bl.next(k)]
			s := segBox(a, b)
			found = !s.apart(&around) && toConvex2(a, b, convex) <= d*d
		}
		return !found
	})
	return found
}

// MeetsRing says whether a closed ring comes within a distance of a contour of a
// part.
func (ix *Index) MeetsRing(part int32, ring []r2.Vec, within float64) bool {
	pi := ix.part(part)
	if pi == nil {
		return false
	}
	limit := boundOf(within)
	found := false
	for at := 0; at < len(ring) && !found; at += blockSegments {
		run := ring[at:min(at+blockSegments, len(ring))]
		after := ring[(at+len(run))%len(ring)]
		around := pointBox(after)
		for _, p := range run {
			around.take(p)
		}
		around = around.wider(limit.d)
		pi.over.meeting(&around, func(i int) bool {
			bl := &pi.blocks[i]
			for k := bl.first; k < bl.first+bl.n && !found; k++ {
				a, b := ix.Layer.Pts[k], ix.Layer.Pts[bl.next(k)]
				s := segBox(a, b)
				if s.apart(&around) {
					continue
				}
				s = s.wider(limit.d)
				q := after
				for i := len(run) - 1; i >= 0 && !found; i-- {
					p := run[i]
					r := segBox(p, q)
					found = !r.apart(&s) && segDist2(p, q, a, b) <= limit.d2
					q = p
				}
			}
			return !found
		})
	}
	return found
}

// toConvex2 is the squared distance of a segment from a convex polygon.
func toConvex2(a, b r2.Vec, convex []r2.Vec) float64 {
	least := math.Inf(1)
	left, right := true, true // of all sides
	p := convex[len(convex)-1]
	for _, q := range convex {
		least = min(least, segDist2(a, b, p, q))
		side := cross(r2.Sub(q, p), r2.Sub(a, p))
		left, right = left && side >= 0, right && side <= 0
		p = q
	}
	if left || right {
		return 0 // a lies inside
	}
	return least
}
