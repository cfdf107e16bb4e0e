package bvh

import (
	"runtime"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// A model of many small parts has many pairs of them: to hold two facets
// against each other takes the memory of two leaves, not of all that a search
// may keep.
func TestNearestOfSmallTreesIsSmall(t *testing.T) {
	v := []r3.Vec{{}, {X: 1}, {Y: 1}, {Z: 1}, {X: 1, Z: 1}, {Y: 1, Z: 1}}
	f := [][3]int32{{0, 1, 2}, {3, 4, 5}}
	a, b := New(v, f, []int32{0}), New(v, f, []int32{1})
	const times = 100
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	for range times {
		if p, ok := Nearest(a, b, 2); !ok || p.Dist != 1 {
			t.Fatalf("they are %v apart (%v), not 1", p.Dist, ok)
		}
	}
	runtime.ReadMemStats(&after)
	const most = 8 << 10
	if each := (after.TotalAlloc - before.TotalAlloc) / times; each > most {
		t.Errorf("a search took %d bytes, more than %d", each, most)
	}
}
