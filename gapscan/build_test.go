package gapscan

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/shape"
	"playgauge/slice"
)

// tester is what *testing.T, *testing.B and *rapid.T share.
type tester interface {
	Helper()
	Fatalf(format string, args ...any)
	Errorf(format string, args ...any)
}

// keeps is a machine that keeps these gaps open; one bottom layer, 50 degrees.
func keeps(side, roof, bottom float64) machine.Machine {
	mc := machine.BuiltIn()
	mc.Tested = machine.Tested{SideMM: &side, RoofMM: &roof, BottomMM: &bottom}
	return mc
}

// sliced is a model, its layers and a scanner over them.
type sliced struct {
	mesh    *mesh.Mesh
	stack   *slice.Stack
	machine machine.Machine
	tight   bool
	scanner *scanner
}

func cutSolid(t tester, s shape.Solid, first, rest float64, mc machine.Machine, opt Options) sliced {
	t.Helper()
	m, err := mesh.Build(s.Soup(), mesh.Placement{})
	if err != nil {
		t.Fatalf("building the mesh: %v", err)
	}
	return cutMesh(t, m, first, rest, mc, opt)
}

func cutMesh(t tester, m *mesh.Mesh, first, rest float64, mc machine.Machine, opt Options) sliced {
	t.Helper()
	plan, err := slice.NewPlan(first, rest, m.Box.Max.Z)
	if err != nil {
		t.Fatalf("planning the layers: %v", err)
	}
	st := slice.Cut(m, plan)
	return sliced{m, st, mc, opt.Tight, newScanner(m, st, mc, mc.Needs(), opt)}
}

// result scans all of it.
func (s sliced) result() *Result {
	return Scan(s.mesh, s.stack, s.machine, Options{Reach: s.scanner.reach, Tight: s.tight})
}

// layer is the unrounded scan of layer n.
func (s sliced) layer(n int) layerScan { return newWorker(s.scanner).scan(n) }

// scan is the whole way from a solid to its result.
func scan(t testing.TB, s shape.Solid, first, rest float64, mc machine.Machine) *Result {
	t.Helper()
	return cutSolid(t, s, first, rest, mc, Options{}).result()
}

func vec(x, y, z float64) r3.Vec { return r3.Vec{X: x, Y: y, Z: z} }

func box(x0, y0, z0, x1, y1, z1 float64) shape.Solid {
	return shape.Must(shape.Extrude(shape.Rect(x0, y0, x1, y1), nil, z0, z1))
}

// turned is a lathed body; rz lists r, z, r, z ...
func turned(n int, phase float64, rz ...float64) shape.Solid {
	var p []r2.Vec
	for i := 0; i < len(rz); i += 2 {
		p = append(p, r2.Vec{X: rz[i], Y: rz[i+1]})
	}
	return shape.Must(shape.Lathe(p, n, phase))
}

// prism is a body of one section in x and z, between two values of y.
func prism(y0, y1 float64, xz ...float64) shape.Solid {
	var p []r2.Vec
	for i := 0; i < len(xz); i += 2 {
		p = append(p, r2.Vec{X: xz[i], Y: xz[i+1]})
	}
	// Turning about X by 90 degrees takes y to z and z to -y.
	return shape.Must(shape.Extrude(p, nil, -y1, -y0)).Turn(90, 0, 0)
}

func near2(a, b, tol float64) bool { return math.Abs(a-b) <= tol }

// short says whether an outcome is one of those below margin 1; which of the
// two is a matter of the weld's size.
func short(o Outcome) bool { return o == Sticks || o == Welds }
