package bvh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// slope is a linear function of the place in plan, anchored at (x, y) so
// that it keeps its digits far from the origin.
type slope struct{ x, y, c, dx, dy float64 }

func (s *slope) at(p r2.Vec) float64 {
	return s.c + float64(s.dx*(p.X-s.x)) + float64(s.dy*(p.Y-s.y))
}

// heights is the plane of a facet as a height over the plan; area2 is the
// facet's planArea2, not 0.
func heights(a, b, c r3.Vec, area2 float64) slope {
	bx, by, bz := b.X-a.X, b.Y-a.Y, b.Z-a.Z
	cx, cy, cz := c.X-a.X, c.Y-a.Y, c.Z-a.Z
	return slope{
		x: a.X, y: a.Y, c: a.Z,
		dx: (float64(bz*cy) - float64(cz*by)) / area2,
		dy: (float64(cz*bx) - float64(bz*cx)) / area2,
	}
}

// less is s - t + c.
func (s *slope) less(t *slope, c float64) slope {
	return slope{
		x: s.x, y: s.y, c: s.c - t.at(r2.Vec{X: s.x, Y: s.y}) + c,
		dx: s.dx - t.dx, dy: s.dy - t.dy,
	}
}

func (s *slope) negated() slope {
	return slope{x: s.x, y: s.y, c: -s.c, dx: -s.dx, dy: -s.dy}
}

// inside is positive to the left of the line from a to b: the distance
// times the length of ab.
func inside(a, b r2.Vec) slope {
	return slope{x: a.X, y: a.Y, dx: a.Y - b.Y, dy: b.X - a.X}
}

// outline is a facet's corners in plan, counter-clockwise.
func outline(a, b, c r3.Vec, area2 float64) [3]r2.Vec {
	if area2 < 0 {
		b, c = c, b
	}
	return [3]r2.Vec{{X: a.X, Y: a.Y}, {X: b.X, Y: b.Y}, {X: c.X, Y: c.Y}}
}

// beside reports whether all of t lies outside one side of s.
func beside(s, t *[3]r2.Vec) bool {
	for i, a := range s {
		side := inside(a, s[(i+1)%3])
		if side.at(t[0]) < 0 && side.at(t[1]) < 0 && side.at(t[2]) < 0 {
			return true
		}
	}
	return false
}

// clip appends to out the part of a convex polygon where keep is not below 0.
func clip(poly []r2.Vec, keep *slope, out []r2.Vec) []r2.Vec {
	if len(poly) == 0 {
		return out
	}
	prev := poly[len(poly)-1]
	dp := keep.at(prev)
	for _, p := range poly {
		d := keep.at(p)
		if (d < 0) != (dp < 0) && d != 0 && dp != 0 {
			// From the kept end, so that both neighbours cut alike.
			in, off, di, do := p, prev, d, dp
			if d < 0 {
				in, off, di, do = prev, p, dp, d
			}
			s := di / (di - do)
			out = append(out, r2.Vec{X: in.X + float64(s*(off.X-in.X)), Y: in.Y + float64(s*(off.Y-in.Y))})
		}
		if d >= 0 {
			out = append(out, p)
		}
		prev, dp = p, d
	}
	return out
}

// thick reports whether the least width of a convex polygon, which is found
// square to one of its sides, is more than least.
func thick(poly []r2.Vec, least float64) bool {
	if len(poly) < 3 {
		return false
	}
	prev := poly[len(poly)-1]
	sides := 0
	for _, p := range poly {
		e := r2.Vec{X: p.X - prev.X, Y: p.Y - prev.Y}
		long := math.Sqrt(float64(e.X*e.X) + float64(e.Y*e.Y))
		if long > 0 {
			sides++
			far := 0.0
			for _, q := range poly {
				far = max(far, math.Abs(float64(e.X*(q.Y-prev.Y))-float64(e.Y*(q.X-prev.X))))
			}
			if far <= float64(least*long) {
				return false
			}
		}
		prev = p
	}
	return sides > 0
}

// bounds is the box of a polygon in plan.
func bounds(poly []r2.Vec) r2.Box {
	b := r2.Box{Min: poly[0], Max: poly[0]}
	for _, p := range poly[1:] {
		b.Min.X, b.Max.X = min(b.Min.X, p.X), max(b.Max.X, p.X)
		b.Min.Y, b.Max.Y = min(b.Min.Y, p.Y), max(b.Max.Y, p.Y)
	}
	return b
}
