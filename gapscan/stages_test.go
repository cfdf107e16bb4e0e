package gapscan

import (
	"errors"
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan/machine"
	"playgauge/mesh/shape"
)

// What the stages share is not changed by use: each further result is that of
// a vet from the start.
func TestStagesAreUsedAgain(t *testing.T) {
	soup := shape.PinGrid(2, 1, 2000, false)
	tested := machine.BuiltIn()
	fine := 0.1
	tested.Tested.SideMM = &fine
	w := AsIs()
	w.Scale, w.TurnDeg, w.Units = [3]float64{0.15, 0.15, 0.125}, [3]float64{0, 0, 45}, "cm"
	placed, err := Place(soup, w)
	if err != nil {
		t.Fatal(err)
	}
	for _, layers := range [][2]float64{{0.2, 0.2}, {0.28, 0.12}, {0.2, 0.2}} {
		w.FirstMM, w.RestMM = layers[0], layers[1]
		sliced, err := placed.Slice(w)
		if err != nil {
			t.Fatal(err)
		}
		for _, mc := range []machine.Machine{machine.BuiltIn(), tested, machine.BuiltIn()} {
			for _, w.ReachMM = range []float64{0, 1} {
				want, err := Vet(soup, w, mc)
				if err != nil {
					t.Fatal(err)
				}
				if d := cmp.Diff(want, sliced.Judge(w, mc)); d != "" {
					t.Errorf("layers %v, side need %v, reach %v: %s", layers, mc.Needs().Side, w.ReachMM, d)
				}
				if want.Model.Units != "cm" || want.Model.Scale != w.Scale || want.Model.TurnDeg != w.TurnDeg || len(want.Joints) == 0 {
					t.Errorf("the result is of %+v with %d joints", want.Model, len(want.Joints))
				}
			}
		}
	}
}

// What does not depend on a machine's needs is looked for once for all
// machines, and again where the reach, the angle or the walls are others.
func TestScansKeepWhatTheyShare(t *testing.T) {
	soup := shape.PinGrid(2, 1, 2000, false)
	w := AsIs()
	w.Scale = [3]float64{1.5, 1.5, 1.25}
	placed, err := Place(soup, w)
	if err != nil {
		t.Fatal(err)
	}
	sliced, err := placed.Slice(w)
	if err != nil {
		t.Fatal(err)
	}
	fine, steep := machine.BuiltIn(), machine.BuiltIn()
	side := 0.1
	fine.Tested.SideMM = &side
	steep.OverhangDeg = 30
	reached, thin := w, w
	reached.ReachMM = 1
	thin.InsetMM = 0.1
	for _, c := range []struct {
		w                    WhatIf
		mc                   machine.Machine
		depths, reach, angle int // how many there are then
	}{
		{w, machine.BuiltIn(), 1, 1, 1},
		{w, fine, 1, 1, 1},
		{w, steep, 1, 1, 2},
		{reached, fine, 1, 2, 3},
		{thin, fine, 2, 2, 3},
		{thin, steep, 2, 2, 3},
		{w, steep, 2, 2, 3},
	} {
		want, err := Vet(soup, c.w, c.mc)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, sliced.Judge(c.w, c.mc)); d != "" {
			t.Errorf("%+v: %s", c, d)
		}
		k := sliced.kept.of(sliced.Stack, 0)
		if d, r, a := len(sliced.kept.by), len(k.pairs), len(k.hangs); d != c.depths || r != c.reach || a != c.angle {
			t.Errorf("%d depths, %d reaches, %d angles kept, want %+v", d, r, a, c)
		}
	}
	k := sliced.kept.of(sliced.Stack, 0)
	if made := k.index; made == nil || k.indexes(sliced.Stack) != made || made.Len() != len(sliced.Stack.Layers) {
		t.Error("the indexes are made again")
	}
	by := hangBy{2, math.Tan(50 * math.Pi / 180)}
	before := k.hangs[by].over
	sliced.Judge(w, machine.BuiltIn())
	if before == nil || k.hangs[by].over != before {
		t.Error("what hangs is looked for again")
	}
}

func TestModelWithoutLayers(t *testing.T) {
	soup := shape.Box(r3.Vec{}, r3.Vec{X: 4, Y: 5, Z: 0.09}).Soup()
	_, err := Vet(soup, AsIs(), machine.BuiltIn())
	var none *NoLayerError
	if !errors.As(err, &none) || none.HeightMM != 0.09 {
		t.Errorf("a model lower than half a layer gives %v", err)
	}
}
