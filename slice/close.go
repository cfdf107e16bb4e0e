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
// first: exact meetings, hairline cracks, then holes of twice the width each
// time, so that few ends are left when many places come within reach.
var closeSteps = [...]float64{1e-6, 0.05, 0.1, 0.2, 0.4, 0.8, 1.6, CloseWithin}

// ownGap is the longest gap that a line closes onto itself, as a share of its
// length, while it might still meet another line: the ends of a short stretch
// of wall are near each other, but it is no contour.
const ownGap = 1.0 / 3

// joint of an end with a start, candidates for a repair.
type joinCandidate struct {
	d        float64
	from, to int32 // open lines: the end of from meets the start of to
}

// joins is what has been joined so far: chains of open lines.
type joins struct {
	next, prev []int32   // the line joined to the end, to the start; or -1
	head, tail []int32   // of a chain's last line its first, of its first its last
	length     []float64 // of a chain, at its first line
}

func (w *walker) newJoins() *joins {
	n := len(w.opens)
	j := &joins{make([]int32, n), make([]int32, n), make([]int32, n), make([]int32, n), make([]float64, n)}
	for i, o := range w.opens {
		j.next[i], j.prev[i] = -1, -1
		j.head[i], j.tail[i] = int32(i), int32(i)
		for k := o.start + 1; k < o.end; k++ {
			j.length[i] += r2.Norm(r2.Sub(w.pts[k], w.pts[k-1]))
		}
	}
	return j
}

// join joins the candidates that are still free, in order; lines onto
// themselves only if the gap is at most own of their length.
func (j *joins) join(all []joinCandidate, own float64) {
	for _, c := range all {
		if j.next[c.from] >= 0 || j.prev[c.to] >= 0 {
			continue
		}
		first := j.head[c.from]
		if first == c.to {
			if c.d > own*j.length[first] {
				continue
			}
		} else {
			last := j.tail[c.to]
			j.length[first] += c.d + j.length[c.to]
			j.tail[first], j.head[last] = last, first
		}
		j.next[c.from], j.prev[c.to] = c.to, c.from
	}
}

// closeOpen joins the ends of open lines to the nearest starts of the same
// part and turns what closes into contours.
func (w *walker) closeOpen(l *Layer) {
	j := w.newJoins()
	for _, within := range closeSteps {
		j.join(w.candidates(within, j), ownGap)
	}
	j.join(w.candidates(CloseWithin, j), math.Inf(1))
	done := make([]bool, len(w.opens))
	for i := range w.opens {
		if done[i] {
			continue
		}
		first := int32(i)
		for j.prev[first] >= 0 && j.prev[first] != int32(i) {
			first = j.prev[first]
		}
		w.chain(l, first, j, done)
	}
}

// chain appends the joined lines from first on as one closed line.
func (w *walker) chain(l *Layer, first int32, js *joins, done []bool) {
	ln := line{start: int32(len(w.pts)), part: w.opens[first].part}
	closed := js.prev[first] >= 0
	for i := first; ; {
		done[i] = true
		o := w.opens[i]
		pts := w.pts[o.start:o.end]
		if k := len(w.pts); k > int(ln.start) && w.pts[k-1] == pts[0] {
			pts = pts[1:]
		}
		w.pts = append(w.pts, pts...)
		j := js.next[i]
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
	if k := len(w.pts); closed && w.pts[k-1] == w.pts[ln.start] {
		w.pts = w.pts[:k-1]
	}
	ln.end = int32(len(w.pts))
	if closed && !encloses(w.pts[ln.start:]) {
		// A stretch of wall that only its own ends were near: no contour.
		l.Repairs[len(l.Repairs)-1].Dropped = true
		w.pts = w.pts[:ln.start]
		return
	}
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
func (w *walker) candidates(within float64, js *joins) []joinCandidate {
	type cell struct{ x, y, part int64 }
	at := func(p r2.Vec, part int32) cell {
		return cell{int64(math.Floor(p.X / within)), int64(math.Floor(p.Y / within)), int64(part)}
	}
	grid := map[cell][]int32{}
	for i, o := range w.opens {
		if js.prev[i] < 0 {
			c := at(w.pts[o.start], o.part)
			grid[c] = append(grid[c], int32(i))
		}
	}
	var all []joinCandidate
	for i, o := range w.opens {
		if js.next[i] >= 0 {
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
