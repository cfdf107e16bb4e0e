package region

import (
	"cmp"
	"fmt"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// OpenError says at which point the edges of a region do not close.
type OpenError struct {
	// Point is its index.
	Point int32
	At    r2.Vec
}

func (e *OpenError) Error() string {
	return fmt.Sprintf("the outline is open at %g, %g", e.At.X, e.At.Y)
}

// Rings joins the directed edges round a region, which lies to their left,
// into rings: indices into pts, the first not repeated. As many edges must
// lead to a point as away from it, or it is an *OpenError. Edges are taken in
// the order given, so the rings are in the order of their first edges.
//
// Where several rings meet at a point, each edge goes on along the side of
// the piece of region on its left: rings touch there and do not cross, and a
// hole that touches its outer ring becomes part of it.
func Rings(pts []r2.Vec, edges [][2]int32) ([][]int32, error) {
	// ends lists the edges' ends by their points: edge k begins at end 2k and
	// ends at 2k+1.
	ends := make([]int32, 2*len(edges))
	for i := range ends {
		ends[i] = int32(i)
	}
	point := func(end int32) int32 { return edges[end/2][end%2] }
	slices.SortStableFunc(ends, func(a, b int32) int { return cmp.Compare(point(a), point(b)) })
	next := make([]int32, len(edges))
	for len(ends) > 0 {
		n := 1
		for n < len(ends) && point(ends[n]) == point(ends[0]) {
			n++
		}
		if !turnOn(pts, edges, ends[:n], next) {
			return nil, &OpenError{point(ends[0]), pts[point(ends[0])]}
		}
		ends = ends[n:]
	}
	var rings [][]int32
	done := make([]bool, len(edges))
	for k := range edges {
		var ring []int32
		for i := int32(k); !done[i]; i = next[i] {
			done[i] = true
			ring = append(ring, edges[i][0])
		}
		if ring != nil {
			rings = append(rings, ring)
		}
	}
	return rings, nil
}

// turnOn chooses, at one point, the edge after each edge that ends there. It
// is false if not as many begin as end.
func turnOn(pts []r2.Vec, edges [][2]int32, ends, next []int32) bool {
	begins := 0
	for _, e := range ends {
		begins += 1 - int(e%2)
	}
	if 2*begins != len(ends) {
		return false
	}
	if len(ends) == 2 {
		in, out := ends[0], ends[1]
		if in%2 == 0 {
			in, out = out, in
		}
		next[in/2] = out / 2
		return true
	}
	// Sorted counter-clockwise, the region lies just before an edge that ends
	// here and just after one that begins; of edges in one direction, the one
	// that begins comes last, for nothing lies between them.
	v := pts[edges[ends[0]/2][ends[0]%2]]
	far := func(e int32) r2.Vec { return pts[edges[e/2][1-e%2]] }
	slices.SortStableFunc(ends, func(a, b int32) int {
		return cmp.Or(compareAround(v, far(a), far(b)), cmp.Compare(b%2, a%2))
	})
	used := make([]bool, len(ends))
	n := len(ends)
	for i, e := range ends {
		if e%2 == 0 {
			continue
		}
		for k := 1; k < n; k++ {
			j := (i + n - k) % n
			if ends[j]%2 == 0 && !used[j] {
				used[j] = true
				next[e/2] = ends[j] / 2
				break
			}
		}
	}
	return true
}

// compareAround orders a and b by their direction from v, counter-clockwise
// from that of +x.
func compareAround(v, a, b r2.Vec) int {
	half := func(p r2.Vec) int {
		if p.Y > v.Y || p.Y == v.Y && p.X > v.X {
			return 0
		}
		return 1
	}
	return cmp.Or(cmp.Compare(half(a), half(b)), -Orient(v, a, b))
}
