package garden_test

import (
	"bytes"
	"slices"
	"testing"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/shape/garden"
	"playgauge/slice"
)

// vetted is a model of the catalogue as it is judged from its file, on the
// built-in machine.
func vetted(t *testing.T, m garden.Model, first, rest float64) *gapscan.Result {
	t.Helper()
	var file bytes.Buffer
	if err := mesh.WriteSTL(&file, m.Build().Soup()); err != nil {
		t.Fatal(err)
	}
	soup, err := mesh.ReadSTL(bytes.NewReader(file.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	built, err := mesh.Build(soup, mesh.Placement{})
	if err != nil {
		t.Fatal(err)
	}
	plan, err := slice.NewPlan(first, rest, built.Box.Max.Z)
	if err != nil {
		t.Fatal(err)
	}
	return gapscan.Scan(built, slice.Cut(built, plan), machine.BuiltIn(), gapscan.Options{})
}

// verdicts is what the catalogue promises: the parts, the outcome, the worst
// joint's cause and the first bad layer (0 for none).
var verdicts = map[string]struct {
	parts   int
	outcome gapscan.Outcome
	cause   gapscan.Cause
	bad     int
}{
	"gate-hinge.stl":                {2, gapscan.Free, gapscan.CauseBottom, 0},
	"gate-hinge-bottom-spreads.stl": {2, gapscan.Sticks, gapscan.CauseBottom, 1},
	"pea-chain.stl":                 {7, gapscan.Free, gapscan.CauseSide, 0},
	"pea-chain-side-spot.stl":       {7, gapscan.Sticks, gapscan.CauseSide, 24},
	"snail.stl":                     {2, gapscan.Free, gapscan.CauseSlope, 0},
	"snail-slope-near.stl":          {2, gapscan.Sticks, gapscan.CauseSlope, 2},
	"windmill.stl":                  {10, gapscan.Free, gapscan.CauseSlope, 0},
	"windmill-slope-near.stl":       {10, gapscan.Sticks, gapscan.CauseSlope, 8},
	"gears.stl":                     {4, gapscan.Free, gapscan.CauseBottom, 0},
	"gears-bottom-lines.stl":        {4, gapscan.Sticks, gapscan.CauseBottom, 1},
	"plant-clip.stl":                {2, gapscan.Free, gapscan.CauseSlope, 0},
	"plant-clip-mid-air.stl":        {2, gapscan.Free, gapscan.CauseSlope, 0},
	"plant-clip-slots-close.stl":    {2, gapscan.Free, gapscan.CauseSlope, 0},
	"trellis.stl":                   {8, gapscan.Free, gapscan.CauseBottom, 0},
	"trellis-roof-phase.stl":        {8, gapscan.Sticks, gapscan.CauseRoof, 23},
	"mesh-cloth.stl":                {25, gapscan.Free, gapscan.CauseRoof, 0},
	"mesh-cloth-side-near.stl":      {25, gapscan.Sticks, gapscan.CauseSide, 4},
	"caterpillar.stl":               {5, gapscan.Free, gapscan.CauseBottom, 0},
	"caterpillar-roof-phase.stl":    {5, gapscan.Welds, gapscan.CauseRoof, 18},
}

// causes says which worst cause each failure has, "" where no joint suffers.
var causes = map[garden.Failure]gapscan.Cause{
	garden.Bottom: gapscan.CauseBottom, garden.Side: gapscan.CauseSide, garden.Slope: gapscan.CauseSlope,
	garden.Phase: gapscan.CauseRoof, garden.MidAir: "", garden.Slot: "", garden.Nothing: "",
}

func TestModelsShowWhatTheySay(t *testing.T) {
	shown := map[garden.Failure]bool{}
	toys := map[string][2]int{} // free, failing
	models := garden.Models()
	if len(models) != len(verdicts) {
		t.Errorf("%d models, %d verdicts", len(models), len(verdicts))
	}
	for _, m := range models {
		want, ok := verdicts[m.File]
		if !ok {
			t.Errorf("%s: no verdict is promised", m.File)
			continue
		}
		r := vetted(t, m, 0.2, 0.2)
		bad := 0
		if r.FirstBadLayer != nil {
			bad = *r.FirstBadLayer
		}
		worst := r.Joints[0]
		if len(r.Parts) != want.parts || r.Outcome != want.outcome || *worst.Cause != want.cause || bad != want.bad {
			t.Errorf("%s: %d parts, %s by %s, first bad layer %d; want %+v", m.File, len(r.Parts), r.Outcome, *worst.Cause, bad, want)
		}
		if !r.Mesh.Watertight || r.Mesh.NonManifoldEdges != 0 {
			t.Errorf("%s: %+v", m.File, r.Mesh)
		}
		n := toys[m.Name]
		if m.Shows == garden.Nothing {
			n[0]++
		} else {
			n[1]++
		}
		toys[m.Name] = n
		shown[m.Shows] = true
		if c := causes[m.Shows]; c != "" && (c != *worst.Cause || r.Outcome == gapscan.Free) {
			t.Errorf("%s shows %s, but is %s by %s", m.File, m.Shows, r.Outcome, *worst.Cause)
		}
		oneFailureOnly(t, m, r)
	}
	for name, n := range toys {
		if n[0] != 1 || n[1] < 1 {
			t.Errorf("%s: %d free, %d failing", name, n[0], n[1])
		}
	}
	for f := range causes {
		if !shown[f] {
			t.Errorf("no model shows %q", f)
		}
	}
}

// oneFailureOnly checks that a model has no other fault than the one it
// shows: no layer bad by another cause, nothing that needs support, no bridge
// longer than the machine's, no slot that closes, enough hold on the bed.
func oneFailureOnly(t *testing.T, m garden.Model, r *gapscan.Result) {
	t.Helper()
	for _, l := range r.Layers {
		if l.Outcome == nil || *l.Outcome == gapscan.Free || *l.Outcome == gapscan.Close {
			continue
		}
		// Next to a roof that lost a layer, the rivet's edge is near too.
		if c := causes[m.Shows]; *l.Cause != c {
			t.Errorf("%s: layer %d %s by %s", m.File, l.Layer, *l.Outcome, *l.Cause)
		}
	}
	for _, o := range r.Overhangs {
		switch {
		case o.Kind == "bridge" && *o.SpanMM <= machine.CautiousBridgeMM:
		case o.Kind == "cantilever" && *o.SpanMM <= 1.1: // the crown of a socket, ring by ring
		case o.Kind == "mid-air" && m.Shows == garden.MidAir && o.Layers[0] == 16: // 3 mm up
		default:
			t.Errorf("%s: part %d, layers %v: %s at %v", m.File, o.Part, o.Layers, o.Kind, *o.AtMM)
		}
	}
	var kinds []string
	for _, c := range r.Cautions {
		if c.Kind != "small part" && !slices.Contains(kinds, c.Kind) {
			kinds = append(kinds, c.Kind)
		}
	}
	var want []string
	if m.Shows == garden.MidAir {
		want = []string{"mid-air", "bed"} // it then stands on two legs a jaw
	}
	if !slices.Equal(kinds, want) {
		t.Errorf("%s: cautions %q, want %q", m.File, kinds, want)
	}
	if m.Shows != garden.Slot {
		if len(r.Slots) != 0 {
			t.Errorf("%s: %d slots", m.File, len(r.Slots))
		}
		return
	}
	// Two slits a jaw, 12 mm high.
	layers := map[int]int{}
	for _, s := range r.Slots {
		layers[s.Layer]++
		if s.Outcome != gapscan.Welds || s.WidthMM < 0.2499 || s.WidthMM > 0.2501 {
			t.Errorf("%s: %+v", m.File, s)
		}
	}
	for n := 1; n <= 48; n++ {
		if layers[n] != 4 {
			t.Errorf("%s: layer %d has %d slots, want 4", m.File, n, layers[n])
		}
	}
	if len(layers) > 60 {
		t.Errorf("%s: slots in %d layers", m.File, len(layers))
	}
}

// The same gap prints with two layers of air where the layers fall otherwise:
// that, and no gap, is what the models of a lost layer show.
func TestPhaseDecidesTheLostLayer(t *testing.T) {
	for _, m := range garden.Models() {
		if m.Shows != garden.Phase {
			continue
		}
		for _, c := range []struct {
			first   float64
			outcome gapscan.Outcome
			air     int
		}{{0.2, verdicts[m.File].outcome, 1}, {0.3, gapscan.Close, 2}} {
			r := vetted(t, m, c.first, 0.2)
			if r.Outcome != c.outcome || *r.Demands.RoofAir != c.air {
				t.Errorf("%s: %s with %d air layers, want %+v", m.File, r.Outcome, *r.Demands.RoofAir, c)
			}
		}
	}
}
