package overhang

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
	"playgauge/mesh/shape"
	"playgauge/slice"
	"playgauge/slice/near"
)

// tester is what *testing.T, *testing.B and *rapid.T share.
type tester interface {
	Helper()
	Fatalf(format string, args ...any)
	Errorf(format string, args ...any)
}

// tan50 is the default overhang angle's: 50 degrees from vertical.
var tan50 = math.Tan(50 * math.Pi / 180)

const layerHeight = 0.2

// hangOver is how far from support a place of a test's layer must lie to hang.
var hangOver = layerHeight*tan50 + hangNoise

func box(x0, y0, z0, x1, y1, z1 float64) shape.Solid {
	return shape.Must(shape.Extrude(shape.Rect(x0, y0, x1, y1), nil, z0, z1))
}

func poly(xy ...float64) []r2.Vec {
	var p []r2.Vec
	for i := 0; i < len(xy); i += 2 {
		p = append(p, r2.Vec{X: xy[i], Y: xy[i+1]})
	}
	return p
}

// lathed is a body of revolution; rz lists r, z, r, z ...
func lathed(n int, rz ...float64) shape.Solid { return shape.Must(shape.Lathe(poly(rz...), n, 0)) }

// prism is a body of one section in x and z, between two values of y.
func prism(y0, y1 float64, xz ...float64) shape.Solid {
	return shape.Must(shape.Extrude(poly(xz...), nil, -y1, -y0)).Turn(90, 0, 0)
}

func build(t tester, s *mesh.Soup) *mesh.Mesh {
	t.Helper()
	m, err := mesh.Build(s, mesh.Placement{})
	if err != nil {
		t.Fatalf("building the mesh: %v", err)
	}
	return m
}

// cut is a model in layers of 0.2 mm, indexed.
func cut(t tester, m *mesh.Mesh) (*slice.Stack, *near.Layers) {
	t.Helper()
	plan, err := slice.NewPlan(layerHeight, layerHeight, m.Box.Max.Z)
	if err != nil {
		t.Fatalf("planning the layers: %v", err)
	}
	st := slice.Cut(m, plan)
	return st, near.IndexAll(st)
}

// mayHang tells, as a caller may, in which layers a part can hang: where a
// facet between two cuts faces down and is flatter than 50 degrees. (That is
// enough for the models of the benchmarks, which stand on no edge or corner.)
func mayHang(m *mesh.Mesh, plan slice.Plan) func(part int32, layer int) bool {
	flat := make([][]bool, len(m.Parts))
	for i := range flat {
		flat[i] = make([]bool, plan.Layers+2)
	}
	for t, c := range m.T {
		a, b, d := m.V[c[0]], m.V[c[1]], m.V[c[2]]
		n := r3.Cross(r3.Sub(b, a), r3.Sub(d, a))
		if -n.Z <= tan50*math.Hypot(n.X, n.Y) {
			continue
		}
		lo, hi := plan.Below(min(a.Z, b.Z, d.Z)), plan.Below(max(a.Z, b.Z, d.Z))
		for k := lo + 1; k <= hi+1; k++ {
			flat[m.Shells[m.ShellOf[t]].Part][k] = true
		}
	}
	return func(part int32, layer int) bool { return flat[part][layer] }
}

// search finds what hangs in a solid, at 50 degrees.
func search(t tester, s shape.Solid) *Overhangs {
	t.Helper()
	st, ix := cut(t, build(t, s.Soup()))
	return Find(st.Plan, ix, Options{TanHang: tan50})
}

// one is the only region found.
func one(t tester, o *Overhangs) Region {
	t.Helper()
	if len(o.Regions) != 1 {
		t.Fatalf("%d regions, want 1: %v", len(o.Regions), o.Regions)
	}
	return o.Regions[0]
}

// check compares a region with what is wanted of it.
func check(t *testing.T, r Region, kind Kind, first, last int, span, within float64) {
	t.Helper()
	if r.Kind != kind || r.First != first || r.Last != last {
		t.Errorf("a %s in layers %d to %d, want a %s in %d to %d", r.Kind, r.First, r.Last, kind, first, last)
	}
	if math.Abs(r.Span-span) > within {
		t.Errorf("%s of span %.4f, want %.4f within %g", r.Kind, r.Span, span, within)
	}
}

func checkArea(t tester, r Region, want, within float64) {
	t.Helper()
	if math.Abs(r.Area-want) > within {
		t.Errorf("%s of %.4f mm2, want %.4f within %g", r.Kind, r.Area, want, within)
	}
}

func vec2(x, y float64) r2.Vec { return r2.Vec{X: x, Y: y} }

func reversed(p []r2.Vec) []r2.Vec {
	q := slices.Clone(p)
	slices.Reverse(q)
	return q
}
