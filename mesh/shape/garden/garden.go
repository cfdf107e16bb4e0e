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

// one is a toy's parts in one solid.
func one(parts []shape.Solid, err error) (shape.Solid, error) {
	if err != nil {
		return shape.Solid{}, err
	}
	return parts[0].Append(parts[1:]...), nil
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
