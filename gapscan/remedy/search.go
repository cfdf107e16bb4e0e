package remedy

import (
	"slices"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/mesh"
)

// LiftMM is how far the model is shifted up and down to see whether a change
// works by luck: machines, first layers and export programs differ by that.
const LiftMM = 0.03

// mostSpots is how many short places are remembered. Those that have just shown
// that something does not work are asked first, so few do all the work; and where
// none of them is short any more, asking many costs as much as looking.
const mostSpots = 4

// search looks for what-ifs that work on one machine, and remembers what it
// has seen. A what-if is first tried at places that were short under another
// one: that costs some hundredths of a vet and mostly settles it. Only where
// none of them is short any more are all the layers looked at.
type search struct {
	soup   *mesh.Soup
	base   gapscan.WhatIf
	mc     machine.Machine
	placed *gapscan.Placed // by base
	last   *gapscan.Placed // by lastBy, the latest other placement
	lastBy gapscan.WhatIf
	spots  []gapscan.Short // on placed's axes, the latest useful first
	seen   map[question]bool
	looks  int // how often all the layers were looked at
}

// question is what was asked of a what-if: a margin everywhere.
type question struct {
	w      gapscan.WhatIf
	enough float64
}

func newSearch(soup *mesh.Soup, base gapscan.WhatIf, mc machine.Machine, placed *gapscan.Placed) *search {
	return &search{soup: soup, base: base, mc: mc, placed: placed, seen: map[question]bool{}}
}

// holds says whether under a what-if no joint has a margin below enough. A
// what-if that cannot be placed or sliced holds nothing.
func (s *search) holds(w gapscan.WhatIf, enough float64) bool {
	q := question{w, enough}
	if a, ok := s.seen[q]; ok {
		return a
	}
	a := !s.isShort(w, enough) && s.look(w, enough)
	s.seen[q] = a
	// What is free works, and what does not work is not free.
	switch {
	case a && enough > gapscan.WorksFrom:
		s.seen[question{w, gapscan.WorksFrom}] = true
	case !a && enough < gapscan.FreeFrom:
		s.seen[question{w, gapscan.FreeFrom}] = false
	}
	return a
}

// isShort says whether one of the places that were short surely still is.
func (s *search) isShort(w gapscan.WhatIf, enough float64) bool {
	if w.TurnDeg != s.base.TurnDeg {
		return false
	}
	for i, at := range s.spots {
		if s.placed.IsShortAt(at, w, s.mc, enough) {
			s.spots = slices.Insert(slices.Delete(s.spots, i, i+1), 0, at)
			return true
		}
	}
	return false
}

// look looks at all layers.
func (s *search) look(w gapscan.WhatIf, enough float64) bool {
	placed, err := s.place(w)
	if err != nil {
		return false
	}
	s.looks++
	at, short, err := placed.FirstShort(w, s.mc, enough)
	if err != nil {
		return false
	}
	if short && at.Margin < gapscan.WorksFrom {
		s.seen[question{w, gapscan.WorksFrom}] = false
	}
	if short && w.TurnDeg == s.base.TurnDeg {
		s.remember(at.Stretched(s.base.Scale[2] / w.Scale[2]))
	}
	return !short
}

func (s *search) remember(at gapscan.Short) {
	s.spots = slices.Insert(s.spots, 0, at)
	s.spots = s.spots[:min(len(s.spots), mostSpots)]
}

// place builds the model as a what-if places it.
func (s *search) place(w gapscan.WhatIf) (*gapscan.Placed, error) {
	same := func(a, b gapscan.WhatIf) bool {
		return a.TurnDeg == b.TurnDeg && a.Scale == b.Scale && a.Units == b.Units
	}
	switch {
	case same(w, s.base):
		return s.placed, nil
	case s.last != nil && same(w, s.lastBy):
		return s.last, nil
	}
	p, err := gapscan.Place(s.soup, w)
	if err == nil {
		s.last, s.lastBy = p, w
	}
	return p, err
}

// judge is the whole result of a what-if.
func (s *search) judge(w gapscan.WhatIf) (*gapscan.Result, error) {
	placed, err := s.place(w)
	if err != nil {
		return nil, err
	}
	sliced, err := placed.Slice(w)
	if err != nil {
		return nil, err
	}
	return sliced.Judge(w, s.mc), nil
}

// steady says whether a what-if that works still does with the model shifted
// against the layers.
func (s *search) steady(w gapscan.WhatIf) bool {
	for _, lift := range []float64{LiftMM, -LiftMM} {
		l := w
		l.LiftMM += lift
		if !s.holds(l, gapscan.WorksFrom) {
			return false
		}
	}
	return true
}
