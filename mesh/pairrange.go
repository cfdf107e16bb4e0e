package mesh

import (
	"iter"
	"math/bits"

	"playgauge/mesh/parallel"
)

const (
	// pairRun is the number of facets that a range looks through together.
	pairRun = 1 << 9
	// rangeBits is the number of bits of a vertex within its range: as many
	// as let what a range knows of its edges fit a cache.
	rangeBits = 13
	// mostRanges keeps the work of telling who looks where small.
	mostRanges = 1 << 9
	// looks is how often a facet may be looked at on average, in as many
	// ranges: more than once or twice only where facets that are near each
	// other have corners of far numbers.
	looks = 4
)

// pairRanges cuts the vertices into ranges, and knows which facets have an
// edge whose lower vertex lies in one.
type pairRanges struct {
	n, vertices, facets int
	bits, run           int
	// runs lists, by ranges, the runs of facets that have such an edge; range
	// i has those from start[i] to start[i+1].
	runs, start []int32
}

// newPairRanges makes the ranges small where facets are in a good order, and
// few where each would have to look at most of them.
func newPairRanges(vertices int, t [][3]int32) *pairRanges {
	width := rangeBits
	for vertices>>width >= mostRanges {
		width++
	}
	for {
		r := pairRangesOf(vertices, t, width, pairRun)
		if r.n == 1 || len(r.runs) <= looks*parallel.Runs(len(t), pairRun) {
			return r
		}
		width += 2
	}
}

// pairRangesOf makes ranges of vertices with so many bits, mostRanges at most,
// that look through run facets together.
func pairRangesOf(vertices int, t [][3]int32, width, run int) *pairRanges {
	r := &pairRanges{n: max(1, parallel.Runs(vertices, 1<<width)), vertices: vertices, facets: len(t), bits: width, run: run}
	in := make([][mostRanges / 64]uint64, parallel.Runs(len(t), run)) // the ranges of each run, a bit each
	parallel.Each(len(in), func(i int) {
		var set [mostRanges / 64]uint64
		for _, c := range t[i*run : min((i+1)*run, len(t))] {
			// The lower vertices are the least corner and the middle one.
			lo, hi := min(c[0], c[1]), max(c[0], c[1])
			least, middle := min(lo, c[2])>>width, min(hi, max(lo, c[2]))>>width
			set[least/64] |= 1 << (least % 64)
			set[middle/64] |= 1 << (middle % 64)
		}
		in[i] = set
	})
	r.start = make([]int32, r.n+2)
	each := func(do func(k int, run int32)) {
		for i, set := range in {
			for w, word := range set {
				for ; word != 0; word &= word - 1 {
					do(64*w+bits.TrailingZeros64(word), int32(i))
				}
			}
		}
	}
	each(func(k int, _ int32) { r.start[k+2]++ })
	for k := 2; k < len(r.start); k++ {
		r.start[k] += r.start[k-1]
	}
	r.runs = make([]int32, r.start[r.n+1])
	each(func(k int, run int32) {
		r.runs[r.start[k+1]] = run
		r.start[k+1]++
	})
	return r
}

// bounds gives the vertices of a range, the last one not included.
func (r *pairRanges) bounds(i int) (first, last int32) {
	return int32(i << r.bits), int32(min((i+1)<<r.bits, r.vertices))
}

// of gives the facets, ascending, from one to before another, among which are
// all that have an edge whose lower vertex lies in the range.
func (r *pairRanges) of(i int) iter.Seq2[int, int] {
	return func(yield func(from, to int) bool) {
		for _, k := range r.runs[r.start[i]:r.start[i+1]] {
			if !yield(int(k)*r.run, min((int(k)+1)*r.run, r.facets)) {
				return
			}
		}
	}
}
