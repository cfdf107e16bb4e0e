package mesh

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/parallel"
)

// Placement says how a model is laid on the bed. It is turned about the X
// axis, then about the bed's Y, then about the bed's Z; then scaled along the
// bed's axes; then dropped so that its lowest vertex is at z = 0. The zero
// value drops it only.
type Placement struct {
	// TurnDeg is the turn about X, Y and Z in degrees, right-handed.
	// Multiples of 90 degrees are exact.
	TurnDeg [3]float64
	// Scale is a factor along each axis of the bed; 0 stands for 1.
	Scale [3]float64
	// UnitMM is the length of the file's unit in mm; 0 stands for 1.
	UnitMM float64
}

// PlacementError says which number of a Placement cannot be used.
type PlacementError struct{ Msg string }

func (e *PlacementError) Error() string { return e.Msg }

// linear is the placement without the drop: a turn by rows, then a factor a
// row.
type linear struct {
	row    [3]r3.Vec
	factor [3]float64
}

func (p Placement) linear() (linear, error) {
	var l linear
	unit := p.UnitMM
	if unit == 0 {
		unit = 1
	}
	if !(unit > 0) || math.IsInf(unit, 0) {
		return l, &PlacementError{fmt.Sprintf("the unit must be a length above 0 mm, not %g", p.UnitMM)}
	}
	for i, f := range p.Scale {
		axis := "XYZ"[i]
		if f == 0 {
			f = 1
		}
		if f < 0 && !math.IsInf(f, 0) {
			return l, &PlacementError{fmt.Sprintf("scale %g along %c would mirror the model; it must be above 0", f, axis)}
		}
		if !(f > 0) || math.IsInf(f, 0) {
			return l, &PlacementError{fmt.Sprintf("scale along %c must be a number above 0, not %g", axis, f)}
		}
		l.factor[i] = float64(f * unit)
		if l.factor[i] == 0 || math.IsInf(l.factor[i], 0) {
			return l, &PlacementError{fmt.Sprintf("scale %g along %c times the unit %g mm is out of range", f, axis, unit)}
		}
	}
	l.row = [3]r3.Vec{{X: 1}, {Y: 1}, {Z: 1}}
	for i, deg := range p.TurnDeg {
		if math.IsNaN(deg) || math.IsInf(deg, 0) {
			return l, &PlacementError{fmt.Sprintf("the turn about %c must be a number of degrees, not %g", "XYZ"[i], deg)}
		}
		// The turn about axis i mixes the two rows that follow it.
		sin, cos := sincosDeg(deg)
		a, b := l.row[(i+1)%3], l.row[(i+2)%3]
		l.row[(i+1)%3] = combine(cos, a, -sin, b)
		l.row[(i+2)%3] = combine(sin, a, cos, b)
	}
	return l, nil
}

// sincosDeg is exact for multiples of 90 degrees.
func sincosDeg(deg float64) (sin, cos float64) {
	deg = math.Mod(deg, 360)
	if deg < 0 {
		deg += 360
	}
	switch deg {
	case 0, 360:
		return 0, 1
	case 90:
		return 1, 0
	case 180:
		return 0, -1
	case 270:
		return -1, 0
	}
	return math.Sincos(deg / 180 * math.Pi)
}

// combine is s a + t b, each product rounded before the sum.
func combine(s float64, a r3.Vec, t float64, b r3.Vec) r3.Vec {
	return r3.Vec{
		X: float64(s*a.X) + float64(t*b.X),
		Y: float64(s*a.Y) + float64(t*b.Y),
		Z: float64(s*a.Z) + float64(t*b.Z),
	}
}

func (l *linear) apply(v r3.Vec) r3.Vec {
	return r3.Vec{
		X: dot(l.row[0], v) * l.factor[0],
		Y: dot(l.row[1], v) * l.factor[1],
		Z: dot(l.row[2], v) * l.factor[2],
	}
}

// MaxCoordinate is the largest coordinate in mm that is still taken for a
// place: a kilometre. float32 tells less than a tenth of a millimetre there.
const MaxCoordinate = 1e6

// placeRun is the number of vertices that one processor places together.
const placeRun = 1 << 14

// move applies the placement to the vertices; far is the largest coordinate
// that one had. A vertex beyond MaxCoordinate is an error that gives its place
// in the file's own units.
func (l *linear) move(v []r3.Vec) (far float64, err error) {
	type moved struct {
		far float64
		err error
	}
	runs := make([]moved, parallel.Runs(len(v), placeRun))
	parallel.Each(len(runs), func(i int) {
		r := &runs[i]
		r.far, r.err = l.moveRun(v[i*placeRun : min((i+1)*placeRun, len(v))])
	})
	for _, r := range runs {
		if r.err != nil {
			return 0, r.err
		}
		far = max(far, r.far)
	}
	return far, nil
}

func (l *linear) moveRun(v []r3.Vec) (far float64, err error) {
	for i := range v {
		p := v[i]
		if x := largest(p); x > far {
			far = x
		}
		v[i] = l.apply(p)
		if q := v[i]; !finite(q) || largest(q) > MaxCoordinate {
			return 0, &PlacementError{fmt.Sprintf("a corner lies at %.6g, %.6g, %.6g, more than a kilometre away; is it broken, or the unit or the scale wrong?", p.X, p.Y, p.Z)}
		}
	}
	return far, nil
}

// largest is the largest coordinate of a place, whatever its sign.
func largest(p r3.Vec) float64 {
	x, y, z := math.Abs(p.X), math.Abs(p.Y), math.Abs(p.Z)
	if y > x {
		x = y
	}
	if z > x {
		x = z
	}
	return x
}

// dropToBed moves the vertices and the shells' boxes so that the lowest
// vertex is at z = 0.
func (m *Mesh) dropToBed(shells []Shell) {
	low := math.Inf(1)
	for i := range shells {
		low = min(low, shells[i].Box.Min.Z)
	}
	parallel.Each(parallel.Runs(len(m.V), placeRun), func(r int) {
		for i := r * placeRun; i < min((r+1)*placeRun, len(m.V)); i++ {
			m.V[i].Z -= low
		}
	})
	for i := range shells {
		shells[i].Box.Min.Z -= low
		shells[i].Box.Max.Z -= low
	}
}

// Stretched is the mesh by a factor along each axis of the bed, each above 0,
// as it would be cut: its vertices, shells and parts, but no trees. What is
// one part and what touches are not looked at again, so that it stands for a
// mesh built at that scale only where that comes out the same.
func (m *Mesh) Stretched(f [3]float64) *Mesh {
	out := m.WithoutTrees()
	at := func(v r3.Vec) r3.Vec {
		return r3.Vec{X: float64(v.X * f[0]), Y: float64(v.Y * f[1]), Z: float64(v.Z * f[2])}
	}
	box := func(b r3.Box) r3.Box { return r3.Box{Min: at(b.Min), Max: at(b.Max)} }
	out.V = make([]r3.Vec, len(m.V))
	for i, v := range m.V {
		out.V[i] = at(v)
	}
	volume := float64(f[0] * f[1] * f[2])
	out.Shells = slices.Clone(m.Shells)
	for i := range out.Shells {
		s := &out.Shells[i]
		s.Volume, s.Box = float64(s.Volume*volume), box(s.Box)
	}
	out.Parts = slices.Clone(m.Parts)
	for i := range out.Parts {
		p := &out.Parts[i]
		p.Volume, p.Box = float64(p.Volume*volume), box(p.Box)
	}
	out.Box = box(m.Box)
	return out
}

func finite(v r3.Vec) bool {
	return v.X-v.X == 0 && v.Y-v.Y == 0 && v.Z-v.Z == 0
}

// dot, cross and sub round each product before the sum, so that the result
// is the same on every processor.
func dot(a, b r3.Vec) float64 {
	return float64(a.X*b.X) + float64(a.Y*b.Y) + float64(a.Z*b.Z)
}

func cross(a, b r3.Vec) r3.Vec {
	return r3.Vec{
		X: float64(a.Y*b.Z) - float64(a.Z*b.Y),
		Y: float64(a.Z*b.X) - float64(a.X*b.Z),
		Z: float64(a.X*b.Y) - float64(a.Y*b.X),
	}
}

func sub(a, b r3.Vec) r3.Vec { return r3.Vec{X: a.X - b.X, Y: a.Y - b.Y, Z: a.Z - b.Z} }
