package slice

import (
	"sync"

	"playgauge/mesh"
)

// Cutter cuts the layers of a plan one by one, in any order: Cut for those who
// do not keep them. Several goroutines may cut at once.
type Cutter struct {
	m    *mesh.Mesh
	plan Plan
	lv   *levels
	// recede is how far walls recede, mm, as by Inset.
	recede float64

	mu   sync.Mutex
	idle []*cutting
}

// cutting is the memory of one layer's cut.
type cutting struct {
	w  *walker
	in insetter
}

// NewCutter readies the layers of a mesh, with every wall receded by recede mm
// as by Inset.
func NewCutter(m *mesh.Mesh, p Plan, recede float64) *Cutter {
	return &Cutter{m: m, plan: p, lv: newLevels(m, p, 1, p.Layers), recede: recede}
}

// Layer cuts layer n, which counts from 1.
func (c *Cutter) Layer(n int) *Layer {
	k := c.take()
	l := k.w.layer(n)
	if c.recede > 0 {
		l = k.in.layer(&l)
	}
	c.mu.Lock()
	c.idle = append(c.idle, k)
	c.mu.Unlock()
	return &l
}

func (c *Cutter) take() *cutting {
	c.mu.Lock()
	defer c.mu.Unlock()
	if n := len(c.idle); n > 0 {
		k := c.idle[n-1]
		c.idle = c.idle[:n-1]
		return k
	}
	return &cutting{w: newWalker(c.m, c.plan, c.lv), in: insetter{c: c.recede}}
}
