package gapscan

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/shape"
)

// W=0.45, h=0.2: 5 % less flow opens a gap between two walls by 0.0204 mm, and
// gives the widths below [calc, check values: bead and flow].
func TestFlowInset(t *testing.T) {
	for flow, width := range map[float64]float64{0.90: 0.409292, 0.95: 0.429646, 1: 0.45} {
		if got := 0.45 - 2*FlowInset(flow, 0.45, 0.2); math.Abs(got-width) > 1e-6 {
			t.Errorf("at a flow of %v lines are %v wide, want %v", flow, got, width)
		}
	}
	if got := 2 * FlowInset(0.95, 0.45, 0.2); math.Abs(got-0.0204) > 5e-5 {
		t.Errorf("5 %% less flow opens a gap by %v, want 0.0204", got)
	}
	if FlowInset(0.9, 0.03, 0.2) != 0 {
		t.Error("a line too narrow for its height has no side that recedes")
	}
}

// wantNear checks a number that may be unknown.
func wantNear(t *testing.T, what string, got *float64, want float64) {
	t.Helper()
	if got == nil || math.Abs(*got-want) > 2e-6 {
		t.Errorf("%s is %s, want %v", what, show(got), want)
	}
}

func show(v *float64) any {
	if v == nil {
		return "unknown"
	}
	return *v
}

// plates are two blocks of 4 x 5 x 3 mm side by side.
func plates(gap float64) *mesh.Soup {
	block := shape.Box(r3.Vec{}, r3.Vec{X: 4, Y: 5, Z: 3})
	return block.Append(block.Move(4+gap, 0, 0)).Soup()
}

func vet(t *testing.T, s *mesh.Soup, w WhatIf, mc machine.Machine) *Result {
	t.Helper()
	r, err := Vet(s, w, mc)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Between two plates a gap of 0.3 grows by twice the inset, by twice what the
// flow makes of a line (0.4 wide and 0.2 high: half of (1-F)(0.4 - 0.2(1 -
// pi/4))), and by both. The margin is the gap over the need of 0.4, or of 0.5
// in layer 1 less twice the trim. [calc]
func TestWhatIfBetweenTwoPlates(t *testing.T) {
	flow95 := 0.05 * (0.4 - 0.2*(1-math.Pi/4)) // 0.0178540
	for _, c := range []struct {
		name   string
		change func(*WhatIf)
		gap    float64
		bottom float64
	}{
		{"as it is", func(*WhatIf) {}, 0.3, 0.5},
		{"inset", func(w *WhatIf) { w.InsetMM = 0.05 }, 0.4, 0.5},
		{"flow", func(w *WhatIf) { w.Flow = 0.95 }, 0.3 + flow95, 0.5},
		{"inset and flow", func(w *WhatIf) { w.Flow, w.InsetMM = 0.95, 0.05 }, 0.4 + flow95, 0.5},
		{"trim", func(w *WhatIf) { w.TrimMM = 0.03 }, 0.3, 0.44},
		{"more trim than spread", func(w *WhatIf) { w.TrimMM = 0.2 }, 0.3, 0.4},
		{"lift", func(w *WhatIf) { w.LiftMM = 0.03 }, 0.3, 0.5},
	} {
		w := AsIs()
		c.change(&w)
		r := vet(t, plates(0.3), w, machine.BuiltIn())
		wantNear(t, c.name+": the side demand", r.Demands.SideMM, c.gap)
		wantNear(t, c.name+": the bottom demand", r.Demands.BottomMM, c.gap)
		wantNear(t, c.name+": the margin of layer 1", r.Layers[0].Margin, c.gap/c.bottom)
		wantNear(t, c.name+": the margin of layer 2", r.Layers[1].Margin, c.gap/0.4)
		wantNear(t, c.name+": the gap as drawn", &r.Joints[0].TrueGapMM, 0.3)
		if (r.Adjusted != nil) != (w != AsIs()) {
			t.Errorf("%s: the result tells of %+v", c.name, r.Adjusted)
		}
	}
}

// A pin of radius 5 in a bore of 5.3, 32-gons by their vertices, aligned: the
// gap is 0.298555 [calc, check values: geometry], and 2c more with an inset c.
func TestInsetOfPinInBore(t *testing.T) {
	pin := shape.Must(shape.Extrude(shape.Circle(r2.Vec{}, 5, 32, 0), nil, 0, 3))
	plate := shape.Must(shape.Extrude(shape.Circle(r2.Vec{}, 9, 32, 0), [][]r2.Vec{shape.Circle(r2.Vec{}, 5.3, 32, 0)}, 0, 3))
	w := AsIs()
	w.InsetMM = 0.06
	r := vet(t, pin.Append(plate).Soup(), w, machine.BuiltIn())
	wantNear(t, "the side demand", r.Demands.SideMM, 0.298555+0.12)
}

// What changes nothing changes not a bit.
func TestWhatIfOfNothing(t *testing.T) {
	soup := shape.PinGrid(1, 2, 2000, false)
	m, err := mesh.Build(soup, mesh.Placement{})
	if err != nil {
		t.Fatal(err)
	}
	want := vet(t, soup, AsIs(), machine.BuiltIn())
	s := cutMesh(t, m, 0.2, 0.2, machine.BuiltIn(), Options{})
	got := Scan(m, s.stack, machine.BuiltIn(), Options{})
	got.Model = want.Model
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	placed, err := Place(soup, AsIs())
	if err != nil {
		t.Fatal(err)
	}
	sliced, err := placed.Slice(AsIs())
	if err != nil {
		t.Fatal(err)
	}
	if sliced.Printed(AsIs(), machine.BuiltIn()) != sliced.Stack {
		t.Error("no inset makes other layers")
	}
}

// A roof of 0.3 mm over a plate 2 mm thick, in layers of 0.2: cuts lie at 0.1,
// 0.3 ... so the plate's top layer is cut at 1.9 and the roof's first at 2.3 or,
// where the roof is pushed past 2.3, at 2.5. Lifted by 0.03 the roof begins at
// 2.33: two air layers instead of one. [calc]
func TestLiftChangesAirLayers(t *testing.T) {
	plate := shape.Box(r3.Vec{}, r3.Vec{X: 6, Y: 6, Z: 2})
	post := shape.Box(r3.Vec{X: 7}, r3.Vec{X: 8, Y: 6, Z: 4})
	roof := shape.Box(r3.Vec{X: 1, Y: 1, Z: 2.3 - 0.01}, r3.Vec{X: 7.5, Y: 5, Z: 4})
	soup := plate.Append(post).Append(roof).Soup()
	for lift, air := range map[float64]int{0: 1, 0.03: 2, -0.03: 1} {
		w := AsIs()
		w.LiftMM = lift
		r := vet(t, soup, w, machine.BuiltIn())
		if len(r.Joints) != 1 || r.Joints[0].RoofAirLayers == nil || *r.Joints[0].RoofAirLayers != air {
			t.Errorf("lifted by %v: %+v, want %d air layers", lift, r.Joints, air)
		}
	}
}

// A pin of 0.15 mm beside a block is gone with an inset of 0.1, and the result
// says so; a block of 4 x 5 mm keeps 3.8 x 4.8 on the bed, and as much with a
// trim of 0.1. [calc]
func TestWhatIfCosts(t *testing.T) {
	block := shape.Box(r3.Vec{}, r3.Vec{X: 4, Y: 5, Z: 3})
	pin := shape.Box(r3.Vec{X: 5}, r3.Vec{X: 5.15, Y: 0.15, Z: 3})
	soup := block.Append(pin).Soup()
	w := AsIs()
	w.InsetMM = 0.1
	r := vet(t, soup, w, machine.BuiltIn())
	wantNear(t, "bed contact with an inset", r.Parts[0].BedContactMM2, 3.8*4.8)
	said := false
	for _, c := range r.Cautions {
		said = said || c.Kind == "thin wall" && strings.Contains(c.Text, "15 places in 15 layers")
	}
	if !said {
		t.Errorf("nothing is said of the pin that is gone: %+v", r.Cautions)
	}
	w = AsIs()
	w.TrimMM = 0.1
	r = vet(t, soup, w, machine.BuiltIn())
	wantNear(t, "bed contact with a trim", r.Parts[0].BedContactMM2, 3.8*4.8)
}
