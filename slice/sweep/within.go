package sweep

import "gonum.org/v1/gonum/spatial/r2"

// clipSlack is how far in mm a ring must keep from a side of a box so that
// surely nothing of it is cut off there, nor of what rounding makes of it at
// another side.
const clipSlack = 1e-6

// AddWithin adds what matters of a ring, which lies in the box b, inside
// another box: outside, the ring may be drawn differently, its winding number
// inside is the same. It says whether anything was left to add.
func (s *Sweep) AddWithin(ring []r2.Vec, b r2.Box, set int, box r2.Box) bool {
	in, cuts := ring, 0
	for _, side := range [4]struct {
		y            bool
		sign         float64 // of what lies beyond within the box
		beyond, most float64
	}{
		{false, 1, box.Min.X, b.Min.X},
		{false, -1, box.Max.X, b.Max.X},
		{true, 1, box.Min.Y, b.Min.Y},
		{true, -1, box.Max.Y, b.Max.Y},
	} {
		if side.sign*(side.most-side.beyond) > clipSlack {
			continue // nothing is cut off
		}
		out := &s.clip[cuts&1] // in is the other, if not the ring
		*out = cutOff((*out)[:0], in, side.y, side.sign, side.beyond)
		in = *out
		cuts++
		if len(in) == 0 {
			return false
		}
	}
	if len(in) < 3 {
		return false
	}
	s.Add(in, set)
	return true
}

// cutOff appends to out what of a ring lies beyond a line across the x axis,
// or the y axis, on the side that sign says (Sutherland & Hodgman 1974,
// Communications of the ACM 17:32-42); the cut runs along the line.
func cutOff(out, ring []r2.Vec, y bool, sign, line float64) []r2.Vec {
	depth := func(p r2.Vec) float64 {
		if y {
			return sign * (p.Y - line)
		}
		return sign * (p.X - line)
	}
	a := ring[len(ring)-1]
	da := depth(a)
	for _, b := range ring {
		db := depth(b)
		if (da < 0) != (db < 0) {
			t := da / (da - db)
			out = append(out, r2.Vec{X: a.X + float64(t*(b.X-a.X)), Y: a.Y + float64(t*(b.Y-a.Y))})
		}
		if db >= 0 {
			out = append(out, b)
		}
		a, da = b, db
	}
	return out
}
