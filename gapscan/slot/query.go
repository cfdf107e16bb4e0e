package slot

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice/near"
)

// crossed says whether a line meets a contour of a part, or of any for mixed.
func (t *tree) crossed(part int32, p, q r2.Vec) bool {
	if len(t.blocks) == 0 {
		return false
	}
	l := line{t, part, p, q, min(p.X, q.X), min(p.Y, q.Y), max(p.X, q.X), max(p.Y, q.Y)}
	return l.crossed(len(t.levels)-1, 0)
}

// crossedBetween is the same but for near.Skin at the line's ends, which may
// lie on contours.
func (t *tree) crossedBetween(part int32, p, q r2.Vec) bool {
	d := r2.Sub(q, p)
	cut := min(near.Skin/length(d), 0.25)
	return t.crossed(part, step(p, d, cut), step(p, d, 1-cut))
}

type line struct {
	t              *tree
	part           int32
	p, q           r2.Vec
	x0, y0, x1, y1 float64
}

func (l *line) crossed(level, i int) bool {
	n := &l.t.levels[level][i]
	if n.x0 > l.x1 || n.x1 < l.x0 || n.y0 > l.y1 || n.y1 < l.y0 {
		return false
	}
	if l.part != mixed && n.part != l.part && n.part != mixed {
		return false
	}
	if level > 0 {
		for k := i * fan; k < min((i+1)*fan, len(l.t.levels[level-1])); k++ {
			if l.crossed(level-1, k) {
				return true
			}
		}
		return false
	}
	b := l.t.blocks[i]
	for k := b.first; k < b.end; k++ {
		a, c := l.t.segment(n.contour, k)
		if max(a.X, c.X) < l.x0 || min(a.X, c.X) > l.x1 || max(a.Y, c.Y) < l.y0 || min(a.Y, c.Y) > l.y1 {
			continue
		}
		if meet(l.p, l.q, a, c) {
			return true
		}
	}
	return false
}

// hit is the place on the contours of a part that lies nearest to a point.
type hit struct {
	// contour is its contour, seg the point its segment begins at, along
	// where on the segment it lies, mm from there.
	contour, seg int32
	along        float64
	at           r2.Vec
	dist         float64
	// inside says that the point lies in material.
	inside bool
}

// nearest finds the place on the contours of a part nearest to p, if the part
// has any in the layer.
func (t *tree) nearest(part int32, p r2.Vec) (hit, bool) {
	s := nearestSearch{t: t, part: part, p: p, best2: math.Inf(1), seg: -1}
	if len(t.blocks) > 0 {
		s.below(len(t.levels)-1, 0)
	}
	if s.seg < 0 {
		return hit{}, false
	}
	h := hit{contour: s.contour, seg: s.seg, dist: math.Sqrt(s.best2)}
	a, b := t.segment(h.contour, h.seg)
	d := r2.Sub(b, a)
	share := shareOf(p, a, d)
	h.at = step(a, d, share)
	h.along = share * length(d)
	// At a corner the point may be beside either segment; it lies in
	// material if it does by the mean of their normals.
	n := r2.Unit(outward(d))
	ct := &t.layer.Contours[h.contour]
	switch {
	case share == 0:
		prev := h.seg - 1
		if h.seg == ct.Start {
			prev = ct.End - 1
		}
		n = r2.Add(n, r2.Unit(outward(r2.Sub(a, t.layer.Pts[prev]))))
	case share == 1:
		next := t.next(h.contour, h.seg)
		n = r2.Add(n, r2.Unit(outward(r2.Sub(t.layer.Pts[t.next(h.contour, next)], b))))
	}
	h.inside = dot(n, r2.Sub(p, h.at)) < 0
	return h, true
}

// shareOf is where on the segment from a along d the place nearest to p lies.
func shareOf(p, a, d r2.Vec) float64 {
	l := dot(d, d)
	if !(l > 0) {
		return 0
	}
	return min(max(dot(r2.Sub(p, a), d)/l, 0), 1)
}

type nearestSearch struct {
	t            *tree
	part         int32
	p            r2.Vec
	best2        float64
	contour, seg int32
}

func (s *nearestSearch) below(level, i int) {
	if level == 0 {
		b := s.t.blocks[i]
		c := s.t.levels[0][i].contour
		for k := b.first; k < b.end; k++ {
			a, e := s.t.segment(c, k)
			d := r2.Sub(e, a)
			u := r2.Sub(s.p, step(a, d, shareOf(s.p, a, d)))
			if d2 := dot(u, u); d2 < s.best2 || d2 == s.best2 && k < s.seg {
				s.best2, s.contour, s.seg = d2, c, k
			}
		}
		return
	}
	// Boxes of the part, nearest first.
	var kids [fan]struct {
		d2 float64
		i  int
	}
	n := 0
	for k := i * fan; k < min((i+1)*fan, len(s.t.levels[level-1])); k++ {
		b := &s.t.levels[level-1][k]
		if b.part != s.part && b.part != mixed {
			continue
		}
		dx := max(b.x0-s.p.X, s.p.X-b.x1, 0)
		dy := max(b.y0-s.p.Y, s.p.Y-b.y1, 0)
		d2 := float64(dx*dx) + float64(dy*dy)
		m := n
		for ; m > 0 && d2 < kids[m-1].d2; m-- {
			kids[m] = kids[m-1]
		}
		kids[m].d2, kids[m].i = d2, k
		n++
	}
	for _, kid := range kids[:n] {
		if kid.d2 <= s.best2 {
			s.below(level-1, kid.i)
		}
	}
}
