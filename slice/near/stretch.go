package near

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Stretch is a piece of a run.
type Stretch struct {
	Mid    r2.Vec // a point of the contour in its middle
	Length float64

	// It is number of the pieces that a block is cut into, from 0.
	block  *block
	number int
	last   bool // of its block
}

// Run is some neighbouring segments of one contour.
type Run struct {
	pts   []r2.Vec // of the layer
	block *block
	box   *box
}

// Runs calls visit for the runs that make up the contours of a part near a
// box. Those that lie outside of it may be left out. They come contour by
// contour, each from its first point on.
func (ix *Index) Runs(part int32, b r2.Box, visit func(*Run)) {
	pi := ix.part(part)
	if pi == nil {
		return
	}
	bb := boxOf(b)
	r := Run{pts: ix.Layer.Pts}
	pi.over.meeting(&bb, func(i int) bool {
		r.block, r.box = &pi.blocks[i], &pi.over[0][i]
		visit(&r)
		return true
	})
}

// Stretches cuts the run into stretches of about the given length: long
// segments are divided, short ones put together. A stretch is good until the
// next.
func (r *Run) Stretches(length float64, visit func(*Stretch)) {
	bl, pts := r.block, r.pts
	total := 0.0
	for k := bl.first; k < bl.first+bl.n; k++ {
		total += r2.Norm(r2.Sub(pts[bl.next(k)], pts[k]))
	}
	n := max(1, math.Round(total/length))
	s := Stretch{Length: total / n, block: bl}
	if s.Length == 0 {
		return
	}
	// The middles of the n stretches, found in one walk.
	done, next := 0.0, s.Length/2
	for k := bl.first; k < bl.first+bl.n; k++ {
		a, c := pts[k], pts[bl.next(k)]
		l := r2.Norm(r2.Sub(c, a))
		for l > 0 && next <= done+l && next < total {
			s.Mid, s.last = Along(a, c, (next-done)/l), s.number+1 == int(n)
			visit(&s)
			next += s.Length
			s.number++
		}
		done += l
	}
}

// Follows says that a stretch begins where another one ends.
func (s *Stretch) Follows(o *Stretch) bool {
	if s.block == o.block && s.number == o.number+1 {
		return true
	}
	return s.number == 0 && o.last && s.block.first == o.block.next(o.block.first+o.block.n-1)
}

// SameContour says that two stretches of a layer are of one contour.
func (s *Stretch) SameContour(o *Stretch) bool { return s.block.wrap == o.block.wrap }

// Line is the part of a contour from the beginning of one of its stretches to
// the end of another, or of the same: its ends and all points between.
func (ix *Index) Line(from, to *Stretch) []r2.Vec {
	pts := ix.Layer.Pts
	begin, first := from.place(pts, from.number)
	end, last := to.place(pts, to.number+1)
	n := last - first
	if before := to.block.first - from.block.first; before < 0 || before == 0 && to.number < from.number {
		n += from.block.end - from.block.wrap // past the contour's first point
	}
	line := append(make([]r2.Vec, 0, n+2), begin)
	for k := first; n > 0; n-- {
		k = from.block.next(k)
		line = append(line, pts[k])
	}
	return append(line, end)
}

// place is where piece i of the stretch's block begins, or where the one before
// it ends, and the first point of the segment it lies on.
func (s *Stretch) place(pts []r2.Vec, i int) (r2.Vec, int32) {
	bl := s.block
	if i == 0 {
		return pts[bl.first], bl.first
	}
	left := float64(i) * s.Length
	for k := bl.first; ; k++ {
		a, c := pts[k], pts[bl.next(k)]
		l := r2.Norm(r2.Sub(c, a))
		switch {
		case left < l:
			return Along(a, c, left/l), k
		case k+1 == bl.first+bl.n:
			return c, k
		}
		left -= l
	}
}
