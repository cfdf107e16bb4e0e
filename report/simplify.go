package report

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// thinner leaves points out of lines. It keeps its memory, and what it gives
// is good until it is asked again.
type thinner struct {
	ring    []r2.Vec // turned round, and closed
	corners []r2.Vec
	out     []r2.Vec
}

// cornerWithin is how far in mm a point may lie from the straight line between
// its neighbours and still be none of the drawing's: much less than is drawn,
// and more than rounding does to the points where a cut crosses the edges
// within a flat wall.
const cornerWithin = 1e-4

// line leaves out points of a line as long as no point of it is farther than
// tol from what remains. Its ends stay.
func (t *thinner) line(line []r2.Vec, tol float64) []r2.Vec {
	// First what is no corner goes, so that what remains of an upright wall is
	// the same at whatever height it is cut.
	fine := min(cornerWithin, tol/2)
	t.corners = thin(t.corners[:0], line, fine)
	t.out = thin(t.out[:0], t.corners, tol-fine)
	return t.out
}

// closed does the same for a closed line, whose first point is not repeated
// at its end. Of what remains the first is a corner for certain: the outermost
// in a direction that walls are seldom square to.
func (t *thinner) closed(ring []r2.Vec, tol float64) []r2.Vec {
	if len(ring) < 4 {
		t.out = append(t.out[:0], ring...)
		return t.out
	}
	first, most := 0, math.Inf(-1)
	for i, p := range ring {
		if out := dot(p, outward); out > most {
			first, most = i, out
		}
	}
	t.ring = append(append(t.ring[:0], ring[first:]...), ring[:first+1]...)
	out := t.line(t.ring, tol)
	if len(out) < 3 { // all of it lies about its first point
		out[1] = t.ring[1]
		return out
	}
	return out[:len(out)-1]
}

var outward = r2.Vec{X: 1, Y: 1 / math.Pi}

// thin appends what remains of a line to out. From each point that stays the
// next one is the last that can be reached in a straight line, as Williams (1978)
// and Sklansky and Gonzalez (1980) have it.
func thin(out, line []r2.Vec, tol float64) []r2.Vec {
	if len(line) < 3 {
		return append(out, line...)
	}
	out = append(out, line[0])
	for i := 0; i < len(line)-1; {
		i = straight(line, i, tol)
		out = append(out, line[i])
	}
	return out
}

// straight is how far along a line one can go straight from one of its points,
// so that all points between lie within tol of the way: as long as each lies in
// the wedge of directions that pass all before it, and no nearer than they.
// What is within tol of the beginning is passed anyway.
func straight(line []r2.Vec, from int, tol float64) int {
	a := line[from]
	var only r2.Vec        // what bounds the wedge, if nothing else does
	var left, right r2.Vec // its sides; unknown where one point alone bounds it
	farthest := 0.0        // squared distance of what bounds it, 0 for none
	known := false
	for i := from + 1; i < len(line); i++ {
		v := r2.Sub(line[i], a)
		d2 := dot(v, v)
		switch {
		case farthest == 0:
			if d2 > tol*tol {
				only, farthest = v, d2
			}
			continue
		case d2 < farthest:
			return i - 1
		}
		if !known {
			// Most often the way turns by far more than that here.
			if off := cross(only, v); off*off > tol*tol*d2*surelyOff {
				return i - 1
			}
			left, right = tangents(only, farthest, tol)
			known = true
		}
		if cross(right, v) < 0 || cross(v, left) < 0 || dot(left, v) <= 0 {
			return i - 1
		}
		l, r := tangents(v, d2, tol)
		if cross(l, left) < 0 {
			l = left
		}
		if cross(right, r) < 0 {
			r = right
		}
		left, right, farthest = l, r, d2
	}
	return len(line) - 1
}

// surelyOff is by which factor the square of a distance must be above that of
// tol for no rounding to make it less.
const surelyOff = 1 + 1e-6

// tangents are the two lines from the origin that touch the circle of radius tol
// about v, whose squared distance is d2: the left one first.
func tangents(v r2.Vec, d2, tol float64) (left, right r2.Vec) {
	s := math.Sqrt(d2 - tol*tol)
	sx, sy, tx, ty := float64(s*v.X), float64(s*v.Y), float64(tol*v.X), float64(tol*v.Y)
	return r2.Vec{X: sx - ty, Y: sy + tx}, r2.Vec{X: sx + ty, Y: sy - tx}
}

// dot and cross are rounded before they are added, so that every processor
// draws the same.
func dot(a, b r2.Vec) float64   { return float64(a.X*b.X) + float64(a.Y*b.Y) }
func cross(a, b r2.Vec) float64 { return float64(a.X*b.Y) - float64(a.Y*b.X) }
