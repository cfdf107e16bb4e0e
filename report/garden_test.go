package report

import (
	"math"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
)

// Toys from a garden, as results: nothing here was measured.

func ptr[T any](v T) *T { return &v }

// shed is a machine of which all but the bridge was tested.
var shed = gapscan.MachineUsed{
	Name: "shed", Tested: true, NozzleMM: 0.4, Material: "PLA",
	SideMM: 0.30, RoofMM: 0.40, BottomMM: 0.45, BridgeMM: 10,
	BottomFrom: "tested", BottomLayers: 1, OverhangDeg: 50, Defaults: []string{"bridge_mm"},
}

// untested stands for the machine that is used where none is named.
var untested = gapscan.MachineUsed{
	Name: machine.BuiltInName, NozzleMM: 0.4,
	SideMM: 0.40, RoofMM: 0.40, BottomMM: 0.50, BridgeMM: 10,
	BottomFrom: "built-in", BottomLayers: 1, OverhangDeg: 50, Defaults: []string{"side_mm", "roof_mm", "bottom_mm", "bridge_mm"},
}

// toy is a model of so many layers of 0.2 mm in which nothing is near
// anything.
func toy(file string, mc gapscan.MachineUsed, layers int) *gapscan.Result {
	r := &gapscan.Result{
		Schema: gapscan.Schema,
		Model: gapscan.Model{File: file, Format: "binary stl", Triangles: 5120, Units: "mm",
			Scale: [3]float64{1, 1, 1}, SizeMM: [3]float64{60, 24, float64(layers) / 5}},
		Mesh:         gapscan.MeshState{Watertight: true, Shells: 1, Warnings: []string{}},
		Machine:      mc,
		Plan:         gapscan.PlanUsed{FirstHeightMM: 0.2, LayerHeightMM: 0.2, Layers: layers},
		ReachMM:      2,
		PrintedParts: 1, PFreeLacks: []string{},
		Parts: []gapscan.Part{}, Joined: []gapscan.Joined{},
		Joints: []gapscan.Joint{}, Overhangs: []gapscan.Overhang{}, Slots: []gapscan.Slot{}, Cautions: []gapscan.Caution{},
		Layers:  make([]gapscan.Layer, layers),
		Outcome: gapscan.NoJoint,
	}
	if r.Machine.From == nil {
		r.Machine.From = []gapscan.NeedFrom{}
	}
	for i := range r.Layers {
		l := &r.Layers[i]
		l.Layer, l.Islands, l.Parts = i+1, 2, []int{}
		l.ZBottomMM, l.ZTopMM = micron(float64(i)*0.2), micron(float64(i+1)*0.2)
		l.SideNeedMM = mc.SideMM
		if i < mc.BottomLayers {
			l.SideNeedMM = mc.BottomMM
		}
	}
	return part(r, 60, 24, float64(layers)/5)
}

func micron(x float64) float64 { return math.Round(x*1e6) / 1e6 }

func part(r *gapscan.Result, x, y, z float64) *gapscan.Result {
	r.Parts = append(r.Parts, gapscan.Part{ID: len(r.Parts) + 1, SizeMM: [3]float64{x, y, z}, VolumeMM3: x * y * z / 2, Triangles: 512})
	r.PrintedParts = len(r.Parts)
	return r
}

// rate is the outcome of a margin while no weld has been measured.
func rate(m float64) gapscan.Outcome {
	switch {
	case m >= 1.25*0.995:
		return gapscan.Free
	case m >= 0.995:
		return gapscan.Close
	}
	return gapscan.Welds
}

// near gives the layer with index i a side gap between two parts.
func near(r *gapscan.Result, i int, gapMM float64, a, b int) {
	l := &r.Layers[i]
	l.SideGapMM = ptr(micron(gapMM))
	l.Margin = ptr(micron(gapMM / l.SideNeedMM))
	l.Outcome = ptr(rate(*l.Margin))
	l.Cause = ptr(gapscan.CauseSide)
	if i < r.Machine.BottomLayers {
		l.Cause = ptr(gapscan.CauseBottom)
	}
	l.Parts = []int{a, b}
	l.AtMM = &[2]float64{12.3, 4.004}
}

// joint adds a joint; they are to be added worst first.
func joint(r *gapscan.Result, a, b, layer int, cause gapscan.Cause, has, needs float64) *gapscan.Joint {
	j := gapscan.Joint{
		ID: len(r.Joints) + 1, Parts: [2]int{a, b}, TrueGapMM: has, Cause: &cause,
		Margin: ptr(micron(has / needs)), GapMM: ptr(has), NeedMM: ptr(needs),
		WorstLayer: ptr(layer), AtMM: &[3]float64{12.3, 4.004, micron(float64(layer)*0.2 - 0.1)},
	}
	j.Outcome = ptr(rate(*j.Margin))
	if cause == gapscan.CauseSide || cause == gapscan.CauseBottom {
		j.SideGapMM, j.SideLayer = ptr(has), ptr(layer)
	}
	r.Joints = append(r.Joints, j)
	if len(r.Joints) == 1 {
		r.Outcome = *j.Outcome
	}
	return &r.Joints[len(r.Joints)-1]
}

func firstBad(r *gapscan.Result) {
	for i := range r.Layers {
		if o := r.Layers[i].Outcome; o != nil && bad(*o) {
			r.FirstBadLayer = ptr(i + 1)
			return
		}
	}
}

// gateHinge has cone ends: its gap narrows in the middle of its height.
func gateHinge(layers int, mc gapscan.MachineUsed, tightest float64) *gapscan.Result {
	r := part(part(toy("garden/gate-hinge.stl", mc, layers), 30, 24, 9.6), 8, 8, 9.6)
	worst, least := 0, math.Inf(1)
	for i := range layers {
		h := float64(i) / float64(layers)
		if h > 0.82 {
			break // the handle: one part alone
		}
		g := tightest + 0.55*math.Abs(math.Sin(9*h))*(1-0.6*h) + 0.12*h
		if i == 0 {
			g += 0.12
		}
		if h < 0.12 || h > 0.3 {
			near(r, i, g, 1, 2)
		}
		if m := r.Layers[i].Margin; m != nil && *m < least {
			worst, least = i, *m
		}
	}
	l := &r.Layers[worst]
	joint(r, 1, 2, worst+1, *l.Cause, *l.SideGapMM, l.SideNeedMM)
	joint(r, 2, 3, min(3, layers), gapscan.CauseSlope, 0.6, 0.36)
	r.Demands = gapscan.Demands{SideMM: l.SideGapMM, BottomMM: r.Layers[0].SideGapMM}
	firstBad(r)
	return r
}

// peaChain has many joints, most of them free.
func peaChain(mc gapscan.MachineUsed, has ...float64) *gapscan.Result {
	r := toy("pea-chain.stl", mc, 61)
	for range has {
		part(r, 12.5, 12.5, 4)
	}
	for i, g := range has {
		joint(r, i+1, i+2, 21+i, gapscan.CauseSide, g, mc.SideMM)
		if i == 0 {
			r.Demands = gapscan.Demands{SideMM: ptr(g), BottomMM: ptr(0.3), RoofMM: ptr(0.4), RoofAir: ptr(2)}
		}
	}
	for i := range r.Layers {
		near(r, i, has[0]+math.Abs(float64(i)-20)*0.02, 1, 2)
	}
	firstBad(r)
	return r
}

// snail is a ball joint that sticks under its roof: everything a later
// measure fills in is there.
func snail() *gapscan.Result {
	r := part(toy("snail-ball-joint.stl", shed, 90), 14, 14, 14)
	for i := 40; i < 80; i++ {
		near(r, i, 0.4+math.Abs(float64(i)-60)*0.03, 1, 2)
	}
	l := &r.Layers[78]
	l.Margin, l.Outcome, l.Cause, l.RoofAirMM = ptr(0.5), ptr(gapscan.Sticks), ptr(gapscan.CauseRoof), ptr(0.2)
	j := joint(r, 1, 2, 79, gapscan.CauseRoof, 0.2, 0.4)
	j.Outcome, j.RoofGapMM, j.RoofAirLayers, j.RoofLayer = ptr(gapscan.Sticks), ptr(0.3), ptr(1), ptr(79)
	j.WeldMM2, j.WeldForm, j.PFree = ptr(3.2), ptr("spot"), ptr(0.4)
	r.PFree = ptr(0.4)
	r.Outcome, r.FirstBadLayer = gapscan.Sticks, ptr(79)
	r.Slots = []gapscan.Slot{
		{Part: 2, Layer: 11, WidthMM: 0.25, NeedMM: 0.3, Margin: 0.833333, Outcome: gapscan.Welds},
		{Part: 2, Layer: 12, WidthMM: 0.2, NeedMM: 0.3, Margin: 0.666667, Outcome: gapscan.Welds},
		{Part: 1, Layer: 9, WidthMM: 0.5, NeedMM: 0.3, Margin: 1.666667, Outcome: gapscan.Free},
	}
	r.Cautions = []gapscan.Caution{{Kind: "mid-air", Text: "part 2 starts in mid-air at layer 41", Part: ptr(2), Layer: ptr(41)}}
	return r
}

// trowel is one part.
func trowel() *gapscan.Result { return toy("trowel.stl", untested, 40) }

// bees are parts that nothing brings together.
func bees() *gapscan.Result { return part(part(toy("bees.stl", shed, 40), 8, 8, 5), 8, 8, 5) }

// fused is a gate of which two parts are printed as one, from a file that is
// not closed.
func fused() *gapscan.Result {
	r := part(part(toy("gate.stl", shed, 50), 30, 24, 10), 8, 8, 9.6)
	for i := 2; i < 44; i++ {
		near(r, i, max(0, 0.02*math.Abs(float64(i)-20)-0.1), 1, 2)
		r.Layers[i].RepairedContours = i % 2
	}
	joint(r, 1, 2, 16, gapscan.CauseSide, 0, 0.3)
	joint(r, 2, 3, 5, gapscan.CauseBottom, 0.449, 0.45)
	r.PrintedParts, r.Joined = 2, []gapscan.Joined{{Parts: [2]int{1, 2}, Layer: 16}}
	r.Model.Units, r.Model.Scale, r.Model.TurnDeg = "inch", [3]float64{0.5, 0.5, 0.5}, [3]float64{90, 0, 0}
	r.Mesh = gapscan.MeshState{OpenEdges: 16, NonManifoldEdges: 1, Shells: 4,
		Warnings: []string{"the mesh is not closed: 16 edges are open", "surface 3 was inside out; turned"}}
	firstBad(r)
	return r
}

// dovecote has something of everything that is no plain gap: welds of every
// form, parts that the layers join, overhangs, slots, and contours that could
// not be measured.
func dovecote(layers int) *gapscan.Result {
	at := func(share float64) int { return max(1, int(share*float64(layers))) }
	r := toy("dovecote.stl", shed, layers)
	r.Machine.Defaults = []string{"roof_mm", "bridge_mm"}
	for range 5 {
		part(r, 8, 8, 6)
	}
	for i := at(0.1); i < at(0.6); i++ {
		near(r, i, 0.12+0.5*math.Abs(float64(i)/float64(layers)-0.3), 1, 2)
	}
	weld := func(j *gapscan.Joint, o gapscan.Outcome, mm2 float64, form string, places int) *gapscan.Joint {
		j.Outcome, j.WeldMM2, j.WeldForm, j.WeldPlaces = ptr(o), ptr(mm2), ptr(form), ptr(places)
		return j
	}
	weld(joint(r, 1, 2, at(0.3)+1, gapscan.CauseSide, 0.12, 0.3), gapscan.Welds, 56.1, "seam", 1).WeldAllRound = ptr(true)
	weld(joint(r, 1, 3, at(0.4), gapscan.CauseRoof, 0.2, 0.4), gapscan.Sticks, 1.2, "line", 3).WeldLengthMM = ptr(18.2)
	weld(joint(r, 1, 4, at(0.5), gapscan.CauseSide, 0.28, 0.3), gapscan.Sticks, 0.2, "spot", 1)
	weld(joint(r, 1, 5, at(0.5), gapscan.CauseSide, 0.28, 0.3), gapscan.Sticks, 0.3, "spot", 1)
	weld(joint(r, 1, 6, at(0.5), gapscan.CauseSide, 0.29, 0.3), gapscan.Sticks, 0.03, "seam", 1).WeldAllRound = ptr(true)
	r.Outcome = gapscan.Welds
	firstBad(r)
	r.Mesh.UnmeasuredContours = 94
	r.Joined = []gapscan.Joined{{Parts: [2]int{1, 2}, Layer: at(0.3)}, {Parts: [2]int{2, 4}, Layer: at(0.5)}, {Parts: [2]int{3, 6}, Layer: at(0.4)}}
	r.PrintedParts = 3
	hang := func(kind string, first, last, part, over int, span, area, drop float64) {
		o := gapscan.Overhang{Layers: [2]int{first, last}, Kind: kind, AreaMM2: area, Part: part, DropMM: ptr(drop), AtMM: &[2]float64{7.25, 31}}
		if span > 0 {
			o.SpanMM = ptr(span)
		}
		if over > 0 {
			o.OverPart = ptr(over)
		}
		r.Overhangs = append(r.Overhangs, o)
	}
	hang("bridge", at(0.7), at(0.7)+1, 1, 2, 12.24, 60, 0.4)
	hang("bridge", at(0.2), at(0.2), 1, 1, 4, 9, 3)
	hang("cantilever", at(0.8), at(0.8), 3, 0, 6.5, 20, 12)
	hang("cantilever", at(0.8), at(0.8), 3, 3, 3, 5, 1)
	hang("cantilever", at(0.8), at(0.8), 3, 3, 9, 0.001, 1) // a crumb
	hang("mid-air", at(0.75), at(0.75)+3, 4, 0, 0, 4, 9)
	hang("mid-air", at(0.9), at(0.9), 5, 1, 0, 4, 0.4)
	r.Overhangs[len(r.Overhangs)-1].LiesOnPart = ptr(1)
	slot := func(part, layer int, width float64, o gapscan.Outcome) {
		r.Slots = append(r.Slots, gapscan.Slot{Part: part, Layer: layer, WidthMM: width, NeedMM: 0.3, Margin: micron(width / 0.3), Outcome: o})
	}
	for _, p := range []int{1, 2} {
		for i := at(0.15); i < at(0.25); i++ {
			slot(p, i, 0.2, gapscan.Welds)
			slot(p, i, 0.25, gapscan.Welds)
		}
		slot(p, at(0.85), 0.25, gapscan.Welds)
	}
	slot(3, at(0.5), 0.2999, gapscan.Close)
	r.Cautions = []gapscan.Caution{
		{Kind: "mid-air", Text: "1 place begins in mid-air and needs support material", Part: ptr(4), Layer: ptr(at(0.75))},
		{Kind: "bed", Text: "part 5 holds on to the bed by 2.0 mm2 only", Part: ptr(5), Layer: ptr(1)},
	}
	return r
}

// tryChain is an easy chain on a machine with trials.
func tryChain() *gapscan.Result {
	m := shed
	m.From = []gapscan.NeedFrom{
		{Need: "side_mm", Source: "trials", Rule: "limit", MM: 0.3, Trials: 20, TrialsMM: ptr(0.3), Words: "free with 95 % by 20 trials"},
		{Need: "roof_mm", Source: "trials", Rule: "smallest free", MM: 0.4, Trials: 1, TrialsMM: ptr(0.4), Words: "the smallest that came out free in 1 trial"},
		{Need: "bottom_mm", Source: "tested by hand", Rule: "smallest free", MM: 0.45, Trials: 4, TrialsMM: ptr(0.5),
			Words: "tested by hand, which wins over the trials: they say 0.50 mm, the smallest that came out free in 4 trials, too few or too far apart to say more"},
		{Need: "bridge_mm", Source: "built-in", MM: 10, Words: "built-in, not tested"},
	}
	r := peaChain(m, 0.28, 0.4, 0.4)
	for i, p := range []float64{0.62, 0.9814, 0.9814} {
		r.Joints[i].PFree = ptr(p)
	}
	r.PFree = ptr(0.601)
	return r
}
