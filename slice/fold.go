package slice

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// foldArea is the area in mm2 from which what a part covers twice in a layer,
// or inside out, is a fold: a spot a thirtieth of a millimetre wide. What
// float32 makes of walls that touch is far less.
const foldArea = 1e-3

// plain is the outline of lines that should not cross. If they do, each other
// or themselves, and that makes a difference, it is what they cover, and at
// and folded say where one does and how much of it is folded; false if that is
// too much work.
func (w *walker) plain(lines []line) (rings []ring, at r2.Vec, folded float64, ok bool) {
	rings = w.ringsOf(lines)
	// A line that encloses nothing is no ring, but may cross another.
	if len(rings) == len(lines) && roundAndApart(rings) {
		return rings, at, 0, true
	}
	at, crosses := w.cr.find(w.pts, lines)
	if crosses {
		rings, folded, ok = w.covered(lines)
		if !ok || folded >= foldArea {
			return rings, at, folded, ok
		}
		rings = w.ringsOf(lines)
	}
	return rings, at, 0, true
}

// ringsOf makes rings of lines, until others are made.
func (w *walker) ringsOf(lines []line) []ring {
	w.rings = w.rings[:0]
	for _, ln := range lines {
		w.rings = appendRing(w.rings, w.pts[ln.start:ln.end])
	}
	return w.rings
}

// crossings finds out whether closed lines cross. They are cut into runs of
// segments that go one way along both axes, which cannot cross themselves, and
// a pyramid of boxes stands over the runs: the cost is about linear in the
// segments, and little where lines are smooth.
type crossings struct {
	pts    []r2.Vec
	runs   []run
	levels [][]r2.Box
}

// run is some segments of one line, from point first to point last of it,
// which is one of the line's start and end.
type run struct {
	box         r2.Box
	first, last int32
	start, end  int32
	// way counts the stretches that go one way; runs of one cannot cross.
	way  int32
	code uint32
}

const (
	// crossRun is the most segments in a run, crossFan the boxes under one of
	// the pyramid.
	crossRun = 8
	crossFan = 4
	// crossSorted is the number of runs up to which they stay in the order of
	// their lines, which is good enough for a few.
	crossSorted = 64
)

// find gives a place where lines cross: one goes from one side of another to
// the other side. Lines that only touch do not cross.
func (c *crossings) find(pts []r2.Vec, lines []line) (r2.Vec, bool) {
	c.pts = pts
	c.divide(lines)
	if len(c.runs) < 2 {
		return r2.Vec{}, false
	}
	for i := range c.runs {
		c.bound(&c.runs[i])
	}
	c.order()
	c.stack()
	return c.pair(len(c.levels)-1, 0, 0)
}

// divide cuts lines into runs.
func (c *crossings) divide(lines []line) {
	c.runs = c.runs[:0]
	way := int32(0)
	for _, ln := range lines {
		if ln.end-ln.start < 3 {
			continue
		}
		last := -1
		a := c.pts[ln.start]
		for k := ln.start; k < ln.end; k++ {
			b := c.pts[after(k, ln.start, ln.end)]
			dir := 0
			if b.X < a.X {
				dir = 1
			}
			if b.Y < a.Y {
				dir |= 2
			}
			n := len(c.runs) - 1
			if dir != last || c.runs[n].last-c.runs[n].first == crossRun {
				if dir != last {
					way++
				}
				last = dir
				c.runs = append(c.runs, run{first: k, start: ln.start, end: ln.end, way: way})
				n++
			}
			c.runs[n].last = k + 1
			a = b
		}
	}
}

// bound finds the box of a run: as it goes one way, that of its ends.
func (c *crossings) bound(r *run) {
	a, b := c.pts[r.first], c.pts[after(r.last-1, r.start, r.end)]
	r.box = r2.Box{Min: r2.Vec{X: min(a.X, b.X), Y: min(a.Y, b.Y)}, Max: r2.Vec{X: max(a.X, b.X), Y: max(a.Y, b.Y)}}
}

// after is the point after k on a closed line.
func after(k, start, end int32) int32 {
	if k+1 >= end {
		return start
	}
	return k + 1
}

// order sorts the runs along a Morton curve through their middles.
func (c *crossings) order() {
	if len(c.runs) <= crossSorted {
		return
	}
	all := c.runs[0].box
	for i := range c.runs {
		all = joined(all, c.runs[i].box)
	}
	share := func(v, lo, hi float64) uint32 {
		if !(hi > lo) {
			return 0
		}
		return uint32(min(max((v-lo)/(hi-lo), 0), 1) * math.MaxUint16)
	}
	for i := range c.runs {
		b := &c.runs[i].box
		x := share((b.Min.X+b.Max.X)/2, all.Min.X, all.Max.X)
		y := share((b.Min.Y+b.Max.Y)/2, all.Min.Y, all.Max.Y)
		c.runs[i].code = interleave(x) | interleave(y)<<1
	}
	slices.SortFunc(c.runs, func(a, b run) int {
		return cmp.Or(cmp.Compare(a.code, b.code), cmp.Compare(a.first, b.first))
	})
}

// interleave puts a zero before each of the low 16 bits.
func interleave(v uint32) uint32 {
	v = (v | v<<8) & 0x00ff00ff
	v = (v | v<<4) & 0x0f0f0f0f
	v = (v | v<<2) & 0x33333333
	return (v | v<<1) & 0x55555555
}

// stack builds the pyramid: level 0 stands over the runs.
func (c *crossings) stack() {
	if len(c.levels) == 0 {
		c.levels = make([][]r2.Box, 1)
	}
	c.levels[0] = c.levels[0][:0]
	for i := range c.runs {
		c.levels[0] = append(c.levels[0], c.runs[i].box)
	}
	k := 0
	for ; len(c.levels[k]) > 1; k++ {
		if len(c.levels) == k+1 {
			c.levels = append(c.levels, nil)
		}
		up := c.levels[k+1][:0]
		for below := range slices.Chunk(c.levels[k], crossFan) {
			b := below[0]
			for _, o := range below[1:] {
				b = joined(b, o)
			}
			up = append(up, b)
		}
		c.levels[k+1] = up
	}
	c.levels = c.levels[:k+1]
}

func joined(a, b r2.Box) r2.Box {
	if b.Min.X < a.Min.X {
		a.Min.X = b.Min.X
	}
	if b.Min.Y < a.Min.Y {
		a.Min.Y = b.Min.Y
	}
	if b.Max.X > a.Max.X {
		a.Max.X = b.Max.X
	}
	if b.Max.Y > a.Max.Y {
		a.Max.Y = b.Max.Y
	}
	return a
}

func apart(a, b *r2.Box) bool {
	return a.Min.X > b.Max.X || b.Min.X > a.Max.X || a.Min.Y > b.Max.Y || b.Min.Y > a.Max.Y
}

// pair looks for a crossing between what lies under boxes a and b of a level,
// a <= b.
func (c *crossings) pair(level, a, b int) (r2.Vec, bool) {
	if a != b && apart(&c.levels[level][a], &c.levels[level][b]) {
		return r2.Vec{}, false
	}
	if level == 0 {
		if a == b || c.runs[a].way == c.runs[b].way {
			return r2.Vec{}, false
		}
		return c.cross(&c.runs[a], &c.runs[b])
	}
	below := len(c.levels[level-1])
	for i := a * crossFan; i < min((a+1)*crossFan, below); i++ {
		for j := max(i, b*crossFan); j < min((b+1)*crossFan, below); j++ {
			if at, ok := c.pair(level-1, i, j); ok {
				return at, true
			}
		}
	}
	return r2.Vec{}, false
}

// cross tries the segments of two runs.
func (c *crossings) cross(a, b *run) (r2.Vec, bool) {
	for i := a.first; i < a.last; i++ {
		p, q := c.pts[i], c.pts[after(i, a.start, a.end)]
		box := r2.Box{Min: r2.Vec{X: min(p.X, q.X), Y: min(p.Y, q.Y)}, Max: r2.Vec{X: max(p.X, q.X), Y: max(p.Y, q.Y)}}
		if apart(&box, &b.box) {
			continue
		}
		for j := b.first; j < b.last; j++ {
			u, v := c.pts[j], c.pts[after(j, b.start, b.end)]
			if max(u.X, v.X) < box.Min.X || min(u.X, v.X) > box.Max.X || max(u.Y, v.Y) < box.Min.Y || min(u.Y, v.Y) > box.Max.Y {
				continue
			}
			if at, ok := meet(p, q, u, v); ok {
				return at, true
			}
		}
	}
	return r2.Vec{}, false
}

// meet finds where segment p-q crosses u-v. A place on a line counts as on its
// left, so that of two segments of a line that cross another at a point of it
// one does; segments that share an end do not.
func meet(p, q, u, v r2.Vec) (r2.Vec, bool) {
	if p == u || p == v || q == u || q == v {
		return r2.Vec{}, false
	}
	d, e := r2.Sub(q, p), r2.Sub(v, u)
	side := func(a, b r2.Vec) float64 { return float64(a.X*b.Y) - float64(a.Y*b.X) }
	su, sv := side(d, r2.Sub(u, p)), side(d, r2.Sub(v, p))
	sp, sq := side(e, r2.Sub(p, u)), side(e, r2.Sub(q, u))
	if (su < 0) == (sv < 0) || (sp < 0) == (sq < 0) {
		return r2.Vec{}, false
	}
	return r2.Add(p, r2.Scale(sp/(sp-sq), d)), true
}
