package gapscan

import (
	"errors"
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

func TestModelWithoutLayers(t *testing.T) {
	soup := shape.Box(r3.Vec{}, r3.Vec{X: 4, Y: 5, Z: 0.09}).Soup()
	_, err := Vet(soup, AsIs(), machine.BuiltIn())
	var none *NoLayerError
	if !errors.As(err, &none) || none.HeightMM != 0.09 {
		t.Errorf("a model lower than half a layer gives %v", err)
	}
}
