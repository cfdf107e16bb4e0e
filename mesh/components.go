package mesh

import "playgauge/mesh/parallel"

// componentRun is the number of facets that are joined by themselves first.
const componentRun = 1 << 14

// components numbers what hangs together through mates, by first facets: of
// holds the number of each facet, sizes how many facets each number has.
//
// Facets of a run are joined side by side with other runs; what joins runs,
// little where neighbours have near numbers, is left for the end.
func components(mate []int32, run int) (of, sizes []int32) {
	n := len(mate) / 3
	sets := newUnionFind(n)
	across := make([][][2]int32, parallel.Runs(n, run))
	parallel.Each(len(across), func(i int) {
		first := int32(i * run)
		for f := first; f < int32(min((i+1)*run, n)); f++ {
			for _, g := range mate[3*f : 3*f+3] {
				switch u := g / 3; {
				case g < 0 || u >= f: // none, or the other facet sees to it
				case u >= first:
					sets.join(f, u)
				default:
					across[i] = append(across[i], [2]int32{f, u})
				}
			}
		}
	})
	for _, pairs := range across {
		for _, p := range pairs {
			sets.join(p[0], p[1])
		}
	}
	// What a facet hangs on stands before it, and has its number already.
	of = sets.up
	for f, up := range of {
		if up == int32(f) {
			of[f] = int32(len(sizes))
			sizes = append(sizes, 0)
		} else {
			of[f] = of[up]
		}
		sizes[of[f]]++
	}
	return of, sizes
}
