package mesh

import "testing"

func TestEverySampleIsLookedAt(t *testing.T) {
	for _, n := range []int{1, 2, 3, 10, 1999, innerSamples - 1, innerSamples} {
		seen := make([]bool, n)
		for i := range n {
			seen[sampleOf(i, n)] = true
		}
		for k, s := range seen {
			if !s {
				t.Fatalf("of %d samples, %d is not looked at", n, k)
			}
		}
	}
}
