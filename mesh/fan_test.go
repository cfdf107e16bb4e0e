package mesh

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// The edges of a vertex that has very many are not gone through one by one for
// each: that would cost the square of their number.
func TestFansAreSorted(t *testing.T) {
	for _, n := range []int32{mostEdges / 2, 4 * mostEdges} {
		v := make([]r3.Vec, n+1)
		facets := make([][3]int32, n)
		for i := range n {
			facets[i] = [3]int32{0, 1 + i, 1 + (i+1)%n}
		}
		refused := false
		p := pairBy(v, facets, false, newPairRanges(len(v), facets), func(q *edgePairer) bool {
			ok := q.simple()
			refused = refused || !ok
			return ok
		})
		if want := n > mostEdges; refused != want {
			t.Errorf("%d facets round a vertex: sorted is %v, not %v", n, refused, want)
		}
		if p.open != int(n) || p.nonManifold != 0 {
			t.Errorf("%d facets round a vertex: %d open edges, not %d; %d of more than two facets", n, p.open, n, p.nonManifold)
		}
	}
}
