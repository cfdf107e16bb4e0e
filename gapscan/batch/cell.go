package batch

import (
	"playgauge/gapscan"
	"playgauge/gapscan/smallpart"
)

// Cell is what a table tells of one model on one machine. Lengths in mm; nil
// is unknown or none, as in gapscan.Result, where the fields are explained.
type Cell struct {
	Outcome       gapscan.Outcome
	PFree         *float64
	FirstBadLayer *int
	Demands       gapscan.Demands
	// Margin, Cause and Parts are the worst joint's.
	Margin *float64
	Cause  *gapscan.Cause
	Parts  []int
	// Joints counts the judged joints, Bad those that stick or weld.
	Joints, Bad int
	// PartCount is the number of parts of the model, SmallParts of those that
	// fit the small-parts gauge, or nearly.
	PartCount, SmallParts int
	Layers                int
	// Unmeasured counts contours that were left out: the answer is then as far
	// as it could be measured.
	Unmeasured int
	// Warnings counts what was repaired or doubted in the mesh.
	Warnings int
	// UnitDoubt is the result's.
	UnitDoubt string
	SizeMM    [3]float64
	// Encoded is what Options.Encode made of the whole result.
	Encoded []byte
}

// cellOf keeps of a result what a table tells, so that the result need not be.
func cellOf(r *gapscan.Result) Cell {
	c := Cell{
		Outcome: r.Outcome, PFree: r.PFree, FirstBadLayer: r.FirstBadLayer, Demands: r.Demands,
		PartCount: len(r.Parts), Layers: len(r.Layers), Unmeasured: r.Mesh.UnmeasuredContours, Warnings: len(r.Mesh.Warnings),
		UnitDoubt: r.Model.UnitDoubt, SizeMM: r.Model.SizeMM, Parts: []int{},
	}
	for i := range r.Joints {
		j := &r.Joints[i]
		if j.Outcome == nil {
			continue
		}
		if c.Joints == 0 { // worst first
			c.Margin, c.Cause, c.Parts = j.Margin, j.Cause, []int{j.Parts[0], j.Parts[1]}
		}
		c.Joints++
		if *j.Outcome == gapscan.Sticks || *j.Outcome == gapscan.Welds {
			c.Bad++
		}
	}
	for i := range r.Parts {
		if s := r.Parts[i].SmallPart; s != nil && *s != string(smallpart.TooLarge) {
			c.SmallParts++
		}
	}
	return c
}
