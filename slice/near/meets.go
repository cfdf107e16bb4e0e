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
	limit := boundOf(distance + reachSlack)
	around := nowhere
	for _, c := range convex {
		around.take(c)
	}
	around = around.wider(limit.d)
	lanes := lanesOf(convex, limit.line2, make([]lane, 0, 4))
	found := false
	pi.over.meeting(&around, func(i int) bool {
		bl := &pi.blocks[i]
		for k := bl.first; k < bl.first+bl.n && !found; k++ {
			a, b := ix.Layer.Pts[k], ix.Layer.Pts[bl.next(k)]
			s := segBox(a, b)
			found = !s.apart(&around) && !besideSome(lanes, a, b) && toConvex2(a, b, convex) <= limit.d2
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
	var sides [blockSegments]box // of the run, made wider
	for at := 0; at < len(ring) && !found; at += blockSegments {
		run := ring[at:min(at+blockSegments, len(ring))]
		after := ring[(at+len(run))%len(ring)]
		end := func(i int) r2.Vec {
			if i+1 < len(run) {
				return run[i+1]
			}
			return after
		}
		around := nowhere
		for i, p := range run {
			sides[i] = segBox(p, end(i)).wider(limit.d)
			around.grow(&sides[i])
		}
		pi.over.meeting(&around, func(i int) bool {
			bl := &pi.blocks[i]
			for k := bl.first; k < bl.first+bl.n && !found; k++ {
				a, b := ix.Layer.Pts[k], ix.Layer.Pts[bl.next(k)]
				s := segBox(a, b)
				if s.apart(&around) {
					continue
				}
				for i := 0; i < len(run) && !found; i++ {
					found = !sides[i].apart(&s) && segDist2(run[i], end(i), a, b) <= limit.d2
				}
			}
			return !found
		})
	}
	return found
}

// lane is the strip along one side of a polygon that holds all of the polygon
// and what is near it: between two heights over the line from p along d, times
// the length of d.
type lane struct {
	p, d   r2.Vec
	lo, hi float64
}

// lanesOf appends a polygon's lanes, wider on both sides by the root of far2.
func lanesOf(convex []r2.Vec, far2 float64, out []lane) []lane {
	p := convex[len(convex)-1]
	for _, q := range convex {
		l := lane{p: p, d: r2.Sub(q, p)}
		for _, c := range convex {
			h := cross(l.d, r2.Sub(c, p))
			l.lo, l.hi = min(l.lo, h), max(l.hi, h)
		}
		far := math.Sqrt(dot(l.d, l.d) * far2)
		l.lo, l.hi = l.lo-far, l.hi+far
		out = append(out, l)
		p = q
	}
	return out
}

// besideSome says whether the segment from a to b lies beside some lane, as most
// do that the polygon is not near to.
func besideSome(lanes []lane, a, b r2.Vec) bool {
	for i := range lanes {
		l := &lanes[i]
		h0, h1 := cross(l.d, r2.Sub(a, l.p)), cross(l.d, r2.Sub(b, l.p))
		if h0 > l.hi && h1 > l.hi || h0 < l.lo && h1 < l.lo {
			return true
		}
	}
	return false
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
