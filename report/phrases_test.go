package report

import (
	"strings"
	"testing"

	"playgauge/gapscan"
)

// says checks what a text says and does not say, wrapping undone.
func says(t *testing.T, about, got string, want, not []string) {
	t.Helper()
	got = joined(got)
	for _, w := range want {
		if !strings.Contains(got, w) {
			t.Errorf("%s: does not say %q:\n%s", about, w, got)
		}
	}
	for _, n := range not {
		if strings.Contains(got, n) {
			t.Errorf("%s: says %q:\n%s", about, n, got)
		}
	}
}

func TestTextOfEverything(t *testing.T) {
	got := text(t, dovecote(60), Style{Width: 200})
	says(t, "dovecote", got, []string{
		"dovecote.stl: welds, as far as it could be measured (94 contours were left out) - 1 of 5 joints will weld and 4 will stick, first at layer",
		"; expect to crack by hand what sticks ",
		"pieces 6 parts print as 3 pieces: parts 1, 2 and 4 are joined from layer 18 on, the last at layer 30; parts 3 and 6 from layer 24 on",
		"welds parts 1 and 2: side gap has 0.12, needs 0.30 mm: 0.18 short", "weld: a seam all round, 56 mm2",
		"roof gap (vertical) has 0.20, needs 0.40 mm (untested): 0.20 short", "weld: in 3 places, the largest a line of 18 mm",
		"parts 1 and 4, 1 and 5: side gap has 0.28", "the first at x 12.30, y 4.00 mm, weld: a spot ",
		"weld: a seam all round, under 1 mm2",
		"overhangs longest bridge 12.2 mm, the machine's 10 mm (untested): part 1, layer 42, z 8.4 mm, at x 7.25, y 31.00 mm, 0.4 mm above part 2",
		"2 cantilevers, the longest of 6.5 mm: part 3, layer 48, z 9.6 mm, at x 7.25, y 31.00 mm, 12 mm above the bed",
		"slots parts 1 and 2, each: 3 slots will close, from layer 9, z 1.8 mm on, in 7 layers; the narrowest has 0.20, needs 0.30 mm",
		"caution 1 place begins in mid-air", "part 5 holds on to the bed by 2.0 mm2 only",
	}, []string{"part 3: ", "this hangs on"})
	if n := strings.Count(got, "by hand"); n != 1 {
		t.Errorf("told %d times to crack it free:\n%s", n, got)
	}
}

// Nothing to say is nothing said.
func TestTextIsQuiet(t *testing.T) {
	r := dovecote(60)
	r.Joined, r.PrintedParts, r.Overhangs, r.Slots, r.Cautions = nil, 6, r.Overhangs[1:2], r.Slots[len(r.Slots)-1:], nil
	r.Mesh.UnmeasuredContours = 0
	says(t, "quiet", text(t, r, Style{}), nil, []string{"pieces", "overhangs", "slots", "caution", "measured"})
}

func TestTextDemands(t *testing.T) {
	r := peaChain(untested, 0.3)
	r.Demands.SlopeMM, r.Demands.BridgeMM = ptr(0.104), ptr(11.23)
	says(t, "all", text(t, r, Style{}), []string{"side gap 0.30 mm, 0.10 mm along slopes, roof gap", "bridge 11.2 mm On the"}, nil)
	r.Demands = gapscan.Demands{SlopeMM: ptr(0.2)}
	says(t, "slopes only", text(t, r, Style{}), []string{"asks of a machine: 0.20 mm along slopes On"}, nil)
	r.Demands = gapscan.Demands{}
	says(t, "nothing", text(t, r, Style{}), nil, []string{"asks", "slopes"})
}

func TestTextModel(t *testing.T) {
	r := trowel()
	r.Model.SizeMM, r.Model.Units = [3]float64{3.42, 1.75, 9.99}, "inch"
	says(t, "inches", text(t, r, Style{}), []string{"model 3.42 x 1.75 x 9.99 mm, file read as inch "}, nil)
}

// What could not be measured is beside the outcome, in text and picture.
func TestDoubt(t *testing.T) {
	for n, want := range map[int]string{
		0:  "",
		1:  ", as far as it could be measured (1 contour was left out)",
		94: ", as far as it could be measured (94 contours were left out)",
	} {
		for _, r := range []*gapscan.Result{peaChain(shed, 0.3), trowel()} {
			r.Mesh.UnmeasuredContours = n
			says(t, "doubt", text(t, r, Style{}), []string{": " + string(r.Outcome) + want}, nil)
			if n == 0 {
				says(t, "no doubt", text(t, r, Style{}), nil, []string{"measured"})
			}
		}
	}
	r := peaChain(shed, 0.3)
	before := strip(t, r)
	r.Mesh.UnmeasuredContours = 94
	if compare(strip(t, r), before) == "" {
		t.Error("the picture does not tell the doubt")
	}
}

func TestNoJointTellsSlots(t *testing.T) {
	r := trowel()
	says(t, "none", text(t, r, Style{}), []string{"no joint; no slot will close - it prints as one part"}, nil)
	for layer := 5; layer < 9; layer++ {
		for range 3 {
			r.Slots = append(r.Slots, gapscan.Slot{Part: 1, Layer: layer, WidthMM: 0.2, NeedMM: 0.4, Margin: 0.5, Outcome: gapscan.Welds})
		}
	}
	says(t, "three", text(t, r, Style{}), []string{"no joint; 3 slots will close - it prints as one part", "part 1: 3 slots will close, from layer 5, z 1.0 mm on, in 4 layers"}, nil)
	r.Slots = r.Slots[:1]
	says(t, "one", text(t, r, Style{}), []string{"no joint; 1 slot will close", "part 1: 1 slot will close, in layer 5, z 1.0 mm; the narrowest"}, nil)
	r.Slots[0].Outcome = gapscan.Close
	says(t, "met", text(t, r, Style{}), []string{"no joint; no slot will close"}, []string{"slots "})
}

// Of many parts with slots of their own the first three are told.
func TestSlotsOfManyParts(t *testing.T) {
	r := trowel()
	for p := 1; p <= 9; p++ {
		r.Slots = append(r.Slots, gapscan.Slot{Part: p, Layer: 2 + p, WidthMM: 0.2, NeedMM: 0.4, Margin: 0.5, Outcome: gapscan.Welds})
	}
	says(t, "nine", text(t, r, Style{}), []string{"9 slots will close", "part 3: 1 slot will close, in layer 5", "and in 6 more parts"}, []string{"part 4:"})
	for i := range r.Slots {
		r.Slots[i].Layer = 3
	}
	says(t, "alike", text(t, r, Style{}), []string{"each of 9 parts: 1 slot will close, in layer 3"}, []string{"more parts"})
}

func TestWeldWords(t *testing.T) {
	for _, c := range []struct {
		j    gapscan.Joint
		want string
	}{
		{gapscan.Joint{WeldForm: ptr("spot"), WeldMM2: ptr(0.2), WeldPlaces: ptr(1)}, "weld: a spot"},
		{gapscan.Joint{WeldForm: ptr("spot"), WeldMM2: ptr(0.2), WeldPlaces: ptr(2)}, "weld: in 2 places, the largest a spot"},
		{gapscan.Joint{WeldForm: ptr("line"), WeldLengthMM: ptr(18.2), WeldPlaces: ptr(1)}, "weld: a line of 18 mm"},
		{gapscan.Joint{WeldForm: ptr("line"), WeldLengthMM: ptr(8.27), WeldPlaces: ptr(1)}, "weld: a line of 8.3 mm"},
		{gapscan.Joint{WeldForm: ptr("seam"), WeldMM2: ptr(1.6), WeldAllRound: ptr(true)}, "weld: a seam all round, under 2 mm2"},
		{gapscan.Joint{WeldForm: ptr("seam"), WeldMM2: ptr(0.03), WeldAllRound: ptr(false)}, "weld: a seam, under 1 mm2"},
		{gapscan.Joint{Outcome: ptr(gapscan.Welds), WeldForm: ptr("seam"), WeldMM2: ptr(93.46), WeldPlaces: ptr(4)}, "weld: 93 mm2 in 4 places, the largest a seam"},
		{gapscan.Joint{Outcome: ptr(gapscan.Welds), WeldForm: ptr("line"), WeldLengthMM: ptr(40.0), WeldMM2: ptr(6.25)}, "weld: a line of 40 mm, 6.2 mm2"},
		{gapscan.Joint{Outcome: ptr(gapscan.Welds), WeldMM2: ptr(6.25)}, "weld: 6.2 mm2"},
		{gapscan.Joint{Outcome: ptr(gapscan.Free), WeldForm: ptr("spot"), WeldMM2: ptr(0.0)}, ""},
		{gapscan.Joint{}, ""},
	} {
		if c.j.Outcome == nil && c.want != "" {
			c.j.Outcome = ptr(gapscan.Sticks)
		}
		if got := unglued(weldWords(&c.j)); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}

func TestPieces(t *testing.T) {
	r := toy("trellis.stl", shed, 50)
	for range 29 {
		part(r, 2, 2, 2)
	}
	if got := pieces(r); got != "" {
		t.Error(got)
	}
	for _, c := range []struct {
		joined  []gapscan.Joined
		printed int
		want    string
	}{
		{[]gapscan.Joined{{Parts: [2]int{3, 1}, Layer: 12}}, 29, "30 parts print as 29 pieces: parts 1 and 3 are joined from layer 12 on"},
		{[]gapscan.Joined{{Parts: [2]int{1, 3}, Layer: 12}, {Parts: [2]int{5, 3}, Layer: 7}, {Parts: [2]int{8, 9}, Layer: 2}}, 27,
			"30 parts print as 27 pieces: parts 1, 3 and 5 are joined from layer 7 on, the last at layer 12; parts 8 and 9 from layer 2 on"},
		{nil, 31, "30 parts print as 31 pieces: something thin is not held together"},
		{nil, 29, "only 29 printed: some of the 30 parts come out as one"},
		{[]gapscan.Joined{{Parts: [2]int{0, 77}, Layer: 1}}, 30, ""}, // no such parts
	} {
		r.Joined, r.PrintedParts = c.joined, c.printed
		if got := unglued(pieces(r)); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	// Very many are summed up.
	r.Joined, r.PrintedParts = nil, 1
	for i := 1; i < 30; i++ {
		r.Joined = append(r.Joined, gapscan.Joined{Parts: [2]int{i, i + 1}, Layer: 5})
	}
	if got, want := unglued(pieces(r)), "30 parts print as 1 piece: parts 1, 2, 3, 4, 5, 6 and 24 more are joined from layer 5 on"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	r.Joined, r.PrintedParts = nil, 15
	for i := 1; i < 30; i += 2 {
		r.Joined = append(r.Joined, gapscan.Joined{Parts: [2]int{i, i + 1}, Layer: 5})
	}
	if got := unglued(pieces(r)); !strings.HasSuffix(got, "parts 9 and 10 from layer 5 on; and 10 more such pieces") {
		t.Error(got)
	}
}

func TestMachineWords(t *testing.T) {
	with := func(base gapscan.MachineUsed, change func(m *gapscan.MachineUsed)) gapscan.MachineUsed {
		change(&base)
		return base
	}
	for _, c := range []struct {
		m    gapscan.MachineUsed
		want string
	}{
		{shed, "machine shed, tested: side 0.30, roof (vertical) 0.40, bottom 0.45 mm"},
		{untested, "the built-in cautious machine, untested: side 0.40, roof (vertical) 0.40, bottom 0.50 mm"},
		{with(untested, func(m *gapscan.MachineUsed) { m.Name = "loft" }),
			"machine loft, untested: the built-in cautious limits, side 0.40, roof (vertical) 0.40, bottom 0.50 mm"},
		{with(untested, func(m *gapscan.MachineUsed) {
			m.Name, m.BottomMM, m.BottomFrom, m.Defaults = "loft", 0.6, "spread", []string{"side_mm", "roof_mm", "bridge_mm"}
		}), "machine loft, untested: the built-in cautious limits, side 0.40, roof (vertical) 0.40 mm; reckoned: bottom 0.60 mm (side need and twice the spread)"},
		{with(shed, func(m *gapscan.MachineUsed) { m.BottomMM, m.TrimMM = 0.35, 0.05 }),
			"machine shed, tested: side 0.30, roof (vertical) 0.40, bottom 0.35 mm (0.45 tested, less twice the trim of 0.05)"},
		{with(shed, func(m *gapscan.MachineUsed) { m.BottomMM, m.TrimMM, m.BottomFrom = 0.4, 0.05, "spread" }),
			"machine shed, tested: side 0.30, roof (vertical) 0.40 mm; reckoned: bottom 0.40 mm (side need and twice the spread, less twice the trim of 0.05)"},
		{with(shed, func(m *gapscan.MachineUsed) { m.BottomMM, m.BottomFrom = 0.3, "side" }),
			"machine shed, tested: side 0.30, roof (vertical) 0.40 mm; reckoned: bottom 0.30 mm (the side need, being more)"},
		{with(shed, func(m *gapscan.MachineUsed) {
			m.BottomMM, m.BottomFrom, m.Defaults = 0.5, "built-in", []string{"bottom_mm"}
		}), "machine shed, tested: side 0.30, roof (vertical) 0.40 mm; untested, so cautious: bottom 0.50 mm"},
		{with(untested, func(m *gapscan.MachineUsed) {
			m.Name, m.Tested, m.Defaults = "loft", true, []string{"side_mm", "roof_mm", "bottom_mm"}
		}), "machine loft, tested for bridges only: the built-in cautious limits, side 0.40, roof (vertical) 0.40, bottom 0.50 mm"},
	} {
		if got := unglued(machineWords(&c.m)); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	r := peaChain(with(untested, func(m *gapscan.MachineUsed) { m.Name = "loft" }), 0.3)
	says(t, "an untested machine file", text(t, r, Style{}), []string{
		"On machine loft, untested (the built-in cautious limits): welds", "Rests on machine loft, untested: the built-in cautious limits,",
	}, nil)
}

// What decides is said to be untested only where it is, though others are
// tested.
func TestUntestedNeed(t *testing.T) {
	all := []string{"side_mm", "roof_mm", "bottom_mm", "bridge_mm"}
	for _, c := range []struct {
		cause      gapscan.Cause
		need       float64
		bottomFrom string
		defaults   []string
		want       string
	}{
		{gapscan.CauseSide, 0.3, "tested", []string{"roof_mm"}, ""},
		{gapscan.CauseSide, 0.3, "tested", []string{"side_mm"}, "side need"},
		{gapscan.CauseBottom, 0.5, "built-in", []string{"bottom_mm"}, "bottom need"},
		{gapscan.CauseBottom, 0.45, "tested", []string{"side_mm", "roof_mm"}, ""},
		{gapscan.CauseBottom, 0.4, "spread", []string{"side_mm"}, "side need"},
		{gapscan.CauseBottom, 0.4, "spread", []string{"roof_mm"}, ""},
		{gapscan.CauseBottom, 0.3, "side", []string{"bottom_mm"}, ""},
		{gapscan.CauseRoof, 0.4, "tested", []string{"roof_mm"}, "roof need"},
		{gapscan.CauseRoof, 0.4, "tested", []string{"side_mm"}, ""},
		{gapscan.CauseRoof, 0.3, "tested", []string{"side_mm"}, "side need"}, // the upper one stands
		{gapscan.CauseSlope, 0.3, "tested", []string{"roof_mm"}, ""},
		{gapscan.CauseSlope, 0.35, "tested", []string{"roof_mm"}, "roof need"},
		{gapscan.CauseSlope, 0.35, "tested", all, "side and roof need"},
		{gapscan.CauseSide, 0.3, "tested", []string{"bridge_mm"}, ""},
	} {
		m := shed
		m.Defaults, m.BottomFrom = c.defaults, c.bottomFrom
		j := gapscan.Joint{Cause: ptr(c.cause), NeedMM: ptr(c.need)}
		if got := untestedNeed(&m, &j); got != c.want {
			t.Errorf("%s %g, %s, untested %v: %q, want %q", c.cause, c.need, c.bottomFrom, c.defaults, got, c.want)
		}
	}
	// That nothing was tested is said once and not at every joint.
	says(t, "an untested machine", text(t, peaChain(untested, 0.3), Style{}), nil, []string{"this hangs on", "(untested)"})
	r := peaChain(shed, 0.3, 0.4)
	r.Machine.Defaults = []string{"side_mm"}
	says(t, "decided by an untested need", text(t, r, Style{}), []string{
		"with little to spare; this hangs on the side need, which was not tested", "has 0.30, needs 0.30 mm (untested): just met",
	}, nil)
	r.Machine.Defaults = []string{"roof_mm"}
	says(t, "not decided by it", text(t, r, Style{}), nil, []string{"this hangs on", "(untested)"})
}

// Text and picture call the same layer the worst: that of the joint listed
// first, though another layer that only sticks may be tighter.
func TestSameWorst(t *testing.T) {
	r := dovecote(60)
	r.Layers[30].Margin = ptr(0.05)
	r.Layers[18].Parts, r.Layers[18].SideGapMM = []int{3, 4}, ptr(0.11) // what else is tight there
	i := worstLayer(r)
	if want := *r.Joints[0].WorstLayer - 1; i != want {
		t.Fatalf("layer index %d, want %d", i, want)
	}
	says(t, "text", text(t, r, Style{}), []string{"layer 19, z 3.8 mm: the worst"}, nil)
	says(t, "picture", worstWords(r, i), []string{"layer 19, z 3.8 mm, the worst: side gap 0.12 of 0.30 mm, parts 1 and 2"}, nil)
	says(t, "verdict", verdict(r, firstAndWorst(r)), []string{"first at layer 7, worst at layer 19"}, nil)
	r.FirstBadLayer = ptr(19)
	says(t, "both", verdict(r, firstAndWorst(r)), []string{"first and worst at layer 19"}, nil)
	r.Joints = nil
	if i := worstLayer(r); i != 30 {
		t.Errorf("without joints layer index %d, want the tightest", i)
	}
}

// What the outcome rests on stands beside it: a doubtful unit, and what hangs
// so that the parts may not print.
func TestOutcomeWithItsDoubts(t *testing.T) {
	r := peaChain(shed, 0.5)
	r.Outcome = gapscan.Free
	r.Joints[0].Outcome = ptr(gapscan.Free)
	warn := func(kinds ...string) {
		r.Cautions = nil
		for _, k := range kinds {
			r.Cautions = append(r.Cautions, gapscan.Caution{Kind: k, Text: "of " + k})
		}
	}
	for _, tc := range []struct {
		kinds []string
		want  string
	}{
		{nil, "free - its one joint should move "},
		{[]string{"bridge", "bed"}, "free - its one joint should move "},
		{[]string{"cantilever"}, "free - its one joint should move, but a long cantilever may droop"},
		{[]string{"lies down", "cantilever"}, "free - its one joint should move, but something begins over air"},
		{[]string{"mid-air", "lies down"}, "free - its one joint should move, but something begins in mid-air"},
	} {
		warn(tc.kinds...)
		says(t, strings.Join(tc.kinds, "+"), text(t, r, Style{}), []string{tc.want}, nil)
	}
	warn()
	for p, want := range map[float64]string{0.47: "its one joint should move in 47 of 100 prints ", 0.95: "its one joint should move "} {
		r.PFree = ptr(p)
		says(t, "chance", text(t, r, Style{}), []string{"free - " + want}, nil)
	}
	r.PFree = nil
	r.Joints[0].Outcome, r.Outcome = ptr(gapscan.Welds), gapscan.Welds
	warn("mid-air")
	says(t, "welds", text(t, r, Style{}), nil, []string{"but something"})
	r.Model.UnitDoubt, r.Model.Units = "the file says no unit", "mm"
	says(t, "unit", text(t, r, Style{}), []string{"welds, if the file is in mm - its one joint will weld"}, nil)
	r.Mesh.UnmeasuredContours = 2
	says(t, "both", text(t, r, Style{}), []string{"welds, if the file is in mm, as far as it could be measured (2 contours were left out) - "}, nil)
}

// Gaps that differ by less than a micron read the same, and no difference is
// told of.
func TestGapsWithinAMicron(t *testing.T) {
	for _, tc := range []struct {
		has, needs float64
		o          gapscan.Outcome
		want       string
	}{
		{0.32004, 0.32, gapscan.Close, "has 0.32, needs 0.32 mm: just met"},
		{0.3996, 0.4, gapscan.Close, "has 0.40, needs 0.40 mm: just met"},
		{0.322, 0.32, gapscan.Close, "has 0.322, needs 0.320 mm: 0.002 to spare"},
		{0.318, 0.32, gapscan.Sticks, "has 0.318, needs 0.320 mm: 0.002 short"},
		{0.1492, 0.15, gapscan.Sticks, "has 0.149, needs 0.150 mm: 0.001 short"}, // not met, though less is missing
	} {
		if got := joined(hasNeeds(tc.has, tc.needs, "", tc.o)); got != tc.want {
			t.Errorf("%v of %v: %q, want %q", tc.has, tc.needs, got, tc.want)
		}
	}
}

func TestCrackOnce(t *testing.T) {
	for sticks, want := range map[int]string{1: "its one joint will stick, first at layer 5; expect to crack it free by hand", 3: "all 3 joints will stick, first at layer 5; expect to crack them free by hand"} {
		r := peaChain(shed, make([]float64, sticks)...)
		for i := range r.Joints {
			r.Joints[i].Outcome = ptr(gapscan.Sticks)
		}
		r.Outcome, r.FirstBadLayer = gapscan.Sticks, ptr(5)
		got := joined(text(t, r, Style{}))
		if strings.Count(got, want) != 1 || strings.Count(got, "by hand") != 1 {
			t.Errorf("%d: %s", sticks, got)
		}
	}
}

// Joints that read alike share a line; of free ones the first is enough.
func TestAlikeJoints(t *testing.T) {
	for has, want := range map[float64]string{0.2: "parts 1 and 2, 2 and 3, 3 and 4, 4 and 5 and 3 more pairs: side gap has 0.20", 0.5: "parts 1 and 2: side gap has 0.50"} {
		r := peaChain(shed, has, has, has, has, has, has, has)
		for i := range r.Joints {
			r.Joints[i].WorstLayer = ptr(21)
		}
		got := text(t, r, Style{Width: 200})
		says(t, "alike", got, []string{want}, nil)
		if more := strings.Contains(got, "and 6 more, all free"); more != (has == 0.5) {
			t.Errorf("%g: %s", has, got)
		}
	}
	r := peaChain(shed, 0.2, 0.2, 0.2)
	says(t, "other layers", text(t, r, Style{Width: 200}), []string{"parts 1 and 2: side", "parts 2 and 3: side"}, []string{"the first at"})
}

func TestOverhangAt(t *testing.T) {
	r := toy("arch.stl", shed, 20)
	for _, c := range []struct {
		over *int
		drop *float64
		want string
	}{
		{ptr(2), ptr(0.4), "part 1, layer 5, z 1.0 mm, 0.4 mm above part 2"},
		{ptr(1), ptr(12.0), "part 1, layer 5, z 1.0 mm, 12 mm above itself"},
		{ptr(2), ptr(0.0), "part 1, layer 5, z 1.0 mm, right on part 2"},
		{nil, ptr(0.8), "part 1, layer 5, z 1.0 mm, 0.8 mm above the bed"},
		{nil, nil, "part 1, layer 5, z 1.0 mm"},
	} {
		o := gapscan.Overhang{Layers: [2]int{5, 6}, Part: 1, OverPart: c.over, DropMM: c.drop}
		if got := unglued(overhangAt(r, &o)); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
}
