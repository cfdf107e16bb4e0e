package near

import (
	"sync"
	"sync/atomic"

	"playgauge/mesh/parallel"
	"playgauge/slice"
)

// Layers hands out the index of each layer of a stack, counted from 1. Any
// number of goroutines may ask at once. What is handed out stays as it is.
type Layers struct {
	at []atomic.Pointer[Index]
	// used says of each layer that it was asked for since it was last passed
	// over. nil where all layers stay.
	used []atomic.Bool
	// cut cuts a layer that is not there; nil where all are.
	cut func(n int) *slice.Layer
	// cutting is held while a layer is cut, so that no other does the same:
	// layer n by the mutex of n modulo their number.
	cutting [8]sync.Mutex

	mu sync.Mutex // over what follows
	// there lists the layers that are there, those that are to go first first.
	there []int
	// points of the layers that are there, and the most of them; fewest is the
	// number of layers that are kept whatever they have.
	points, most, fewest int
	// cuts counts the layers cut so far.
	cuts int
}

// IndexAll indexes all layers of a stack, side by side.
func IndexAll(st *slice.Stack) *Layers { return IndexSome(st, 1, len(st.Layers)) }

// IndexSome is IndexAll for layers from to to only; the others count as empty.
func IndexSome(st *slice.Stack, from, to int) *Layers {
	l := &Layers{at: make([]atomic.Pointer[Index], len(st.Layers))}
	none := New(&slice.Layer{})
	for i := range l.at {
		if n := i + 1; n < from || n > to {
			l.at[i].Store(none)
		}
	}
	parallel.Each(to-from+1, func(i int) { l.at[from-1+i].Store(New(&st.Layers[from-1+i])) })
	return l
}

// Window gives n layers of which each is cut when it is asked for. While those
// that are there have more than most points, and are more than fewest, the one
// that was cut longest ago is dropped, unless it was asked for meanwhile: then
// it is passed over once. What was dropped is cut again where it is asked for.
// cut must give the same layer each time; of one layer it is not called twice
// at once.
//
// That saves memory where layers are asked for about in their order. Whoever
// asks back so often that each layer would be cut more than twice gets all of
// them kept from there on.
func Window(n, most, fewest int, cut func(n int) *slice.Layer) *Layers {
	return &Layers{
		at: make([]atomic.Pointer[Index], n), used: make([]atomic.Bool, n),
		cut: cut, most: most, fewest: fewest,
	}
}

// Len is the number of layers.
func (l *Layers) Len() int { return len(l.at) }

// At is the index of layer n.
func (l *Layers) At(n int) *Index {
	if ix := l.at[n-1].Load(); ix != nil {
		if l.used != nil && !l.used[n-1].Load() {
			l.used[n-1].Store(true)
		}
		return ix
	}
	m := &l.cutting[n%len(l.cutting)]
	m.Lock()
	defer m.Unlock()
	if ix := l.at[n-1].Load(); ix != nil {
		return ix
	}
	ix := New(l.cut(n))
	l.at[n-1].Store(ix)
	l.keep(n, len(ix.Layer.Pts))
	return ix
}

// keep notes that layer n is there, and drops others.
func (l *Layers) keep(n, points int) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.there = append(l.there, n)
	l.used[n-1].Store(true)
	l.points += points
	if l.cuts++; l.cuts > 2*len(l.at) {
		return
	}
	for l.points > l.most && len(l.there) > l.fewest {
		first := l.there[0]
		l.there = l.there[1:]
		if l.used[first-1].Swap(false) {
			l.there = append(l.there, first)
			continue
		}
		old := &l.at[first-1]
		l.points -= len(old.Load().Layer.Pts)
		old.Store(nil)
	}
}
