package mesh

// weldRun is the number of triangles that are welded by themselves first:
// few enough for their table to fit a cache, many enough that few vertices
// are shared with other runs.
const weldRun = 1 << 13

// weldedRun is triangles welded by themselves.
type weldedRun struct {
	// from is the place of the first triangle; t holds the facets that are
	// left, from that place on, by vertices of the run.
	from int
	t    [][3]int32
	// vertices holds the run's vertices by share, each share in the order of
	// first appearance: share s is vertices[start[s]:start[s+1]].
	vertices []runVertex
	start    [weldShares + 1]int32
	// fresh is how many of them appear in no run before, first the number of
	// the first such vertex in the mesh.
	fresh, first int32
}

// runVertex is a vertex of a run.
type runVertex struct {
	key key
	// shared is its number in its share.
	shared int32
	// local is its number in the run.
	local uint16
	// fresh says that it appears in no run before.
	fresh bool
}

// runWelder welds runs, one after the other.
type runWelder struct {
	// slots finds vertices by their bits, open addressing: each holds a
	// vertex plus one.
	slots  []uint16
	keys   []key
	share  []uint8 // of each key
	strewn []float32
}

func newRunWelder(size int) *runWelder {
	// No more than three corners a triangle, so never full.
	n := 16
	for n < 4*size {
		n *= 2
	}
	return &runWelder{slots: make([]uint16, n)}
}

// weld welds the triangles from one place of an order to another.
func (w *runWelder) weld(xyz []float32, order []int32, t [][3]int32, from, to int) weldedRun {
	clear(w.slots)
	w.keys, w.share = w.keys[:0], w.share[:0]
	if order == nil {
		xyz = xyz[9*from : 9*to]
	} else {
		// By itself, so that the processor waits for many at a time.
		w.strewn = w.strewn[:0]
		for _, i := range order[from:to] {
			w.strewn = append(w.strewn, xyz[9*i:9*i+9]...)
		}
		xyz = w.strewn
	}
	end := from
	for i := range to - from {
		x := xyz[9*i : 9*i+9 : 9*i+9]
		a, b, c := keyOf(x), keyOf(x[3:]), keyOf(x[6:])
		if a == b || b == c || c == a {
			continue
		}
		if order != nil {
			order[end] = order[from+i]
		}
		t[end] = [3]int32{w.vertex(a), w.vertex(b), w.vertex(c)}
		end++
	}
	r := weldedRun{from: from, t: t[from:end]}
	w.divide(&r)
	return r
}

// vertex is the index of a key in the run; it is added where it is new.
func (w *runWelder) vertex(k key) int32 {
	h, mask := k.hash(), uint64(len(w.slots)-1)
	for i := h & mask; ; i = (i + 1) & mask {
		s := w.slots[i]
		if s == 0 {
			w.keys = append(w.keys, k)
			w.share = append(w.share, uint8(h>>(64-weldShareBits)))
			w.slots[i] = uint16(len(w.keys))
			return int32(len(w.keys) - 1)
		}
		if w.keys[s-1] == k {
			return int32(s - 1)
		}
	}
}

// divide sorts the vertices of a run by share.
func (w *runWelder) divide(r *weldedRun) {
	r.vertices = make([]runVertex, len(w.keys))
	for _, s := range w.share {
		r.start[s+1]++
	}
	for s := range weldShares {
		r.start[s+1] += r.start[s]
	}
	next := r.start
	for i, s := range w.share {
		r.vertices[next[s]] = runVertex{key: w.keys[i], local: uint16(i)}
		next[s]++
	}
}
