package gapscan

import (
	"playgauge/gapscan/machine"
	"playgauge/mesh/parallel"
	"playgauge/slice"
	"playgauge/slice/near"
)

// window is how much of a stack is kept while it is judged but once.
type window struct {
	// points that the layers at hand may have between them, some 25 bytes each;
	// of the last layers as many are kept in any case as are within reach of one
	// another, and behind more.
	points, behind int
}

// usual keeps all of a toy's layers, and lets one worker fall some layers behind
// the others before it has to cut what it looks back at once more.
func usual() window { return window{points: 200_000, behind: 12 + parallel.Workers()} }

// Judge slices a model and judges it on a machine, once: the result is that of
// Slice, then Sliced.Judge, to the last bit. Layers are cut when they are asked
// for, and those of a large model are not kept. The errors are those of Slice.
func (p *Placed) Judge(w WhatIf, mc machine.Machine) (*Result, error) {
	return p.judge(w, mc, Options{}, usual(), nil)
}

// JudgeTight does the same and fills in Result.Tight too, for pictures. Each
// layer is shown once to show, where that is not nil: as it is cut, in any order
// and several at once. alike says that its outline is that of the layer below.
func (p *Placed) JudgeTight(w WhatIf, mc machine.Machine, show func(l *slice.Layer, alike bool)) (*Result, error) {
	return p.judge(w, mc, Options{Tight: true}, usual(), show)
}

func (p *Placed) judge(w WhatIf, mc machine.Machine, opt Options, keep window, show func(l *slice.Layer, alike bool)) (*Result, error) {
	plan, err := p.plan(w)
	if err != nil {
		return nil, err
	}
	m, by, doubt, mc0 := p.Mesh, p.by, p.doubt, mc
	mc = mc.Trimmed(w.TrimMM)
	opt.Reach = w.ReachMM
	if opt.Reach == 0 {
		opt.Reach = reachFor(mc.Needs())
	}
	pairs := findPairs(m, opt.Reach, slackOf(plan))
	// Nothing below knows p: where the caller does not either, the trees are
	// given back before the layers are cut.
	m = m.WithoutTrees()
	// What is told of each layer when all is measured: every layer is cut for
	// that once at least.
	st := &slice.Stack{Plan: plan, Layers: make([]slice.Layer, plan.Layers), Parts: len(m.Parts)}
	within := int(min(opt.Reach/min(plan.First, plan.Rest), float64(plan.Layers)))
	recede := w.recede(mc0)
	cutter := slice.NewCutter(m, plan, recede)
	o := &once{pairs: pairs, recede: recede > 0}
	o.index = near.Window(plan.Layers, keep.points, max(within+keep.behind, 1), func(n int) *slice.Layer {
		l := cutter.Layer(n)
		if told := &st.Layers[n-1]; told.Number == 0 { // cut for the first time
			*told = *l
			told.Pts, told.Contours = nil, nil
			if show != nil {
				show(l, o.alike != nil && o.alike(n))
			}
		}
		return l
	})
	opt.once = o
	return named(Scan(m, st, mc, opt), by, doubt, w, mc0), nil
}
