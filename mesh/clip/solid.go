// Package clip cuts closed solids along planes square to the axes and closes
// them again.
//
// A cut never moves a vertex that was there, makes every new one once, and
// closes each section with the very vertices of its outline. So a solid that
// was closed is closed after any number of cuts, bit by bit, also as a file
// holds it: all coordinates are float32 from the start. The two sides of a
// cut have the same vertices on it.
package clip

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
)

// Solid is one part: closed surfaces, facing outward, hollows inward. Every
// coordinate is a float32, no two vertices are equal, and no facet has a
// vertex twice.
type Solid struct {
	// V holds the vertices in mm.
	V []r3.Vec
	// T holds the corners of each facet, counter-clockwise seen from outside.
	T [][3]int32
	// Surface numbers, for each facet, the surface it belongs to. Sections of
	// one surface bound one region; different surfaces may pass through each
	// other and are closed apart.
	Surface []int32
}

// Of returns a part of a mesh (by its index) moved by d. Each vertex is
// rounded to float32 here, once; a surface that had no thickness but what
// rounding takes away may lose it.
func Of(m *mesh.Mesh, part int, d r3.Vec) Solid {
	var s Solid
	w := newWelder(&s)
	at := map[int32]int32{}
	vertex := func(i int32) int32 {
		k, ok := at[i]
		if !ok {
			k = w.vertex(r3.Add(m.V[i], d))
			at[i] = k
		}
		return k
	}
	for _, sh := range m.Parts[part].Shells {
		for _, f := range m.Shells[sh].Facets {
			t := m.T[f]
			s.add(vertex(t[0]), vertex(t[1]), vertex(t[2]), sh)
		}
	}
	return s
}

// add appends a facet unless two of its corners are one: then its edges
// cancel.
func (s *Solid) add(a, b, c, surface int32) {
	if a != b && b != c && c != a {
		s.T = append(s.T, [3]int32{a, b, c})
		s.Surface = append(s.Surface, surface)
	}
}

// welder makes vertices of equal bits one.
type welder struct {
	s  *Solid
	at map[[3]float32]int32
}

func newWelder(s *Solid) *welder { return &welder{s, map[[3]float32]int32{}} }

func (w *welder) vertex(v r3.Vec) int32 {
	// Adding 0 turns -0 into 0.
	key := [3]float32{float32(v.X) + 0, float32(v.Y) + 0, float32(v.Z) + 0}
	k, ok := w.at[key]
	if !ok {
		k = int32(len(w.s.V))
		w.at[key] = k
		w.s.V = append(w.s.V, r3.Vec{X: float64(key[0]), Y: float64(key[1]), Z: float64(key[2])})
	}
	return k
}

// Soup returns the facets as a file holds them, "stl binary".
func (s Solid) Soup() *mesh.Soup {
	p := &mesh.Soup{Format: "stl binary", XYZ: make([]float32, 0, 9*len(s.T))}
	for _, t := range s.T {
		for _, i := range t {
			v := s.V[i]
			p.XYZ = append(p.XYZ, float32(v.X), float32(v.Y), float32(v.Z))
		}
	}
	return p
}

// Empty says that nothing is left.
func (s Solid) Empty() bool { return len(s.T) == 0 }

// Volume is the enclosed volume in mm3; where surfaces overlap it counts
// twice.
func (s Solid) Volume() float64 {
	if len(s.V) == 0 {
		return 0
	}
	o := s.V[0] // near the solid, so that little is lost far from the origin
	sum := 0.0
	for _, t := range s.T {
		a, b, c := r3.Sub(s.V[t[0]], o), r3.Sub(s.V[t[1]], o), r3.Sub(s.V[t[2]], o)
		sum += float64(a.X*(float64(b.Y*c.Z)-float64(b.Z*c.Y))) +
			float64(a.Y*(float64(b.Z*c.X)-float64(b.X*c.Z))) +
			float64(a.Z*(float64(b.X*c.Y)-float64(b.Y*c.X)))
	}
	return sum / 6
}

// Bounds is the box round s; one from +Inf to -Inf if s is empty.
func (s Solid) Bounds() r3.Box {
	inf := math.Inf(1)
	b := r3.Box{Min: r3.Vec{X: inf, Y: inf, Z: inf}, Max: r3.Vec{X: -inf, Y: -inf, Z: -inf}}
	for _, v := range s.V {
		b.Min = r3.Vec{X: min(b.Min.X, v.X), Y: min(b.Min.Y, v.Y), Z: min(b.Min.Z, v.Z)}
		b.Max = r3.Vec{X: max(b.Max.X, v.X), Y: max(b.Max.Y, v.Y), Z: max(b.Max.Z, v.Z)}
	}
	return b
}
