package report

import (
	"math"
	"sync"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh"
	"playgauge/mesh/parallel"
	"playgauge/slice"
)

// Layers is the layers of a model as the page draws them. It is filled while
// they are cut, so that nobody need keep them.
type Layers struct {
	ids []int // of parts

	mu     sync.Mutex
	packed []string          // of layer n at n-1, as drawing.islands says
	alike  []bool            // the same for layers that are drawn as the one below
	have   map[string]string // of packed, so that layers alike share one
	box    r2.Box
	idle   []*packer
}

// NewLayers readies the page's layers of a model with these parts.
func NewLayers(parts []mesh.Part) *Layers {
	l := newLayers(make([]int, len(parts)))
	for i := range parts {
		l.ids[i] = parts[i].ID
	}
	return l
}

func newLayers(ids []int) *Layers {
	nothing := r2.Vec{X: math.Inf(1), Y: math.Inf(1)}
	return &Layers{ids: ids, have: map[string]string{}, box: r2.Box{Min: nothing, Max: r2.Scale(-1, nothing)}}
}

// Add draws a layer, as it was cut, or as the one below where the two are alike.
// Layers may be added in any order, several at once; those that never are stay
// blank. l is not kept.
func (ls *Layers) Add(l *slice.Layer, alike bool) {
	if alike {
		ls.mu.Lock()
		defer ls.mu.Unlock()
		ls.reach(l.Number)
		ls.alike[l.Number-1] = true
		return
	}
	p := ls.take()
	packed := p.islands(l, ls.ids)
	ls.mu.Lock()
	defer ls.mu.Unlock()
	ls.reach(l.Number)
	piece, ok := ls.have[string(packed)]
	if !ok {
		piece = string(packed)
		ls.have[piece] = piece
	}
	ls.packed[l.Number-1] = piece
	for i := range l.Islands {
		b := &l.Islands[i].Box
		ls.box.Min = r2.Vec{X: min(ls.box.Min.X, b.Min.X), Y: min(ls.box.Min.Y, b.Min.Y)}
		ls.box.Max = r2.Vec{X: max(ls.box.Max.X, b.Max.X), Y: max(ls.box.Max.Y, b.Max.Y)}
	}
	ls.idle = append(ls.idle, p)
}

// reach makes room for layer n.
func (ls *Layers) reach(n int) {
	if more := n - len(ls.packed); more > 0 {
		ls.packed = append(ls.packed, make([]string, more)...)
		ls.alike = append(ls.alike, make([]bool, more)...)
	}
}

// AddAll adds the layers of a stack, side by side.
func (ls *Layers) AddAll(st *slice.Stack) {
	parallel.Each(len(st.Layers), func(i int) { ls.Add(&st.Layers[i], false) })
}

func (ls *Layers) take() *packer {
	ls.mu.Lock()
	defer ls.mu.Unlock()
	if n := len(ls.idle); n > 0 {
		p := ls.idle[n-1]
		ls.idle = ls.idle[:n-1]
		return p
	}
	return new(packer)
}

// bounds is the box round all layers: least x and y, greatest x and y, mm.
func (ls *Layers) bounds() (b [4]float64) {
	if !(ls.box.Max.X >= ls.box.Min.X) {
		return b
	}
	for k, v := range [4]float64{ls.box.Min.X, ls.box.Min.Y, ls.box.Max.X, ls.box.Max.Y} {
		b[k] = math.Round(v*100) / 100
	}
	return b
}
