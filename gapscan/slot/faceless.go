package slot

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice"
)

// Most parts of most models are round where they are cut: discs, rings, bars.
// No two walls of such a part can face each other, which two walks along its
// contours show. What follows holds for the pairs of walls that (*search)
// segments measures; it measures none that this rules out.
//
// Let a and b be walls, lines through them with the unit normals m and n that
// point out of the material, and p on a and q on b any places. They are
// measured only if m and n are turned against each other to within 60 degrees,
// so that |m+n| <= 1 and |(m+n)v| <= |v| for any v; if q, an end of b, lies
// before a, m(q-p) > 0; if an end q of b is no higher over a than the need,
// m(q-p) <= need; if the same is so of a's ends over b; and if the boxes round
// a and b are no farther apart than the need along x and y.
//
// Let c be a place, all lines through an outer contour's walls at least r away
// from it with c on the side of the material, and all of the contour within R
// of c. Then m(p-c) >= r, n(q-c) >= r. Two walls of that contour: m(q-p) > 0
// gives m(q-c) > r, and (m+n)(q-c) > 2r, so that |q-c| > 2r. If R <= 2r there
// is no such q.
//
// Round a hole, with c in the air, it is m(p-c) <= -r, n(q-c) <= -r, and
// m(q-p) <= need gives (m+n)(q-c) <= need-2r, so that |q-c| >= 2r-need. If
// R < 2r-need there is no such q.
//
// A wall a of an outer contour and any b that lies within r of its c: m(q-c)
// <= |q-c| <= r <= m(p-c), so that b does not lie before a.
//
// So nothing faces anything where each outer contour has R <= 2r, each hole R
// < 2r-need, the holes of an outer contour lie within its r and, like the
// outer contours, farther apart than the need.

// allFaceless says that of no part of a layer any walls could face each other.
func (s *search) allFaceless(l *slice.Layer) bool {
	for rest := l.Islands; len(rest) > 0; {
		n := 1
		for n < len(rest) && rest[n].Part == rest[0].Part {
			n++
		}
		if !s.faceless(l, rest[:n]) {
			return false
		}
		rest = rest[n:]
	}
	return true
}

// faceless says that no walls of a part, given by its islands in a layer,
// could face each other.
func (s *search) faceless(l *slice.Layer, islands []slice.Island) bool {
	if len(islands) > mostDiscs {
		return false
	}
	s.discs = s.discs[:0]
	for _, is := range islands {
		cs := l.Contours[is.First:is.End]
		if len(cs) > mostDiscs {
			return false
		}
		outer := discOf(l, &cs[0])
		least := outer.radius / 2
		s.holes = s.holes[:0]
		for i := range cs[1:] {
			h := discOf(l, &cs[1+i])
			if !h.clearOf(s.holes, s.need) || !h.keeps(l, &cs[1+i], (h.radius+s.need)/2, -1) {
				return false
			}
			s.holes = append(s.holes, h)
			least = max(least, dist(h.mid, outer.mid)+h.radius)
		}
		if !outer.clearOf(s.discs, s.need) || !outer.keeps(l, &cs[0], least, 1) {
			return false
		}
		s.discs = append(s.discs, outer)
	}
	return true
}

// mostDiscs is the number of contours up to which faceless compares all.
const mostDiscs = 8

// disc holds a contour.
type disc struct {
	mid    r2.Vec
	radius float64
}

// discOf is the disc round the middle of a contour's box.
func discOf(l *slice.Layer, c *slice.Contour) disc {
	mid := middle(c.Box.Min, c.Box.Max)
	most := 0.0
	for _, p := range l.Pts[c.Start:c.End] {
		v := r2.Sub(p, mid)
		if d := dot(v, v); !(d <= most) {
			most = d
		}
	}
	return disc{mid, math.Sqrt(most)}
}

// clearOf says that a disc's box is farther from those of others than need.
func (d disc) clearOf(others []disc, need float64) bool {
	for _, o := range others {
		far := float64((d.radius+o.radius+need)*(1+roundNoise)) + roundNoise
		if !(math.Abs(d.mid.X-o.mid.X) > far || math.Abs(d.mid.Y-o.mid.Y) > far) {
			return false
		}
	}
	return true
}

// keeps says that the middle is at least as far from the lines through the
// walls of a contour as given, and on their left (1) or right (-1).
func (d disc) keeps(l *slice.Layer, c *slice.Contour, least, side float64) bool {
	least = float64(least*(1+roundNoise)) + roundNoise
	least *= least
	pts := l.Pts[c.Start:c.End]
	p := pts[len(pts)-1]
	for _, q := range pts {
		e := r2.Sub(q, p)
		h := side * cross(e, r2.Sub(d.mid, p))
		if !(h >= 0 && float64(h*h) >= float64(least*dot(e, e))) {
			return false
		}
		p = q
	}
	return true
}

// roundNoise is what rounding may do to the reckoning of discs, as a share
// and in mm, with much to spare: a place a kilometre away is rounded by 1e-10.
const roundNoise = 1e-6
