package gapscan

import (
	"slices"
	"testing"
)

// Layers that are scanned in any order are handed out in theirs, each once, when
// those above are scanned; the last ones are left.
func TestFollower(t *testing.T) {
	f := newFollower(6, 2)
	var got []int
	steps := map[int][]int{} // after a layer is scanned
	for _, n := range []int{2, 1, 5, 3, 6, 4} {
		f.done(n)
		for k, ok := f.ready(); ok; k, ok = f.ready() {
			got = append(got, k)
			steps[n] = append(steps[n], k)
		}
	}
	if !slices.Equal(got, []int{1, 2, 3, 4}) || !slices.Equal(steps[3], []int{1}) || !slices.Equal(steps[4], []int{2, 3, 4}) {
		t.Errorf("handed out %v, by layer scanned %v", got, steps)
	}
	if from := f.rest(); from != 5 {
		t.Errorf("those from %d are left, want 5", from)
	}
	if n, ok := f.ready(); ok {
		t.Errorf("layer %d is handed out too", n)
	}
}
