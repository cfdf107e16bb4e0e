package remedy

import (
	"math"
	"runtime"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/shape"
)

func box(x0, y0, z0, x1, y1, z1 float64) shape.Solid {
	return shape.Box(r3.Vec{X: x0, Y: y0, Z: z0}, r3.Vec{X: x1, Y: y1, Z: z1})
}

// keeps is a machine that keeps these gaps open.
func keeps(side, roof, bottom float64) machine.Machine {
	mc := machine.BuiltIn()
	mc.Name = "shed"
	mc.Tested = machine.Tested{SideMM: &side, RoofMM: &roof, BottomMM: &bottom}
	return mc
}

// posts are two blocks side by side.
func posts(gap float64) *mesh.Soup {
	return box(0, 0, 0, 4, 5, 3).Append(box(4+gap, 0, 0, 8+gap, 5, 3)).Soup()
}

// hinge is a leaf with a roof over it, a gap above z, carried by posts two
// millimetres away from it.
func hinge(z, gap float64) *mesh.Soup {
	return box(0, 0, 0, 6, 6, z).
		Append(box(-4, 0, 0, -2, 6, z+gap+2).
			Append(box(8, 0, 0, 10, 6, z+gap+2)).
			Append(box(-3, 1, z+gap, 9, 5, z+gap+1.9))).Soup()
}

// skirted are two posts that come near each other in the bottom layer only.
func skirted(gap, skirt float64) *mesh.Soup {
	return box(0, 0, 0, 4, 5, 3).Append(box(3.5, 0, 0, 4+(gap-skirt), 5, 0.15)).Append(box(4+gap, 0, 0, 8+gap, 5, 3)).Soup()
}

func find(t *testing.T, soup *mesh.Soup, mc machine.Machine, others ...machine.Machine) *Result {
	t.Helper()
	r, err := Find(soup, gapscan.AsIs(), mc, Options{Others: others})
	if err != nil {
		t.Fatal(err)
	}
	checkChanges(t, soup, mc, r, others)
	return r
}

func vet(t *testing.T, soup *mesh.Soup, w gapscan.WhatIf, mc machine.Machine) *gapscan.Result {
	t.Helper()
	r, err := gapscan.Vet(soup, w, mc)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// checkChanges vets every change from the start, and what its being steady and
// its scale's being the least promise.
func checkChanges(t *testing.T, soup *mesh.Soup, mc machine.Machine, r *Result, others []machine.Machine) {
	t.Helper()
	before := vet(t, soup, gapscan.AsIs(), mc)
	if before.Outcome != r.Before.Outcome {
		t.Errorf("before: %s, vet says %s", r.Before.Outcome, before.Outcome)
	}
	good := func(w gapscan.WhatIf, mc machine.Machine) bool { return works(vet(t, soup, w, mc).Outcome) }
	for _, c := range r.Changes {
		on := mc
		if c.Machine >= 0 {
			on = others[c.Machine]
		}
		v := vet(t, soup, c.WhatIf, on)
		if v.Outcome != c.Outcome || !works(c.Outcome) || v.Plan.Layers != c.Layers || v.Model.SizeMM != c.SizeMM {
			t.Errorf("%s: told %s, %d layers, %v; vet says %s, %d layers, %v", c.Change, c.Outcome, c.Layers, c.SizeMM, v.Outcome, v.Plan.Layers, v.Model.SizeMM)
		}
		j := v.Joints[0]
		if c.Tightest.Parts != j.Parts || c.Tightest.Cause != *j.Cause || c.Tightest.Margin != *j.Margin {
			t.Errorf("%s: tightest %+v, vet says %v %v %v", c.Change, c.Tightest, j.Parts, *j.Cause, *j.Margin)
		}
		steady := true
		for _, lift := range []float64{0.03, -0.03} {
			w := c.WhatIf
			w.LiftMM = lift
			steady = steady && good(w, on)
		}
		// The axes that are scaled, where all by the same.
		f, one := 1.0, true
		for _, v := range c.WhatIf.Scale {
			one = one && (v == 1 || f == 1 || v == f)
			f = max(f, v)
		}
		if percent := int(math.Round(f * 100)); percent > 100 && one {
			at := func(p int) gapscan.WhatIf {
				w := c.WhatIf
				for i, v := range w.Scale {
					if v > 1 {
						w.Scale[i] = float64(p) / 100
					}
				}
				return w
			}
			steady = steady && good(at(percent+1), on) && good(at(percent+2), on)
			if !strings.Contains(c.Change, "the least that is steady") {
				for p := 100; p < percent; p++ {
					o := vet(t, soup, at(p), on).Outcome
					if o == gapscan.Free || works(o) && before.Outcome != gapscan.Close {
						t.Errorf("%s: %d%% does it too", c.Change, p)
					}
				}
			}
		}
		if steady != c.Steady {
			t.Errorf("%s: told to be steady: %v, vetted: %v", c.Change, c.Steady, steady)
		}
	}
	for i := 1; i < len(r.Changes); i++ {
		a, b := r.Changes[i-1], r.Changes[i]
		if !a.Steady && b.Steady || a.Steady == b.Steady && a.support == b.support && a.tier == b.tier && a.Outcome != gapscan.Free && b.Outcome == gapscan.Free {
			t.Errorf("%q stands before %q", a.Change, b.Change)
		}
	}
}

// kinds lists the changes' words.
func kinds(r *Result) string {
	var s []string
	for _, c := range r.Changes {
		s = append(s, c.Change)
	}
	return strings.Join(s, "; ")
}

// A roof of 0.3 mm above 2.11: cuts at 0.1, 0.3 ... leave layer 2.3 of the air
// only, 0.2 mm, where the machine needs 0.3. In other layers it is 0.3 or more
// (0.24 mm layers: cut at 2.2 below 2.41, then 2.44; two of 0.16 are 0.32).
func TestHeightsStandFirst(t *testing.T) {
	r := find(t, hinge(2.11, 0.3), keeps(0.3, 0.3, 0.3))
	if len(r.Changes) == 0 || !strings.HasPrefix(r.Changes[0].Change, "layers ") || strings.Contains(r.Changes[0].Change, "+") || !r.Changes[0].Steady {
		t.Fatalf("changes: %s", kinds(r))
	}
	scale := false
	for _, c := range r.Changes[1:] {
		scale = scale || strings.HasPrefix(c.Change, "scale ")
	}
	if !scale {
		t.Errorf("no scale behind the layers: %s", kinds(r))
	}
}

// A gap of 0.45 in the bottom layer, 1 above: the cautious machine needs 0.5
// and 0.4, so that a trim of 0.05 is what is asked for.
func TestTrimStandsFirst(t *testing.T) {
	r := find(t, skirted(1, 0.45), machine.BuiltIn())
	if len(r.Changes) < 2 || r.Changes[0].Change != "trim 0.05 mm" || !r.Changes[0].Steady {
		t.Errorf("changes: %s", kinds(r))
	}
	if len(r.Practice) == 0 || !strings.HasPrefix(r.Practice[0], "Level the bed") {
		t.Errorf("practice: %q", r.Practice)
	}
}

// Of posts 0.3 mm apart all layers are short: 0.4 and 0.5 are needed. An inset
// of 0.1 makes 0.5, met from 0.4975 on; a scale of 166 % makes 0.498; with the
// bottom trimmed to a need of 0.4, 133 % makes 0.399. [calc]
func TestInsetAndScale(t *testing.T) {
	r := find(t, posts(0.3), machine.BuiltIn())
	want := "inset 0.1 mm; scale 166%; scale X and Y 166%; trim 0.05 mm + scale 133%; turn 0,90,0"
	if kinds(r) != want {
		t.Fatalf("changes: %s, want %s", kinds(r), want)
	}
	if c := r.Changes[1]; math.Abs(c.VolumeRatio-1.66*1.66*1.66) > 1e-6 || math.Abs(c.TimeRatio-c.VolumeRatio) > 1e-6 {
		t.Errorf("scale 166%%: volume %v, time %v", c.VolumeRatio, c.TimeRatio)
	}
}

// A flow of 0.95 is worth 0.0179 mm between walls 0.2 high of lines 0.4 wide
// [calc]: 0.38 mm become 0.398, met at a need of 0.4.
func TestFlow(t *testing.T) {
	r := find(t, posts(0.385), keeps(0.4, 0.4, 0.4))
	if !strings.Contains(kinds(r), "; flow 0.96; ") {
		t.Errorf("changes: %s", kinds(r))
	}
}

// A wall 0.5 mm thin would be laid no more with an inset of 0.1: less than a
// line is left of it.
func TestInsetIsRefusedForThinWalls(t *testing.T) {
	thin := box(0, 0, 0, 4, 5, 3).Append(box(4.3, 0, 0, 4.8, 5, 3)).Soup()
	r := find(t, thin, machine.BuiltIn())
	if len(r.Refused) != 1 || !strings.HasPrefix(r.Refused[0], "inset 0.1 mm: walls thinner than two lines would vanish, in 15 layers, first of part 2 in layer 1") {
		t.Errorf("refused: %q", r.Refused)
	}
	if strings.Contains(kinds(r), "inset") {
		t.Errorf("changes: %s", kinds(r))
	}
}

func TestNothingHelpsWhereNoGapIsDrawn(t *testing.T) {
	r := find(t, posts(0), machine.BuiltIn())
	if len(r.Changes) != 0 || r.StandsInTheWay == nil || !r.StandsInTheWay.Touch || r.StandsInTheWay.HasMM != 0 || r.StandsInTheWay.NeedsMM != 0.5 {
		t.Errorf("changes: %s; in the way %+v", kinds(r), r.StandsInTheWay)
	}
}

func TestWhatStandsInTheWay(t *testing.T) {
	r := find(t, posts(0.05), keeps(0.6, 0.6, 0.6))
	if len(r.Changes) != 0 || r.StandsInTheWay == nil || r.StandsInTheWay.Touch || math.Abs(r.StandsInTheWay.HasMM-0.05) > 1e-6 || r.StandsInTheWay.NeedsMM != 0.6 || r.StandsInTheWay.Cause != gapscan.CauseBottom {
		t.Errorf("changes: %s; in the way %+v", kinds(r), r.StandsInTheWay)
	}
}

func TestNothingToChange(t *testing.T) {
	for name, soup := range map[string]*mesh.Soup{"free": posts(1), "no joint": box(0, 0, 0, 5, 5, 5).Soup()} {
		r := find(t, soup, machine.BuiltIn())
		if string(r.Before.Outcome) != name || len(r.Changes) != 0 || r.StandsInTheWay != nil || len(r.Practice) != 0 {
			t.Errorf("%s: %+v", name, r)
		}
	}
}

// What is close works; what is looked for makes it free. 0.55 mm is free from
// 0.622 on beside a need of 0.5, and trimmed to 0.4 from 0.4975 on. [calc]
func TestCloseIsMadeFree(t *testing.T) {
	r := find(t, posts(0.55), machine.BuiltIn())
	if len(r.Changes) == 0 || r.Changes[0].Change != "trim 0.05 mm" {
		t.Fatalf("changes: %s", kinds(r))
	}
	for _, c := range r.Changes {
		if c.Outcome != gapscan.Free {
			t.Errorf("%s: %s", c.Change, c.Outcome)
		}
	}
}

func TestAnotherMachine(t *testing.T) {
	loft, attic := keeps(0.2, 0.2, 0.2), keeps(0.28, 0.28, 0.35)
	r := find(t, posts(0.3), machine.BuiltIn(), attic, loft)
	var on []int
	for _, c := range r.Changes {
		if c.Machine >= 0 {
			on = append(on, c.Machine)
		}
	}
	if len(on) != 1 || on[0] != 1 {
		t.Errorf("machines %v, want the second one; changes: %s", on, kinds(r))
	}
}

// A roof of 0.3 mm above 2.11 begins in the layer cut at 2.5 at 100 %, with one
// air layer below. At 104 % the leaf ends at 2.19 and the roof begins at 2.506,
// just above the cut: two air layers, 0.4 mm, by luck. [calc]
func TestLuckIsNotSteady(t *testing.T) {
	r := find(t, hinge(2.11, 0.3), keeps(0.3, 0.4, 0.3))
	lucky, steady := false, false
	for _, c := range r.Changes {
		lucky = lucky || c.Change == "scale 104%" && !c.Steady
		steady = steady || strings.HasPrefix(c.Change, "scale 1") && c.Steady
	}
	if !lucky || !steady || !r.Changes[0].Steady {
		t.Errorf("changes: %s", kinds(r))
	}
}

// High up a percent is more than the shift against the layers: what works at
// one of them need not at the next two.
func TestLuckHighUp(t *testing.T) {
	for _, z := range []float64{10.11, 20.33} {
		r := find(t, hinge(z, 0.36), keeps(0.3, 0.4, 0.3))
		if !strings.Contains(kinds(r), "the least that is steady") {
			t.Errorf("at %v: changes: %s", z, kinds(r))
		}
	}
}

func TestRank(t *testing.T) {
	c := func(words string, kind int, o gapscan.Outcome, steady, support bool) Change {
		return Change{Change: words, Outcome: o, Steady: steady, kind: kind, tier: tierOf[kind], support: support}
	}
	changes := []Change{
		c("unsteady heights", kindHeights, gapscan.Free, false, false),
		c("machine", kindMachine, gapscan.Free, true, false),
		c("free scale", kindScale, gapscan.Free, true, false),
		c("inset", kindInset, gapscan.Close, true, false),
		c("free flow", kindFlow, gapscan.Free, true, false),
		c("turn onto support", kindTurn, gapscan.Free, true, true),
		c("close heights", kindHeights, gapscan.Close, true, false),
		c("free trim", kindTrim, gapscan.Free, true, false),
		c("free turn", kindTurn, gapscan.Free, true, false),
	}
	rank(changes)
	want := "free trim; free turn; close heights; free flow; inset; free scale; machine; turn onto support; unsteady heights"
	if got := kinds(&Result{Changes: changes}); got != want {
		t.Errorf("order %s, want %s", got, want)
	}
}

// Trims go up to where the bottom need is the side need, and no farther.
func TestTrimsEnd(t *testing.T) {
	for _, c := range []struct {
		mc   machine.Machine
		want string
	}{
		{machine.BuiltIn(), "trim 0.05 mm"},
		{keeps(0.2, 0.3, 0.45), "trim 0.05 mm; trim 0.1 mm; trim 0.15 mm"},
		{keeps(0.4, 0.3, 0.4), "trim 0.05 mm"},
	} {
		f := &finder{search: newSearch(nil, gapscan.AsIs(), c.mc, nil)}
		var words []string
		for _, tr := range f.trims() {
			words = append(words, tr.words)
		}
		if got := strings.Join(words, "; "); got != c.want {
			t.Errorf("%s, want %s", got, c.want)
		}
	}
}

// The same bytes whatever the number of processors.
func TestSameOnAnyProcessors(t *testing.T) {
	soup, mc := hinge(2.11, 0.3), keeps(0.3, 0.4, 0.3)
	var all []*Result
	for _, n := range []int{1, 2, 7} {
		before := runtime.GOMAXPROCS(n)
		r, err := Find(soup, gapscan.AsIs(), mc, Options{})
		runtime.GOMAXPROCS(before)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, r)
	}
	for _, r := range all[1:] {
		if d := cmp.Diff(all[0], r, cmpopts.IgnoreUnexported(Change{})); d != "" {
			t.Error(d)
		}
	}
}
