package bvh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// columnNoise is how far inside a vertical segment, in mm, a crossing must
// lie to count as between its ends: float32 rounding of surfaces that touch
// is not material between them.
const columnNoise = 1e-6

// Column is what a vertical segment meets of one surface.
type Column struct {
	// Winding is the winding number just above the lower end, counted from
	// below: above 0 in the solid of an outward surface.
	Winding int
	// Crossed says that the surface passes strictly between the ends (by
	// more than 1e-6 mm). Facet is then the facet, of those that do, that is
	// largest in plan. Otherwise Facet is the lowest one looking up that lies
	// above, at height Z, and -1 if there is none.
	Crossed bool
	Facet   int32
	Z       float64
}

// Column looks at the vertical segment over (x, y) from zLow to zHigh. A line
// through an edge or a corner counts each sheet of a closed surface once.
func (t *Tree) Column(x, y, zLow, zHigh float64) Column {
	out := Column{Facet: -1}
	if len(t.nodes) == 0 || !(zLow <= zHigh) {
		return out
	}
	low, high := zLow+columnNoise, zHigh-columnNoise
	l := line{axis: 2, u: x, v: y, w: t.nodes[0].box.Min.Z}
	lowest := math.Inf(1)
	largest := 0.0
	var stack [maxDepth]int32
	for n := 1; n > 0; {
		n--
		at := stack[n]
		nd := &t.nodes[at]
		if !l.meets(&nd.box) || nd.box.Min.Z >= lowest {
			continue
		}
		if nd.n == 0 {
			stack[n], stack[n+1] = nd.at, at+1
			n += 2
			continue
		}
		for _, f := range t.facets[nd.at : nd.at+int32(nd.n)] {
			a, b, c := t.corners(f)
			s := [3]shadow{l.see(a), l.see(b), l.see(c)}
			sign, w := pierced(&s)
			if sign == 0 {
				continue
			}
			z := w + l.w
			switch {
			case z <= low:
				out.Winding -= sign
			case z < high:
				if area := math.Abs(planArea2(a, b, c)); !out.Crossed || area > largest {
					out.Crossed, out.Facet, out.Z, largest = true, f, z, area
					lowest = high
				}
			case !out.Crossed && sign > 0 && z < lowest:
				out.Facet, out.Z, lowest = f, z, z
			}
		}
	}
	return out
}

// FilledBetween reports whether the vertical segment over (x, y) runs through
// the surface, or through the solid inside it, somewhere strictly between
// zLow and zHigh (by more than 1e-6 mm).
func (t *Tree) FilledBetween(x, y, zLow, zHigh float64) bool {
	if !(zHigh-zLow > 2*columnNoise) {
		return false
	}
	c := t.Column(x, y, zLow, zHigh)
	return c.Crossed || c.Winding > 0
}

// Solids are the surfaces of solids, hollows included, that may stand between
// two others. It is a Blocker; each question costs a look at every box.
type Solids []*Tree

// MayBlock reports whether a surface's box meets the box. Nothing that could
// block is missed: a solid that fills the box has its surface round it.
func (s Solids) MayBlock(box r3.Box) bool {
	for _, t := range s {
		if len(t.nodes) == 0 {
			continue
		}
		if b := &t.nodes[0].box; boxes2(b, &box) == 0 {
			return true
		}
	}
	return false
}

// Blocked reports whether material lies strictly between zLow and zHigh over
// (x, y), and the corners of a facet that shows it.
func (s Solids) Blocked(x, y, zLow, zHigh float64) (by [3]r3.Vec, blocked bool) {
	if !(zHigh-zLow > 2*columnNoise) {
		return by, false
	}
	winding, lowest := 0, math.Inf(1)
	for _, t := range s {
		if len(t.nodes) == 0 {
			continue
		}
		b := &t.nodes[0].box
		if x < b.Min.X || x > b.Max.X || y < b.Min.Y || y > b.Max.Y || b.Min.Z > zHigh || b.Max.Z < zLow {
			continue
		}
		c := t.Column(x, y, zLow, zHigh)
		if c.Crossed {
			by[0], by[1], by[2] = t.corners(c.Facet)
			return by, true
		}
		winding += c.Winding
		if c.Facet >= 0 && c.Z < lowest {
			lowest = c.Z
			by[0], by[1], by[2] = t.corners(c.Facet)
		}
	}
	return by, winding > 0
}
