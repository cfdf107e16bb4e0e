package smallpart

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// cell is a box of rotations: those of the quaternions with 1 in part face
// and mid +- half in the others. The four boxes of mid 0 and half 1 hold every
// rotation, for its largest part can be made 1.
type cell struct {
	face      int
	mid, half [3]float64
}

// program returns the linear program of the cell's rotations, and the unit
// quaternion of its middle.
func (c cell) program() (program, quat) {
	var q quat
	q[c.face] = 1
	var part [3]int
	for i, k := 0, 0; k < 4; k++ {
		if k != c.face {
			part[i] = k
			q[k] = c.mid[i]
			i++
		}
	}
	size := q.norm()
	q = q.unit()
	lp := program{rot: q.matrix()}
	// q' (middle + y) = size (1 + k.y, lean y): its turn has the Rodrigues
	// vector r = lean y/(1 + k.y), and k sin(t)/2 = r/(1 + r.r) lies no
	// farther out, so that both lie in the box widened for the least 1 + k.y.
	var k [3]float64
	room := 1.0
	back := q.conj()
	for i, p := range part {
		var e quat
		e[p] = 1
		v := back.mul(e)
		lp.lean[i] = r3.Vec{X: v[1] / size, Y: v[2] / size, Z: v[3] / size}
		k[i] = q[p] / size
		room -= float64(math.Abs(k[i]) * c.half[i])
	}
	for i := range lp.half {
		lp.half[i] = c.half[i] / room
	}
	// |r| is quasiconvex in y, so it is greatest at a corner.
	var far float64
	for corner := range 8 {
		down := 1.0
		var r r3.Vec
		for i := range 3 {
			y := c.half[i]
			if corner>>i&1 == 1 {
				y = -y
			}
			down += float64(k[i] * y)
			r = r3.Add(r, r3.Scale(y, lp.lean[i]))
		}
		far = max(far, dot(r, r)/sq(down))
	}
	lp.bend = 2 * far / (1 + far)
	return lp, q
}

// split halves the cell across its longest side.
func (c cell) split() [2]cell {
	i := 0
	for j := range c.half {
		if c.half[j] > c.half[i] {
			i = j
		}
	}
	a, b := c, c
	h := c.half[i] / 2
	a.half[i], b.half[i] = h, h
	a.mid[i] -= h
	b.mid[i] += h
	return [2]cell{a, b}
}
