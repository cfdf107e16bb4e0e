package bvh

import (
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r3"
)

// surface of a test: corners and facets.
type model struct {
	v []r3.Vec
	t [][3]int32
}

func (m *model) tree() *Tree {
	all := make([]int32, len(m.t))
	for i := range all {
		all[i] = int32(i)
	}
	return New(m.v, m.t, all)
}

func (m *model) corners(f int) [3]r3.Vec {
	k := m.t[f]
	return [3]r3.Vec{m.v[k[0]], m.v[k[1]], m.v[k[2]]}
}

func (m *model) quad(a, b, c, d int32) { m.t = append(m.t, [3]int32{a, b, c}, [3]int32{a, c, d}) }

// moved returns the model with every vertex put through f.
func (m *model) moved(f func(r3.Vec) r3.Vec) *model {
	out := &model{v: make([]r3.Vec, len(m.v)), t: m.t}
	for i, p := range m.v {
		out.v[i] = f(p)
	}
	return out
}

func (m *model) inward() *model {
	out := &model{v: m.v}
	for _, k := range m.t {
		out.t = append(out.t, [3]int32{k[0], k[2], k[1]})
	}
	return out
}

// soup makes facets that share no vertex.
func soup(facets ...[3]r3.Vec) *model {
	m := &model{}
	for _, f := range facets {
		n := int32(len(m.v))
		m.v = append(m.v, f[0], f[1], f[2])
		m.t = append(m.t, [3]int32{n, n + 1, n + 2})
	}
	return m
}

func joinedModel(ms ...*model) *model {
	out := &model{}
	for _, m := range ms {
		n := int32(len(out.v))
		out.v = append(out.v, m.v...)
		for _, k := range m.t {
			out.t = append(out.t, [3]int32{k[0] + n, k[1] + n, k[2] + n})
		}
	}
	return out
}

func vec(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

// brick is a box between two corners.
func brick(lo, hi r3.Vec) *model {
	m := &model{}
	for i := range 8 {
		p := lo
		if i&1 != 0 {
			p.X = hi.X
		}
		if i&2 != 0 {
			p.Y = hi.Y
		}
		if i&4 != 0 {
			p.Z = hi.Z
		}
		m.v = append(m.v, p)
	}
	m.quad(0, 2, 3, 1)
	m.quad(4, 5, 7, 6)
	m.quad(0, 1, 5, 4)
	m.quad(2, 6, 7, 3)
	m.quad(0, 4, 6, 2)
	m.quad(1, 3, 7, 5)
	return m
}

// ringed is a closed surface of rows that each are a closed ring of n
// vertices; the first and last ring end in a middle point.
func ringed(n, rows int, at func(row, k int) r3.Vec, bottom, top r3.Vec) *model {
	m := &model{}
	for row := range rows {
		for k := range n {
			m.v = append(m.v, at(row, k))
		}
	}
	id := func(row, k int) int32 { return int32(row*n + k%n) }
	for row := range rows - 1 {
		for k := range n {
			m.quad(id(row, k), id(row, k+1), id(row+1, k+1), id(row+1, k))
		}
	}
	lo, hi := int32(len(m.v)), int32(len(m.v)+1)
	m.v = append(m.v, bottom, top)
	for k := range n {
		m.t = append(m.t, [3]int32{lo, id(0, k+1), id(0, k)}, [3]int32{hi, id(rows-1, k), id(rows-1, k+1)})
	}
	return m
}

// turn is the direction number k of n in plan, exact on the axes.
func turn(k float64, n int) (c, s float64) {
	s, c = math.Sincos(2 * math.Pi * k / float64(n))
	switch 4 * k / float64(n) {
	case 0:
		return 1, 0
	case 1:
		return 0, 1
	case 2:
		return -1, 0
	case 3:
		return 0, -1
	}
	return c, s
}

// pin is an upright n-sided prism with its side in rows.
func pin(n, rows int, radius, z0, z1, phase float64) *model {
	return ringed(n, rows+1, func(row, k int) r3.Vec {
		c, s := turn(float64(k)+phase, n)
		return vec(radius*c, radius*s, z0+(z1-z0)*float64(row)/float64(rows))
	}, vec(0, 0, z0), vec(0, 0, z1))
}

// wall is the side of a pin alone: an open tube.
func wall(n, rows int, radius, z0, z1, phase float64) *model {
	m := pin(n, rows, radius, z0, z1, phase)
	m.t = m.t[:2*n*rows]
	return m
}

// ball is a sphere of 2n by n, its vertices on the radius.
func ball(n int, radius float64) *model {
	return ringed(2*n, n-1, func(row, k int) r3.Vec {
		c, s := turn(float64(k), 2*n)
		sr, cr := math.Sincos(math.Pi * float64(row+1) / float64(n))
		return vec(radius*sr*c, radius*sr*s, -radius*cr)
	}, vec(0, 0, -radius), vec(0, 0, radius))
}

// torus lies flat round the origin; vertices on its axes are exact.
func torus(n, m int, big, small float64) *model {
	out := &model{}
	for i := range n {
		c, s := turn(float64(i), n)
		for j := range m {
			cc, ss := turn(float64(j), m)
			out.v = append(out.v, vec((big+small*cc)*c, (big+small*cc)*s, small*ss))
		}
	}
	id := func(i, j int) int32 { return int32(i%n*m + j%m) }
	for i := range n {
		for j := range m {
			out.quad(id(i, j), id(i+1, j), id(i+1, j+1), id(i, j+1))
		}
	}
	return out
}

// washer is a flat ring.
func washer(n int, inner, outer, z0, z1 float64) *model {
	m := &model{}
	for k := range n {
		c, s := turn(float64(k), n)
		m.v = append(m.v, vec(outer*c, outer*s, z0), vec(outer*c, outer*s, z1), vec(inner*c, inner*s, z1), vec(inner*c, inner*s, z0))
	}
	id := func(k, j int) int32 { return int32(k%n*4 + j%4) }
	for k := range n {
		for j := range 4 {
			m.quad(id(k, j), id(k+1, j), id(k+1, j+1), id(k, j+1))
		}
	}
	return m
}

// random facets in a box of the given size.
func random(rng *rand.Rand, n int, size, spread float64) *model {
	m := &model{}
	for range n {
		o := vec(rng.Float64()*size, rng.Float64()*size, rng.Float64()*size)
		var f [3]r3.Vec
		for i := range f {
			f[i] = r3.Add(o, vec(rng.Float64()*spread, rng.Float64()*spread, rng.Float64()*spread))
		}
		k := int32(len(m.v))
		m.v = append(m.v, f[:]...)
		m.t = append(m.t, [3]int32{k, k + 1, k + 2})
	}
	return m
}
