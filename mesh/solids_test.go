package mesh

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// facets is a list of triangles from which the tests make soups.
type facets [][3]r3.Vec

func vec(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

func join(parts ...facets) facets {
	var all facets
	for _, p := range parts {
		all = append(all, p...)
	}
	return all
}

// flipped turns every facet around.
func flipped(f facets) facets {
	g := make(facets, len(f))
	for i, t := range f {
		g[i] = [3]r3.Vec{t[0], t[2], t[1]}
	}
	return g
}

func moved(f facets, by r3.Vec) facets {
	return mapped(f, func(p r3.Vec) r3.Vec { return r3.Add(p, by) })
}

func mapped(f facets, to func(r3.Vec) r3.Vec) facets {
	g := make(facets, len(f))
	for i, t := range f {
		g[i] = [3]r3.Vec{to(t[0]), to(t[1]), to(t[2])}
	}
	return g
}

// box spans two corners.
func box(x0, y0, z0, x1, y1, z1 float64) facets { return fineBox(vec(x0, y0, z0), vec(x1, y1, z1), 1) }

// fineBox is a box with n by n squares on each side.
func fineBox(lo, hi r3.Vec, n int) facets {
	var f facets
	at := func(i, j, k int) r3.Vec {
		s := func(a, b float64, i int) float64 {
			if i == n {
				return b
			}
			return a + (b-a)*float64(i)/float64(n)
		}
		return vec(s(lo.X, hi.X, i), s(lo.Y, hi.Y, j), s(lo.Z, hi.Z, k))
	}
	quad := func(a, b, c, d r3.Vec) { f = append(f, [3]r3.Vec{a, b, c}, [3]r3.Vec{a, c, d}) }
	for i := range n {
		for j := range n {
			quad(at(i, j, 0), at(i, j+1, 0), at(i+1, j+1, 0), at(i+1, j, 0))
			quad(at(i, j, n), at(i+1, j, n), at(i+1, j+1, n), at(i, j+1, n))
			quad(at(i, 0, j), at(i+1, 0, j), at(i+1, 0, j+1), at(i, 0, j+1))
			quad(at(i, n, j), at(i, n, j+1), at(i+1, n, j+1), at(i+1, n, j))
			quad(at(0, i, j), at(0, i, j+1), at(0, i+1, j+1), at(0, i+1, j))
			quad(at(n, i, j), at(n, i+1, j), at(n, i+1, j+1), at(n, i, j+1))
		}
	}
	return f
}

// prism is an n-gon by its vertices on a circle of radius r, from z0 to z1
// in the given number of steps.
func prism(r, z0, z1 float64, n, steps int) facets {
	var f facets
	at := func(i int, z float64) r3.Vec {
		s, c := math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
		return vec(r*c, r*s, z)
	}
	level := func(k int) float64 { return z0 + (z1-z0)*float64(k)/float64(steps) }
	for i := range n {
		f = append(f, [3]r3.Vec{vec(0, 0, z0), at(i+1, z0), at(i, z0)}, [3]r3.Vec{vec(0, 0, z1), at(i, z1), at(i+1, z1)})
		for k := range steps {
			a, b, c, d := at(i, level(k)), at(i+1, level(k)), at(i+1, level(k+1)), at(i, level(k+1))
			f = append(f, [3]r3.Vec{a, b, c}, [3]r3.Vec{a, c, d})
		}
	}
	return f
}

// tube is a prism with a coaxial n-gon bore, as one shell.
func tube(outer, bore, z0, z1 float64, n int) facets {
	var f facets
	at := func(r float64, i int, z float64) r3.Vec {
		s, c := math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
		return vec(r*c, r*s, z)
	}
	quad := func(a, b, c, d r3.Vec) { f = append(f, [3]r3.Vec{a, b, c}, [3]r3.Vec{a, c, d}) }
	for i := range n {
		quad(at(outer, i, z0), at(outer, i+1, z0), at(outer, i+1, z1), at(outer, i, z1))
		quad(at(bore, i+1, z0), at(bore, i, z0), at(bore, i, z1), at(bore, i+1, z1))
		quad(at(outer, i, z1), at(outer, i+1, z1), at(bore, i+1, z1), at(bore, i, z1))
		quad(at(outer, i+1, z0), at(outer, i, z0), at(bore, i, z0), at(bore, i+1, z0))
	}
	return f
}

// ball has its vertices on a sphere, n around and n/2 from pole to pole.
func ball(centre r3.Vec, r float64, n int) facets {
	var f facets
	at := func(i, k int) r3.Vec {
		if k == 0 || k == n/2 {
			return r3.Add(centre, vec(0, 0, math.Copysign(r, float64(k)-0.5)))
		}
		s, c := math.Sincos(2 * math.Pi * float64(i%n) / float64(n))
		sp, cp := math.Sincos(2 * math.Pi * float64(k) / float64(n))
		return r3.Add(centre, vec(r*sp*c, r*sp*s, -r*cp))
	}
	for i := range n {
		for k := range n / 2 {
			a, b, c, d := at(i, k), at(i+1, k), at(i+1, k+1), at(i, k+1)
			if k > 0 {
				f = append(f, [3]r3.Vec{a, b, c})
			}
			if k < n/2-1 {
				f = append(f, [3]r3.Vec{a, c, d})
			}
		}
	}
	return f
}

func soup(f facets) *Soup {
	s := &Soup{Format: "stl binary", XYZ: make([]float32, 0, 9*len(f))}
	for _, t := range f {
		for _, p := range t {
			s.XYZ = append(s.XYZ, float32(p.X), float32(p.Y), float32(p.Z))
		}
	}
	return s
}

// built builds a mesh and checks what holds of every mesh.
func built(t testing.TB, f facets) *Mesh {
	t.Helper()
	return builtAs(t, f, Placement{})
}

func builtAs(t testing.TB, f facets, p Placement) *Mesh {
	t.Helper()
	m, err := Build(soup(f), p)
	if err != nil {
		t.Fatal(err)
	}
	checkMesh(t, m)
	return m
}

// failer is a testing.TB or a rapid.T.
type failer interface {
	Helper()
	Errorf(string, ...any)
	Fatalf(string, ...any)
}

// checkMesh checks the promises of Mesh's fields against each other.
func checkMesh(t failer, m *Mesh) {
	t.Helper()
	open := 0
	for h, g := range m.Mate {
		if g < 0 {
			open++
			continue
		}
		if m.Mate[g] != int32(h) {
			t.Fatalf("the mate of half-edge %d is %d, whose mate is %d", h, g, m.Mate[g])
		}
		a, b := m.T[h/3][h%3], m.T[h/3][next(h%3)]
		c, d := m.T[g/3][g%3], m.T[g/3][next(int(g%3))]
		if a != d || b != c {
			t.Fatalf("half-edge %d runs %d-%d, its mate %d-%d", h, a, b, c, d)
		}
		if m.ShellOf[h/3] != m.ShellOf[g/3] {
			t.Fatalf("mates %d and %d are of different shells", h, g)
		}
	}
	if open != m.LeftOpen {
		t.Errorf("%d half-edges without mate, LeftOpen is %d", open, m.LeftOpen)
	}
	n, first := 0, int32(-1)
	for i, s := range m.Shells {
		if s.Facets[0] <= first {
			t.Errorf("shell %d is not in the order of first facets", i)
		}
		first = s.Facets[0]
		for k, f := range s.Facets {
			if m.ShellOf[f] != int32(i) || k > 0 && f <= s.Facets[k-1] {
				t.Fatalf("shell %d lists facet %d", i, f)
			}
		}
		n += len(s.Facets)
		if s.Volume < 0 && !s.Cavity && !s.Flat && !s.Open {
			t.Errorf("shell %d is no cavity, its volume is %g", i, s.Volume)
		}
		if m.Trees[i].Facets() != len(s.Facets) || m.Trees[i].Box() != s.Box {
			t.Errorf("shell %d: its tree holds %d facets in %v, not %d in %v", i, m.Trees[i].Facets(), m.Trees[i].Box(), len(s.Facets), s.Box)
		}
	}
	if n != len(m.T) {
		t.Errorf("the shells have %d facets of %d", n, len(m.T))
	}
	n = 0
	for i, p := range m.Parts {
		if p.ID != i+1 {
			t.Errorf("part %d has id %d", i, p.ID)
		}
		facets := 0
		for k, sh := range p.Shells {
			if m.Shells[sh].Part != int32(i) || k > 0 && sh <= p.Shells[k-1] {
				t.Errorf("part %d lists shell %d", i, sh)
			}
			facets += len(m.Shells[sh].Facets)
		}
		if facets != p.Facets {
			t.Errorf("part %d has %d facets, Facets is %d", i, facets, p.Facets)
		}
		n += len(p.Shells)
	}
	if n != len(m.Shells) {
		t.Errorf("the parts have %d shells of %d", n, len(m.Shells))
	}
	if m.Box.Min.Z != 0 {
		t.Errorf("the lowest z is %g", m.Box.Min.Z)
	}
}

func near(t testing.TB, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %.12g, want %.12g within %g", what, got, want, within)
	}
}
