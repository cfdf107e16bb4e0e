package gapscan

import (
	"sync"

	"playgauge/gapscan/overhang"
	"playgauge/mesh"
	"playgauge/slice"
	"playgauge/slice/near"
)

// kept holds what a scan finds in a stack before it looks at what the machine
// keeps open, so that the next machine does not look for it again. The zero
// value holds nothing. What is handed out is only read.
type kept struct {
	mu    sync.Mutex // held while something is looked for: who asks for it meanwhile waits
	stack *slice.Stack
	// recede says that the walls of the stack recede from the mesh's.
	recede bool
	index  *near.Layers
	pairs  map[float64][]pair // by reach
	hangs  map[hangBy]hanging
}

// hangBy is what a hanging depends on: how far apart parts are looked at, and
// the tangent of the overhang angle.
type hangBy struct{ reach, tanHang float64 }

// hanging is what the layers show of one part alone: what hangs, and the
// regions that roofs begin with, of layer n at n-1.
type hanging struct {
	slabs    []slabs
	over     *overhang.Overhangs
	outlines [][]overhang.Outline
}

// indexes is the index of each layer.
func (k *kept) indexes(s *slice.Stack) *near.Layers {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.index == nil {
		k.index = near.IndexAll(s)
	}
	return k.index
}

// joints is the pairs of parts within reach.
func (k *kept) joints(m *mesh.Mesh, p slice.Plan, reach float64) []pair {
	k.mu.Lock()
	defer k.mu.Unlock()
	found, ok := k.pairs[reach]
	if !ok {
		if k.pairs == nil {
			k.pairs = map[float64][]pair{}
		}
		found = findPairs(m, reach, slackOf(p))
		k.pairs[reach] = found
	}
	return found
}

// hanging is what an earlier scan found, if there was one. It is found layer by
// layer with all else, so that scans side by side may each look for it.
func (k *kept) hanging(reach, tanHang float64) (hanging, bool) {
	k.mu.Lock()
	defer k.mu.Unlock()
	h, ok := k.hangs[hangBy{reach, tanHang}]
	return h, ok
}

func (k *kept) keep(reach, tanHang float64, h hanging) {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.hangs == nil {
		k.hangs = map[hangBy]hanging{}
	}
	k.hangs[hangBy{reach, tanHang}] = h
}

// keptBy holds a kept for each depth by which the walls of a stack recede.
type keptBy struct {
	mu sync.Mutex
	by map[float64]*kept
}

// of is what is kept of a stack whose walls recede by c mm.
func (b *keptBy) of(s *slice.Stack, c float64) *kept {
	b.mu.Lock()
	defer b.mu.Unlock()
	k := b.by[c]
	if k == nil {
		if b.by == nil {
			b.by = map[float64]*kept{}
		}
		k = &kept{stack: slice.Inset(s, c), recede: c > 0}
		b.by[c] = k
	}
	return k
}
