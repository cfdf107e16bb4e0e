package gapscan

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/slice"
)

// round6 rounds what a person or a program is told to 1e-6 mm: the last
// digits of a float64 say nothing about a print.
func round6(v float64) float64 { return math.Round(v*1e6)/1e6 + 0 } // + 0: no -0

// tie is how near two margins count as equal when the lower layer, or the
// joint of lower id, is to be named: less than float32 coordinates can tell.
const tie = 1e-5

// inTies is a margin in steps ten times as wide, to sort by.
func inTies(margin float64) float64 { return math.Round(margin / (10 * tie)) }

func num(v float64) *float64 { v = round6(v); return &v }

func ptr[T any](v T) *T { return &v }

// assemble gathers what the layers showed into the result.
func assemble(m *mesh.Mesh, sc *scanner, mc machine.Machine, needs machine.Needs, layers []layerScan) *Result {
	r := &Result{
		Schema:    Schema,
		Model:     Model{Format: m.Format, Triangles: m.Read, SizeMM: sizeOf(m.Box)},
		Mesh:      sc.meshState(m),
		Machine:   machineUsed(mc, needs),
		Plan:      PlanUsed{FirstHeightMM: sc.stack.Plan.First, LayerHeightMM: sc.stack.Plan.Rest, Layers: sc.stack.Plan.Layers},
		ReachMM:   round6(sc.reach),
		Parts:     parts(m, sc.stack, sc.index.At(1).Layer, mc.AddedTrimMM),
		Layers:    make([]Layer, 0, len(layers)),
		Overhangs: sc.overhangs(m),
		Outcome:   NoJoint,
	}
	slots, crowded := sc.findSlots(m)
	r.Slots, r.Mesh.Warnings = slots, append(r.Mesh.Warnings, crowded...)
	r.PrintedParts, r.Joined = printedPieces(m, sc.stack, layers)
	welds := sc.weldSums(layers)
	if sc.tight != nil {
		r.Tight = sc.tight.places()
	}
	for i, l := range layers {
		r.Layers = append(r.Layers, sc.layer(m, i+1, l, welds))
	}
	r.Joints = sc.joints(m, layers, welds)
	r.PFree, r.PFreeLacks = chances(mc, r.Joints, sc.familyGaps(layers))
	r.Demands = sc.demands(layers, r.Joints)
	for _, j := range r.Joints {
		if j.Outcome != nil {
			r.Outcome = *j.Outcome // worst first
			break
		}
	}
	r.Cautions = sc.cautions(m, r)
	for i := range r.Layers {
		if o := r.Layers[i].Outcome; o != nil && (*o == Welds || *o == Sticks) {
			r.FirstBadLayer = ptr(i + 1)
			break
		}
	}
	return r
}

func sizeOf(b r3.Box) [3]float64 {
	return [3]float64{round6(b.Max.X - b.Min.X), round6(b.Max.Y - b.Min.Y), round6(b.Max.Z - b.Min.Z)}
}

func (sc *scanner) meshState(m *mesh.Mesh) MeshState {
	dropped := 0
	for i := range sc.stack.Layers {
		for _, r := range sc.stack.Layers[i].Repairs {
			if r.Dropped {
				dropped++
			}
		}
		for _, f := range sc.stack.Layers[i].Folds {
			if f.Dropped {
				dropped++
			}
		}
	}
	return MeshState{
		UnmeasuredContours: dropped,
		Watertight:         m.Watertight(), OpenEdges: m.OpenEdges, NonManifoldEdges: m.NonManifoldEdges,
		Shells: len(m.Shells), Warnings: append(append(append([]string{}, m.Warnings...), sc.touchWarnings(m)...), sc.repairWarnings(m)...),
	}
}

// UsedBy tells of a machine what the results by a what-if tell of it.
func (w WhatIf) UsedBy(mc machine.Machine) MachineUsed {
	mc = mc.Trimmed(w.TrimMM)
	return machineUsed(mc, mc.Needs())
}

func machineUsed(mc machine.Machine, n machine.Needs) MachineUsed {
	return MachineUsed{
		Name: mc.Name, Tested: mc.IsTested(), NozzleMM: mc.NozzleMM, Material: mc.Material,
		SideMM: n.Side, RoofMM: n.Roof, BottomMM: n.Bottom, BridgeMM: n.Bridge,
		From: []NeedFrom{
			needFrom("side_mm", n.From.Side), needFrom("roof_mm", n.From.Roof),
			needFrom("bottom_mm", n.From.Bottom), needFrom("bridge_mm", n.From.Bridge),
		},
		BottomFrom: string(n.BottomFrom), TrimMM: mc.TrimMM, BottomLayers: mc.BottomLayers, OverhangDeg: mc.OverhangDeg, Defaults: append([]string{}, n.Defaults...),
	}
}

func needFrom(need string, f machine.Found) NeedFrom {
	return NeedFrom{Need: need, Source: string(f.Source), Rule: string(f.Rule), MM: f.MM, Trials: f.Trials, TrialsMM: f.TrialsMM, Words: f.Words}
}

// parts describes the parts; where each begins and how much of it lies on the
// bed, less what a what-if trims off it, is read off the layers.
func parts(m *mesh.Mesh, s *slice.Stack, first *slice.Layer, trim float64) []Part {
	out := make([]Part, len(m.Parts))
	for i, p := range m.Parts {
		out[i] = Part{ID: p.ID, VolumeMM3: round6(p.Volume), SizeMM: sizeOf(p.Box), Triangles: p.Facets, BedContactMM2: num(0)}
	}
	for n := len(s.Layers); n >= 1; n-- {
		for _, is := range s.Layers[n-1].Islands {
			p := &out[is.Part]
			p.StartsAtLayer = ptr(n)
		}
	}
	bed := slice.Inset(&slice.Stack{Plan: s.Plan, Layers: []slice.Layer{*first}, Parts: s.Parts}, trim)
	for _, is := range bed.Layers[0].Islands {
		*out[is.Part].BedContactMM2 += is.Area
	}
	for i := range out {
		*out[i].BedContactMM2 = round6(*out[i].BedContactMM2)
	}
	return out
}

// layer turns the scan of layer n into what is told of it.
func (sc *scanner) layer(m *mesh.Mesh, n int, l layerScan, welds []weldSum) Layer {
	p := sc.stack.Plan
	sl := &sc.stack.Layers[n-1]
	out := Layer{
		Layer: n, ZBottomMM: p.Bottom(n), ZTopMM: p.Top(n), Islands: len(sl.Islands),
		SideNeedMM: sc.sideNeed(n), Parts: []int{}, RepairedContours: len(sl.Repairs),
	}
	side, least, share := math.Inf(1), math.Inf(1), 0.0
	for i := range l.joints {
		f := &l.joints[i]
		if f.side < side {
			side = f.side
			out.SideGapMM = num(f.side)
			out.SideEndsMM = &[2][2]float64{place(f.sideEnds[0]), place(f.sideEnds[1])}
		}
		if f.roof.found && (out.RoofAirMM == nil || f.roof.air < *out.RoofAirMM) {
			out.RoofAirMM = num(f.roof.air)
		}
		least = min(least, f.best.margin)
		share = max(share, welds[f.joint].share[n])
	}
	for i := range l.joints {
		f := &l.joints[i]
		if !f.best.found() || f.best.margin > least+tie {
			continue
		}
		pr := sc.pairs[f.joint]
		out.Margin = num(least)
		out.Outcome = ptr(outcomeOf(least, share, sc.crack))
		out.Cause = ptr(f.best.cause)
		out.Parts = []int{m.Parts[pr.a].ID, m.Parts[pr.b].ID}
		out.AtMM = ptr(place(f.best.at))
		out.GapMM, out.NeedMM = num(f.best.gap), num(sc.needOf(f.best, n))
		out.EndsMM, out.EndsLayers = endsOf(f.best, n)
		break
	}
	return out
}

// endsOf says where the two beads of a margin of a layer lie.
func endsOf(b bead, layer int) (*[2][2]float64, *[2]int) {
	return &[2][2]float64{place(b.ends[0]), place(b.ends[1])}, &[2]int{layer, b.low}
}

func place(p r2.Vec) [2]float64 { return [2]float64{round6(p.X), round6(p.Y)} }

// joints gathers each joint over its layers; ties go to the lower layer.
func (sc *scanner) joints(m *mesh.Mesh, layers []layerScan, welds []weldSum) []Joint {
	out := make([]Joint, len(sc.pairs))
	best := make([]bead, len(sc.pairs))
	least := make([]float64, len(sc.pairs))
	for j, p := range sc.pairs {
		out[j] = Joint{ID: j + 1, Parts: [2]int{m.Parts[p.a].ID, m.Parts[p.b].ID}, TrueGapMM: round6(p.trueGap)}
		if p.roof != nil {
			out[j].RoofGapMM = num(*p.roof)
		}
		best[j], least[j] = noBead, math.Inf(1)
	}
	for _, l := range layers {
		for k := range l.joints {
			f := &l.joints[k]
			least[f.joint] = min(least[f.joint], f.best.margin)
		}
	}
	for i, l := range layers {
		n := i + 1
		for k := range l.joints {
			f := &l.joints[k]
			j := &out[f.joint]
			if !math.IsInf(f.side, 1) {
				if j.SideGapMM == nil || f.side < *j.SideGapMM-tie {
					j.SideLayer = ptr(n)
				}
				if j.SideGapMM == nil || f.side < *j.SideGapMM {
					j.SideGapMM = num(f.side)
				}
			}
			if f.roof.found && (j.RoofAirLayers == nil || f.roof.airLayers < *j.RoofAirLayers) {
				j.RoofAirLayers, j.RoofLayer = ptr(f.roof.airLayers), ptr(n)
			}
			if b := f.best; b.found() && !best[f.joint].found() && b.margin <= least[f.joint]+tie {
				best[f.joint] = b
				j.WorstLayer = ptr(n)
				j.AtMM = &[3]float64{round6(b.at.X), round6(b.at.Y), sc.stack.Plan.Cut(n)}
			}
		}
	}
	for j, b := range best {
		if !b.found() {
			continue
		}
		out[j].Margin, out[j].Outcome, out[j].Cause = num(least[j]), ptr(outcomeOf(least[j], welds[j].mm2, sc.crack)), ptr(b.cause)
		out[j].WeldMM2 = num(welds[j].mm2)
		if w := welds[j].weldShape; w.form != "" {
			out[j].WeldForm, out[j].WeldPlaces = ptr(w.form), ptr(w.places)
			switch w.form {
			case formLine:
				out[j].WeldLengthMM = num(w.length)
			case formSeam:
				out[j].WeldAllRound = ptr(w.round)
			}
		}
		out[j].EndsMM, out[j].EndsLayers = endsOf(b, *out[j].WorstLayer)
		out[j].GapMM = num(b.gap)
		out[j].NeedMM = num(sc.needOf(b, *out[j].WorstLayer))
	}
	slices.SortStableFunc(out, func(a, b Joint) int {
		switch {
		case a.Margin == nil && b.Margin == nil:
			return cmp.Compare(a.ID, b.ID)
		case a.Margin == nil:
			return 1
		case b.Margin == nil:
			return -1
		}
		return cmp.Or(cmp.Compare(a.Outcome.severity(), b.Outcome.severity()), cmp.Compare(inTies(*a.Margin), inTies(*b.Margin)), cmp.Compare(a.ID, b.ID))
	})
	return out
}

// needOf is the gap that would just be met where a bead was found.
func (sc *scanner) needOf(b bead, layer int) float64 {
	switch {
	case b.margin > 0:
		return b.gap / b.margin
	case b.cause == CauseRoof:
		return sc.roof
	case b.cause == CauseSlope:
		return sc.side
	}
	return sc.sideNeed(layer)
}
