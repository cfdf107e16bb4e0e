package report

import (
	"bytes"
	"testing"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	solids "playgauge/mesh"
	"playgauge/mesh/shape/garden"
	"playgauge/slice"
)

// vetted builds, cuts and judges a model of the demo on the built-in machine.
func vetted(t *testing.T, file string) (*gapscan.Result, *slice.Stack) {
	t.Helper()
	for _, g := range garden.Models() {
		if g.File != file {
			continue
		}
		m, err := solids.Build(g.Build().Soup(), solids.Placement{})
		if err != nil {
			t.Fatal(err)
		}
		plan, err := slice.NewPlan(0.2, 0.2, m.Box.Max.Z)
		if err != nil {
			t.Fatal(err)
		}
		st := slice.Cut(m, plan)
		r := gapscan.Scan(m, st, machine.BuiltIn(), gapscan.Options{Tight: true})
		r.Model.File, r.Model.Units = file, "mm"
		r.Model.Scale = [3]float64{1, 1, 1}
		return r, st
	}
	t.Fatalf("the demo has no %s", file)
	return nil, nil
}

func pageOf(t *testing.T, r *gapscan.Result, st *slice.Stack) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Page(&b, r, st); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
