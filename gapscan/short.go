package gapscan

import (
	"math"

	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/parallel"
	"playgauge/slice"
	"playgauge/slice/near"
)

// Margins to ask FirstShort for.
const (
	// WorksFrom is the margin from which on a joint is close or free.
	WorksFrom = closeFrom * metShare
	// FreeFrom is the margin from which on it is free.
	FreeFrom = freeFrom * metShare
)

// Short is a place where two parts have less margin than was asked for.
type Short struct {
	Layer  int
	Margin float64
	Cause  Cause
	// a, b are the indices of the parts; z and slack bound the place on the
	// model's own z, as placed: the tight surfaces lie from z-slack to z.
	a, b     int32
	z, slack float64
}

// windowFirst is how many layers are looked at before any others; each
// further window has twice as many, so that a model that is short low down
// costs little, and one that is not hardly more than all at once.
const windowFirst = 8

// FirstShort looks for a place where a joint has a margin below enough, layer
// by layer from the bed up, and stops at the first window of layers that holds
// one; it gives the place of the least margin there. Without one, Judge finds
// no margin below enough either, and no joint's outcome worse than that. It
// costs a fraction of Judge. The errors are those of Slice.
func (p *Placed) FirstShort(w WhatIf, mc machine.Machine, enough float64) (Short, bool, error) {
	plan, err := p.plan(w)
	if err != nil {
		return Short{}, false, err
	}
	l := newLooker(p.Mesh, plan, w, mc, enough)
	l.pairs = findPairs(p.Mesh, l.pairReach, 0) // the slack is in the reach
	for from, many := 1, windowFirst; from <= plan.Layers; from, many = from+many, 2*many {
		if s, ok := l.look(from, min(from+many-1, plan.Layers)); ok {
			return s, true, nil
		}
	}
	return Short{}, false, nil
}

// probeNoise is how much below what is asked for a margin at a probed place
// must be to be sure: the probe reckons with other roundings.
const probeNoise = 1e-6

// IsShortAt looks at one place that was short under another what-if of the
// same turn, and says whether it surely has a margin below enough under this
// one. False says nothing of the model. The model need not be placed by this
// what-if's scale: its layers are cut from vertices that are stretched, with
// the parts as they are. (Parts that touch might become one at another scale,
// and a place between them is none then.) It costs some hundredths of Judge.
func (p *Placed) IsShortAt(s Short, w WhatIf, mc machine.Machine, enough float64) bool {
	m, z, slack := p.Mesh, s.z, s.slack
	if w.Scale != p.by.scale {
		var f [3]float64
		for i := range f {
			f[i] = w.Scale[i] / p.by.scale[i]
		}
		m, z, slack = m.Stretched(f), z*f[2], slack*f[2]
	}
	plan, err := slice.NewLiftedPlan(w.FirstMM, w.RestMM, m.Box.Max.Z, w.LiftMM)
	if err != nil {
		return false
	}
	l := newLooker(m, plan, w, mc, enough-probeNoise)
	l.only = s.Cause
	if s.Cause == CauseBottom {
		l.only = CauseSide
	}
	roofs := s.Cause == CauseRoof
	l.pairs = []pair{{a: s.a, b: s.b, over: [2]bool{roofs, roofs}}}
	if l.only == CauseSide {
		slack = 0 // the cut itself shows it
	}
	// The layer above the place may be the first that shows it.
	_, ok := l.look(max(plan.Below(z-slack), 1), min(plan.Below(z)+1, plan.Layers))
	return ok
}

// looker looks at windows of layers for margins that are short.
type looker struct {
	mesh      *mesh.Mesh
	plan      slice.Plan
	w         WhatIf
	mc        machine.Machine
	needs     machine.Needs
	enough    float64
	reach     float64 // of beads that could be short, mm
	pairReach float64 // of surfaces
	pairs     []pair
	slabs     []slabs
	tanHang   float64
	only      Cause // as of a scanner
}

func newLooker(m *mesh.Mesh, plan slice.Plan, w WhatIf, mc machine.Machine, enough float64) *looker {
	mc = mc.Trimmed(w.TrimMM)
	l := &looker{mesh: m, plan: plan, w: w, mc: mc, needs: mc.Needs(), enough: enough}
	full := w.ReachMM
	if full == 0 {
		full = reachFor(l.needs)
	}
	// A bead whose gap is larger has more margin, whatever its direction.
	l.reach = min(full, enough*max(l.needs.Side, l.needs.Roof, l.needs.Bottom))
	sc := plainScanner(&slice.Stack{Plan: plan}, mc, l.needs, l.reach)
	l.pairReach = min(full, l.reach+slackOf(plan)+sc.sagMost)
	l.tanHang = sc.tanHang
	l.slabs = partSlabs(m, plan, sc.tanHang, w.recede(mc) > 0)
	return l
}

// look scans layers from to to and gives the least margin that is short.
func (l *looker) look(from, to int) (Short, bool) {
	if from > to {
		return Short{}, false
	}
	sc := plainScanner(&slice.Stack{Plan: l.plan}, l.mc, l.needs, l.reach)
	low := from - 1 // what hangs is told by the layer below
	if l.only == CauseSide {
		low = from
	}
	for low > 1 && low < from && sc.stagger(from, low-1).lowered(sc.sagMost).roofGap() <= l.reach {
		low--
	}
	low = max(low, 1)
	sc.stack = slice.Inset(slice.CutSome(l.mesh, l.plan, low, to), l.w.recede(l.mc))
	sc.enough, sc.pairs, sc.slabs, sc.only = l.enough, l.pairs, l.slabs, l.only
	sc.index = near.IndexSome(sc.stack, low, to)
	// Only sags ask how far a bridge spans.
	sc.seekHanging(func(part int32, n int) bool { return sc.sagMost > 0 && sc.slabs[part].any(slabReaches, n, n) }, nil)
	sc.heed(l.mesh)
	layers := make([]layerScan, to-from+1)
	parallel.EachWorker(len(layers), func() func(int) {
		w := newWorker(sc)
		return func(i int) { layers[i] = w.scan(from + i) }
	})
	out := Short{Margin: math.Inf(1)}
	for i, ls := range layers {
		for _, f := range ls.joints {
			if f.best.margin >= min(sc.enough, out.Margin) {
				continue
			}
			n, pr := from+i, sc.pairs[f.joint]
			out = Short{
				Layer: n, Margin: f.best.margin, Cause: f.best.cause, a: pr.a, b: pr.b,
				z: l.plan.InModel(n), slack: l.plan.Height(n),
			}
		}
	}
	return out, out.Margin < sc.enough
}

// Stretched is the place on a model that is larger by a factor along z.
func (s Short) Stretched(f float64) Short {
	s.z, s.slack = s.z*f, s.slack*f
	return s
}

// Shorts are the places of a result's joints with a margin below enough, on
// the model as it was placed, worst first.
func (s *Sliced) Shorts(r *Result, enough float64) []Short {
	var out []Short
	for i := range r.Joints {
		j := &r.Joints[i]
		if j.Margin == nil || *j.Margin >= enough {
			continue
		}
		n := *j.WorstLayer
		out = append(out, Short{
			Layer: n, Margin: *j.Margin, Cause: *j.Cause, a: int32(j.Parts[0] - 1), b: int32(j.Parts[1] - 1),
			z: s.Stack.Plan.InModel(n), slack: s.Stack.Plan.Height(n),
		})
	}
	return out
}
