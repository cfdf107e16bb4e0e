package overhang

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice"
)

// The judge finds what hangs by the definition, on a square raster: a cell
// hangs if its middle lies in the part and farther than the growth from every
// place of the part's layer below. Runs are rays from cells to the nearest
// wall of either layer. It shares no code with the search but the stack.
type judge struct {
	above, below []wall
	grow         float64
	cell         float64
	origin       r2.Vec
	nx, ny       int
	dist         []float64 // to the layer below; -1 outside what is not carried
}

type wall struct{ a, b r2.Vec }

func wallsOf(l *slice.Layer, part int32) []wall {
	var out []wall
	for _, c := range l.Contours {
		if c.Part == part {
			pts := l.Pts[c.Start:c.End]
			for i := range pts {
				out = append(out, wall{pts[i], pts[(i+1)%len(pts)]})
			}
		}
	}
	return out
}

func within(walls []wall, p r2.Vec) bool {
	in := false
	for _, w := range walls {
		if (w.a.Y > p.Y) != (w.b.Y > p.Y) && p.X < w.a.X+(w.b.X-w.a.X)*(p.Y-w.a.Y)/(w.b.Y-w.a.Y) {
			in = !in
		}
	}
	return in
}

func nearest(walls []wall, p r2.Vec) float64 {
	best := math.Inf(1)
	for _, w := range walls {
		d := r2.Sub(w.b, w.a)
		t := 0.0
		if l := r2.Dot(d, d); l > 0 {
			t = math.Max(0, math.Min(1, r2.Dot(r2.Sub(p, w.a), d)/l))
		}
		best = math.Min(best, r2.Norm(r2.Sub(p, r2.Add(w.a, r2.Scale(t, d)))))
	}
	return best
}

func newJudge(st *slice.Stack, n int, part int32, cell float64) *judge {
	j := &judge{
		above: wallsOf(&st.Layers[n-1], part), below: wallsOf(&st.Layers[n-2], part),
		grow: hangOver, cell: cell,
	}
	lo, hi := vec2(math.Inf(1), math.Inf(1)), vec2(math.Inf(-1), math.Inf(-1))
	for _, w := range j.above {
		lo = vec2(math.Min(lo.X, w.a.X), math.Min(lo.Y, w.a.Y))
		hi = vec2(math.Max(hi.X, w.a.X), math.Max(hi.Y, w.a.Y))
	}
	j.origin = lo
	j.nx, j.ny = int(math.Ceil((hi.X-lo.X)/cell)), int(math.Ceil((hi.Y-lo.Y)/cell))
	j.dist = make([]float64, j.nx*j.ny)
	for i := range j.dist {
		p := j.middle(i)
		j.dist[i] = -1
		if within(j.above, p) && !within(j.below, p) {
			j.dist[i] = nearest(j.below, p)
		}
	}
	return j
}

func (j *judge) middle(i int) r2.Vec {
	return r2.Add(j.origin, vec2((float64(i%j.nx)+0.5)*j.cell, (float64(i/j.nx)+0.5)*j.cell))
}

func (j *judge) cellOf(p r2.Vec) int {
	d := r2.Sub(p, j.origin)
	x, y := int(d.X/j.cell), int(d.Y/j.cell)
	if x < 0 || y < 0 || x >= j.nx || y >= j.ny {
		return -1
	}
	return y*j.nx + x
}

// flood gathers cells that share a side and are farther than limit from the
// layer below.
func (j *judge) flood(limit float64) [][]int {
	seen := make([]bool, len(j.dist))
	var out [][]int
	for i := range j.dist {
		if seen[i] || j.dist[i] <= limit {
			continue
		}
		seen[i] = true
		cells := []int{i}
		for k := 0; k < len(cells); k++ {
			c := cells[k]
			for _, d := range [4][2]int{{1, 0}, {-1, 0}, {0, 1}, {0, -1}} {
				x, y := c%j.nx+d[0], c/j.nx+d[1]
				if x < 0 || y < 0 || x >= j.nx || y >= j.ny {
					continue
				}
				if m := y*j.nx + x; !seen[m] && j.dist[m] > limit {
					seen[m] = true
					cells = append(cells, m)
				}
			}
		}
		out = append(out, cells)
	}
	return out
}

// rim counts the cells of a region that have a neighbour outside it.
func (j *judge) rim(cells []int) int {
	in := map[int]bool{}
	for _, c := range cells {
		in[c] = true
	}
	n := 0
	for _, c := range cells {
		x := c % j.nx
		if x == 0 || x == j.nx-1 || !in[c-1] || !in[c+1] || !in[c-j.nx] || !in[c+j.nx] {
			n++
		}
	}
	return n
}

// whole says whether a region is the same one, and one, a little nearer to the
// layer below and a little farther from it: no thin neck decides where it ends.
func (j *judge) whole(cells []int) bool {
	count := func(limit float64, in []int) int {
		n := 0
		for _, c := range j.flood(limit) {
			if slices.Contains(in, c[0]) {
				n++
			}
		}
		return n
	}
	for _, c := range j.flood(j.grow - 0.15) {
		if slices.Contains(c, cells[0]) {
			return count(j.grow, c) == 1 && count(j.grow+0.15, c) <= 1
		}
	}
	return false
}

// ray is the distance from p to the first wall that way, and whether it is one
// of the layer below.
func (j *judge) ray(p, d r2.Vec) (float64, bool) {
	best, held := math.Inf(1), false
	for k, walls := range [2][]wall{j.below, j.above} {
		for _, w := range walls {
			e, q := r2.Sub(w.b, w.a), r2.Sub(w.a, p)
			den := r2.Cross(d, e)
			if den == 0 {
				continue
			}
			t, u := r2.Cross(q, e)/den, r2.Cross(q, d)/den
			if t > 1e-9 && u >= 0 && u <= 1 && t < best-1e-6 {
				best, held = t, k == 0
			}
		}
	}
	return best, held
}

// runs is the share of the cells on held runs in a direction, and the longest
// of those.
func (j *judge) runs(cells []int, angle float64) (share, longest float64) {
	d := vec2(math.Cos(angle), math.Sin(angle))
	n := 0
	for _, c := range cells {
		p := j.middle(c)
		a, heldA := j.ray(p, d)
		b, heldB := j.ray(p, r2.Scale(-1, d))
		if heldA && heldB {
			n++
			longest = math.Max(longest, a+b)
		}
	}
	return float64(n) / float64(len(cells)), longest
}

// every takes about n of the cells.
func every(cells []int, n int) []int {
	if len(cells) <= n {
		return cells
	}
	var out []int
	for i := range n {
		out = append(out, cells[i*len(cells)/n])
	}
	return out
}
