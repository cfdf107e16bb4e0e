package mesh

import (
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// All pairs are the judge of the sweep.
func TestBoxPairsAgainstAllPairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		shells := make([]Shell, rapid.IntRange(0, 60).Draw(t, "boxes"))
		var span [3]int
		for k := range span {
			span[k] = rapid.SampledFrom([]int{0, 1, 5, 40}).Draw(t, "span")
		}
		size := rapid.SampledFrom([]int{0, 1, 3, 30}).Draw(t, "size")
		for i := range shells {
			var lo, hi [3]float64
			for k := range lo {
				// Steps of half the noise, so that gaps at its limit occur.
				const step = surfaceNoise / 2
				lo[k] = float64(rapid.IntRange(0, span[k]).Draw(t, "at")) + step*float64(rapid.IntRange(-1, 1).Draw(t, "off"))
				hi[k] = lo[k] + float64(rapid.IntRange(0, size).Draw(t, "size"))
			}
			shells[i].Box = r3.Box{Min: vec(lo[0], lo[1], lo[2]), Max: vec(hi[0], hi[1], hi[2])}
		}
		var want []shellPair
		for a := range shells {
			for b := a + 1; b < len(shells); b++ {
				if boxesMeet(&shells[a].Box, &shells[b].Box) {
					want = append(want, shellPair{a: int32(a), b: int32(b)})
				}
			}
		}
		if got := boxPairs(shells); !slices.Equal(got, want) {
			t.Fatalf("got %v, want %v", got, want)
		}
	})
}
