package clip

import (
	"cmp"
	"errors"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/region"
)

// section is a ring where a surface meets the plane, seen from the side that
// is cut away.
type section struct {
	ring     []int32
	pts      []r2.Vec
	lo, hi   r2.Vec
	area     float64
	surface  int32
	holes    [][]int32
	absorbed bool // a hole that has its outline
}

// close closes the surfaces on the plane with caps. Facets in the plane are
// gone already: they have nothing above it.
func (c *cutter) close() error {
	s := &c.to
	on := make([]bool, len(s.V))
	for _, i := range c.welder.at {
		on[i] = true
	}
	var edges []edge
	for f, t := range s.T {
		for e := range 3 {
			// The cap runs the other way along the edge.
			if i, j := t[e], t[(e+1)%3]; on[i] && on[j] {
				edges = append(edges, edge{s.Surface[f], j, i})
			}
		}
	}
	flat := c.flat()
	sections, err := c.sections(uncancelled(edges), flat)
	if err != nil {
		return err
	}
	c.cover(sections, flat)
	return nil
}

// flat returns the vertices in the plane's own coordinates, so that what the
// cap is to cover lies to the left of its edges.
func (c *cutter) flat() []r2.Vec {
	pts := make([]r2.Vec, len(c.to.V))
	for i, v := range c.to.V {
		var p r2.Vec
		switch c.axis {
		case X:
			p = r2.Vec{X: v.Y, Y: v.Z}
		case Y:
			p = r2.Vec{X: v.Z, Y: v.X}
		default:
			p = r2.Vec{X: v.X, Y: v.Y}
		}
		if c.side > 0 { // the cap looks against the axis
			p.X = -p.X
		}
		pts[i] = p
	}
	return pts
}

// edge is a directed edge of a surface.
type edge struct{ surface, from, to int32 }

// uncancelled returns the edges without those that a surface has both ways,
// in order of surface and ends.
func uncancelled(edges []edge) []edge {
	key := func(e edge) edge { return edge{e.surface, min(e.from, e.to), max(e.from, e.to)} }
	compare := func(a, b edge) int {
		return cmp.Or(cmp.Compare(a.surface, b.surface), cmp.Compare(a.from, b.from), cmp.Compare(a.to, b.to))
	}
	slices.SortFunc(edges, func(a, b edge) int { return cmp.Or(compare(key(a), key(b)), compare(a, b)) })
	out := edges[:0]
	for i := 0; i < len(edges); {
		k, sum := key(edges[i]), 0
		for ; i < len(edges) && key(edges[i]) == k; i++ {
			if edges[i].from == k.from {
				sum++
			} else {
				sum--
			}
		}
		for ; sum > 0; sum-- {
			out = append(out, k)
		}
		for ; sum < 0; sum++ {
			out = append(out, edge{k.surface, k.to, k.from})
		}
	}
	slices.SortFunc(out, compare)
	return out
}

// sections joins the edges of each surface into rings.
func (c *cutter) sections(edges []edge, flat []r2.Vec) ([]section, error) {
	var out []section
	for len(edges) > 0 {
		n := 1
		for n < len(edges) && edges[n].surface == edges[0].surface {
			n++
		}
		own := make([][2]int32, n)
		for i, e := range edges[:n] {
			own[i] = [2]int32{e.from, e.to}
		}
		rings, err := region.Rings(flat, own)
		var open *region.OpenError
		if errors.As(err, &open) {
			return nil, &OpenError{c.axis, c.to.V[open.Point]}
		}
		for _, ring := range rings {
			out = append(out, newSection(ring, flat, edges[0].surface))
		}
		edges = edges[n:]
	}
	return out, nil
}

func newSection(ring []int32, flat []r2.Vec, surface int32) section {
	r := section{ring: ring, surface: surface, pts: make([]r2.Vec, len(ring))}
	r.lo, r.hi = flat[ring[0]], flat[ring[0]]
	o := flat[ring[0]]
	for k, i := range ring {
		p := flat[i]
		r.pts[k] = p
		r.lo = r2.Vec{X: min(r.lo.X, p.X), Y: min(r.lo.Y, p.Y)}
		r.hi = r2.Vec{X: max(r.hi.X, p.X), Y: max(r.hi.Y, p.Y)}
		a, b := r2.Sub(p, o), r2.Sub(flat[ring[(k+1)%len(ring)]], o)
		r.area += (float64(a.X*b.Y) - float64(a.Y*b.X)) / 2
	}
	return r
}

// cover adds the caps. A hole belongs to the innermost outline round it, of
// its own surface if there is one, else (a hollow is a surface by itself) of
// any; the two surfaces are one from then on.
func (c *cutter) cover(sections []section, flat []r2.Vec) {
	joined := newSets()
	for i := range sections {
		h := &sections[i]
		if h.area >= 0 {
			continue
		}
		if o := outline(sections, h); o != nil {
			o.holes = append(o.holes, h.ring)
			h.absorbed = true
			joined.join(h.surface, o.surface)
		}
	}
	s := &c.to
	for i := range sections {
		r := &sections[i]
		switch {
		case r.absorbed:
		case r.area >= 0:
			tris, _ := region.Triangulate(flat, r.ring, r.holes)
			for _, t := range tris {
				s.add(t[0], t[1], t[2], r.surface)
			}
		default:
			// A hollow that lies in no solid is closed by itself.
			back := slices.Clone(r.ring)
			slices.Reverse(back)
			tris, _ := region.Triangulate(flat, back, nil)
			for _, t := range tris {
				s.add(t[0], t[2], t[1], r.surface)
			}
		}
	}
	for f := range s.Surface {
		s.Surface[f] = joined.find(s.Surface[f])
	}
}

// outline is the innermost section round the hole h, or nil.
func outline(sections []section, h *section) *section {
	var best *section
	for _, own := range []bool{true, false} {
		for i := range sections {
			r := &sections[i]
			if r.area > 0 && own == (r.surface == h.surface) && (best == nil || r.area < best.area) && r.holds(h) {
				best = r
			}
		}
		if best != nil {
			break
		}
	}
	return best
}

// holds says whether a hole lies in an outline: its first corner that is not
// one of the outline's does.
func (r *section) holds(h *section) bool {
	if h.lo.X < r.lo.X || h.lo.Y < r.lo.Y || h.hi.X > r.hi.X || h.hi.Y > r.hi.Y {
		return false
	}
	for _, p := range h.pts {
		if !slices.Contains(r.pts, p) {
			return region.Contains(r.pts, p)
		}
	}
	return true // the very ring the other way round
}

// sets joins surfaces; the lower number stands for both.
type sets map[int32]int32

func newSets() sets { return sets{} }

func (s sets) find(i int32) int32 {
	for {
		up, ok := s[i]
		if !ok {
			return i
		}
		i = up
	}
}

func (s sets) join(a, b int32) {
	a, b = s.find(a), s.find(b)
	if a != b {
		s[max(a, b)] = min(a, b)
	}
}
