package overhang

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice/near"
)

// frame is a pair of axes turned against the plane's: u along the lines of a
// raster, v across them.
type frame struct{ sin, cos float64 }

func turned(angle float64) frame {
	s, c := math.Sincos(angle)
	return frame{s, c}
}

func (f frame) to(p r2.Vec) (u, v float64) {
	return float64(f.cos*p.X) + float64(f.sin*p.Y), float64(f.cos*p.Y) - float64(f.sin*p.X)
}

func (f frame) from(u, v float64) r2.Vec {
	return r2.Vec{X: float64(f.cos*u) - float64(f.sin*v), Y: float64(f.sin*u) + float64(f.cos*v)}
}

// edge is a segment of the outline of what is not carried.
type edge struct {
	a, b r2.Vec
	// held says that it is a wall of the layer below.
	held bool
	ring int32
}

// raster is a set of parallel lines at equal distances and where they cross
// edges. Reused; the zero value is ready.
type raster struct {
	frame
	v0, step float64 // line k lies at v0 + (k+1/2) step
	n        int
	lines    []laid
	cross    []crossing
	uv       []uvEdge
}

// laid is where a line of a raster has its crossings: cross[start:end]. Only
// their edges are known before they are asked for.
type laid struct {
	start, end int32
	known      bool
}

type crossing struct {
	u    float64
	edge int32
}

// uvEdge is an edge in the raster's frame.
type uvEdge struct {
	ua, va, ub, vb float64
	// Of the lines that are laid, from <= k < to cross it: its lower end belongs
	// to it, its upper does not.
	from, to int32
}

func (e *uvEdge) at(v float64) float64 {
	return e.ua + float64((e.ub-e.ua)*((v-e.va)/(e.vb-e.va)))
}

// turnEdges readies the edges for lines in a direction.
func (r *raster) turnEdges(edges []edge, f frame) {
	r.frame = f
	r.uv = slices.Grow(r.uv[:0], len(edges))[:len(edges)]
	for i := range edges {
		// Field by field: a copy of fields just written has to wait for them.
		e := &r.uv[i]
		if follows(edges, i) {
			e.ua, e.va = r.uv[i-1].ub, r.uv[i-1].vb
		} else {
			e.ua, e.va = f.to(edges[i].a)
		}
		e.ub, e.vb = f.to(edges[i].b)
	}
}

// extent is that of the edges across the lines.
func (r *raster) extent() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i := range r.uv {
		e := &r.uv[i]
		lo, hi = min(lo, e.va, e.vb), max(hi, e.va, e.vb)
	}
	return lo, hi
}

// follows says whether edge i begins where the one before it ends.
func follows(edges []edge, i int) bool {
	return i > 0 && edges[i].ring == edges[i-1].ring && edges[i].a == edges[i-1].b
}

// lay lays lines from lo to hi, no farther than finest apart but no more than
// most (so just that many where finest is 0), over the edges that were turned,
// and crosses them.
func (r *raster) lay(lo, hi, finest float64, most int) {
	r.place(lo, hi, finest, most)
	r.fill()
}

// place lays the lines and finds between which of them each edge runs.
func (r *raster) place(lo, hi, finest float64, most int) {
	r.n = most
	if n := math.Ceil((hi - lo) / finest); n < float64(most) {
		r.n = max(1, int(n))
	}
	r.v0, r.step = lo, (hi-lo)/float64(r.n)
	k := int32(0)
	for i := range r.uv {
		e := &r.uv[i]
		from := k
		if i == 0 || e.va != r.uv[i-1].vb {
			from = int32(r.firstFrom(e.va))
		}
		k = int32(r.firstFrom(e.vb))
		e.from, e.to = min(from, k), max(from, k)
	}
}

// fill finds which edges each line crosses.
func (r *raster) fill() {
	r.lines = append(r.lines[:0], make([]laid, r.n)...)
	total := int32(0)
	for i := range r.uv {
		e := &r.uv[i]
		for l := e.from; l < e.to; l++ {
			r.lines[l].end++
		}
		total += e.to - e.from
	}
	r.cross = slices.Grow(r.cross[:0], int(total))[:total]
	at := int32(0)
	for l := range r.lines {
		l := &r.lines[l]
		l.start, l.end, at = at, at, at+l.end
	}
	for i := range r.uv {
		e := &r.uv[i]
		for l := e.from; l < e.to; l++ {
			l := &r.lines[l]
			r.cross[l.end].edge = int32(i)
			l.end++
		}
	}
}

// row is where line k crosses the edges. Crossings ascend, so the first and the
// second bound a chord, and so on.
func (r *raster) row(k int) []crossing {
	l := &r.lines[k]
	row := r.cross[l.start:l.end]
	if l.known {
		return row
	}
	v := r.line(k)
	for i := range row {
		c := &row[i]
		c.u = r.uv[c.edge].at(v)
	}
	sortCrossings(row)
	row = mend(row)
	l.end, l.known = l.start+int32(len(row)), true
	return row
}

// mend joins chords that only a crack parts: what is thinner than near.Skin is
// no wall.
func mend(row []crossing) []crossing {
	out := row[:min(len(row), 1)]
	for i := 1; i+1 < len(row); i += 2 {
		if row[i+1].u-row[i].u > near.Skin {
			out = append(out, row[i], row[i+1])
		}
	}
	if len(row) > 1 {
		out = append(out, row[len(row)-1])
	}
	return out
}

func (r *raster) line(k int) float64 { return r.v0 + float64((float64(k)+0.5)*r.step) }

// firstFrom is the first line at or beyond v.
func (r *raster) firstFrom(v float64) int {
	if r.step == 0 {
		return 0
	}
	k := math.Ceil((v-r.v0)/r.step - 0.5)
	return int(min(max(k, 0), float64(r.n)))
}

// fewCrossings is how many crossings are sorted by insertion and gone through
// one by one.
const fewCrossings = 24

func sortCrossings(c []crossing) {
	if len(c) > fewCrossings {
		slices.SortFunc(c, func(a, b crossing) int {
			return cmp.Or(cmp.Compare(a.u, b.u), cmp.Compare(a.edge, b.edge))
		})
		return
	}
	for i := 1; i < len(c); i++ {
		for j := i; j > 0 && (c[j].u < c[j-1].u || c[j].u == c[j-1].u && c[j].edge < c[j-1].edge); j-- {
			c[j], c[j-1] = c[j-1], c[j]
		}
	}
}

// chordAt is the position in a row of the crossing that begins the chord which
// holds u, -1 if there is none.
func chordAt(row []crossing, u float64) int {
	i := 0
	if len(row) > fewCrossings {
		i, _ = slices.BinarySearchFunc(row, u, func(c crossing, u float64) int { return cmp.Compare(c.u, u) })
	} else {
		for i < len(row) && row[i].u < u {
			i++
		}
	}
	if i&1 == 1 && i < len(row) {
		return i - 1
	}
	return -1
}
