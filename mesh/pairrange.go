package mesh

import (
	"iter"

	"playgauge/mesh/parallel"
)

const (
	// pairRun is the number of facets that a range looks through together.
	pairRun = 1 << 12
	// rangeVertices is about how many vertices a range has, so that what it
	// knows of their edges fits a cache.
	rangeVertices = 1 << 13
	// mostRanges keeps the work of telling who looks where small.
	mostRanges = 1 << 9
	// looks is how often a facet may be looked at on average, in as many
	// ranges. In most files facets that are near each other have corners of
	// near numbers, and two are enough.
	looks = 3
)

// pairRanges cuts the vertices into ranges of about the same size, and knows
// which facets may have a corner in one.
type pairRanges struct {
	n, vertices, all int
	// run is the number of facets in a run; runs holds the least and the
	// largest lower vertex of an edge of each.
	run  int
	runs [][2]int32
}

// newPairRanges makes the ranges small where facets are in a good order, and
// few where each would have to look at all of them.
func newPairRanges(vertices int, t [][3]int32) *pairRanges {
	r := pairRangesOf(vertices, t, min(max(1, vertices/rangeVertices), mostRanges), pairRun)
	for r.n > 1 && r.looked() > looks*len(r.runs) {
		r.n /= 2
	}
	return r
}

// pairRangesOf makes n ranges that look through run facets together.
func pairRangesOf(vertices int, t [][3]int32, n, run int) *pairRanges {
	r := &pairRanges{n: n, vertices: vertices, all: len(t), run: run, runs: make([][2]int32, parallel.Runs(len(t), run))}
	parallel.Each(len(r.runs), func(i int) {
		least, most := t[i*run][0], int32(0)
		for _, c := range t[i*run : min((i+1)*run, len(t))] {
			// The lower vertices are the least corner and the middle one.
			lo, hi := min(c[0], c[1]), max(c[0], c[1])
			least, most = min(least, lo, c[2]), max(most, min(hi, max(lo, c[2])))
		}
		r.runs[i] = [2]int32{least, most}
	})
	return r
}

// bounds gives the vertices of a range, the last one not included.
func (r *pairRanges) bounds(i int) (first, last int32) {
	return int32(r.vertices * i / r.n), int32(r.vertices * (i + 1) / r.n)
}

// of is the range of a vertex, or the one beside it.
func (r *pairRanges) of(vertex int32) int { return int(vertex) * r.n / r.vertices }

// looked counts the runs that the ranges look through, all together.
func (r *pairRanges) looked() int {
	n := 0
	for _, run := range r.runs {
		n += r.of(run[1]) - r.of(run[0]) + 1
	}
	return n
}

// facets gives the facets, from one to before another, that may have an edge
// of which the range has the lower vertex.
func (r *pairRanges) facets(i int) iter.Seq2[int, int] {
	first, last := r.bounds(i)
	return func(yield func(from, to int) bool) {
		for k, run := range r.runs {
			if run[1] >= first && run[0] < last && !yield(k*r.run, min((k+1)*r.run, r.all)) {
				return
			}
		}
	}
}
