package sweep

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// blockEdges is how many edges of a ring lie in one box, and groupBlocks how
// many of those boxes in one of the next size.
const (
	blockEdges  = 4
	groupBlocks = 8
)

// touchWithin is how far two rings must keep apart, in mm, so that surely no
// rounding makes them meet.
const touchWithin = 1e-6

// ground is where set 0 lies: what rings of other sets are held against.
type ground struct {
	box    r2.Box
	rings  [][2]int32 // first and end of the points of each ring, in Sweep.pts
	blocks []block
	groups []r2.Box // of groupBlocks blocks
	known  bool     // the boxes are those of what was added
}

// block is a run of up to blockEdges edges of a ring.
type block struct {
	box  r2.Box
	ring int32
	from int32 // the first point of its first edge, in the ring
}

// AddOver adds what matters of a ring, which lies in box, over set 0; all of
// set 0 must have been added before, by Add. What matters is its winding number
// there: outside, the ring may be drawn differently, and one that keeps away
// from the outlines of set 0 may go round all of it, or round nothing of it. It
// says whether edges were added. Whoever uses it may ask of what set 0 covers
// only (RunOver).
func (s *Sweep) AddOver(ring []r2.Vec, box r2.Box, set int) bool {
	g := s.layGround()
	if len(ring) == 0 || !boxesMeet(box, g.box, touchWithin) {
		return false
	}
	if !s.mayTouch(ring) {
		if w, all := s.windsRound(ring); all && !s.covers(ring[0]) {
			s.goRound(set, w)
			return false
		}
	}
	return s.AddWithin(ring, box, set, g.box)
}

// GoesRound says whether rings of a set go round all of set 0 that were
// therefore not added, more often one way than the other.
func (s *Sweep) GoesRound(set int) bool { return set < len(s.base) && s.base[set] != 0 }

func (s *Sweep) goRound(set int, w int32) {
	if w == 0 {
		return
	}
	for len(s.base) <= set {
		s.base = append(s.base, 0)
	}
	s.base[set] += w
	s.sets = max(s.sets, set+1)
}

// layGround finds where set 0 lies, once.
func (s *Sweep) layGround() *ground {
	g := &s.ground
	if g.known {
		return g
	}
	g.known = true
	g.blocks, g.groups = g.blocks[:0], g.groups[:0]
	g.box = nowhere
	for i := range g.rings {
		ring := s.groundRing(i)
		for at := 0; at < len(ring); at += blockEdges {
			b := block{blockOf(ring, at), int32(i), int32(at)}
			if len(g.blocks)%groupBlocks == 0 {
				g.groups = append(g.groups, nowhere)
			}
			g.groups[len(g.groups)-1] = around(g.groups[len(g.groups)-1], b.box)
			g.blocks = append(g.blocks, b)
			g.box = around(g.box, b.box)
		}
	}
	return g
}

// groundRing is ring i of set 0.
func (s *Sweep) groundRing(i int) []r2.Vec {
	r := s.ground.rings[i]
	return s.pts[r[0]:r[1]]
}

// nowhere is the box of nothing.
var nowhere = r2.Box{Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}

// blockOf is the box of blockEdges edges of a ring from a point on, or of what
// is left of it and the edge that closes it.
func blockOf(ring []r2.Vec, from int) r2.Box {
	last := ring[0]
	if end := from + blockEdges; end < len(ring) {
		last = ring[end]
	}
	b := r2.Box{Min: last, Max: last}
	for _, p := range ring[from:min(from+blockEdges, len(ring))] {
		b.Min.X, b.Max.X = lesser(b.Min.X, p.X), -lesser(-b.Max.X, -p.X)
		b.Min.Y, b.Max.Y = lesser(b.Min.Y, p.Y), -lesser(-b.Max.Y, -p.Y)
	}
	return b
}

func around(a, b r2.Box) r2.Box {
	return r2.Box{
		Min: r2.Vec{X: lesser(a.Min.X, b.Min.X), Y: lesser(a.Min.Y, b.Min.Y)},
		Max: r2.Vec{X: -lesser(-a.Max.X, -b.Max.X), Y: -lesser(-a.Max.Y, -b.Max.Y)},
	}
}

// boxesMeet says whether two boxes come within a distance along both axes.
func boxesMeet(a, b r2.Box, within float64) bool {
	return a.Min.X <= b.Max.X+within && b.Min.X <= a.Max.X+within && a.Min.Y <= b.Max.Y+within && b.Min.Y <= a.Max.Y+within
}

// mayTouch says whether a ring may come near the outlines of set 0.
func (s *Sweep) mayTouch(ring []r2.Vec) bool {
	g := &s.ground
	for at := 0; at < len(ring); at += blockEdges {
		b := blockOf(ring, at)
		if !boxesMeet(b, g.box, touchWithin) {
			continue
		}
		for i := range g.groups {
			if !boxesMeet(b, g.groups[i], touchWithin) {
				continue
			}
			from := i * groupBlocks
			for k := range g.blocks[from:min(from+groupBlocks, len(g.blocks))] {
				c := &g.blocks[from+k]
				if boxesMeet(b, c.box, touchWithin) && edgesMayMeet(ring, at, s.groundRing(int(c.ring)), int(c.from)) {
					return true
				}
			}
		}
	}
	return false
}

// edgesMayMeet says whether some edge of a block of one ring may come near one
// of a block of another.
func edgesMayMeet(a []r2.Vec, i int, b []r2.Vec, j int) bool {
	for m := i; m < min(i+blockEdges, len(a)); m++ {
		a0, a1 := a[m], a[(m+1)%len(a)]
		for n := j; n < min(j+blockEdges, len(b)); n++ {
			b0, b1 := b[n], b[(n+1)%len(b)]
			if !beside(a0, a1, b0, b1) && !beside(b0, b1, a0, a1) {
				return true
			}
		}
	}
	return false
}

// beside says whether an edge lies wholly, and surely, on one side of the line
// through another.
func beside(p, q, a, b r2.Vec) bool {
	dx, dy := q.X-p.X, q.Y-p.Y
	da := float64(dx*(a.Y-p.Y)) - float64(dy*(a.X-p.X))
	db := float64(dx*(b.Y-p.Y)) - float64(dy*(b.X-p.X))
	far := touchWithin * (math.Abs(dx) + math.Abs(dy)) // at least so much of their length
	return da > far && db > far || da < -far && db < -far
}

// windsRound gives how often a ring that keeps away from the outlines of set 0
// goes round it, counter-clockwise; false if not equally often round all of it.
func (s *Sweep) windsRound(ring []r2.Vec) (int32, bool) {
	n := int32(0)
	for i, r := range s.ground.rings {
		w := windsAbout(ring, s.pts[r[0]])
		if i > 0 && w != n {
			return 0, false
		}
		n = w
	}
	return n, true
}

// covers says whether set 0 covers a point off its outlines.
func (s *Sweep) covers(p r2.Vec) bool {
	n := int32(0)
	for i := range s.ground.rings {
		n += windsAbout(s.groundRing(i), p)
	}
	return n > 0
}

// windsAbout is the winding number of a ring about a point off it: upward
// edges to the right of the point less downward ones (Sunday 2001).
func windsAbout(ring []r2.Vec, p r2.Vec) int32 {
	n := int32(0)
	a := ring[len(ring)-1]
	for _, b := range ring {
		if (a.Y <= p.Y) != (b.Y <= p.Y) {
			left := float64((b.X-a.X)*(p.Y-a.Y)) - float64((p.X-a.X)*(b.Y-a.Y))
			switch {
			case b.Y > a.Y && left > 0:
				n++
			case b.Y < a.Y && left < 0:
				n--
			}
		}
		a = b
	}
	return n
}
