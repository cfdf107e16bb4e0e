package mesh

import (
	"slices"
	"testing"
)

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

// Of the most samples, the first that are looked at leave no long stretch out.
func TestFirstSamplesLieApart(t *testing.T) {
	const first = 100
	at := make([]int, first, first+1)
	for i := range at {
		at[i] = sampleOf(i, innerSamples)
	}
	slices.Sort(at)
	at = append(at, innerSamples+at[0])
	for i := 1; i < len(at); i++ {
		if gap := at[i] - at[i-1]; gap > 3*innerSamples/first {
			t.Errorf("%d samples from %d on are not among the first %d", gap, at[i-1], first)
		}
	}
}
