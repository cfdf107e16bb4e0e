package mesh

import (
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// A flood from each facet that has no number yet is the judge.
func TestComponentsAgainstFlood(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 120).Draw(t, "facets")
		reach := rapid.IntRange(1, 60).Draw(t, "reach")
		mate := make([]int32, 3*n)
		for i := range mate {
			mate[i] = -1
		}
		for h := range mate {
			g := h + rapid.IntRange(1, 3*reach).Draw(t, "mate")
			if g < len(mate) && mate[h] < 0 && mate[g] < 0 && rapid.IntRange(0, 3).Draw(t, "open") > 0 {
				mate[h], mate[g] = int32(g), int32(h)
			}
		}
		want := make([]int32, n)
		for i := range want {
			want[i] = -1
		}
		var wantSizes []int32
		for f := range want {
			if want[f] >= 0 {
				continue
			}
			id := int32(len(wantSizes))
			want[f] = id
			queue := []int32{int32(f)}
			for head := 0; head < len(queue); head++ {
				for _, g := range mate[3*queue[head] : 3*queue[head]+3] {
					if g >= 0 && want[g/3] < 0 {
						want[g/3] = id
						queue = append(queue, g/3)
					}
				}
			}
			wantSizes = append(wantSizes, int32(len(queue)))
		}
		of, sizes := components(mate, rapid.IntRange(1, 130).Draw(t, "run"))
		if !slices.Equal(of, want) || !slices.Equal(sizes, wantSizes) {
			t.Fatalf("numbers %v of sizes %v, want %v of %v", of, sizes, want, wantSizes)
		}
	})
}
