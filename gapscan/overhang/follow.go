package overhang

import (
	"cmp"
	"slices"
)

// follow gathers the pieces of all layers (of layer n at n-1) into regions.
func follow(layers [][]piece, grow func(layer int) float64) []Region {
	var all []piece
	start := make([]int, len(layers)+1)
	for i, l := range layers {
		all = append(all, l...)
		start[i+1] = len(all)
	}
	f := following{all: all, sets: make([]int32, len(all))}
	for i := range f.sets {
		f.sets[i] = int32(i)
	}
	for i := 1; i < len(layers); i++ {
		for _, c := range f.neighbours(start[i-1], start[i], start[i+1], grow(i+1)) {
			f.link(c[0], c[1])
		}
	}
	return f.regions()
}

type following struct {
	all  []piece
	sets []int32
}

// link makes one region of two pieces of neighbouring layers, if they may be
// one. The root of a set that holds a start in mid-air is that start.
func (f *following) link(lower, upper int32) {
	a, b := find(f.sets, lower), find(f.sets, upper)
	ka, kb := f.all[a].kind, f.all[b].kind
	switch {
	case a == b || f.all[upper].kind == MidAir:
	case ka == kb && ka != MidAir:
		f.sets[max(a, b)] = min(a, b)
	case ka == MidAir && kb == Cantilever && f.all[a].under.liesOn == noPart:
		f.sets[b] = a
	case kb == MidAir && ka == Cantilever && f.all[b].under.liesOn == noPart:
		f.sets[a] = b
	}
}

// regions lists what came of it, in the order of their first pieces, without
// the trifles.
func (f *following) regions() []Region {
	at := make([]int, len(f.all))
	for i := range at {
		at[i] = -1
	}
	var out []Region
	for i := range f.all {
		p, root := &f.all[i], find(f.sets, int32(i))
		first := at[root] < 0
		if first {
			at[root] = len(out)
			out = append(out, Region{Part: p.part, First: p.layer, Kind: f.all[root].kind, Drop: -1})
		}
		r := &out[at[root]]
		r.Last = p.layer
		r.Area += p.area
		if p.kind == r.Kind && (p.kind == MidAir || r.AtLayer == 0 || p.span > r.Span) {
			r.Span, r.At, r.AtLayer = p.span, p.at, p.layer
		}
		r.lookDown(&p.under)
	}
	return slices.DeleteFunc(out, func(r Region) bool { return r.Kind == Cantilever && r.Span < MinReach })
}

// lookDown takes over what lies below a piece.
func (r *Region) lookDown(u *under) {
	if !u.known {
		return
	}
	if r.Drop < 0 || u.drop < r.Drop {
		r.Drop, r.OverPart = u.drop, nil
		if u.over != noPart {
			over := u.over
			r.OverPart = &over
		}
	}
	if u.liesOn != noPart {
		on := u.liesOn
		r.LiesOn, r.AirLayers = &on, u.air
	}
}

// neighbours lists the pairs of a piece from..mid and one of mid..to of the
// same part that lie within a distance, by the latter, then the former.
func (f *following) neighbours(from, mid, to int, within float64) [][2]int32 {
	var out [][2]int32
	lower, upper := from, mid
	for lower < mid && upper < to {
		lo, up := f.endOfPart(lower, mid), f.endOfPart(upper, to)
		switch a, b := f.all[lower].part, f.all[upper].part; {
		case a < b:
			lower = lo
		case a > b:
			upper = up
		default:
			out = f.facing(lower, lo, upper, up, within, out)
			lower, upper = lo, up
		}
	}
	slices.SortFunc(out, func(a, b [2]int32) int {
		return cmp.Or(cmp.Compare(a[1], b[1]), cmp.Compare(a[0], b[0]))
	})
	return out
}

func (f *following) endOfPart(i, end int) int {
	j := i
	for j < end && f.all[j].part == f.all[i].part {
		j++
	}
	return j
}

// facing appends the pairs of a piece a0..a1 and one of b0..b1 that lie within
// a distance. Both are walked by their left ends; what ends too far left of the
// present one is let go.
func (f *following) facing(a0, a1, b0, b1 int, within float64, out [][2]int32) [][2]int32 {
	order := make([]int32, 0, a1-a0+b1-b0)
	for _, s := range [2][2]int{{a0, a1}, {b0, b1}} {
		for i := s[0]; i < s[1]; i++ {
			order = append(order, int32(i))
		}
	}
	slices.SortFunc(order, func(a, b int32) int {
		return cmp.Or(cmp.Compare(f.all[a].box.u0, f.all[b].box.u0), cmp.Compare(a, b))
	})
	var open [2][]int32 // lower, upper
	for _, i := range order {
		p, is := &f.all[i], 0
		if int(i) >= b0 {
			is = 1
		}
		keep := open[1-is][:0]
		for _, j := range open[1-is] {
			q := &f.all[j]
			if q.box.u1+within+max(p.step, q.step) < p.box.u0 {
				continue
			}
			keep = append(keep, j)
			if beside(p, q, within) {
				out = append(out, [2]int32{min(i, j), max(i, j)})
			}
		}
		open[1-is] = keep
		open[is] = append(open[is], i)
	}
	return out
}

// beside says whether two pieces lie within a distance, or a little more: as
// far as their rows are apart.
func beside(a, b *piece, within float64) bool {
	within += max(a.step, b.step)
	if a.box.u0 > b.box.u1+within || b.box.u0 > a.box.u1+within ||
		a.box.v0 > b.box.v1+within || b.box.v0 > a.box.v1+within {
		return false
	}
	first := 0
	for i := range a.rows {
		r := &a.rows[i]
		for first < len(b.rows) && b.rows[first].v < r.v-within {
			first++
		}
		for j := first; j < len(b.rows) && b.rows[j].v <= r.v+within; j++ {
			s := &b.rows[j]
			du, dv := max(s.u0-r.u1, r.u0-s.u1, 0), s.v-r.v
			if float64(du*du)+float64(dv*dv) <= within*within {
				return true
			}
		}
	}
	return false
}
