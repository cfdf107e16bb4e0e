package slice

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// CloseWithin is the widest gap in a contour that is closed by a straight
// line, in mm. Wider, and the line is left out and said to be: a guess of
// more than a few line widths is no wall.
const CloseWithin = 2.0

// closeSteps are the distances within which ends are paired, nearest places
// first: exact meetings, then hairline cracks, then holes.
var closeSteps = [...]float64{1e-6, 0.05, CloseWithin}

// joint of an end with a start, candidates for a repair.
type joinCandidate struct {
	d        float64
	from, to int32 // open lines: the end of from meets the start of to
}

// closeOpen joins the ends of open lines to the nearest starts of the same
// part and turns what closes into contours.
func (w *walker) closeOpen(l *Layer) {
	n := len(w.opens)
	next := make([]int32, n)
	prev := make([]int32, n)
	for i := range next {
		next[i], prev[i] = -1, -1
	}
	for _, within := range closeSteps {
		for _, c := range w.candidates(within, next, prev) {
			if next[c.from] < 0 && prev[c.to] < 0 {
				next[c.from], prev[c.to] = c.to, c.from
			}
		}
	}
	done := make([]bool, n)
	for i := range w.opens {
		if done[i] {
			continue
		}
		first := int32(i)
		for prev[first] >= 0 && prev[first] != int32(i) {
			first = prev[first]
		}
		w.chain(l, first, next, prev, done)
	}
}

// chain appends the joined lines from first on as one closed line.
func (w *walker) chain(l *Layer, first int32, next, prev []int32, done []bool) {
	ln := line{start: int32(len(w.pts)), part: w.opens[first].part}
	closed := prev[first] >= 0
	for i := first; ; {
		done[i] = true
		o := w.opens[i]
		w.pts = append(w.pts, w.pts[o.start:o.end]...)
		j := next[i]
		if j < 0 {
			break
		}
		a, b := w.pts[o.end-1], w.pts[w.opens[j].start]
		l.Repairs = append(l.Repairs, Repair{Part: ln.part, Gap: r2.Norm(r2.Sub(b, a)), At: a})
		if j == first {
			break
		}
		i = j
	}
	ln.end = int32(len(w.pts))
	if !closed {
		a, b := w.pts[ln.end-1], w.pts[ln.start]
		l.Repairs = append(l.Repairs, Repair{Part: ln.part, Gap: r2.Norm(r2.Sub(b, a)), At: a, Dropped: true})
		w.pts = w.pts[:ln.start]
		return
	}
	w.raw = append(w.raw, ln)
}

// candidates lists the free ends and starts of the same part within a
// distance, nearest first; a grid of that size keeps it local.
func (w *walker) candidates(within float64, next, prev []int32) []joinCandidate {
	type cell struct{ x, y, part int64 }
	at := func(p r2.Vec, part int32) cell {
		return cell{int64(math.Floor(p.X / within)), int64(math.Floor(p.Y / within)), int64(part)}
	}
	grid := map[cell][]int32{}
	for i, o := range w.opens {
		if prev[i] < 0 {
			c := at(w.pts[o.start], o.part)
			grid[c] = append(grid[c], int32(i))
		}
	}
	var all []joinCandidate
	for i, o := range w.opens {
		if next[i] >= 0 {
			continue
		}
		e := w.pts[o.end-1]
		c := at(e, o.part)
		for dx := int64(-1); dx <= 1; dx++ {
			for dy := int64(-1); dy <= 1; dy++ {
				for _, j := range grid[cell{c.x + dx, c.y + dy, c.part}] {
					if d := r2.Norm(r2.Sub(w.pts[w.opens[j].start], e)); d <= within {
						all = append(all, joinCandidate{d, int32(i), j})
					}
				}
			}
		}
	}
	slices.SortFunc(all, func(a, b joinCandidate) int {
		return cmp.Or(cmp.Compare(a.d, b.d), cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to))
	})
	return all
}
