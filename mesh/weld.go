package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// key is the bits of a vertex; -0 and 0 have the same.
type key [3]uint32

func keyOf(x []float32) key {
	// -0 + 0 is 0.
	return key{math.Float32bits(x[0] + 0), math.Float32bits(x[1] + 0), math.Float32bits(x[2] + 0)}
}

// hash spreads a key over 64 bits.
func (k key) hash() uint64 {
	h := (uint64(k[0])|uint64(k[1])<<32)*0x9E3779B97F4A7C15 ^ uint64(k[2])*0xC2B2AE3D27D4EB4F
	h ^= h >> 32
	h *= 0xD6E8FEB86659FD93
	return h ^ h>>32
}

// weldTable finds vertices by their bits: open addressing over a power of
// two, half full at most. A slot holds the upper half of the hash and the
// vertex plus one, so that a wrong vertex is seldom looked at.
type weldTable struct {
	slots []uint64
	keys  []key
	// recent holds vertices by their hash, plus one: most corners belong to
	// a triangle shortly before, and the whole table does not fit a cache.
	recent [recentSlots]int32
}

const recentSlots = 1 << 14

func newWeldTable(vertices int) *weldTable {
	n := 16
	for n < 2*vertices {
		n *= 2
	}
	return &weldTable{slots: make([]uint64, n), keys: make([]key, 0, vertices)}
}

// vertex is the index of a key, which is added where it is new.
func (w *weldTable) vertex(k key) int32 {
	h := k.hash()
	r := &w.recent[h>>32%recentSlots]
	if v := *r - 1; v >= 0 && w.keys[v] == k {
		return v
	}
	*r = w.find(k, h) + 1
	return *r - 1
}

func (w *weldTable) find(k key, h uint64) int32 {
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

// weld makes equal corners one vertex, numbered by first appearance. Facets
// with two equal corners are left out and counted, their other corners too.
// It takes the triangles in the given order, if there is one, and leaves out
// of that what it leaves out.
func weld(xyz []float32, order []int32) (v []r3.Vec, t [][3]int32, kept []int32, dropped int) {
	n := len(xyz) / 9
	kept = order[:0]
	t = make([][3]int32, 0, n)
	// A closed surface has half as many vertices as facets.
	w := newWeldTable(n/2 + n/8)
	for i := range n {
		if order != nil {
			i = int(order[i])
		}
		x := xyz[9*i : 9*i+9 : 9*i+9]
		a, b, c := keyOf(x), keyOf(x[3:]), keyOf(x[6:])
		if a == b || b == c || c == a {
			dropped++
			continue
		}
		if order != nil {
			kept = append(kept, int32(i))
		}
		t = append(t, [3]int32{w.vertex(a), w.vertex(b), w.vertex(c)})
	}
	v = make([]r3.Vec, len(w.keys))
	for i, k := range w.keys {
		v[i] = r3.Vec{
			X: float64(math.Float32frombits(k[0])),
			Y: float64(math.Float32frombits(k[1])),
			Z: float64(math.Float32frombits(k[2])),
		}
	}
	return v, t, kept, dropped
}
