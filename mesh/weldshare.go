package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/parallel"
)

// The vertices of all runs are divided by their hash into shares that have no
// vertex in common: enough of them that the table over one fits a cache.
const (
	weldShareBits = 6
	weldShares    = 1 << weldShareBits
)

// numberVertices makes equal vertices of all runs one, lists the vertices by
// first appearance and puts their numbers into the runs' facets.
func numberVertices(runs []weldedRun) []r3.Vec {
	var sizes [weldShares]int
	parallel.EachWorker(weldShares, func() func(int) {
		var table weldTable
		return func(s int) { sizes[s] = table.weld(runs, s) }
	})
	// The vertices of share s are those from starts[s] on, of all shares one
	// after the other.
	var starts [weldShares + 1]int
	for s, n := range sizes {
		starts[s+1] = starts[s] + n
	}
	parallel.Each(len(runs), func(i int) { runs[i].countFresh() })
	all := int32(0)
	for i := range runs {
		runs[i].first = all
		all += runs[i].fresh
	}
	number := make([]int32, all) // in the mesh, of each vertex of the shares
	parallel.EachWorker(len(runs), func() func(int) {
		var at []int32
		return func(i int) { at = runs[i].number(&starts, number, at) }
	})
	v := make([]r3.Vec, all)
	parallel.EachWorker(len(runs), func() func(int) {
		var ids []int32
		return func(i int) { ids = runs[i].place(&starts, number, v, ids) }
	})
	return v
}

// weldTable finds the vertices of a share by their bits: open addressing over
// a power of two, half full at most. A slot holds the upper half of the hash
// and the vertex plus one, so that a wrong vertex is seldom looked at.
type weldTable struct {
	slots []uint64
	keys  []key
}

// weld numbers the vertices of a share by first appearance and returns how
// many there are.
func (w *weldTable) weld(runs []weldedRun, share int) int {
	all := 0
	for i := range runs {
		all += int(runs[i].start[share+1] - runs[i].start[share])
	}
	w.reset(all)
	for i := range runs {
		r := &runs[i]
		vs := r.vertices[r.start[share]:r.start[share+1]]
		for k := range vs {
			known := len(w.keys)
			vs[k].shared = w.find(vs[k].key)
			vs[k].fresh = len(w.keys) > known
		}
	}
	return len(w.keys)
}

// reset empties the table and makes room for n vertices.
func (w *weldTable) reset(n int) {
	size := 16
	for size < 2*n {
		size *= 2
	}
	if size > cap(w.slots) {
		w.slots = make([]uint64, size)
	} else {
		w.slots = w.slots[:size]
		clear(w.slots)
	}
	w.keys = w.keys[:0]
}

// find is the index of a key, which is added where it is new.
func (w *weldTable) find(k key) int32 {
	h := k.hash()
	tag, mask := h&^math.MaxUint32, uint64(len(w.slots)-1)
	for i := h & mask; ; i = (i + 1) & mask {
		s := w.slots[i]
		if s == 0 {
			w.keys = append(w.keys, k)
			w.slots[i] = tag | uint64(len(w.keys))
			if 2*len(w.keys) > len(w.slots) {
				w.grow()
			}
			return int32(len(w.keys) - 1)
		}
		if s&^math.MaxUint32 == tag {
			if v := int32(s&math.MaxUint32) - 1; w.keys[v] == k {
				return v
			}
		}
	}
}

// grow makes room for twice as many vertices.
func (w *weldTable) grow() {
	w.slots = make([]uint64, 2*len(w.slots))
	mask := uint64(len(w.slots) - 1)
	for v, k := range w.keys {
		h := k.hash()
		i := h & mask
		for w.slots[i] != 0 {
			i = (i + 1) & mask
		}
		w.slots[i] = h&^math.MaxUint32 | uint64(v+1)
	}
}

func (r *weldedRun) countFresh() {
	for i := range r.vertices {
		if r.vertices[i].fresh {
			r.fresh++
		}
	}
}

// number gives numbers in the mesh to the run's fresh vertices, by first
// appearance. at is memory that it uses and returns.
func (r *weldedRun) number(starts *[weldShares + 1]int, number, at []int32) []int32 {
	at = resized(at, len(r.vertices))
	for s := range weldShares {
		for _, v := range r.vertices[r.start[s]:r.start[s+1]] {
			at[v.local] = -1
			if v.fresh {
				at[v.local] = int32(starts[s]) + v.shared
			}
		}
	}
	n := r.first
	for _, i := range at {
		if i >= 0 {
			number[i] = n
			n++
		}
	}
	return at
}

// place puts the vertices where they belong and their numbers into the run's
// facets; then the run has done its duty. ids is memory that it uses and
// returns.
func (r *weldedRun) place(starts *[weldShares + 1]int, number []int32, v []r3.Vec, ids []int32) []int32 {
	ids = resized(ids, len(r.vertices))
	for s := range weldShares {
		for i := r.start[s]; i < r.start[s+1]; i++ {
			c := &r.vertices[i]
			id := number[int32(starts[s])+c.shared]
			ids[c.local] = id
			if c.fresh {
				v[id] = c.key.vec()
			}
		}
	}
	for i := range r.t {
		c := &r.t[i]
		*c = [3]int32{ids[c[0]], ids[c[1]], ids[c[2]]}
	}
	r.vertices = nil
	return ids
}

// resized is memory for n numbers, whatever they were.
func resized(m []int32, n int) []int32 {
	if n > cap(m) {
		return make([]int32, n)
	}
	return m[:n]
}
