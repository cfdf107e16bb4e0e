// Package shape builds closed solids out of triangles: boxes, prisms,
// turned and swept bodies. Lengths are millimetres, angles degrees.
//
// Every builder returns a surface that is closed (each directed edge once,
// its reverse once), faces outward and has no facet without area. Round
// bodies are n-gons by vertices: the vertices lie on the true circle, the
// facets inside it. Builders that take plain sizes panic on sizes that
// describe no solid, since those are slips of the programmer; builders that
// take polygons return an *Error.
package shape

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
)

// Solid is one or more closed surfaces. Its methods leave it alone and
// return a new one; the facets may be shared between the two. The zero value
// is no solid at all.
type Solid struct {
	// V holds the vertices in mm.
	V []r3.Vec
	// T holds the corners of each facet as indices into V,
	// counter-clockwise seen from outside.
	T [][3]int32
}

// Must returns the solid, or panics: for builders whose input is fixed.
func Must(s Solid, err error) Solid {
	if err != nil {
		panic(err)
	}
	return s
}

// Append returns s and the others side by side in one Solid. Nothing is
// united: surfaces that overlap stay as they are.
func (s Solid) Append(others ...Solid) Solid {
	nv, nt := len(s.V), len(s.T)
	for _, o := range others {
		nv, nt = nv+len(o.V), nt+len(o.T)
	}
	r := Solid{V: make([]r3.Vec, 0, nv), T: make([][3]int32, 0, nt)}
	for _, o := range append([]Solid{s}, others...) {
		base := int32(len(r.V))
		r.V = append(r.V, o.V...)
		for _, t := range o.T {
			r.T = append(r.T, [3]int32{t[0] + base, t[1] + base, t[2] + base})
		}
	}
	return r
}

// Move returns s moved by x, y and z.
func (s Solid) Move(x, y, z float64) Solid {
	d := r3.Vec{X: x, Y: y, Z: z}
	return s.each(func(v r3.Vec) r3.Vec { return r3.Add(v, d) })
}

// Turn returns s turned about the X axis, then the Y axis, then the Z axis
// of space, in degrees, counter-clockwise seen from the axis's tip. Multiples
// of 90 are exact.
func (s Solid) Turn(x, y, z float64) Solid {
	sx, cx := sincos(x)
	sy, cy := sincos(y)
	sz, cz := sincos(z)
	return s.each(func(v r3.Vec) r3.Vec {
		v.Y, v.Z = turn(v.Y, v.Z, sx, cx)
		v.Z, v.X = turn(v.Z, v.X, sy, cy)
		v.X, v.Y = turn(v.X, v.Y, sz, cz)
		return v
	})
}

// turn rounds its products, so that it gives the same bits everywhere.
func turn(a, b, sin, cos float64) (float64, float64) {
	return float64(a*cos) - float64(b*sin), float64(a*sin) + float64(b*cos)
}

// Scale returns s scaled about the origin. An odd number of negative factors
// mirrors it; its facets still face outward. It panics on a factor of 0.
func (s Solid) Scale(x, y, z float64) Solid {
	if x*y*z == 0 {
		panic("shape: scaled by 0")
	}
	r := s.each(func(v r3.Vec) r3.Vec { return r3.Vec{X: v.X * x, Y: v.Y * y, Z: v.Z * z} })
	if (x < 0) != (y < 0) != (z < 0) {
		r = r.Flip()
	}
	return r
}

// Bend returns s with every vertex moved to where to puts it. Facets stay
// flat, so curves follow as finely as s is divided. The map must not turn
// space inside out or fold it; that is not checked.
func (s Solid) Bend(to func(r3.Vec) r3.Vec) Solid { return s.each(to) }

// Flip returns s inside out.
func (s Solid) Flip() Solid {
	r := Solid{V: s.V, T: make([][3]int32, len(s.T))}
	for i, t := range s.T {
		r.T[i] = [3]int32{t[0], t[2], t[1]}
	}
	return r
}

func (s Solid) each(f func(r3.Vec) r3.Vec) Solid {
	r := Solid{V: make([]r3.Vec, len(s.V)), T: s.T}
	for i, v := range s.V {
		r.V[i] = f(v)
	}
	return r
}

// Bounds is the box round s; the zero box if s is empty.
func (s Solid) Bounds() r3.Box {
	if len(s.V) == 0 {
		return r3.Box{}
	}
	b := r3.Box{Min: s.V[0], Max: s.V[0]}
	for _, v := range s.V {
		b.Min = r3.Vec{X: min(b.Min.X, v.X), Y: min(b.Min.Y, v.Y), Z: min(b.Min.Z, v.Z)}
		b.Max = r3.Vec{X: max(b.Max.X, v.X), Y: max(b.Max.Y, v.Y), Z: max(b.Max.Z, v.Z)}
	}
	return b
}

// Volume is the enclosed volume in mm3: surfaces that overlap count twice,
// surfaces inside out count negative.
func (s Solid) Volume() float64 {
	if len(s.V) == 0 {
		return 0
	}
	o := s.V[0] // near the solid, so that little is lost far from the origin
	sum := 0.0
	for _, t := range s.T {
		a, b, c := r3.Sub(s.V[t[0]], o), r3.Sub(s.V[t[1]], o), r3.Sub(s.V[t[2]], o)
		sum += r3.Dot(a, r3.Cross(b, c))
	}
	return sum / 6
}

// Soup returns the facets as a file would hold them: float32, format "stl
// binary". Equal float64 coordinates give equal float32 bits, -0 becomes 0.
func (s Solid) Soup() *mesh.Soup {
	p := &mesh.Soup{Format: "stl binary", XYZ: make([]float32, 0, 9*len(s.T))}
	for _, t := range s.T {
		for _, i := range t {
			v := s.V[i]
			// Adding 0 turns -0 into 0.
			p.XYZ = append(p.XYZ, float32(v.X)+0, float32(v.Y)+0, float32(v.Z)+0)
		}
	}
	return p
}

// sincos takes degrees and reduces them to an eighth of the circle first, so
// that multiples of 90 are exact and mirrored angles give mirrored numbers.
func sincos(deg float64) (sin, cos float64) {
	d := math.Mod(deg, 360)
	if d < 0 {
		d += 360
	}
	quarter := math.Floor(d / 90)
	d -= quarter * 90
	if d > 45 {
		cos, sin = math.Sincos((90 - d) * math.Pi / 180)
	} else {
		sin, cos = math.Sincos(d * math.Pi / 180)
	}
	switch int(quarter) & 3 {
	case 1:
		return cos, -sin
	case 2:
		return -sin, -cos
	case 3:
		return -cos, sin
	}
	return sin, cos
}
