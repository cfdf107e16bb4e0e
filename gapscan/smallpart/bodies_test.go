package smallpart

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"
)

func box(x, y, z float64) []r3.Vec {
	var out []r3.Vec
	for i := range 8 {
		p := r3.Vec{X: x / 2, Y: y / 2, Z: z / 2}
		if i&1 == 1 {
			p.X = -p.X
		}
		if i&2 == 2 {
			p.Y = -p.Y
		}
		if i&4 == 4 {
			p.Z = -p.Z
		}
		out = append(out, p)
	}
	return out
}

// ellipsoid has its vertices on rings about z: n around, n/2 rings.
func ellipsoid(a, b, c float64, n int) []r3.Vec {
	out := []r3.Vec{{Z: c}, {Z: -c}}
	for i := 1; i < n/2; i++ {
		s, z := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		for k := range n {
			y, x := math.Sincos(2 * math.Pi * float64(k) / float64(n))
			out = append(out, r3.Vec{X: a * s * x, Y: b * s * y, Z: c * z})
		}
	}
	return out
}

func ball(d float64, n int) []r3.Vec { return ellipsoid(d/2, d/2, d/2, n) }

func disc(d, thick float64, n int) []r3.Vec {
	var out []r3.Vec
	for k := range n {
		y, x := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		out = append(out, r3.Vec{X: d / 2 * x, Y: d / 2 * y}, r3.Vec{X: d / 2 * x, Y: d / 2 * y, Z: thick})
	}
	return out
}

// inside is the gauge's own inside with all its walls moved outwards by
// grow, as a prism of n sides drawn in the cylinder.
func inside(grow float64, n int) []r3.Vec {
	var out []r3.Vec
	for k := range n {
		y, x := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		p := r3.Vec{X: (WidthMM/2 + grow) * x, Y: (WidthMM/2 + grow) * y, Z: grow}
		out = append(out, p)
		p.Z = -(ShallowMM + WidthMM/2) - p.X - grow*math.Sqrt2
		out = append(out, p)
	}
	return out
}

func turned(ps []r3.Vec, q [4]float64) []r3.Vec {
	m := quat(q).unit().matrix()
	out := make([]r3.Vec, len(ps))
	for i, p := range ps {
		out[i] = m.mul(p)
	}
	return out
}

func moved(ps []r3.Vec, by r3.Vec) []r3.Vec {
	out := make([]r3.Vec, len(ps))
	for i, p := range ps {
		out[i] = r3.Add(p, by)
	}
	return out
}

func scaled(ps []r3.Vec, f float64) []r3.Vec {
	out := make([]r3.Vec, len(ps))
	for i, p := range ps {
		out[i] = r3.Scale(f, p)
	}
	return out
}
