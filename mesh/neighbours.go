package mesh

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/bvh"
	"playgauge/mesh/parallel"
)

// surfaceNoise is the distance in mm within which a point counts as lying on
// a surface, and two surfaces as touching: ten times the rounding of a
// float32 coordinate of 100 mm.
const surfaceNoise = 1e-4

// shellPair is two shells whose boxes overlap, a < b.
type shellPair struct {
	a, b    int32
	touches bool // the surfaces cross, or come within surfaceNoise
}

// boxPairs finds the pairs of shells whose boxes come within surfaceNoise,
// sorted by a, then b. It sweeps along the axis on which the boxes cover
// least of the whole, in strips along the next such axis, so that shells side
// by side cost nothing.
func boxPairs(shells []Shell) []shellPair {
	axis, across, strips := sweepAxes(shells)
	lo := func(i int32) float64 { return along(shells[i].Box.Min, axis) }
	hi := func(i int32) float64 { return along(shells[i].Box.Max, axis) }
	order := make([]int32, len(shells))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortFunc(order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(lo(a), lo(b)), cmp.Compare(a, b))
	})
	var pairs []shellPair
	active := make([][]int32, strips.n)
	for _, i := range order {
		first := strips.of(along(shells[i].Box.Min, across))
		last := strips.of(along(shells[i].Box.Max, across) + surfaceNoise)
		for s := first; s <= last; s++ {
			keep := active[s][:0]
			for _, j := range active[s] {
				if hi(j)+surfaceNoise < lo(i) {
					continue
				}
				keep = append(keep, j)
				// Two boxes may share many strips: the first one counts.
				if boxesMeet(&shells[i].Box, &shells[j].Box) && s == max(first, strips.of(along(shells[j].Box.Min, across))) {
					pairs = append(pairs, shellPair{a: min(i, j), b: max(i, j)})
				}
			}
			active[s] = append(keep, i)
		}
	}
	slices.SortFunc(pairs, func(p, q shellPair) int {
		return cmp.Or(cmp.Compare(p.a, q.a), cmp.Compare(p.b, q.b))
	})
	return pairs
}

// strips cuts an axis into n pieces of equal length from a start.
type strips struct {
	n             int
	start, length float64
}

func (s *strips) of(x float64) int {
	if s.n == 1 {
		return 0
	}
	return min(max(int((x-s.start)/s.length), 0), s.n-1)
}

// maxStrips bounds the memory of a sweep, and the strips that a box as long
// as the whole takes part in.
const maxStrips = 256

// sweepAxes chooses the axes along which the boxes' lengths add up to least,
// in units of the whole, and strips as wide as the boxes are on average.
func sweepAxes(shells []Shell) (axis, across int, s strips) {
	whole := noBox()
	var sum, cover [3]float64
	for i := range shells {
		b := &shells[i].Box
		whole.Min, whole.Max = lower(whole.Min, b.Min), upper(whole.Max, b.Max)
		for k := range sum {
			sum[k] += along(b.Max, k) - along(b.Min, k)
		}
	}
	size := func(k int) float64 { return along(whole.Max, k) - along(whole.Min, k) }
	for k := range cover {
		cover[k] = math.Inf(1)
		if size(k) > 0 {
			cover[k] = sum[k] / size(k)
		}
	}
	axes := []int{0, 1, 2}
	slices.SortStableFunc(axes, func(a, b int) int { return cmp.Compare(cover[a], cover[b]) })
	axis, across = axes[0], axes[1]
	s.n = max(1, int(min(float64(len(shells))/max(cover[across], 1), maxStrips)))
	s.start, s.length = along(whole.Min, across), size(across)/float64(s.n)
	return axis, across, s
}

func along(v r3.Vec, axis int) float64 {
	switch axis {
	case 0:
		return v.X
	case 1:
		return v.Y
	}
	return v.Z
}

func boxesMeet(a, b *r3.Box) bool {
	const d = surfaceNoise
	return a.Min.X <= b.Max.X+d && b.Min.X <= a.Max.X+d &&
		a.Min.Y <= b.Max.Y+d && b.Min.Y <= a.Max.Y+d &&
		a.Min.Z <= b.Max.Z+d && b.Min.Z <= a.Max.Z+d
}

// findTouching says of each pair whether its surfaces touch.
func findTouching(pairs []shellPair, trees []*bvh.Tree) {
	parallel.Each(len(pairs), func(i int) {
		p := &pairs[i]
		_, p.touches = bvh.Nearest(trees[p.a], trees[p.b], surfaceNoise)
	})
}

// neighbours lists for each shell those whose boxes overlap its own.
type neighbours struct {
	start []int32
	list  []neighbour
}

type neighbour struct {
	shell   int32
	touches bool
}

func newNeighbours(n int, pairs []shellPair) *neighbours {
	nb := &neighbours{start: make([]int32, n+2), list: make([]neighbour, 2*len(pairs))}
	for _, p := range pairs {
		nb.start[p.a+2]++
		nb.start[p.b+2]++
	}
	for i := 2; i < len(nb.start); i++ {
		nb.start[i] += nb.start[i-1]
	}
	put := func(i int32, o neighbour) {
		nb.list[nb.start[i+1]] = o
		nb.start[i+1]++
	}
	for _, p := range pairs {
		put(p.a, neighbour{p.b, p.touches})
		put(p.b, neighbour{p.a, p.touches})
	}
	return nb
}

func (nb *neighbours) of(shell int32) []neighbour {
	return nb.list[nb.start[shell]:nb.start[shell+1]]
}
