package shape

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/region"
)

// Arc returns n+1 points on the circle round c, from one angle to another in
// degrees, both ends included. To go clockwise, let to be less than from.
func Arc(c r2.Vec, r, from, to float64, n int) []r2.Vec {
	pts := make([]r2.Vec, n+1)
	for i := range pts {
		sin, cos := sincos(from + (to-from)*float64(i)/float64(n))
		pts[i] = r2.Vec{X: c.X + float64(r*cos), Y: c.Y + float64(r*sin)}
	}
	return pts
}

// Circle returns the n-gon by vertices on the circle of radius r round c,
// counter-clockwise, its first vertex at the angle phase in degrees.
func Circle(c r2.Vec, r float64, n int, phase float64) []r2.Vec {
	return Arc(c, r, phase, phase+360, n)[:n]
}

// Rect returns the rectangle between two corners, counter-clockwise from the
// lower left.
func Rect(x0, y0, x1, y1 float64) []r2.Vec {
	return []r2.Vec{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

// Rounded returns the polygon with every corner replaced by an arc of radius
// r that meets both sides smoothly, each of n chords. Two arcs may use a
// side up (half a circle ends a strip); an *Error says where a side is
// shorter than that.
func Rounded(polygon []r2.Vec, r float64, n int) ([]r2.Vec, error) {
	m := len(polygon)
	if m < 3 || !(r > 0) || n < 1 {
		return nil, &Error{Op: "round", Rule: "a polygon of three corners, a radius above 0 and one chord are needed"}
	}
	used := make([]float64, m) // of the side that leaves corner i
	var out []r2.Vec
	for i, p := range polygon {
		in := r2.Sub(p, polygon[(i+m-1)%m])
		on := r2.Sub(polygon[(i+1)%m], p)
		turn := math.Atan2(r2.Cross(in, on), r2.Dot(in, on))
		if turn == 0 {
			out = append(out, p)
			continue
		}
		cut := r * math.Tan(math.Abs(turn)/2)
		used[i] += cut
		used[(i+m-1)%m] += cut
		u := r2.Unit(in)
		left := r2.Vec{X: -u.Y, Y: u.X}
		side := math.Copysign(1, turn)
		c := r2.Add(r2.Sub(p, r2.Scale(cut, u)), r2.Scale(side*r, left))
		from := math.Atan2(-side*left.Y, -side*left.X) * 180 / math.Pi
		out = append(out, Arc(c, r, from, from+turn*180/math.Pi, n)...)
	}
	for i, p := range polygon {
		if l := r2.Norm(r2.Sub(polygon[(i+1)%m], p)); used[i] > l+samePoint {
			return nil, &Error{Op: "round", Rule: "a side is too short for the radius", At: p, Placed: true}
		}
	}
	// Arcs that use a side up share its middle.
	kept := out[:0]
	for i, p := range out {
		if next := out[(i+1)%len(out)]; r2.Norm(r2.Sub(next, p)) > samePoint {
			kept = append(kept, p)
		}
	}
	return kept, nil
}

// samePoint is how near two ends of arcs must lie to be one, in mm: far above
// float64 rounding, far below any chord.
const samePoint = 1e-9

// Divide returns the closed polygon with every side divided evenly into
// pieces no longer than step.
func Divide(polygon []r2.Vec, step float64) []r2.Vec {
	if !(step > 0) {
		panic("shape: a step must be above 0")
	}
	var out []r2.Vec
	for i, p := range polygon {
		q := polygon[(i+1)%len(polygon)]
		n := pieces(p, q, step)
		for k := range n {
			f := float64(k) / float64(n)
			out = append(out, r2.Vec{X: p.X + float64(f*(q.X-p.X)), Y: p.Y + float64(f*(q.Y-p.Y))})
		}
	}
	return out
}

// stepSlack lets a side that is a whole number of steps long, but for
// rounding, be divided into that number.
const stepSlack = 1e-9

func pieces(p, q r2.Vec, step float64) int {
	return max(1, int(math.Ceil(r2.Norm(r2.Sub(q, p))/step-stepSlack)))
}

// Area is the enclosed area of a polygon in mm2, negative where it runs
// clockwise.
func Area(polygon []r2.Vec) float64 {
	if len(polygon) == 0 {
		return 0
	}
	o := polygon[0]
	sum := 0.0
	for i := 1; i+1 < len(polygon); i++ {
		sum += r2.Cross(r2.Sub(polygon[i], o), r2.Sub(polygon[i+1], o))
	}
	return sum / 2
}

// oriented returns the ring counter-clockwise, or clockwise for ccw false.
func oriented(ring []r2.Vec, ccw bool) []r2.Vec {
	if (Area(ring) > 0) == ccw {
		return ring
	}
	r := slices.Clone(ring)
	slices.Reverse(r)
	return r
}

// checkRings says what is wrong with rings that are to bound one region:
// numbers that are none, fewer than three corners, no area, sides that meet
// anywhere but at the corner they share.
func checkRings(op string, rings [][]r2.Vec) error {
	type side struct {
		a, b           r2.Vec
		ring, i        int
		x0, x1, y0, y1 float64
	}
	var sides []side
	for r, ring := range rings {
		if len(ring) < 3 {
			return &Error{Op: op, Rule: "a ring needs three corners"}
		}
		for i, a := range ring {
			if s := a.X + a.Y; math.IsNaN(s) || math.IsInf(s, 0) {
				return &Error{Op: op, Rule: "a coordinate is not a number", At: a, Placed: true}
			}
			b := ring[(i+1)%len(ring)]
			if a == b {
				return &Error{Op: op, Rule: "a corner is there twice", At: a, Placed: true}
			}
			sides = append(sides, side{a, b, r, i, min(a.X, b.X), max(a.X, b.X), min(a.Y, b.Y), max(a.Y, b.Y)})
		}
		if Area(ring) == 0 {
			return &Error{Op: op, Rule: "a ring has no area", At: ring[0], Placed: true}
		}
	}
	slices.SortStableFunc(sides, func(s, t side) int { return cmp.Compare(s.x0, t.x0) })
	for k, s := range sides {
		for _, t := range sides[k+1:] {
			if t.x0 > s.x1 {
				break
			}
			if t.y0 > s.y1 || s.y0 > t.y1 {
				continue
			}
			bad := false
			n := len(rings[s.ring])
			switch {
			case s.ring == t.ring && (s.i+1)%n == t.i:
				bad = folded(s.a, s.b, t.b)
			case s.ring == t.ring && (t.i+1)%n == s.i:
				bad = folded(t.a, t.b, s.b)
			default:
				bad = region.Meet(s.a, s.b, t.a, t.b)
			}
			if bad {
				return &Error{Op: op, Rule: "two sides meet", At: t.a, Placed: true}
			}
		}
	}
	return nil
}

// folded says whether bc runs back along ab.
func folded(a, b, c r2.Vec) bool {
	return region.Orient(a, b, c) == 0 && (region.Within(a, b, c) || region.Within(b, c, a))
}
