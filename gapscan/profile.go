package gapscan

import (
	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/gapscan/machine"
	"playgauge/slice/near"
)

// Profile is one joint, layer by layer.
type Profile struct {
	// Joint is its id, Parts the ids of its parts, as in Joint.
	Joint int
	Parts [2]int
	// Layers holds the layers that have a margin, ascending.
	Layers []ProfileLayer
}

// ProfileLayer is what one layer shows of one joint, unrounded.
type ProfileLayer struct {
	Layer  int
	Margin float64
	Cause  Cause
	// GapMM is the gap between the beads at the margin, At its place on the
	// upper layer.
	GapMM float64
	At    r2.Vec
	// SideMM is the side gap in the layer, +Inf where it is beyond reach.
	SideMM float64
}

// Free says that the margin is free.
func (l ProfileLayer) Free() bool { return l.Margin >= freeFrom*metShare }

// FreeGap is the gap in mm from which a layer whose need is given is free.
func FreeGap(need float64) float64 { return need * freeFrom * metShare }

// Survey is a result with what it was drawn from.
type Survey struct {
	Result *Result
	// Profiles holds the profile of every joint, in order of their ids.
	Profiles []Profile
	sc       *scanner
}

// Survey is Judge with the profile of every joint.
func (s *Sliced) Survey(w WhatIf, mc machine.Machine) *Survey {
	m, trimmed := s.Placed.Mesh, mc.Trimmed(w.TrimMM)
	k := s.kept.of(s.Stack, w.recede(mc))
	sc, layers := scanLayers(m, k.stack, trimmed, Options{Reach: w.ReachMM, kept: k})
	out := make([]Profile, len(sc.pairs))
	for j, p := range sc.pairs {
		out[j] = Profile{Joint: j + 1, Parts: [2]int{m.Parts[p.a].ID, m.Parts[p.b].ID}}
	}
	for i, l := range layers {
		for k := range l.joints {
			f := &l.joints[k]
			if b := f.best; b.found() {
				at := &out[f.joint]
				at.Layers = append(at.Layers, ProfileLayer{Layer: i + 1, Margin: b.margin, Cause: b.cause, GapMM: b.gap, At: b.at, SideMM: f.side})
			}
		}
	}
	return &Survey{Result: named(assemble(m, sc, trimmed, trimmed.Needs(), layers), s.Placed.by, s.Placed.doubt, w, mc), Profiles: out, sc: sc}
}

// Beside is the box round the places of a layer where the two parts of a
// joint (by its id) have no free side gap; false if there are none. Of two
// walls along each other it holds one place a segment at least.
func (s *Survey) Beside(joint, layer int) (box r2.Box, ok bool) {
	p, ix := s.sc.pairs[joint-1], s.sc.index.At(layer)
	limit := FreeGap(s.sc.sideNeed(layer))
	near.Pairs(ix, p.a, ix, p.b, limit, func(i, j int32, _ float64) float64 {
		a0, a1 := ix.Segment(i)
		b0, b1 := ix.Segment(j)
		a, b, d := near.Nearest(a0, a1, b0, b1)
		if d > limit {
			return limit
		}
		own := r2.Box{Min: r2.Vec{X: min(a.X, b.X), Y: min(a.Y, b.Y)}, Max: r2.Vec{X: max(a.X, b.X), Y: max(a.Y, b.Y)}}
		if ok {
			own = unionBox(box, own)
		}
		box, ok = own, true
		return limit
	})
	return box, ok
}
