package gapscan

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"playgauge/gapscan/machine"
	"playgauge/mesh/shape"
)

// trialsOf are free and welded trials about a threshold.
func trialsOf(f machine.Family, welds, free float64) []machine.Trial {
	var out []machine.Trial
	for _, step := range []float64{0, 0, 0.05, 0.1} {
		out = append(out,
			machine.Trial{Family: f, GapMM: welds - step, Result: machine.Welded},
			machine.Trial{Family: f, GapMM: free + step, Result: machine.CameFree})
	}
	return out
}

// learned is a machine with these trials.
func learned(trials ...[]machine.Trial) machine.Machine {
	mc := machine.BuiltIn()
	for _, t := range trials {
		mc.Trials = append(mc.Trials, t...)
	}
	mc.Learned = machine.Learn(mc.Trials)
	return mc
}

var (
	sideTrials   = trialsOf(machine.FamilySide, 0.2, 0.3)
	bottomTrials = trialsOf(machine.FamilyBottom, 0.3, 0.4)
	roofTrials   = trialsOf(machine.FamilyRoof, 0.2, 0.4)
)

// free is the chance of one gap, rounded as results are.
func free(t *testing.T, mc machine.Machine, f machine.Family, gap float64) float64 {
	t.Helper()
	p, ok := mc.Posterior(f)
	if !ok {
		t.Fatalf("no trials of %s", f)
	}
	mean, _, _ := p.PFree(gap)
	return mean
}

func wantChance(t *testing.T, what string, got *float64, want float64) {
	t.Helper()
	if got == nil || !near2(*got, want, 1e-6) {
		t.Errorf("%s: %v, want %.6f", what, deref(got), want)
	}
}

// row is blocks of 4 mm height in a row, gaps apart.
func row(gaps ...float64) shape.Solid {
	s, x := box(0, 0, 0, 2, 2, 4), 2.0
	for _, g := range gaps {
		s = s.Append(box(x+g, 0, 0, x+g+2, 2, 4))
		x += g + 2
	}
	return s
}

// Two blocks side by side have a gap in the layers and the same in the
// bottom layer, and nothing else.
func TestChanceOfWalls(t *testing.T) {
	mc := learned(sideTrials, bottomTrials, roofTrials)
	for _, trim := range []float64{0, 0.04} {
		mc.TrimMM = trim
		for _, g := range []float64{0.2, 0.28, 0.4} {
			r := scan(t, row(g), 0.2, 0.2, mc)
			want := free(t, mc, machine.FamilySide, g) * free(t, mc, machine.FamilyBottom, g+2*trim)
			wantChance(t, "the joint", r.Joints[0].PFree, want)
			wantChance(t, "the model of one joint", r.PFree, want)
		}
	}
}

// Under a roof the air counts that the layers leave, less what a bridge sags
// beyond the tested roof, by the roof's trials.
func TestChanceUnderARoof(t *testing.T) {
	mc := learned(sideTrials, bottomTrials, roofTrials)
	mc.Sag = [][2]float64{{8, 0}, {20, 0.12}}
	for _, c := range []struct{ half, sag float64 }{{3, 0}, {10, 0.12}} {
		// A beam on posts of its own, 0.5 mm from a block's sides.
		half, foot := c.half, c.half+1
		beam := prism(0, 8, -foot, 0, -half, 0, -half, 2.4, half, 2.4, half, 0, foot, 0, foot, 4, -foot, 4)
		r := scan(t, beam.Append(box(-half+0.5, 0, 0, half-0.5, 8, 2)), 0.2, 0.2, mc)
		j := r.Joints[0]
		if j.RoofAirLayers == nil || *j.RoofAirLayers != 2 || !near2(*j.SideGapMM, 0.5, 1e-9) {
			t.Fatalf("%+v", j)
		}
		wantChance(t, "the beam", j.PFree,
			free(t, mc, machine.FamilySide, 0.5)*free(t, mc, machine.FamilyBottom, 0.5)*free(t, mc, machine.FamilyRoof, 0.4-c.sag))
	}
}

// An upright cone stands: beads of neighbouring layers decide, by the side's
// trials, not as a roof would. In the bottom layer it is a wall.
func TestChanceOfACone(t *testing.T) {
	mc := learned(sideTrials, bottomTrials, roofTrials)
	const gap = 0.3
	c := gap * math.Sqrt2 // in a layer
	cone := turned(96, 0, 0, 0, 1, 0, 3, 2, 0, 2)
	ring := turned(96, 0, 1+c, 0, 4, 0, 4, 2, 3+c, 2)
	r := scan(t, ring.Append(cone), 0.2, 0.2, mc)
	j := r.Joints[0]
	if *j.Cause != CauseSlope || *j.GapMM > 0.95*c || r.Layers[0].SideGapMM == nil {
		t.Fatalf("%s of %g, want a slope of less than %g", *j.Cause, *j.GapMM, c)
	}
	wantChance(t, "the cone", j.PFree,
		free(t, mc, machine.FamilySide, *j.GapMM)*free(t, mc, machine.FamilyBottom, *r.Layers[0].SideGapMM))

	// Where all are bottom layers, beads of one layer go by the bottom's
	// trials, and are the tighter by their need; those of two still do not.
	mc.BottomLayers, mc.Tested.BottomMM = 100, ptr(0.7)
	b := scan(t, ring.Append(cone), 0.2, 0.2, mc)
	if *b.Joints[0].Cause != CauseBottom {
		t.Fatalf("cause %s", *b.Joints[0].Cause)
	}
	wantChance(t, "the cone in bottom layers", b.Joints[0].PFree,
		free(t, mc, machine.FamilySide, *j.GapMM)*free(t, mc, machine.FamilyBottom, *b.Joints[0].SideGapMM))
}

// An arm hangs above a block and d beside it, two layers of air between: what
// lies further above than aside goes by the roof's trials, the other by the
// side's, with the margin that the two needs make.
func TestChanceOfAHangingEdge(t *testing.T) {
	mc := learned(sideTrials, bottomTrials, roofTrials)
	need := mc.Needs()
	for _, d := range []float64{0.1, 0.3, 0.5, 0.9} {
		arm := prism(0, 2, d, 1, 4, 1, 4, 0, 5, 0, 5, 2, d, 2)
		r := scan(t, arm.Append(box(-3, 0, 0, 0, 2, 0.6)), 0.2, 0.2, mc)
		const rr, dz = 0.2, 0.6
		dx := d + rr
		far := math.Hypot(dx, dz)
		margin := (far - rr) * math.Hypot(dx/far/need.Side, dz/far/need.Roof)
		if j := r.Joints[0]; !near2(*j.Margin, margin, 1e-6) {
			t.Fatalf("%g aside: margin %g, want %g", d, *j.Margin, margin)
		}
		want := free(t, mc, machine.FamilySide, margin*need.Side)
		if dz > dx {
			want = free(t, mc, machine.FamilyRoof, margin*need.Roof)
			// The arm's next layer stands on this one: the side's trials.
			want *= free(t, mc, machine.FamilySide, math.Hypot(dx, dz+0.2)-rr)
		}
		wantChance(t, "the arm", r.Joints[0].PFree, want)
	}
}

// Joints share the machine: the model's chance lies between the joints'
// product and the worst of them.
func TestChanceOfTheModel(t *testing.T) {
	mc := learned(sideTrials, bottomTrials, roofTrials)
	gaps := []float64{0.27, 0.3, 0.3, 0.35}
	r := scan(t, row(gaps...), 0.2, 0.2, mc)
	product, worst := 1.0, 1.0
	for _, j := range r.Joints {
		if j.PFree == nil {
			t.Fatalf("no chance of %v", j.Parts)
		}
		product, worst = product**j.PFree, min(worst, *j.PFree)
	}
	if r.PFree == nil || *r.PFree <= product || *r.PFree >= worst {
		t.Errorf("%v, want between %g and %g", deref(r.PFree), product, worst)
	}
	side, _ := mc.Posterior(machine.FamilySide)
	bottom, _ := mc.Posterior(machine.FamilyBottom)
	wantChance(t, "all", r.PFree, side.PAllFree(gaps)*bottom.PAllFree(gaps))
}

// What is not known is nil, and what is missing has a name.
func TestChanceNotKnown(t *testing.T) {
	hand := keeps(0.3, 0.4, 0.4)
	both := learned(sideTrials, bottomTrials)
	both.Tested.SideMM = ptr(0.5) // wins, but the trials are still there
	for _, c := range []struct {
		name  string
		mc    machine.Machine
		known bool
		lacks []string
	}{
		{"untested", machine.BuiltIn(), false, []string{}},
		{"by hand", hand, false, []string{}},
		{"trials that say nothing", learned([]machine.Trial{{Family: machine.FamilySide, GapMM: 0.9, Result: machine.CameFree}}), false, []string{}},
		{"no bottom", learned(sideTrials, roofTrials), false, []string{"bottom"}},
		{"no side", learned(bottomTrials), false, []string{"side"}},
		{"no roof", learned(sideTrials, bottomTrials), true, []string{}},
		{"both", both, true, []string{}},
	} {
		r := scan(t, row(0.3, 0.4), 0.2, 0.2, c.mc)
		for _, j := range r.Joints {
			if (j.PFree != nil) != c.known {
				t.Errorf("%s: a joint has %v", c.name, deref(j.PFree))
			}
		}
		if (r.PFree != nil) != c.known || r.PFreeLacks == nil || !slices.Equal(r.PFreeLacks, c.lacks) {
			t.Errorf("%s: the model has %v, for want of %q", c.name, deref(r.PFree), r.PFreeLacks)
		}
	}
	// A gap too wide for any machine to close needs no trial.
	noBottom := learned(sideTrials, roofTrials)
	bevel := shape.Must(shape.Extrude(shape.Rect(2.3, 0, 4, 2), nil, 0.2, 4)).Append(box(3.95, 0, 0, 4.2, 2, 0.3))
	if r := scan(t, row().Append(bevel), 0.2, 0.2, noBottom); r.Joints[0].PFree == nil || len(r.PFreeLacks) > 0 {
		t.Errorf("%v for want of %q", deref(r.Joints[0].PFree), r.PFreeLacks)
	}
	if r := scan(t, row(), 0.2, 0.2, both); r.PFree != nil {
		t.Errorf("a model without joints has %v", *r.PFree)
	}
}

// The joint's margin is that of its worst family: no chance looks away from
// what the outcome rests on, and none sees worse.
func TestChanceRestsOnTheMargin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		first := float64(rapid.IntRange(10, 40).Draw(t, "first")) / 100
		rest := float64(rapid.IntRange(10, 40).Draw(t, "rest")) / 100
		c := cutSolid(t, someModel(t), first, rest, someMachine(t), Options{Reach: 0.9})
		var layers []layerScan
		least := make([]float64, len(c.scanner.pairs))
		for j := range least {
			least[j] = math.Inf(1)
		}
		for n := 1; n <= c.stack.Plan.Layers; n++ {
			l := c.layer(n)
			layers = append(layers, l)
			for _, f := range l.joints {
				least[f.joint] = min(least[f.joint], f.best.margin)
			}
		}
		sc := c.scanner
		for j, g := range sc.familyGaps(layers) {
			got := min(g[inSide]/sc.side, g[inBottom]/sc.bottom, g[inRoof]/sc.roof)
			if !near2(got, least[j], 1e-9) && got != least[j] {
				t.Fatalf("joint %d: gaps %v are a margin of %g, want %g", j+1, g, got, least[j])
			}
		}
	})
}
