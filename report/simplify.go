package report

import "gonum.org/v1/gonum/spatial/r2"

// thinner leaves points out of lines. It keeps its memory, and what it gives
// is good until it is asked again.
type thinner struct {
	keep  []bool
	stack [][2]int32
	ring  []r2.Vec // turned round, and closed
	out   []r2.Vec
}

// line leaves out points of a line as long as no point of it is farther than
// tol from what remains. Its ends stay. It is the algorithm of Douglas and
// Peucker (1973): the point farthest from the chord is kept, and both sides of
// it are treated alike.
func (t *thinner) line(line []r2.Vec, tol float64) []r2.Vec {
	t.out = t.out[:0]
	t.thin(line, tol)
	return t.out
}

// closed does the same for a closed line, whose first point is not repeated
// at its end, and keeps its first point and the one farthest from that.
func (t *thinner) closed(ring []r2.Vec, tol float64) []r2.Vec {
	t.out = t.out[:0]
	if len(ring) < 4 {
		t.out = append(t.out, ring...)
		return t.out
	}
	far, most := 0, 0.0
	for i, p := range ring {
		if d := r2.Norm2(r2.Sub(p, ring[0])); d > most {
			far, most = i, d
		}
	}
	t.thin(ring[:far+1], tol)
	t.out = t.out[:len(t.out)-1] // it comes again
	t.ring = append(append(t.ring[:0], ring[far:]...), ring[0])
	t.thin(t.ring, tol)
	t.out = t.out[:len(t.out)-1]
	return t.out
}

// thin appends what remains of a line to out.
func (t *thinner) thin(line []r2.Vec, tol float64) {
	n := len(line)
	if n < 3 {
		t.out = append(t.out, line...)
		return
	}
	if cap(t.keep) < n {
		t.keep = make([]bool, n)
	}
	keep := t.keep[:n]
	clear(keep)
	keep[0], keep[n-1] = true, true
	t.stack = append(t.stack[:0], [2]int32{0, int32(n - 1)})
	for len(t.stack) > 0 {
		k := len(t.stack) - 1
		from, to := t.stack[k][0], t.stack[k][1]
		t.stack = t.stack[:k]
		if far := from + farthest(line[from:to+1], tol); far > from {
			keep[far] = true
			t.stack = append(t.stack, [2]int32{from, far}, [2]int32{far, to})
		}
	}
	for i, k := range keep {
		if k {
			t.out = append(t.out, line[i])
		}
	}
}

// farthest is the point of a line farthest from the segment between its ends,
// 0 if none is farther than tol.
func farthest(line []r2.Vec, tol float64) int32 {
	a := line[0]
	d := r2.Sub(line[len(line)-1], a)
	inverse := 0.0 // 1 over the square of the segment's length
	if l := r2.Norm2(d); l > 0 {
		inverse = 1 / l
	}
	far, most := 0, tol*tol
	for i := 1; i < len(line)-1; i++ {
		x, y := line[i].X-a.X, line[i].Y-a.Y
		s := (float64(x*d.X) + float64(y*d.Y)) * inverse
		switch {
		case s > 1:
			s = 1
		case !(s > 0):
			s = 0
		}
		x, y = x-float64(s*d.X), y-float64(s*d.Y)
		if d2 := float64(x*x) + float64(y*y); d2 > most {
			far, most = i, d2
		}
	}
	return int32(far)
}
