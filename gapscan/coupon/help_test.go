package coupon

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/slice"
)

// variants are the coupons that every promise is checked on.
var variants = map[string]Options{
	"default":        {},
	"fine layers":    {FirstMM: 0.12, RestMM: 0.12},
	"coarse layers":  {FirstMM: 0.28, RestMM: 0.28},
	"thick first":    {FirstMM: 0.3, RestMM: 0.2},
	"narrow nozzle":  {NozzleMM: 0.25, FirstMM: 0.16, RestMM: 0.12},
	"wide nozzle":    {NozzleMM: 0.6, FirstMM: 0.3, RestMM: 0.3},
	"other seed":     {Seed: 77},
	"side alone":     {Families: []Family{Side}},
	"bottom alone":   {Families: []Family{Bottom}},
	"roof alone":     {Families: []Family{Roof}},
	"slope alone":    {Families: []Family{Slope}},
	"flat":           {Families: []Family{Side, Bottom, Roof}},
	"bridge alone":   {Families: []Family{Bridge}},
	"widest nozzle":  {NozzleMM: 0.8, FirstMM: 0.4, RestMM: 0.4, Families: []Family{Side, Roof}},
	"ladders":        {Families: []Family{Bottom, Side, Slope}, Ladders: Ladders{Side: []float64{0.1, 1}, Bottom: []float64{0.05}, Slope: []float64{0.1, 1}, Level: []float64{0.3, 0.7}}},
	"long and short": {Families: []Family{Bridge, Roof}, Ladders: Ladders{Bridge: []float64{3, 60, 100}, Roof: []int{2, 5}}},
}

// sliced is a coupon as the pipeline sees it.
type sliced struct {
	*Coupon
	mesh   *mesh.Mesh
	stack  *slice.Stack
	vetted map[[3]float64]*gapscan.Result
}

// known holds the variants that were asked for: many checks look at one.
var known = map[string]*sliced{}

func prepare(t testing.TB, variant string) *sliced {
	t.Helper()
	if s := known[variant]; s != nil {
		return s
	}
	opt, ok := variants[variant]
	if !ok {
		t.Fatalf("there is no variant %q", variant)
	}
	c, err := Design(opt)
	if err != nil {
		t.Fatal(err)
	}
	m, err := mesh.Build(c.Solid.Soup(), mesh.Placement{})
	if err != nil {
		t.Fatal(err)
	}
	p, err := slice.NewPlan(c.Options.FirstMM, c.Options.RestMM, m.Box.Max.Z)
	if err != nil {
		t.Fatal(err)
	}
	known[variant] = &sliced{c, m, slice.Cut(m, p), map[[3]float64]*gapscan.Result{}}
	return known[variant]
}

// vet judges it on a machine with the given limits.
func (s *sliced) vet(side, roof, bottom float64) *gapscan.Result {
	needs := [3]float64{side, roof, bottom}
	if s.vetted[needs] == nil {
		mc := machine.BuiltIn()
		mc.Tested = machine.Tested{SideMM: &side, RoofMM: &roof, BottomMM: &bottom}
		s.vetted[needs] = gapscan.Scan(s.mesh, s.stack, mc, gapscan.Options{})
	}
	return s.vetted[needs]
}

// joints gives the joint of each movable cell with the base, in the order of
// Cells; nil for a deck. It fails where a cell has none, or two parts that
// move make a joint.
func (s *sliced) joints(t testing.TB, r *gapscan.Result) []*gapscan.Joint {
	t.Helper()
	out := make([]*gapscan.Joint, len(s.Cells))
	for i := range r.Joints {
		j := &r.Joints[i]
		if j.Parts[0] != 1 {
			t.Errorf("parts %v make a joint", j.Parts)
			continue
		}
		k := s.cellAt(s.mesh.Parts[j.Parts[1]-1].Box)
		if k < 0 || out[k] != nil {
			t.Errorf("part %d lies in no cell, or is one of two", j.Parts[1])
			continue
		}
		out[k] = j
	}
	for i, c := range s.Cells {
		if (out[i] != nil) != c.Moves() {
			t.Fatalf("cell %d (%s, %g): a joint is there: %v", c.Number, c.Family, c.GapMM, out[i] != nil)
		}
	}
	return out
}

// cellAt is the cell that holds the box, -1 for none.
func (s *sliced) cellAt(b r3.Box) int {
	for i, c := range s.body {
		if b.Min.X > c.Min.X && b.Max.X < c.Max.X && b.Min.Y > c.Min.Y && b.Max.Y < c.Max.Y {
			return i
		}
	}
	return -1
}
