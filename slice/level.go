package slice

import (
	"slices"
	"sync"

	"playgauge/mesh"
	"playgauge/mesh/parallel"
)

// levels says which vertices lie above which cut, in whole numbers, so that
// every facet round a vertex gives the same answer.
type levels struct {
	m *mesh.Mesh
	// cuts holds the heights of the cuts on the model's own axes.
	cuts []float64
	// of holds for each vertex the number of cuts it lies above: it is above
	// cut n when n <= of[v].
	of []int32
	// from and to bound the layers that are cut.
	from, to int
	// start and facets list, band by band of bandLayers layers, the facets that
	// any of its cuts goes through: those of band k, with layers
	// k*bandLayers+1 and up, are facets[start[k]:start[k+1]], ascending.
	start  []int
	facets []int32

	mu sync.Mutex // over what follows, and the uses of bands
	// spread holds the bands that were asked for last, oldest first.
	spread []*band
	// spare is memory of a band that nobody uses any more.
	spare []int32
}

// bandLayers is the number of layers of a band: facets are listed once a band, and
// layer by layer for a few bands at a time only, since a facet goes through some
// five cuts of a finely divided model.
const bandLayers = 16

// band lists the facets of bandLayers layers, layer by layer.
type band struct {
	k      int
	uses   int
	once   sync.Once
	start  [bandLayers + 1]int32
	facets []int32
}

// newLevels readies layers from to to.
func newLevels(m *mesh.Mesh, p Plan, from, to int) *levels {
	lv := &levels{m: m, cuts: make([]float64, p.Layers), of: p.Levels(m), from: from, to: to}
	for i := range lv.cuts {
		lv.cuts[i] = p.InModel(i + 1)
	}
	bands := parallel.Runs(p.Layers, bandLayers)
	lv.start = make([]int, bands+1)
	// Of each block, how many facets each band has; then where they begin.
	at := make([][]int, parallel.Runs(len(m.T), parallel.Block))
	parallel.Blocks(len(m.T), func(b, lo, hi int) {
		at[b] = make([]int, bands)
		for _, t := range m.T[lo:hi] {
			lv.eachBand(t, func(k int) { at[b][k]++ })
		}
	})
	sum := 0
	for k := range bands {
		lv.start[k] = sum
		for b := range at {
			n := at[b][k]
			at[b][k] = sum
			sum += n
		}
	}
	lv.start[bands] = sum
	lv.facets = make([]int32, sum)
	parallel.Blocks(len(m.T), func(b, lo, hi int) {
		for i := lo; i < hi; i++ {
			lv.eachBand(m.T[i], func(k int) {
				lv.facets[at[b][k]] = int32(i)
				at[b][k]++
			})
		}
	})
	return lv
}

// Levels holds for each vertex of a mesh the number of cuts it lies above.
func (p Plan) Levels(m *mesh.Mesh) []int32 {
	of := make([]int32, len(m.V))
	parallel.Blocks(len(of), func(_, lo, hi int) {
		for v := lo; v < hi; v++ {
			of[v] = int32(p.Below(m.V[v].Z))
		}
	})
	return of
}

// span gives the cuts that go through a facet: those above lo, up to hi.
func (lv *levels) span(t [3]int32) (lo, hi int32) {
	a, b, c := lv.of[t[0]], lv.of[t[1]], lv.of[t[2]]
	return max(min(a, b, c), int32(lv.from)-1), min(max(a, b, c), int32(lv.to))
}

func (lv *levels) eachBand(t [3]int32, do func(k int)) {
	if lo, hi := lv.span(t); lo < hi {
		for k := lo / bandLayers; k <= (hi-1)/bandLayers; k++ {
			do(int(k))
		}
	}
}

// layer lists the facets that cut n goes through, ascending; none of a layer
// that is not cut. Several goroutines may ask at once; each gives the band back
// when it has no more use for the list.
func (lv *levels) layer(n int) ([]int32, *band) {
	k, i := (n-1)/bandLayers, (n-1)%bandLayers
	r := lv.take(k)
	r.once.Do(func() { lv.fill(r) })
	return r.facets[r.start[i]:r.start[i+1]], r
}

// take is a band that is filled, or about to be.
func (lv *levels) take(k int) *band {
	lv.mu.Lock()
	defer lv.mu.Unlock()
	for _, r := range lv.spread {
		if r.k == k {
			r.uses++
			return r
		}
	}
	// Workers that stand in neighbouring layers are in two bands, or as many as
	// they are many.
	if len(lv.spread) > 1+parallel.Workers()/bandLayers {
		old := lv.spread[0]
		lv.spread = append(lv.spread[:0], lv.spread[1:]...)
		lv.forget(old)
	}
	r := &band{k: k, uses: 1, facets: lv.spare}
	lv.spare = nil
	lv.spread = append(lv.spread, r)
	return r
}

// give says that a band's list is not used any more.
func (lv *levels) give(r *band) {
	lv.mu.Lock()
	defer lv.mu.Unlock()
	r.uses--
	lv.forget(r)
}

// forget keeps the memory of a band that nobody uses and nobody will ask for.
func (lv *levels) forget(r *band) {
	if r.uses == 0 && !slices.Contains(lv.spread, r) && cap(r.facets) > cap(lv.spare) {
		lv.spare = r.facets
	}
}

// fill lists the facets of a band layer by layer.
func (lv *levels) fill(r *band) {
	first := int32(r.k * bandLayers)
	within := func(t int32) (lo, hi int32) {
		lo, hi = lv.span(lv.m.T[t])
		return max(lo-first, 0), min(hi-first, bandLayers)
	}
	facets := lv.facets[lv.start[r.k]:lv.start[r.k+1]]
	for _, t := range facets {
		for lo, hi := within(t); lo < hi; lo++ {
			r.start[lo+1]++
		}
	}
	for i := range bandLayers {
		r.start[i+1] += r.start[i]
	}
	r.facets = slices.Grow(r.facets[:0], int(r.start[bandLayers]))[:r.start[bandLayers]]
	next := r.start
	for _, t := range facets {
		for lo, hi := within(t); lo < hi; lo++ {
			r.facets[next[lo]] = t
			next[lo]++
		}
	}
}
