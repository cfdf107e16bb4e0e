package gapscan

import (
	"os"
	"runtime"
	"testing"

	"github.com/google/go-cmp/cmp"

	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/shape"
	"playgauge/mesh/shape/garden"
)

// A model of which no more layers are kept than must be comes out as one of
// which all are, whatever is asked and however many work at it.
func TestJudgedOnceIsJudged(t *testing.T) {
	sagging := machine.BuiltIn()
	sagging.Sag = [][2]float64{{2, 0}, {6, 0.3}}
	receding := AsIs()
	receding.InsetMM = 0.05
	soups := map[string]*mesh.Soup{"grid": shape.PinGrid(3, 3, 9000, true)}
	for name, s := range models() {
		soups[name] = s.Soup()
	}
	for _, m := range garden.Models() {
		if m.File == "plant-clip-slots-close.stl" || os.Getenv("PLAYGAUGE_LONG") != "" {
			soups[m.Name] = m.Build().Soup()
		}
	}
	least := window{points: 0, behind: -1000} // no layer but the last
	for name, soup := range soups {
		for _, c := range []struct {
			w       WhatIf
			mc      machine.Machine
			tight   bool
			workers int
		}{{AsIs(), machine.BuiltIn(), false, 1}, {receding, sagging, true, 3}} {
			placed, err := Place(soup, c.w)
			if err != nil {
				t.Fatal(err)
			}
			sliced, err := placed.Slice(c.w)
			if err != nil {
				t.Fatal(err)
			}
			want := sliced.Judge(c.w, c.mc)
			if c.tight {
				want = sliced.JudgeTight(c.w, c.mc)
			}
			before := runtime.GOMAXPROCS(c.workers)
			got, err := placed.judge(c.w, c.mc, Options{Tight: c.tight}, least, nil)
			runtime.GOMAXPROCS(before)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(want, got); d != "" {
				t.Errorf("%s, tight %v, %d workers: %s", name, c.tight, c.workers, d)
			}
		}
	}
}
