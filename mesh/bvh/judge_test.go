package bvh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

// The judge of distances: two triangles are nearest at points inside one
// feature (corner, side or face) of each, where the line between them is
// square to both features. So each pair of features is solved as a linear
// system, and of the solutions that lie inside both the least counts. Where
// the system has no single solution a smaller feature has the same distance.

// feature is a point and up to two directions; its points are
// at + s dirs[0] + t dirs[1] with s, t >= 0 and s + t <= 1.
type feature struct {
	at   r3.Vec
	dirs []r3.Vec
}

func features(t [3]r3.Vec) []feature {
	var fs []feature
	for i := range 3 {
		fs = append(fs, feature{at: t[i]})
		fs = append(fs, feature{t[i], []r3.Vec{r3.Sub(t[(i+1)%3], t[i])}})
	}
	return append(fs, feature{t[0], []r3.Vec{r3.Sub(t[1], t[0]), r3.Sub(t[2], t[0])}})
}

func (f feature) point(s []float64) (r3.Vec, bool) {
	p, sum := f.at, 0.0
	for i, d := range f.dirs {
		if s[i] < -1e-12 {
			return p, false
		}
		sum += s[i]
		p = r3.Add(p, r3.Scale(s[i], d))
	}
	return p, sum <= 1+1e-12
}

// judgeDistance is the distance of two triangles.
func judgeDistance(t, u [3]r3.Vec) float64 {
	least := math.Inf(1)
	for _, f := range features(t) {
		for _, g := range features(u) {
			dirs := append([]r3.Vec{}, f.dirs...)
			for _, d := range g.dirs {
				dirs = append(dirs, r3.Scale(-1, d))
			}
			w := r3.Sub(g.at, f.at)
			s, ok := square(dirs, w)
			if !ok {
				continue
			}
			p, in := f.point(s[:len(f.dirs)])
			q, in2 := g.point(s[len(f.dirs):])
			if in && in2 {
				least = min(least, r3.Norm(r3.Sub(p, q)))
			}
		}
	}
	return least
}

// square finds the coefficients s for which sum s_i dirs_i - w is square to
// every direction, by Gram-Schmidt; false where the directions are dependent.
func square(dirs []r3.Vec, w r3.Vec) ([]float64, bool) {
	n := len(dirs)
	if n > 3 {
		return nil, false
	}
	q := make([]r3.Vec, n)
	r := make([][]float64, n)
	for i, d := range dirs {
		r[i] = make([]float64, n)
		rest := d
		for range 2 {
			for k := range i {
				c := r3.Dot(q[k], rest)
				r[k][i] += c
				rest = r3.Sub(rest, r3.Scale(c, q[k]))
			}
		}
		r[i][i] = r3.Norm(rest)
		if r[i][i] <= 1e-13*r3.Norm(d) {
			return nil, false
		}
		q[i] = r3.Scale(1/r[i][i], rest)
	}
	s := make([]float64, n)
	for i := n - 1; i >= 0; i-- {
		s[i] = r3.Dot(q[i], w)
		for k := i + 1; k < n; k++ {
			s[i] -= r[i][k] * s[k]
		}
		s[i] /= r[i][i]
	}
	return s, true
}

// judgeNearest is the least distance over all pairs of facets.
func judgeNearest(a, b *model) float64 {
	least := math.Inf(1)
	for i := range a.t {
		for j := range b.t {
			least = min(least, judgeDistance(a.corners(i), b.corners(j)))
		}
	}
	return least
}
