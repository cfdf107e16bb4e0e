package report

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// simplify thins a line so that no point of it lies farther than tol from what
// is left, and keeps both ends (Douglas and Peucker 1973). The result shares
// no memory with the line.
func simplify(line []r2.Vec, tol float64) []r2.Vec {
	n := len(line)
	if n < 3 {
		return append([]r2.Vec(nil), line...)
	}
	keep := make([]bool, n)
	keep[0], keep[n-1] = true, true
	stack := [][2]int{{0, n - 1}}
	for len(stack) > 0 {
		from, to := stack[len(stack)-1][0], stack[len(stack)-1][1]
		stack = stack[:len(stack)-1]
		far, most := 0, tol
		for i := from + 1; i < to; i++ {
			if d := fromSegment(line[i], line[from], line[to]); d > most {
				far, most = i, d
			}
		}
		if far > 0 {
			keep[far] = true
			stack = append(stack, [2]int{from, far}, [2]int{far, to})
		}
	}
	var out []r2.Vec
	for i, k := range keep {
		if k {
			out = append(out, line[i])
		}
	}
	return out
}

// simplifyRing thins a closed line, whose first point is not repeated at its
// end, and keeps its first point and the one farthest from that.
func simplifyRing(ring []r2.Vec, tol float64) []r2.Vec {
	if len(ring) < 4 {
		return append([]r2.Vec(nil), ring...)
	}
	far, most := 0, 0.0
	for i, p := range ring {
		if d := r2.Norm(r2.Sub(p, ring[0])); d > most {
			far, most = i, d
		}
	}
	there := simplify(ring[:far+1], tol)
	back := simplify(append(append([]r2.Vec(nil), ring[far:]...), ring[0]), tol)
	return append(there, back[1:len(back)-1]...)
}

// fromSegment is the distance of p from the segment from a to b.
func fromSegment(p, a, b r2.Vec) float64 {
	d := r2.Sub(b, a)
	l := float64(d.X*d.X) + float64(d.Y*d.Y)
	t := 0.0
	if l > 0 {
		t = min(max((float64((p.X-a.X)*d.X)+float64((p.Y-a.Y)*d.Y))/l, 0), 1)
	}
	return math.Hypot(p.X-a.X-float64(t*d.X), p.Y-a.Y-float64(t*d.Y))
}
