package slice

import "playgauge/mesh"

// levels says which vertices lie above which cut, in whole numbers, so that
// every facet round a vertex gives the same answer.
type levels struct {
	// cuts holds the heights of the cuts on the model's own axes.
	cuts []float64
	// of holds for each vertex the number of cuts it lies above: it is above
	// cut n when n <= of[v].
	of []int32
	// start and facets list, layer by layer, the facets its cut goes through:
	// those of layer n are facets[start[n-1]:start[n]], ascending; none of the
	// layers that are not cut.
	start  []int
	facets []int32
}

// newLevels readies layers from to to.
func newLevels(m *mesh.Mesh, p Plan, from, to int) *levels {
	lv := &levels{cuts: make([]float64, p.Layers), of: make([]int32, len(m.V))}
	for i := range lv.cuts {
		lv.cuts[i] = p.InModel(i + 1)
	}
	for v := range m.V {
		lv.of[v] = int32(p.Below(m.V[v].Z))
	}
	lv.start = make([]int, p.Layers+1)
	span := func(t [3]int32) (lo, hi int32) {
		a, b, c := lv.of[t[0]], lv.of[t[1]], lv.of[t[2]]
		return max(min(a, b, c), int32(from)-1), min(max(a, b, c), int32(to))
	}
	for _, t := range m.T {
		lo, hi := span(t)
		for n := lo + 1; n <= hi; n++ {
			lv.start[n]++
		}
	}
	for n := 1; n <= p.Layers; n++ {
		lv.start[n] += lv.start[n-1]
	}
	lv.facets = make([]int32, lv.start[p.Layers])
	fill := make([]int, p.Layers)
	copy(fill, lv.start)
	for i, t := range m.T {
		lo, hi := span(t)
		for n := lo; n < hi; n++ {
			lv.facets[fill[n]] = int32(i)
			fill[n]++
		}
	}
	return lv
}
