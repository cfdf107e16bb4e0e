package shape

import (
	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/region"
)

// divide divides the region inside the outer ring and outside the holes into
// triangles, counter-clockwise. The outer ring runs counter-clockwise, the
// holes clockwise. The triangles index the points of all rings, one ring
// after the other; each has area, and no corner of one lies on a side of
// another. Rings that are not simple and apart from each other are an *Error.
func divide(op string, outer []r2.Vec, holes [][]r2.Vec) ([][3]int32, error) {
	if err := checkRings(op, append([][]r2.Vec{outer}, holes...)); err != nil {
		return nil, err
	}
	for i, h := range holes {
		if !region.Contains(outer, h[0]) {
			return nil, &Error{Op: op, Rule: "a hole lies outside", At: h[0], Placed: true}
		}
		for j, g := range holes {
			if i != j && region.Contains(g, h[0]) {
				return nil, &Error{Op: op, Rule: "a hole lies in another", At: h[0], Placed: true}
			}
		}
	}
	var pts []r2.Vec
	number := func(ring []r2.Vec) []int32 {
		at := make([]int32, len(ring))
		for i := range at {
			at[i] = int32(len(pts) + i)
		}
		pts = append(pts, ring...)
		return at
	}
	first := number(outer)
	rest := make([][]int32, len(holes))
	for i, h := range holes {
		rest[i] = number(h)
	}
	tris, forced := region.Triangulate(pts, first, rest)
	if forced > 0 {
		return nil, &Error{Op: op, Rule: "the outline cannot be divided into triangles", At: outer[0], Placed: true}
	}
	return tris, nil
}
