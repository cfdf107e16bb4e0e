package region

import (
	"math"
	"math/big"

	"gonum.org/v1/gonum/spatial/r2"
)

// orientBound bounds the rounding error of the plain determinant, relative
// to the sum of its products' magnitudes: (3 + 16u)u with u = 2^-53, from
// Shewchuk, "Adaptive Precision Floating-Point Arithmetic and Fast Robust
// Geometric Predicates" (1997).
const orientBound = 3.3306690738754716e-16

// exactBits is enough for differences and products of coordinates between
// 1e-20 and 1e20 mm without any rounding.
const exactBits = 1024

// Orient is 1 where a, b, c turn left, -1 where they turn right and 0 where
// they lie on one line. It is exact.
func Orient(a, b, c r2.Vec) int {
	l := float64((b.X - a.X) * (c.Y - a.Y))
	r := float64((b.Y - a.Y) * (c.X - a.X))
	det := l - r
	if bound := orientBound * (math.Abs(l) + math.Abs(r)); det > bound {
		return 1
	} else if -det > bound {
		return -1
	}
	f := func(x float64) *big.Float { return new(big.Float).SetPrec(exactBits).SetFloat64(x) }
	d := func(x, y float64) *big.Float { return f(0).Sub(f(x), f(y)) }
	return f(0).Mul(d(b.X, a.X), d(c.Y, a.Y)).Cmp(f(0).Mul(d(b.Y, a.Y), d(c.X, a.X)))
}

// Within says whether p, on the line through a and b, lies between them or
// on one of them.
func Within(a, b, p r2.Vec) bool {
	return min(a.X, b.X) <= p.X && p.X <= max(a.X, b.X) && min(a.Y, b.Y) <= p.Y && p.Y <= max(a.Y, b.Y)
}

// Meet says whether the closed segments ab and cd share a point.
func Meet(a, b, c, d r2.Vec) bool {
	o1, o2 := Orient(a, b, c), Orient(a, b, d)
	o3, o4 := Orient(c, d, a), Orient(c, d, b)
	if o1*o2 < 0 && o3*o4 < 0 {
		return true
	}
	return o1 == 0 && Within(a, b, c) || o2 == 0 && Within(a, b, d) ||
		o3 == 0 && Within(c, d, a) || o4 == 0 && Within(c, d, b)
}

// Contains says whether p lies inside the ring. Of a point on the ring it
// may say either.
func Contains(ring []r2.Vec, p r2.Vec) bool {
	in := false
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if (a.Y > p.Y) == (b.Y > p.Y) {
			continue
		}
		if (Orient(a, b, p) > 0) == (b.Y > a.Y) {
			in = !in
		}
	}
	return in
}
