package smallpart

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// program is a linear program that bounds the slack over a set of rotations.
//
// The rotations are rot exp([k]t) with k sin(t)/2 = lean y, |y_i| <= half_i
// and 1-cos(t) <= bend. With n a wall's outward unit normal and b its
// distance, a point p of the body keeps the slack s inside that wall when
// n.(Q p + move) + s <= b. By Rodrigues' formula, with m = rot' n,
//
//	n.Q p = m.p + 2 (k sin(t)/2).(p x m) + (1-cos t) ((m.k)(p.k) - m.p)
//	     >= m.p + 2 (lean y).(p x m) - bend (m.p + |p|)/2
//
// for (m.k)(p.k) is at least (m.p - |p|)/2. So the largest s over y, move
// that meets these inequalities, for any choice of points and normals, is no
// less than the slack of any rotation of the set. With bend 0 it is the first
// order model around rot that a step follows.
type program struct {
	rot  matrix
	lean [3]r3.Vec // columns
	half [3]float64
	bend float64

	// The simplex method works on seven unknowns, y, move and s, of which
	// seven inequalities hold as equations; inv is the inverse of their
	// matrix. Its last row holds their multipliers, never negative: any
	// value of s on the way is a bound already.
	inv  [7][7]float64
	x    [7]float64
	held [7]contact // by column of inv
}

// contact is a point of the body on a wall; p is one of the few, -1 for a
// bound of y.
type contact struct {
	p int
	n r3.Vec
	b float64
}

// contacts returns the points and walls that hold.
func (lp *program) contacts() []contact {
	out := make([]contact, 0, len(lp.held))
	for _, c := range lp.held {
		if c.p >= 0 {
			out = append(out, c)
		}
	}
	return out
}

// The normals of the first inequalities: rim, floor and two lines of the
// wall. Their positive sum can be 0, so they bound s.
var (
	rimNormal   = r3.Vec{Z: 1}
	floorNormal = r3.Vec{X: -1 / math.Sqrt2, Z: -1 / math.Sqrt2}
	firstNormal = [4]r3.Vec{rimNormal, floorNormal, {X: 0.5, Y: math.Sqrt(3) / 2}, {X: 0.5, Y: -math.Sqrt(3) / 2}}
	firstWall   = [4]float64{0, floorAt, radius, radius}
	firstInv    = inverse4(firstNormal)
)

// inverse4 inverts the matrix of rows (n, 1) by elimination.
func inverse4(n [4]r3.Vec) (inv [4][4]float64) {
	var a [4][8]float64
	for i, v := range n {
		a[i] = [8]float64{v.X, v.Y, v.Z, 1}
		a[i][4+i] = 1
	}
	for c := range 4 {
		p := c
		for i := c; i < 4; i++ {
			if math.Abs(a[i][c]) > math.Abs(a[p][c]) {
				p = i
			}
		}
		a[c], a[p] = a[p], a[c]
		f := a[c][c]
		for j := range 8 {
			a[c][j] /= f
		}
		for i := range 4 {
			if f := a[i][c]; i != c {
				for j := range 8 {
					a[i][j] -= float64(f * a[c][j])
				}
			}
		}
	}
	for i := range 4 {
		copy(inv[i][:], a[i][4:])
	}
	return inv
}

// row is the inequality g.x <= h.
type row struct {
	g [7]float64
	h float64
}

// wall returns the inequality of a point and a wall.
func (lp *program) wall(p vertex, n r3.Vec, b float64) row {
	m := lp.rot.mulT(n)
	d := dot(m, p.Vec)
	c := cross(p.Vec, m)
	return row{
		g: [7]float64{2 * dot(lp.lean[0], c), 2 * dot(lp.lean[1], c), 2 * dot(lp.lean[2], c), n.X, n.Y, n.Z, 1},
		h: b - d + float64(lp.bend*(d+p.r))/2,
	}
}

// start sets the unknowns to the point where the first walls' inequalities,
// each of its farthest vertex, and one bound of each y meet.
func (lp *program) start(b *body) {
	var far [4]int
	var most [4]float64
	var m [4]r3.Vec
	for k, n := range firstNormal {
		m[k] = lp.rot.mulT(n)
		most[k] = math.Inf(-1)
	}
	for i, p := range b.few {
		for k := range m {
			if d := float64((1-lp.bend/2)*dot(m[k], p.Vec)) - float64(lp.bend*p.r)/2; d > most[k] {
				most[k], far[k] = d, i
			}
		}
	}
	b.work += len(b.few)
	lp.inv = [7][7]float64{}
	var h [7]float64
	for j := range 3 {
		lp.held[j].p = -1
	}
	for k := range far {
		lp.held[3+k] = contact{far[k], firstNormal[k], firstWall[k]}
		r := lp.wall(b.few[far[k]], firstNormal[k], firstWall[k])
		h[3+k] = r.h
		for i := range 4 {
			lp.inv[3+i][3+k] = firstInv[i][k]
			for j := range 3 {
				lp.inv[3+i][j] -= float64(firstInv[i][k] * r.g[j])
			}
		}
	}
	for j := range 3 {
		sign := 1.0
		if lp.inv[6][j] < 0 {
			sign = -1
		}
		lp.inv[j][j] = sign
		for i := range 4 {
			lp.inv[3+i][j] *= sign
		}
		h[j] = lp.half[j]
	}
	for i := range lp.x {
		lp.x[i] = 0
		for j := range h {
			lp.x[i] += float64(lp.inv[i][j] * h[j])
		}
	}
}

// pivot lets r hold as an equation in place of another. It is false if
// rounding leaves no choice.
func (lp *program) pivot(c contact, r row) bool {
	var d [7]float64
	for i, g := range r.g {
		for j := range d {
			d[j] += float64(g * lp.inv[i][j])
		}
	}
	const tiny = 1e-11 // below this a coefficient is rounding
	out, least := -1, math.Inf(1)
	for j := range d {
		if d[j] > tiny {
			if q := max(0, lp.inv[6][j]) / d[j]; q < least {
				out, least = j, q
			}
		}
	}
	if out < 0 {
		return false
	}
	step := r.h
	for i, g := range r.g {
		step -= float64(g * lp.x[i])
	}
	for i := range lp.inv {
		f := lp.inv[i][out] / d[out]
		for j := range d {
			lp.inv[i][j] -= float64(d[j] * f)
		}
		lp.inv[i][out] = f
		lp.x[i] += float64(f * step)
	}
	lp.held[out] = c
	return true
}

// settled is the violation, in mm, below which an inequality counts as met:
// small against CloseMM.
const settled = 1e-4

// pivots limits the pivots of one program; most need 10 to 25.
const pivots = 60

// pivotWork is what a pivot costs, in points looked at.
const pivotWork = 40

// solve returns the greatest slack of the program.
func (lp *program) solve(b *body) float64 {
	return lp.bound(b, math.Inf(-1), nil)
}

// bound returns a bound on the greatest slack, in as few pivots as show on
// which side of enough it lies; one below enough is proved. It tries the known
// contacts first.
func (lp *program) bound(b *body, enough float64, known []contact) float64 {
	lp.start(b)
	rows := make([]row, len(known))
	for i, c := range known {
		rows[i] = lp.wall(b.few[c.p], c.n, c.b)
	}
	for range pivots {
		s := lp.x[6]
		if s < enough {
			return max(s, lp.proved(b))
		}
		b.work += pivotWork
		c, r, by := lp.box(b)
		for i := range rows {
			if over := lp.over(rows[i]); over > by {
				c, r, by = known[i], rows[i], over
			}
		}
		if by < settled {
			c, r, by = lp.worst(b)
			// With s less by the violation about all inequalities are met.
			if by < settled || (enough > math.Inf(-1) && by < (s-enough)/2) {
				break
			}
		}
		if !lp.pivot(c, r) {
			break
		}
	}
	return lp.x[6]
}

// proved returns the bound that the multipliers give by themselves, whatever
// rounding did to the unknowns on the way.
func (lp *program) proved(b *body) float64 {
	var sum, s float64
	var left [6]float64 // of y and move
	for j, c := range lp.held {
		share := lp.inv[6][j]
		if c.p < 0 || share <= 0 {
			continue
		}
		r := lp.wall(b.few[c.p], c.n, c.b)
		sum += share
		s += float64(share * r.h)
		for i := range left {
			left[i] += float64(share * r.g[i])
		}
	}
	b.work += pivotWork
	if sum <= 0 {
		return math.Inf(1)
	}
	// A body near the gauge has its middle within this of the rim's centre.
	const near = 100.0 // mm
	for i, g := range left {
		if i < 3 {
			s += float64(math.Abs(g) * lp.half[i])
		} else {
			s += float64(math.Abs(g) * near)
		}
	}
	return s / sum
}

// over is by how much the unknowns violate r.
func (lp *program) over(r row) float64 {
	d := -r.h
	for i, g := range r.g {
		d += float64(g * lp.x[i])
	}
	return d
}

// box returns the bound of a y that the unknowns violate most, if by more
// than 0: in mm, as a small angle moves a point by as much times its distance.
func (lp *program) box(b *body) (c contact, r row, by float64) {
	c.p = -1
	for j, h := range lp.half {
		if over := float64((math.Abs(lp.x[j]) - h) * b.reach); over > by {
			r, by = row{h: h}, over
			r.g[j] = math.Copysign(1, lp.x[j])
		}
	}
	return c, r, by
}

// worst returns an inequality of a wall that the unknowns violate about
// most, and by how much.
func (lp *program) worst(b *body) (contact, row, float64) {
	u := lp.lean3()
	// (1 - bend/2) rot + 2 rot [u]: the rows' cross products with u.
	var m matrix
	for i, v := range lp.rot {
		m[i] = r3.Add(r3.Scale(1-lp.bend/2, v), r3.Scale(2, cross(v, u)))
	}
	tx, ty, tz := lp.x[3], lp.x[4], lp.x[5]
	rim, floor, side := math.Inf(-1), math.Inf(-1), math.Inf(-1)
	var rimP, floorP, sideP int
	half := lp.bend / 2
	for i := range b.few {
		p := &b.few[i]
		x := dot(m[0], p.Vec) + tx
		y := dot(m[1], p.Vec) + ty
		z := dot(m[2], p.Vec) + tz
		e := float64(half * p.r)
		if d := z - e; d > rim {
			rim, rimP = d, i
		}
		if d := -(x + z) - float64(math.Sqrt2*e); d > floor {
			floor, floorP = d, i
		}
		if d := math.Sqrt(sq(x)+sq(y)) - e; d > side {
			side, sideP = d, i
		}
	}
	b.work += len(b.few)
	p := b.few[sideP].Vec
	x, y := dot(m[0], p)+tx, dot(m[1], p)+ty
	n := math.Sqrt(sq(x) + sq(y))
	var c contact
	var r row
	by := math.Inf(-1)
	for _, d := range [3]contact{{rimP, rimNormal, 0}, {floorP, floorNormal, floorAt}, {sideP, r3.Vec{X: x / n, Y: y / n}, radius}} {
		if d.b == radius && n == 0 {
			continue
		}
		w := lp.wall(b.few[d.p], d.n, d.b)
		if over := lp.over(w); over > by {
			c, r, by = d, w, over
		}
	}
	return c, r, by
}

// lean3 is lean y.
func (lp *program) lean3() r3.Vec {
	u := r3.Scale(lp.x[0], lp.lean[0])
	for j := 1; j < 3; j++ {
		v := lp.lean[j]
		u.X += float64(lp.x[j] * v.X)
		u.Y += float64(lp.x[j] * v.Y)
		u.Z += float64(lp.x[j] * v.Z)
	}
	return u
}
