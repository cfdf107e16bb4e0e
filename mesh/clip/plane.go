package clip

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// Axis is a direction that planes are square to.
type Axis int

// The axes.
const (
	X Axis = iota
	Y
	Z
)

// Side is what is kept of a cut.
type Side int

// The sides: coordinates below the plane's, or above.
const (
	Below Side = -1
	Above Side = 1
)

// OpenError says where a surface was open before it was cut.
type OpenError struct {
	Axis Axis
	At   r3.Vec
}

func (e *OpenError) Error() string {
	return fmt.Sprintf("a surface is open at %.6g, %.6g, %.6g, where it is to be cut along %c", e.At.X, e.At.Y, e.At.Z, "XYZ"[e.Axis])
}

// Box returns what of s lies in a box: s is cut along its six sides, in the
// order of Plane's. Sides at infinity cut nothing.
func Box(s Solid, b r3.Box) (Solid, error) {
	for axis := X; axis <= Z; axis++ {
		for _, side := range []Side{Above, Below} {
			at := coord(b.Min, axis)
			if side == Below {
				at = coord(b.Max, axis)
			}
			if math.IsInf(at, 0) {
				continue
			}
			var err error
			if s, err = Plane(s, axis, at, side); err != nil {
				return Solid{}, err
			}
		}
	}
	return s, nil
}

// Plane returns what of s lies on one side of the plane at a coordinate of an
// axis, which is rounded to float32 first, closed with a flat cap there. A
// vertex on the plane is kept on either side; facets that lie in it are made
// anew with the cap, so what only touches the plane leaves nothing there.
//
// A surface that is open where the plane meets it is an *OpenError.
// Otherwise, edges that cancelled in each surface of s do so in the result.
// Sections may be concave, nested, many, and touch: also one that crosses
// itself or another, as rounding can make it, is closed, if not in the best
// way.
func Plane(s Solid, axis Axis, at float64, side Side) (Solid, error) {
	at = float64(float32(at)) + 0
	c := cutter{from: s, axis: axis, at: at, side: float64(side)}
	c.welder = newWelder(&c.to)
	if !c.meets() {
		if c.keeps(s) {
			return s, nil
		}
		return Solid{}, nil
	}
	c.kept = make([]int32, len(s.V))
	for f, t := range s.T {
		c.facet(t, s.Surface[f])
	}
	if err := c.close(); err != nil {
		return Solid{}, err
	}
	return c.to.used(), nil
}

func coord(v r3.Vec, a Axis) float64 {
	switch a {
	case X:
		return v.X
	case Y:
		return v.Y
	}
	return v.Z
}

// cutter is one cut.
type cutter struct {
	from, to Solid
	axis     Axis
	at, side float64
	// kept holds the number in to.V of a vertex of from, plus one.
	kept []int32
	// welder holds the vertices on the plane.
	welder *welder
}

// height is how far a vertex lies on the side that is kept.
func (c *cutter) height(v r3.Vec) float64 { return (coord(v, c.axis) - c.at) * c.side }

// meets says whether the plane has vertices on both sides or on itself.
func (c *cutter) meets() bool {
	up, down := false, false
	for _, v := range c.from.V {
		h := c.height(v)
		up, down = up || h >= 0, down || h <= 0
		if up && down {
			return true
		}
	}
	return false
}

// keeps says whether a solid that the plane does not meet is kept.
func (c *cutter) keeps(s Solid) bool { return len(s.V) > 0 && c.height(s.V[0]) > 0 }

// vertex is the number in to of a vertex of from that is kept.
func (c *cutter) vertex(i int32) int32 {
	if c.kept[i] == 0 {
		v := c.from.V[i]
		if c.height(v) == 0 {
			c.kept[i] = c.welder.vertex(v) + 1
		} else {
			c.to.V = append(c.to.V, v)
			c.kept[i] = int32(len(c.to.V))
		}
	}
	return c.kept[i] - 1
}

// facet keeps what lies on the right side of a facet.
func (c *cutter) facet(t [3]int32, surface int32) {
	var h [3]float64
	above := false
	for e, i := range t {
		h[e] = c.height(c.from.V[i])
		above = above || h[e] > 0
	}
	if !above {
		return
	}
	var face [4]int32
	n := 0
	for e, i := range t {
		j, hj := t[(e+1)%3], h[(e+1)%3]
		if h[e] >= 0 {
			face[n] = c.vertex(i)
			n++
		}
		if h[e] > 0 && hj < 0 || h[e] < 0 && hj > 0 {
			face[n] = c.cross(i, j)
			n++
		}
	}
	for k := 2; k < n; k++ {
		c.to.add(face[0], face[k-1], face[k], surface)
	}
}

// cross is the vertex where an edge passes the plane, whichever of its facets
// and whichever side of the plane asks.
func (c *cutter) cross(i, j int32) int32 {
	p, q := c.from.V[i], c.from.V[j]
	if coord(p, c.axis) > coord(q, c.axis) {
		p, q = q, p
	}
	f := (c.at - coord(p, c.axis)) / (coord(q, c.axis) - coord(p, c.axis))
	v := r3.Vec{
		X: p.X + float64(f*(q.X-p.X)),
		Y: p.Y + float64(f*(q.Y-p.Y)),
		Z: p.Z + float64(f*(q.Z-p.Z)),
	}
	switch c.axis {
	case X:
		v.X = c.at
	case Y:
		v.Y = c.at
	default:
		v.Z = c.at
	}
	return c.welder.vertex(v)
}

// used is s without the vertices that no facet needs.
func (s Solid) used() Solid {
	at := make([]int32, len(s.V))
	r := Solid{T: s.T, Surface: s.Surface}
	for f, t := range s.T {
		for e, i := range t {
			if at[i] == 0 {
				r.V = append(r.V, s.V[i])
				at[i] = int32(len(r.V))
			}
			r.T[f][e] = at[i] - 1
		}
	}
	return r
}
