package sweep

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Trapezoid is a piece of the plane between two neighbouring edges.
type Trapezoid struct {
	// Y0, Y1 bound it along the sweep; L0, R0 are its left and right end at
	// Y0, L1, R1 at Y1: all in the turned plane.
	Y0, Y1, L0, R0, L1, R1 float64
	// wide is its mean width along the sweep line; the others say how the edges
	// to its left and its right run.
	wide, ldx, ldy, rdx, rdy float64
}

// Area is the trapezoid's area in mm2.
func (t *Trapezoid) Area() float64 {
	return float64((t.R0-t.L0)+(t.R1-t.L1)) / 2 * (t.Y1 - t.Y0)
}

// At is the point of the trapezoid at the given shares of its height and of
// its width, on the original axes.
func (t *Trapezoid) At(up, across float64) r2.Vec {
	l := t.L0 + up*(t.L1-t.L0)
	r := t.R0 + up*(t.R1-t.R0)
	return unturn(l+across*(r-l), t.Y0+up*(t.Y1-t.Y0))
}

// Thick is the trapezoid's thickness between the two edges, mm: its mean width
// along the sweep line by the lesser cosine of the two edges.
func (t *Trapezoid) Thick() float64 {
	return t.wide * lesser(cosine(t.ldx, t.ldy), cosine(t.rdx, t.rdy))
}

// roundingOfThick is more than the share by which rounding may change Thick.
const roundingOfThick = 1e-12

// Thicker is Thick() > limit, for a limit from 0 on. Most trapezoids are far
// thicker or not even as wide, and a cosine is no less than dy over |dx| + dy.
func (t *Trapezoid) Thicker(limit float64) bool {
	if t.wide <= limit {
		return false
	}
	most := limit * (1 + roundingOfThick)
	if t.wide*t.ldy > most*(math.Abs(t.ldx)+t.ldy) && t.wide*t.rdy > most*(math.Abs(t.rdx)+t.rdy) {
		return true
	}
	return t.Thick() > limit
}

// cosine is that of an edge's angle with the sweep: dy over math.Hypot(dx, dy),
// as it is reckoned there, without a call.
func cosine(dx, dy float64) float64 {
	dx = math.Abs(dx)
	most := max(dx, dy)
	r := min(dx, dy) / most
	return dy / (most * math.Sqrt(1+float64(r*r)))
}
