package shape

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// Box returns the box between two corners, given as the lower and the
// upper one: 12 facets.
func Box(lo, hi r3.Vec) Solid {
	return Must(Extrude(Rect(lo.X, lo.Y, hi.X, hi.Y), nil, lo.Z, hi.Z))
}

// Extrude returns the upright prism over a polygon with holes, from z0 up to
// z1. Rings may run either way round and may be concave; they must be simple,
// must not touch one another, and the holes must lie inside the outer ring
// and outside each other. Vertices lie at the rings' corners on z0 and z1
// only. The ends are divided into triangles without further points.
func Extrude(outer []r2.Vec, holes [][]r2.Vec, z0, z1 float64) (Solid, error) {
	b := builder{op: "extrude"}
	rings := make([]ring, len(holes))
	for i, h := range holes {
		rings[i] = b.wall(h, false, z0, z1)
	}
	return b.prism(outer, z0, z1, rings, rings)
}

// Bore is a round recess, hole or boss in the end of a prism, on an upright
// axis: an n-gon by vertices at every height.
type Bore struct {
	// Center is the axis in plan.
	Center r2.Vec
	// Profile holds r (as X) and z (as Y) along the wall. It begins on one
	// end of the prism, at exactly its z, and goes either on to exactly the
	// other end (a hole) or to r = 0 (a recess, or a boss where it leads out
	// of the prism). No other point has r = 0. It must not cross itself or
	// leave the prism sideways; that is not checked.
	Profile []r2.Vec
	// N is the number of segments, 3 or more; the first vertex lies at the
	// angle Phase in degrees.
	N     int
	Phase float64
}

// Bored returns the upright prism over a polygon from z0 up to z1 with bores
// and bosses in its ends, as one closed surface.
func Bored(outer []r2.Vec, z0, z1 float64, bores ...Bore) (Solid, error) {
	b := builder{op: "bored prism"}
	var low, high []ring
	for _, o := range bores {
		last := len(o.Profile) - 1
		if last < 1 || o.N < 3 {
			return Solid{}, &Error{Op: b.op, Rule: "a bore needs two points and three segments", At: o.Center, Placed: true}
		}
		first, end := o.Profile[0], o.Profile[last]
		through := first.Y == z0 && end.Y == z1 || first.Y == z1 && end.Y == z0
		if first.Y != z0 && first.Y != z1 || end.X != 0 && !through {
			return Solid{}, &Error{Op: b.op, Rule: "a bore begins on an end and leads to the other or to its axis", At: o.Center, Placed: true}
		}
		rings := make([][]int32, len(o.Profile))
		for i, p := range o.Profile {
			if p.X < 0 || p.X == 0 && i < last {
				return Solid{}, &Error{Op: b.op, Rule: "a bore may meet its axis at its end only", At: o.Center, Placed: true}
			}
			rings[i] = b.circle(o.Center, p, o.N, o.Phase)
		}
		for i := range last {
			if first.Y == z1 {
				b.join(rings[i], rings[i+1])
			} else {
				b.join(rings[i+1], rings[i])
			}
		}
		for _, i := range []int{0, last} {
			p := o.Profile[i]
			if p.X == 0 {
				continue
			}
			r := ring{Circle(o.Center, p.X, o.N, o.Phase), rings[i]}
			if p.Y == z0 {
				low = append(low, r)
			} else {
				high = append(high, r)
			}
		}
	}
	return b.prism(outer, z0, z1, low, high)
}

// ring is a closed line of vertices in a plane of equal z. Walls made by
// builder.wall hold theirs twice: the lower ring first, then the upper.
type ring struct {
	pts []r2.Vec
	at  []int32
}

// builder gathers the vertices and facets of a solid.
type builder struct {
	op string
	Solid
}

func (b *builder) add(x, y, z float64) int32 {
	b.V = append(b.V, r3.Vec{X: x, Y: y, Z: z})
	return int32(len(b.V) - 1)
}

// circle adds a ring of radius p.X at the height p.Y; one vertex where the
// radius is 0.
func (b *builder) circle(c r2.Vec, p r2.Vec, n int, phase float64) []int32 {
	if p.X == 0 {
		return []int32{b.add(c.X, c.Y, p.Y)}
	}
	at := make([]int32, n)
	for i, q := range Circle(c, p.X, n, phase) {
		at[i] = b.add(q.X, q.Y, p.Y)
	}
	return at
}

// join adds the facets between two rings that run counter-clockwise, the
// second above the first if they are to face outward. A ring may be a single
// vertex.
func (b *builder) join(lo, hi []int32) {
	n := max(len(lo), len(hi))
	at := func(ring []int32, i int) int32 { return ring[i%len(ring)] }
	for i := range n {
		if len(lo) > 1 {
			b.T = append(b.T, [3]int32{at(lo, i), at(lo, i+1), at(hi, i+1)})
		}
		if len(hi) > 1 {
			b.T = append(b.T, [3]int32{at(lo, i), at(hi, i+1), at(hi, i)})
		}
	}
}

// wall adds an upright wall over a ring, facing out of it for ccw, into it
// otherwise.
func (b *builder) wall(pts []r2.Vec, ccw bool, z0, z1 float64) ring {
	pts = oriented(pts, ccw)
	n := len(pts)
	at := make([]int32, 2*n)
	for i, p := range pts {
		at[i], at[n+i] = b.add(p.X, p.Y, z0), b.add(p.X, p.Y, z1)
	}
	b.join(at[:n], at[n:])
	return ring{pts, at}
}

// prism closes a solid with its outer wall and its two ends, which have the
// given holes.
func (b *builder) prism(outer []r2.Vec, z0, z1 float64, low, high []ring) (Solid, error) {
	if !(z0 < z1) {
		return Solid{}, &Error{Op: b.op, Rule: "the upper end must lie above the lower one"}
	}
	wall := b.wall(outer, true, z0, z1)
	n := len(wall.pts)
	for _, end := range []struct {
		up    bool
		outer ring
		holes []ring
	}{
		{false, ring{wall.pts, wall.at[:n]}, low},
		{true, ring{wall.pts, wall.at[n:]}, high},
	} {
		if err := b.cover(end.outer, end.holes, end.up); err != nil {
			return Solid{}, err
		}
	}
	return b.Solid, nil
}

// cover adds the flat region inside outer and outside the holes, facing up
// or down.
func (b *builder) cover(outer ring, holes []ring, up bool) error {
	at := outer.at
	var pts [][]r2.Vec
	for _, h := range holes {
		n := len(h.pts)
		// Of a wall's ring, the upper half for the upper end.
		own := h.at[len(h.at)-n:]
		if !up {
			own = h.at[:n]
		}
		hp := h.pts
		if Area(hp) > 0 {
			hp = oriented(hp, false)
			rev := make([]int32, n)
			for i := range rev {
				rev[i] = own[n-1-i]
			}
			own = rev
		}
		pts = append(pts, hp)
		at = append(at[:len(at):len(at)], own...)
	}
	tris, err := divide(b.op, outer.pts, pts)
	if err != nil {
		return err
	}
	for _, t := range tris {
		if up {
			b.T = append(b.T, [3]int32{at[t[0]], at[t[1]], at[t[2]]})
		} else {
			b.T = append(b.T, [3]int32{at[t[0]], at[t[2]], at[t[1]]})
		}
	}
	return nil
}
