package gapscan

import (
	"testing"

	"playgauge/mesh"
)

// TestCellKeys: the keys of the cells of the largest model are in the order of
// x, then y, then z, so that no two are equal, and a neighbour's key is the sum
// of a cell's and the steps.
func TestCellKeys(t *testing.T) {
	far := cellOf(mesh.MaxCoordinate) + 1
	last := cellKey(0)
	for _, x := range []int{-far, -1, 0, 1, far} {
		for _, y := range []int{-far, -1, 0, 1, far} {
			for _, z := range []int{-1, 0, 1, far, 2 * far} {
				k := keyOf(x, y, z)
				if k <= last {
					t.Errorf("the key %x of cell %d, %d, %d is not above %x", k, x, y, z, last)
				}
				last = k
				if n := keyOf(x+1, y-1, z+1); n != k+stepX-stepY+stepZ {
					t.Errorf("the key of a neighbour of %d, %d, %d is %x", x, y, z, n)
				}
			}
		}
	}
}
