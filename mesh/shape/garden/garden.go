// Package garden holds the demo models: toys of a garden set that come off
// the bed assembled. They are our own designs; the gap is a parameter.
//
// Lengths are millimetres. Every model stands on z = 0. A part may be made
// of several closed solids that overlap by half a millimetre or more.
package garden

import (
	"fmt"

	"playgauge/mesh/shape"
)

// Model is one entry of the catalogue.
type Model struct {
	// Name is what a person calls it.
	Name string
	// File is the name of its file.
	File string
	// About says in one line what it is.
	About string
	// Build makes it.
	Build func() shape.Solid
}

// Gaps of the catalogue's models in mm. The roomy one prints free on a
// machine that keeps 0.4 open beside and above and 0.5 in the bottom layer,
// at layers of 0.2: 0.65 is 1.3 times that bottom need, and three whole
// layers fit into it wherever it lies. Nothing of that machine is free at the
// tight one.
const (
	roomy = 0.65
	tight = 0.2
)

// Models returns the catalogue: of each toy one that prints free on a
// cautious machine, and one that is too tight for it.
func Models() []Model {
	type toy struct {
		name, file, about string
		build             func(float64) (shape.Solid, error)
	}
	var out []Model
	for _, t := range []toy{
		{"gate hinge", "gate-hinge", "two leaves on a level pin with cone ends", GateHinge},
		{"pea chain", "pea-chain", "six links that hang in one another", PeaChain},
		{"snail", "snail", "a ball joint between the house and the head", Snail},
	} {
		out = append(out,
			Model{t.name, t.file + ".stl", t.about + fmt.Sprintf(", %g mm apart", roomy),
				func() shape.Solid { return shape.Must(t.build(roomy)) }},
			Model{t.name + ", tight", t.file + "-tight.stl", t.about + fmt.Sprintf(", only %g mm apart", tight),
				func() shape.Solid { return shape.Must(t.build(tight)) }},
		)
	}
	return out
}

// A gap may be drawn between these bounds, mm: below, float32 and facets
// begin to show; above, the walls round a joint grow thin.
const (
	minGap = 0.05
	maxGap = 0.9
)

func checkGap(toy string, gap float64) error {
	if !(gap >= minGap && gap <= maxGap) {
		return &shape.Error{Op: toy, Rule: fmt.Sprintf("a gap of %g mm is not between %g and %g", gap, minGap, maxGap)}
	}
	return nil
}

// round is the number of segments of a full turn: at a radius of 6 mm its
// facets lie within 0.0033 mm of the circle.
const round = 96

// tilted45 is cos 45 degrees.
const tilted45 = 0.7071067811865476
