package clip

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
	"playgauge/mesh/shape"
)

// build makes a mesh as a file of the soup would.
func build(t testing.TB, s *mesh.Soup) *mesh.Mesh {
	t.Helper()
	m, err := mesh.Build(s, mesh.Placement{})
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// of makes one Solid a part, lowered onto the bed as mesh.Build does.
func of(t testing.TB, s shape.Solid) []Solid {
	t.Helper()
	m := build(t, s.Soup())
	out := make([]Solid, len(m.Parts))
	for i := range m.Parts {
		out[i] = Of(m, i, r3.Vec{})
	}
	return out
}

// one is the only part of a solid.
func one(t testing.TB, s shape.Solid) Solid {
	t.Helper()
	all := of(t, s)
	if len(all) != 1 {
		t.Fatalf("%d parts, want 1", len(all))
	}
	return all[0]
}

// wantClosed holds a solid to what a cut promises: coordinates are float32,
// no vertex is there twice, and in each surface every edge is there as often
// one way as the other.
func wantClosed(t testing.TB, s Solid) {
	t.Helper()
	seen := map[r3.Vec]bool{}
	for _, v := range s.V {
		if r := (r3.Vec{X: float64(float32(v.X)), Y: float64(float32(v.Y)), Z: float64(float32(v.Z))}); r != v {
			t.Fatalf("vertex %v is not float32", v)
		}
		if seen[v] {
			t.Fatalf("vertex %v is there twice", v)
		}
		seen[v] = true
	}
	if len(s.Surface) != len(s.T) {
		t.Fatalf("%d surfaces of %d facets", len(s.Surface), len(s.T))
	}
	balance := map[edge]int{}
	for f, c := range s.T {
		if c[0] == c[1] || c[1] == c[2] || c[2] == c[0] {
			t.Fatalf("facet %d has a corner twice", f)
		}
		for e := range 3 {
			i, j := c[e], c[(e+1)%3]
			if i < j {
				balance[edge{s.Surface[f], i, j}]++
			} else {
				balance[edge{s.Surface[f], j, i}]--
			}
		}
	}
	for e, n := range balance {
		if n != 0 {
			t.Fatalf("the edge from %v to %v of surface %d is open", s.V[e.from], s.V[e.to], e.surface)
		}
	}
}

// wantVolume compares with a relative tolerance.
func wantVolume(t testing.TB, name string, got, want, tolerance float64) {
	t.Helper()
	if math.Abs(got-want) > tolerance*math.Abs(want) {
		t.Errorf("%s: volume %.12g, want %.12g", name, got, want)
	}
}

func cutBox(t testing.TB, s Solid, lo, hi r3.Vec) Solid {
	t.Helper()
	r, err := Box(s, r3.Box{Min: lo, Max: hi})
	if err != nil {
		t.Fatal(err)
	}
	wantClosed(t, r)
	return r
}
