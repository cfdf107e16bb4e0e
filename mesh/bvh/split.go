package bvh

import "math"

// bins is the number of places at which a split is tried.
const bins = 16

// bin is the facets whose middles lie in a stretch of an axis, and their box,
// kept as an item's.
type bin struct {
	lo, far [3]float32
	n       int
}

// nothing is the corner of a box of nothing.
var nothing = [3]float32{float32(math.Inf(1)), float32(math.Inf(1)), float32(math.Inf(1))}

// split orders items into two groups where the expected cost of a query, the
// sum of the two boxes' surfaces times their facets, is least, among bins
// places along the axis on which the facets' middles spread most. It returns
// the size of the first group, which is 0 or all where no place divides.
func split(items []item) int {
	axis, from, width := widest(items)
	if !(width > 0) {
		return 0
	}
	scale := bins / width
	var all [bins]bin
	for i := range all {
		all[i].lo, all[i].far = nothing, nothing
	}
	for i := range items {
		it := &items[i]
		k := binOf(it.middle(axis), from, scale)
		it.bin = int16(k)
		s := &all[k]
		s.n++
		leastInto(&s.lo, &it.lo)
		leastInto(&s.far, &it.far)
	}
	best := cheapest(&all, len(items))
	if best == 0 {
		return 0
	}
	i, j := 0, len(items)
	for i < j {
		if items[i].bin < int16(best) {
			i++
			continue
		}
		j--
		items[i], items[j] = items[j], items[i]
	}
	return i
}

// widest is the axis on which the items' middles spread most, and from where
// how far.
func widest(items []item) (axis int, from, width float32) {
	x0, y0, z0 := nothing[0], nothing[1], nothing[2]
	x1, y1, z1 := x0, y0, z0 // the greatest, negated
	for i := range items {
		x, y, z := items[i].middle(0), items[i].middle(1), items[i].middle(2)
		x0, y0, z0 = min(x0, x), min(y0, y), min(z0, z)
		x1, y1, z1 = min(x1, -x), min(y1, -y), min(z1, -z)
	}
	lo, size := [3]float32{x0, y0, z0}, [3]float32{-x1 - x0, -y1 - y0, -z1 - z0}
	for k := 1; k < 3; k++ {
		if size[k] > size[axis] {
			axis = k
		}
	}
	return axis, lo[axis], size[axis]
}

// binOf finds the bin of a middle; whatever is not a number goes to the first.
func binOf(m, from, scale float32) int {
	f := (m - from) * scale
	if !(f > 0) {
		return 0
	}
	if f >= bins-1 {
		return bins - 1
	}
	return int(f)
}

// cheapest is the bin before which it costs least to divide n items, the
// first of those that cost the same; 0 where none divides them.
func cheapest(all *[bins]bin, n int) int {
	// cost[i] is that of the bins from i on, as one group.
	var cost [bins]float32
	b := bin{lo: nothing, far: nothing}
	sum := float32(0)
	for i := bins - 1; i > 0; i-- {
		if all[i].n > 0 {
			b.join(&all[i])
			sum = float32(b.n) * b.surface()
		}
		cost[i] = sum
	}
	best, least := 0, float32(math.Inf(1))
	b = bin{lo: nothing, far: nothing}
	for i := 1; i < bins; i++ {
		if all[i-1].n == 0 {
			continue // divides them as the bin before does
		}
		b.join(&all[i-1])
		if b.n == n {
			break
		}
		if c := float32(float32(b.n)*b.surface()) + cost[i]; c < least {
			best, least = i, c
		}
	}
	return best
}

func (b *bin) join(o *bin) {
	b.n += o.n
	leastInto(&b.lo, &o.lo)
	leastInto(&b.far, &o.far)
}

// surface is half the surface of the box.
func (b *bin) surface() float32 {
	x, y, z := -b.far[0]-b.lo[0], -b.far[1]-b.lo[1], -b.far[2]-b.lo[2]
	return float32(x*y) + float32(y*z) + float32(z*x)
}

// leastInto lowers each of a to that of b where that is less.
func leastInto(a, b *[3]float32) {
	a[0], a[1], a[2] = min(a[0], b[0]), min(a[1], b[1]), min(a[2], b[2])
}
