package gapscan

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"playgauge/gapscan/machine"
	"playgauge/mesh/shape"
)

// teaching is what the one joint of a model teaches, in layers of 0.2 mm.
func teaching(t *testing.T, s shape.Solid, mc machine.Machine, trim float64, came machine.Result) (Taught, *Joint) {
	t.Helper()
	placed, err := Place(s.Soup(), AsIs())
	if err != nil {
		t.Fatal(err)
	}
	sliced, err := placed.Slice(AsIs())
	if err != nil {
		t.Fatal(err)
	}
	teacher := NewTeacher(sliced, AsIs(), mc, trim)
	if n := len(teacher.Result.Joints); n != 1 {
		t.Fatalf("%d joints, want one", n)
	}
	j := &teacher.Result.Joints[0]
	return teacher.Teach(j, came), j
}

func tryGap(f machine.Family, gap float64, r machine.Result) machine.Trial {
	return machine.Trial{Family: f, GapMM: gap, Result: r, FirstHeightMM: 0.2, LayerHeightMM: 0.2}
}

func tryAir(layers int, r machine.Result) machine.Trial {
	return machine.Trial{Family: machine.FamilyRoof, AirLayers: &layers, Result: r, FirstHeightMM: 0.2, LayerHeightMM: 0.2}
}

func wantTaught(t *testing.T, what string, got, want Taught) {
	t.Helper()
	// Coordinates are float32, so gaps are known to some 1e-6 mm.
	if d := cmp.Diff(want, got, cmpopts.EquateApprox(0, 1e-5)); d != "" {
		t.Errorf("%s: %s", what, d)
	}
}

// twoWalls stand a gap apart above the bottom layer and another in it, no less.
func twoWalls(gap, bottom float64) shape.Solid {
	right := box(bottom, 0, 0, bottom+3, 12, 6)
	if gap == bottom {
		return box(-3, 0, 0, 0, 12, 6).Append(right)
	}
	nose := bottom - gap
	return prism(0, 12, -3, 0, 0, 0, 0, 0.2, nose, 0.2, nose, 6, -3, 6).Append(right)
}

// A joint that came out free says so of each family; one that did not of the
// family with the least margin alone.
func TestTeachWalls(t *testing.T) {
	const side, bottom = machine.FamilySide, machine.FamilyBottom
	even, relieved := twoWalls(0.3, 0.3), twoWalls(0.3, 0.6)
	for _, c := range []struct {
		name  string
		model shape.Solid
		mc    machine.Machine
		trim  float64
		came  machine.Result
		want  Taught
	}{
		{"free", even, keeps(0.25, 0.4, 0.25), 0, machine.CameFree,
			Taught{Trials: []machine.Trial{tryGap(side, 0.3, machine.CameFree), tryGap(bottom, 0.3, machine.CameFree)}}},
		{"free against all that is known", even, keeps(0.6, 0.4, 0.8), 0, machine.CameFree,
			Taught{Trials: []machine.Trial{tryGap(side, 0.3, machine.CameFree), tryGap(bottom, 0.3, machine.CameFree)}}},
		{"free, trimmed", even, keeps(0.25, 0.4, 0.25), 0.05, machine.CameFree,
			Taught{Trials: []machine.Trial{tryGap(side, 0.3, machine.CameFree), tryGap(bottom, 0.4, machine.CameFree)}}},
		// 0.3/0.5 is clearly less than 0.3/0.4.
		{"held in the bottom layer", even, keeps(0.4, 0.4, 0.5), 0, machine.Welded,
			Taught{Trials: []machine.Trial{tryGap(bottom, 0.3, machine.Welded)}}},
		{"held in the bottom layer, trimmed", even, keeps(0.4, 0.4, 0.6), 0.05, machine.Stuck,
			Taught{Trials: []machine.Trial{tryGap(bottom, 0.4, machine.Stuck)}}},
		// The trim leaves 0.4 to ask of what is drawn.
		{"trimmed so far that it may be either", even, keeps(0.4, 0.4, 0.6), 0.1, machine.Stuck,
			Taught{Why: WhyRivals, Rivals: []machine.Family{bottom, side}}},
		// 0.3/0.42 and 0.3/0.4 differ by a twentieth.
		{"held in either", even, keeps(0.4, 0.4, 0.42), 0, machine.Welded,
			Taught{Why: WhyRivals, Rivals: []machine.Family{bottom, side}}},
		{"held above it", relieved, keeps(0.4, 0.4, 0.5), 0.1, machine.Stuck,
			Taught{Trials: []machine.Trial{tryGap(side, 0.3, machine.Stuck)}}},
		{"held where it should not", relieved, keeps(0.2, 0.4, 0.1), 0, machine.Welded,
			Taught{Trials: []machine.Trial{tryGap(side, 0.3, machine.Welded)}}},
		{"held by something else", relieved, keeps(0.15, 0.4, 0.1), 0, machine.Welded, Taught{Why: WhyAmple}},
	} {
		got, _ := teaching(t, c.model, c.mc, c.trim, c.came)
		wantTaught(t, c.name, got, c.want)
	}
}

// A beam on its own posts over a block: two layers of air, 1 mm beside it.
func beam(half float64) shape.Solid {
	foot := half + 2
	return prism(0, 8, -foot, 0, -half, 0, -half, 2.4, half, 2.4, half, 0, foot, 0, foot, 4, -foot, 4).
		Append(box(-half+1, 0, 0, half-1, 8, 2))
}

func TestTeachRoof(t *testing.T) {
	const side, bottom = machine.FamilySide, machine.FamilyBottom
	got, _ := teaching(t, beam(4), keeps(0.3, 0.6, 0.4), 0, machine.CameFree)
	wantTaught(t, "free", got, Taught{Trials: []machine.Trial{
		tryGap(side, 1, machine.CameFree), tryGap(bottom, 1, machine.CameFree), tryAir(2, machine.CameFree)}})
	got, _ = teaching(t, beam(4), keeps(0.3, 0.6, 0.4), 0, machine.Welded)
	wantTaught(t, "held", got, Taught{Trials: []machine.Trial{tryAir(2, machine.Welded)}})

	// A long one sags: what held it is the air that was left.
	mc := keeps(0.3, 0.6, 0.4)
	mc.Sag = [][2]float64{{8, 0}, {20, 0.12}}
	got, _ = teaching(t, beam(10), mc, 0, machine.Welded)
	wantTaught(t, "held, sagging", got, Taught{Trials: []machine.Trial{tryGap(machine.FamilyRoof, 0.28, machine.Welded)}})
}

// Walls that lean by 45 degrees are no walls; by 10 they are, at the gap of
// their beads.
func TestTeachSlope(t *testing.T) {
	mc := keeps(0.6, 0.6, 0.1)
	slope := prism(0, 12, 0, 0, 3, 0, 7, 4, 4, 4).Append(prism(0, 12, 3.42, 0, 9, 0, 9, 4, 7.42, 4))
	got, j := teaching(t, slope, mc, 0, machine.Welded)
	wantTaught(t, "held at 45 degrees", got, Taught{Why: WhySlope})
	if *j.Cause != CauseSlope {
		t.Errorf("held by %s, %g at a margin of %g", *j.Cause, *j.GapMM, *j.Margin)
	}
	// In the bottom layer it is 1 mm from the other.
	d := 4 * math.Tan(10*math.Pi/180)
	wall := prism(0, 12, 0, 0, 3, 0, 3+d, 4, d, 4).Append(prism(0, 12, 4, 0, 9, 0, 9, 4, 3.42+d, 4, 3.42+d/20, 0.2, 4, 0.2))
	got, j = teaching(t, wall, mc, 0, machine.Welded)
	if *j.Cause != CauseSlope || *j.GapMM >= 0.42 || *j.GapMM < 0.40 {
		t.Errorf("held by %s of %g", *j.Cause, *j.GapMM)
	}
	wantTaught(t, "held at 10 degrees", got, Taught{Trials: []machine.Trial{tryGap(machine.FamilySide, *j.GapMM, machine.Welded)}})
	// Free: the side gap was enough, and no more is claimed.
	got, _ = teaching(t, slope, mc, 0, machine.CameFree)
	wantTaught(t, "free at 45 degrees", got, Taught{Trials: []machine.Trial{
		tryGap(machine.FamilySide, 0.42, machine.CameFree), tryGap(machine.FamilyBottom, 0.42, machine.CameFree)}})
	// A slope about as tight as the bottom layer leaves open which it was.
	got, j = teaching(t, slope, keeps(0.6, 0.6, 1), 0, machine.Welded)
	if *j.Cause != CauseBottom {
		t.Errorf("held by %s, %g at a margin of %g", *j.Cause, *j.GapMM, *j.Margin)
	}
	wantTaught(t, "held at the slope or the bottom", got, Taught{Why: WhySlope})
}

// A small place that is narrow teaches nothing by having come free, unless it
// was no narrower than is known to be enough; contact never does.
func TestTeachSmallPlaces(t *testing.T) {
	const side, bottom = machine.FamilySide, machine.FamilyBottom
	// A knob of 2 x 2 mm leaves 0.2 mm where the walls leave 1.
	knob := func(gap float64) shape.Solid {
		return box(-3, 0, 0, 0, 12, 6).Append(box(-0.5, 5, 2, 1-gap, 7, 4)).Append(box(1, 0, 0, 4, 12, 6))
	}
	got, _ := teaching(t, knob(0.2), keeps(0.4, 0.4, 0.5), 0, machine.CameFree)
	wantTaught(t, "narrower than known", got, Taught{Trials: []machine.Trial{tryGap(bottom, 1, machine.CameFree)}, Small: []machine.Family{side}})
	got, _ = teaching(t, knob(0.2), keeps(0.2, 0.4, 0.5), 0, machine.CameFree)
	wantTaught(t, "known to be enough", got, Taught{Trials: []machine.Trial{tryGap(side, 0.2, machine.CameFree), tryGap(bottom, 1, machine.CameFree)}})
	got, _ = teaching(t, knob(0.2), keeps(0.4, 0.4, 0.5), 0, machine.Welded)
	wantTaught(t, "held", got, Taught{Trials: []machine.Trial{tryGap(side, 0.2, machine.Welded)}})
	got, _ = teaching(t, twoWalls(0, 1), keeps(0.4, 0.4, 0.5), 0, machine.CameFree)
	wantTaught(t, "walls in contact", got, Taught{Trials: []machine.Trial{tryGap(bottom, 1, machine.CameFree)}, Small: []machine.Family{side}})
}

// Where there is nothing to judge, nothing is taught.
func TestTeachNothing(t *testing.T) {
	tr := Teacher{Result: &Result{}}
	for _, came := range []machine.Result{machine.CameFree, machine.Stuck, machine.Welded} {
		wantTaught(t, string(came), tr.Teach(&Joint{}, came), Taught{Why: WhyNoGap})
	}
}

// What a joint asks alone is its own, and what they ask taken together is what
// the model asks.
func TestJointsAskTogether(t *testing.T) {
	all := models()
	all["a row"] = row(0.3, 0.5, 0.4)
	for name, s := range all {
		r := scan(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.4))
		var d Demands
		least := func(to **float64, v *float64) {
			if v != nil && (*to == nil || *v < **to) {
				*to = v
			}
		}
		for _, j := range r.Joints {
			least(&d.SideMM, j.Asks.SideMM)
			least(&d.BottomMM, j.Asks.BottomMM)
			least(&d.RoofMM, j.Asks.RoofMM)
			var own *float64
			least(&own, j.Asks.SideMM)
			least(&own, j.Asks.BottomMM)
			if diff := cmp.Diff(j.SideGapMM, own); diff != "" {
				t.Errorf("%s, joint %d: %s", name, j.ID, diff)
			}
			least(&d.SlopeMM, j.Asks.SlopeMM)
			if a := j.Asks.RoofAir; a != nil && (d.RoofAir == nil || *a < *d.RoofAir) {
				d.RoofAir = a
			}
		}
		if d.SlopeMM != nil && d.SideMM != nil && *d.SlopeMM >= *d.SideMM {
			d.SlopeMM = nil
		}
		d.BridgeMM = r.Demands.BridgeMM
		if diff := cmp.Diff(r.Demands, d); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
}
