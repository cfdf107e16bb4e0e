package gapscan

import (
	"fmt"
	"strconv"

	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/slice"
)

// Vet places, slices and judges a model by a what-if on a machine: Place and
// Judge, which see. The result's Model.File is left empty.
func Vet(soup *mesh.Soup, w WhatIf, mc machine.Machine) (*Result, error) {
	placed, err := Place(soup, w)
	if err != nil {
		return nil, err
	}
	return placed.Judge(w, mc)
}

// Placed is a model on the bed: built, and not sliced yet. Nothing in it
// changes, so that it may be sliced any number of times, at once too.
type Placed struct {
	Mesh *mesh.Mesh
	by   placement
	// doubt is of the units, empty where there is none.
	doubt string
	// guess adds to an error about the size in which units the model would
	// have a toy's.
	guess func(error) error
}

// placement is what of a what-if Place heeds.
type placement struct {
	turnDeg, scale [3]float64
	units          string
}

func (w WhatIf) placement() placement { return placement{w.TurnDeg, w.Scale, w.Units} }

// Place builds the mesh of a model by the turn, the scale and the units of a
// what-if: the units asked for, else what the file says, else mm, with a
// warning where that is doubtful. The errors are those of mesh.Build.
func Place(soup *mesh.Soup, w WhatIf) (*Placed, error) {
	size := soup.Size()
	by, told, doubt := w.reading(soup, size)
	m, err := mesh.Build(told, mesh.Placement{TurnDeg: by.TurnDeg, Scale: by.Scale, UnitMM: by.UnitMM()})
	if err != nil {
		return nil, err
	}
	guess := func(err error) error { return w.orOtherUnits(err, size) }
	return &Placed{Mesh: m, by: by.placement(), doubt: doubt, guess: guess}, nil
}

// Sliced is a placed model in layers. Nothing in it changes, so that it may
// be judged on any number of machines, at once too. What of the judging does
// not depend on the machine's needs is done once and kept.
type Sliced struct {
	Placed *Placed
	Stack  *slice.Stack
	kept   keptBy
}

// NoLayerError says that a model is too low to have a single layer.
type NoLayerError struct{ HeightMM float64 }

func (e *NoLayerError) Error() string {
	return fmt.Sprintf("at a height of %s mm it has no layer; is it in other units?", strconv.FormatFloat(e.HeightMM, 'f', -1, 64))
}

// largestLooked is the largest dimension of a model that is looked at, mm: four
// times the largest that is taken for a toy. Work grows with the area of what
// hangs, and beyond the largest printers it says nothing.
const largestLooked = 2000.0

// TooLargeError says that a model is larger than is looked at.
type TooLargeError struct{ SizeMM [3]float64 }

func (e *TooLargeError) Error() string {
	return fmt.Sprintf("it is %s, larger than %g mm; is it in other units, or the scale in percent (1.5 is 150 %%)?", sizeText(e.SizeMM, 1), largestLooked)
}

// Slice cuts the model by the layer heights and the lift of a what-if. A model
// without a single layer gives a *NoLayerError, one larger than is looked at a *TooLargeError, a plan that cannot be used the
// error of slice.NewPlan or of its Check, wrapped where other units would do.
func (p *Placed) Slice(w WhatIf) (*Sliced, error) {
	plan, err := p.plan(w)
	if err != nil {
		return nil, err
	}
	return &Sliced{Placed: p, Stack: slice.Cut(p.Mesh, plan)}, nil
}

func (p *Placed) plan(w WhatIf) (slice.Plan, error) {
	plan, err := slice.NewLiftedPlan(w.FirstMM, w.RestMM, p.Mesh.Box.Max.Z, w.LiftMM)
	if err == nil && plan.Layers == 0 {
		err = &NoLayerError{sizeOf(p.Mesh.Box)[2]}
	}
	if size := sizeOf(p.Mesh.Box); err == nil && max(size[0], size[1], size[2]) > largestLooked {
		err = &TooLargeError{size}
	}
	if err == nil {
		err = plan.Check(p.Mesh)
	}
	if err != nil {
		return plan, p.guess(err)
	}
	return plan, nil
}

// Crossings is about how many points the layers will have by the layer heights
// of a what-if, known before they are cut: a measure of what Slice and Judge
// take of time and memory. The errors are those of Slice.
func (p *Placed) Crossings(w WhatIf) (int, error) {
	plan, err := p.plan(w)
	if err != nil {
		return 0, err
	}
	return slice.Crossings(p.Mesh, plan), nil
}

// Judge judges the layers on a machine, with the reach, the trim, the inset and
// the flow of a what-if. All of the result is filled in but the name of the
// file.
func (s *Sliced) Judge(w WhatIf, mc machine.Machine) *Result {
	return s.judge(w, mc, Options{Reach: w.ReachMM})
}

// JudgeTight does the same and fills in Result.Tight too, for pictures.
func (s *Sliced) JudgeTight(w WhatIf, mc machine.Machine) *Result {
	return s.judge(w, mc, Options{Reach: w.ReachMM, Tight: true})
}

// Printed is the layers as a machine prints them by a what-if: with the inset
// and what the flow makes of it.
func (s *Sliced) Printed(w WhatIf, mc machine.Machine) *slice.Stack {
	return s.kept.of(s.Stack, w.recede(mc)).stack
}

func (s *Sliced) judge(w WhatIf, mc machine.Machine, opt Options) *Result {
	opt.kept = s.kept.of(s.Stack, w.recede(mc))
	return named(Scan(s.Placed.Mesh, opt.kept.stack, mc.Trimmed(w.TrimMM), opt), s.Placed.by, s.Placed.doubt, w, mc)
}

// named tells in a result how the model was placed, and what of the what-if
// changed its layers.
func named(r *Result, by placement, doubt string, w WhatIf, mc machine.Machine) *Result {
	r.Model.UnitDoubt = doubt
	r.Model.Units, r.Model.Scale, r.Model.TurnDeg = by.units, by.scale, by.turnDeg
	r.Adjusted = w.adjusted(mc)
	return r
}
