package overhang

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh"
	"playgauge/mesh/shape"
)

// TestBeamThatBeginsOnACut: a beam with a sharp lower edge lies between two
// posts. Where the edge dips below a cut by next to nothing, it leaves a hair
// there, which is no bridge; all other layers of the beam are one at most, and
// one where the first of them is wide.
func TestBeamThatBeginsOnACut(t *testing.T) {
	posts := shape.Must(shape.Extrude(shape.Rect(0, 0, 3, 6), nil, 0, 6)).Append(
		shape.Must(shape.Extrude(shape.Rect(15, 0, 18, 6), nil, 0, 6)))
	for _, off := range []float64{-0.09, -0.001, -1e-4, -1e-5, -1e-6, 0, 1e-6, 1e-5, 1e-4, 1e-3, 0.05} {
		edge := 3.1 + off // layers of 0.2 are cut at 0.1, 0.3 and so on
		beam := shape.Must(shape.Extrude([]r2.Vec{{X: 3, Y: edge}, {X: 5, Y: edge + 2}, {X: 1, Y: edge + 2}}, nil, 2, 16)).Turn(90, 0, 90)
		m, err := mesh.Build(posts.Append(beam).Soup(), mesh.Placement{})
		if err != nil {
			t.Fatal(err)
		}
		if len(m.Parts) != 1 {
			t.Fatalf("%d parts", len(m.Parts))
		}
		st, ix := cut(t, m)
		o := Find(st.Plan, ix, Options{TanHang: 1.19})
		bridges := 0
		for _, r := range o.Regions {
			if r.Kind != Bridge {
				continue
			}
			bridges++
			if r.Span < 11.9 || r.Span > 12.1 || r.Area < 0.3 {
				t.Errorf("edge %g from the cut: span %v, area %v in layers %d to %d, want a span of 12 and some area", off, r.Span, r.Area, r.First, r.Last)
			}
		}
		if hair := off < 0 && off > -0.01; bridges > 1 || bridges == 0 && !hair {
			t.Errorf("edge %g from the cut: %d bridges in %+v, want 1", off, bridges, o.Regions)
		}
	}
}
