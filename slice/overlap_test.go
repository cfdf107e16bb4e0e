package slice

import (
	"math"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"pgregory.net/rapid"

	"playgauge/mesh/shape"
)

// uniteSeparately cuts solids one by one, each beside a post far off that
// keeps it at its height, and has the judge unite the sections.
func uniteSeparately(t tester, solids []shape.Solid, h float64, layers int) []float64 {
	t.Helper()
	post := cuboid(100, 100, 0, 101, 101, 20)
	areas := make([]float64, layers)
	all := make([]geom.Geometry, layers)
	for _, s := range solids {
		_, st := cut(t, s.Append(post).Soup(), h, h)
		for i := range all {
			l := &st.Layers[i]
			g := region(t, l)
			if all[i].IsEmpty() {
				all[i] = g
				continue
			}
			u, err := geom.Union(all[i], g)
			if err != nil {
				t.Fatalf("the judge cannot unite sections: %v", err)
			}
			all[i] = u
		}
	}
	for i := range all {
		areas[i] = all[i].Area() - 1
	}
	return areas
}

func checkUnion(t tester, solids []shape.Solid, h float64, islands func(z float64) int, exact bool) {
	t.Helper()
	m, st := cut(t, shape.Solid{}.Append(solids...).Soup(), h, h)
	if len(m.Parts) != 1 || !m.Parts[0].Overlapping {
		t.Fatalf("%d parts, want one of overlapping shells", len(m.Parts))
	}
	want := uniteSeparately(t, solids, h, len(st.Layers))
	for i := range st.Layers {
		l := &st.Layers[i]
		if a := layerArea(l); math.Abs(a-want[i]) > 1e-6 {
			t.Errorf("z %v: area %v, united sections %v", l.Z, a, want[i])
		}
		if islands != nil && len(l.Islands) != islands(l.Z) {
			t.Errorf("z %v: %d islands, want %d", l.Z, len(l.Islands), islands(l.Z))
		}
		if len(l.Repairs) > 0 {
			t.Errorf("z %v: repairs %v", l.Z, l.Repairs)
		}
		for k := range l.Islands {
			if !exact {
				break // walls turned by 1e-9 degrees leave hairs a rounding wide
			}
			if err := polygon(l, k).Validate(); err != nil {
				t.Errorf("z %v, island %d: %v", l.Z, k, err)
			}
		}
	}
}

func TestOverlappingShellsCountOnce(t *testing.T) {
	one := func(float64) int { return 1 }
	tests := []struct {
		name    string
		solids  []shape.Solid
		islands func(z float64) int
	}{
		{"two boxes", []shape.Solid{cuboid(0, 0, 0, 4, 4, 2), cuboid(3, 3, 0, 6, 6, 2)}, one},
		{"two boxes, flush walls", []shape.Solid{cuboid(0, 0, 0, 4, 4, 2), cuboid(3, 0, 0, 6, 4, 2)}, one},
		{"crossed beams", []shape.Solid{cuboid(0, 2, 0, 6, 4, 2), cuboid(2, 0, 0, 4, 6, 2)}, one},
		{"a box in a box", []shape.Solid{cuboid(0, 0, 0, 6, 6, 2), cuboid(2, 2, 0, 4, 4, 2)}, one},
		{"tube over a box", []shape.Solid{shape.Tube(2, 3, 2, 24, 7), cuboid(1, -1, 0, 6, 1, 2)}, one},
		{"tube through a plate", []shape.Solid{shape.Tube(2, 3, 4, 24, 7), cuboid(-5, -5, 0, 5, 5, 1)}, one},
		{"four bars", []shape.Solid{cuboid(0, 0, 0, 6, 1, 2), cuboid(0, 5, 0, 6, 6, 2), cuboid(0, 0, 0, 1, 6, 2), cuboid(5, 0, 0, 6, 6, 2)}, one},
		{"post beside post on a plate", []shape.Solid{cuboid(0, 0, 0, 9, 9, 1), cuboid(1, 1, 0.5, 3, 3, 4), cuboid(5, 5, 0.5, 7, 7, 4)}, func(z float64) int {
			if z < 1 {
				return 1
			}
			return 2
		}},
		{"a ball half in a block", []shape.Solid{cuboid(-4, -4, 0, 4, 4, 2), shape.Sphere(1.5, 20).Move(4, 0, 1.8)}, nil},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) { checkUnion(t, tc.solids, 0.2, tc.islands, true) })
	}
}

func TestRandomOverlaps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		solids := []shape.Solid{cuboid(-3, -3, 0, 3, 3, 1)}
		for range rapid.IntRange(1, 3).Draw(t, "more") {
			x, y := rapid.Float64Range(-3, 3).Draw(t, "x"), rapid.Float64Range(-3, 3).Draw(t, "y")
			turn := rapid.Float64Range(0, 90).Draw(t, "turn")
			var s shape.Solid
			switch rapid.IntRange(0, 2).Draw(t, "kind") {
			case 0:
				s = cuboid(-1, -2, 0.1, 1, 2, 2).Turn(0, 0, turn)
			case 1:
				s = shape.Tube(1, 2, 1.5, rapid.IntRange(3, 12).Draw(t, "n"), turn).Move(0, 0, 0.2)
			case 2:
				s = shape.Torus(2, 0.6, 9, 6).Turn(turn, 0, 0).Move(0, 0, 0.9)
			}
			solids = append(solids, s.Move(x, y, 0))
		}
		low := 0.0
		for _, s := range solids {
			for _, v := range s.V {
				low = min(low, v.Z)
			}
		}
		for i := range solids {
			solids[i] = solids[i].Move(0, 0, -low)
		}
		checkUnion(t, solids, 0.35, nil, false)
	})
}
