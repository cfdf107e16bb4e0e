package mesh_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"github.com/google/go-cmp/cmp"

	"playgauge/mesh"
	"playgauge/mesh/shape"
	"playgauge/slice"
)

// shuffled mixes the triangles of a soup up, leaving out some.
func shuffled(s *mesh.Soup, keep float64) *mesh.Soup {
	rnd := rand.New(rand.NewPCG(7, 7))
	out := &mesh.Soup{Format: s.Format}
	for _, i := range rnd.Perm(s.Triangles()) {
		if rnd.Float64() < keep {
			out.XYZ = append(out.XYZ, s.XYZ[9*i:9*i+9]...)
		}
	}
	return out
}

// A mesh sorted by place has the facets, shells and parts of the mesh in the
// file's order, and its layers are the same to the last bit.
func TestOrderDoesNotShow(t *testing.T) {
	pins := shape.PinGrid(2, 2, 8000, false)
	twins := *pins // and a triangle with two equal corners
	twins.XYZ = append(append(twins.XYZ[:len(twins.XYZ):len(twins.XYZ)], pins.XYZ[:6]...), pins.XYZ[:3]...)
	balls := shape.Sphere(10, 24).Append(shape.Sphere(8, 24).Move(9, 1, 0)).Append(shape.Sphere(6, 24).Move(40, 0, 0))
	for _, c := range []struct {
		name string
		soup *mesh.Soup
	}{
		{"twins", shuffled(&twins, 1)},
		{"open", shuffled(pins, 0.98)},
		{"crossing", shuffled(balls.Soup(), 1)},
	} {
		t.Run(c.name, func(t *testing.T) {
			want, err := mesh.BuildAsRead(c.soup, mesh.Placement{})
			if err != nil {
				t.Fatal(err)
			}
			got, err := mesh.BuildSorted(c.soup, mesh.Placement{})
			if err != nil {
				t.Fatal(err)
			}
			if want.Order != nil || got.Order == nil {
				t.Fatalf("order as read: %v, sorted: %v; want none and some", want.Order != nil, got.Order != nil)
			}
			sameFacets(t, c.soup, got)
			if d := cmp.Diff(told(want), told(got)); d != "" {
				t.Errorf("as read (-) and sorted (+) differ:\n%s", d)
			}
			p, err := slice.NewPlan(0.2, 0.2, want.Box.Max.Z)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(slice.Cut(want, p), slice.Cut(got, p)); d != "" {
				t.Errorf("layers as read (-) and sorted (+) differ:\n%s", d)
			}
		})
	}
}

// sameFacets holds every facet against its triangle in the file, whose
// heights may have been moved.
func sameFacets(t *testing.T, s *mesh.Soup, m *mesh.Mesh) {
	t.Helper()
	if len(m.Order) != len(m.T) {
		t.Fatalf("%d facets, %d numbers", len(m.T), len(m.Order))
	}
	seen := map[int32]bool{}
	for i, c := range m.T {
		if f := m.Order[i]; seen[f] {
			t.Fatalf("triangle %d is there twice", f)
		}
		seen[m.Order[i]] = true
		x := s.XYZ[9*m.Order[i]:]
		for k, v := range c {
			if m.V[v].X != float64(x[3*k]) || m.V[v].Y != float64(x[3*k+1]) {
				t.Fatalf("facet %d is not triangle %d of the file", i, m.Order[i])
			}
		}
	}
}

// mostly is what a person is told of a mesh, volumes to 9 digits: they are
// added up in another order.
type mostly struct {
	Shells   [][4]string
	Parts    []string
	Warnings []string
}

func told(m *mesh.Mesh) mostly {
	var out mostly
	for i := range m.Shells {
		s := &m.Shells[i]
		out.Shells = append(out.Shells, [4]string{
			fmt.Sprintf("%d facets, %.9g mm3", len(s.Facets), s.Volume), fmt.Sprint(s.Box), fmt.Sprint(s.Part),
			fmt.Sprint(s.Cavity, s.Inner, s.Turned, s.Open, s.Flat),
		})
	}
	for i := range m.Parts {
		p := &m.Parts[i]
		out.Parts = append(out.Parts, fmt.Sprintf("%d %v %d %.9g %v %v", p.ID, p.Shells, p.Facets, p.Volume, p.Overlapping, p.Box))
	}
	out.Warnings = m.Warnings
	return out
}
