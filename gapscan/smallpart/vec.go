package smallpart

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// The products here are rounded before they are added, so that every
// processor takes the same way through the search.

func sq(a float64) float64 { return float64(a * a) }

func dot(a, b r3.Vec) float64 { return float64(a.X*b.X) + float64(a.Y*b.Y) + float64(a.Z*b.Z) }

func cross(a, b r3.Vec) r3.Vec {
	return r3.Vec{
		X: float64(a.Y*b.Z) - float64(a.Z*b.Y),
		Y: float64(a.Z*b.X) - float64(a.X*b.Z),
		Z: float64(a.X*b.Y) - float64(a.Y*b.X),
	}
}

func norm(a r3.Vec) float64 { return math.Sqrt(dot(a, a)) }

// matrix is three rows.
type matrix [3]r3.Vec

func (m matrix) mul(v r3.Vec) r3.Vec {
	return r3.Vec{X: dot(m[0], v), Y: dot(m[1], v), Z: dot(m[2], v)}
}

// mulT is the transposed matrix times v.
func (m matrix) mulT(v r3.Vec) r3.Vec {
	return r3.Vec{
		X: float64(m[0].X*v.X) + float64(m[1].X*v.Y) + float64(m[2].X*v.Z),
		Y: float64(m[0].Y*v.X) + float64(m[1].Y*v.Y) + float64(m[2].Y*v.Z),
		Z: float64(m[0].Z*v.X) + float64(m[1].Z*v.Y) + float64(m[2].Z*v.Z),
	}
}

// quat is a quaternion, real part first.
type quat [4]float64

// mul is the product: b's turn first.
func (a quat) mul(b quat) quat {
	return quat{
		float64(a[0]*b[0]) - float64(a[1]*b[1]) - float64(a[2]*b[2]) - float64(a[3]*b[3]),
		float64(a[0]*b[1]) + float64(a[1]*b[0]) + float64(a[2]*b[3]) - float64(a[3]*b[2]),
		float64(a[0]*b[2]) - float64(a[1]*b[3]) + float64(a[2]*b[0]) + float64(a[3]*b[1]),
		float64(a[0]*b[3]) + float64(a[1]*b[2]) - float64(a[2]*b[1]) + float64(a[3]*b[0]),
	}
}

func (a quat) conj() quat { return quat{a[0], -a[1], -a[2], -a[3]} }

func (a quat) norm() float64 { return math.Sqrt(sq(a[0]) + sq(a[1]) + sq(a[2]) + sq(a[3])) }

func (a quat) unit() quat {
	n := a.norm()
	return quat{a[0] / n, a[1] / n, a[2] / n, a[3] / n}
}

// matrix of a unit quaternion.
func (a quat) matrix() matrix {
	p := func(i, j int) float64 { return 2 * float64(a[i]*a[j]) }
	return matrix{
		{X: 1 - p(2, 2) - p(3, 3), Y: p(1, 2) - p(0, 3), Z: p(1, 3) + p(0, 2)},
		{X: p(1, 2) + p(0, 3), Y: 1 - p(1, 1) - p(3, 3), Z: p(2, 3) - p(0, 1)},
		{X: p(1, 3) - p(0, 2), Y: p(2, 3) + p(0, 1), Z: 1 - p(1, 1) - p(2, 2)},
	}
}

// turned is q after a further turn, in the body's axes, of angle t about k,
// given as u = k sin(t)/2; t is at most a right angle.
func (a quat) turned(u r3.Vec) quat {
	f := 2 / (1 + math.Sqrt(max(0, 1-4*dot(u, u))))
	return a.mul(quat{1, float64(f * u.X), float64(f * u.Y), float64(f * u.Z)}).unit()
}

// quatOf is the unit quaternion of a rotation matrix.
func quatOf(m matrix) quat {
	// Four times the products of the quaternion's parts; the row of the
	// largest part is the quaternion, scaled.
	rows := [4]quat{
		{1 + m[0].X + m[1].Y + m[2].Z, m[2].Y - m[1].Z, m[0].Z - m[2].X, m[1].X - m[0].Y},
		{m[2].Y - m[1].Z, 1 + m[0].X - m[1].Y - m[2].Z, m[0].Y + m[1].X, m[0].Z + m[2].X},
		{m[0].Z - m[2].X, m[0].Y + m[1].X, 1 - m[0].X + m[1].Y - m[2].Z, m[1].Z + m[2].Y},
		{m[1].X - m[0].Y, m[0].Z + m[2].X, m[1].Z + m[2].Y, 1 - m[0].X - m[1].Y + m[2].Z},
	}
	best := 0
	for i := range rows {
		if rows[i][i] > rows[best][best] {
			best = i
		}
	}
	return rows[best].unit()
}

// axes returns the eigenvectors of the symmetric matrix m as the rows of a
// rotation, by falling eigenvalue (Jacobi's method).
func axes(m [3][3]float64) matrix {
	v := [3][3]float64{{1, 0, 0}, {0, 1, 0}, {0, 0, 1}} // rows
	const sweeps = 12                                   // converges quadratically; 6 do for doubles
	for range sweeps {
		for _, pq := range [3][2]int{{0, 1}, {0, 2}, {1, 2}} {
			p, q := pq[0], pq[1]
			if m[p][q] == 0 {
				continue
			}
			th := (m[q][q] - m[p][p]) / (2 * m[p][q])
			t := 1 / (math.Abs(th) + math.Sqrt(1+sq(th)))
			if th < 0 {
				t = -t
			}
			c := 1 / math.Sqrt(1+sq(t))
			s := float64(t * c)
			for i := range 3 {
				a, b := m[i][p], m[i][q]
				m[i][p], m[i][q] = float64(c*a)-float64(s*b), float64(s*a)+float64(c*b)
			}
			for i := range 3 {
				a, b := m[p][i], m[q][i]
				m[p][i], m[q][i] = float64(c*a)-float64(s*b), float64(s*a)+float64(c*b)
				a, b = v[p][i], v[q][i]
				v[p][i], v[q][i] = float64(c*a)-float64(s*b), float64(s*a)+float64(c*b)
			}
		}
	}
	order := [3]int{0, 1, 2}
	for i := range 2 {
		for j := i + 1; j < 3; j++ {
			if m[order[j]][order[j]] > m[order[i]][order[i]] {
				order[i], order[j] = order[j], order[i]
			}
		}
	}
	row := func(i int) r3.Vec { return r3.Vec{X: v[i][0], Y: v[i][1], Z: v[i][2]} }
	a, b := row(order[0]), row(order[1])
	return matrix{a, b, cross(a, b)}
}
