// Package sample cuts the neighbourhood of one joint out of a model as a
// small trial print, such that the joint prints in it as in the whole.
//
// The sample is what of the joint's two parts, and of what lies between them,
// stands in an upright box round the places where the joint is short, lowered
// onto the bed by whole layers. The box grows until
//
//   - the joint's margins are those of the whole model in every layer that
//     matters, and no other layer is worse than free;
//   - each part is one piece, large enough to hold (Hold) or there as a whole;
//   - each part stands on the bed by bedHold mm2 for each mm of its height, or
//     as it does in the whole model, and nothing begins in mid-air or reaches
//     out farther than there.
//
// A part that is there as a whole and still too small to hold gets a bar to
// turn it by, where one can stand without coming near the other part.
//
// The sample is lowered by k layers of the regular height, so that layer n of
// the model is layer n-k of the sample, from layer 2 of the sample on. Layer 1
// of the sample is as high as that of the model, for every print begins on the
// bed, and it spreads there; so it is chosen well below the joint's layers,
// where the parts are far enough apart for the bottom need. Where they never
// are, nothing is cut off below, and the bottom layers are the model's own.
package sample

import (
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/mesh"
)

// Sample is a trial print of one joint.
type Sample struct {
	// Soup is the sample as a file holds it, on the bed, mm.
	Soup *mesh.Soup
	// Model is the vet of the whole model, Joint the joint in it.
	Model *gapscan.Result
	Joint gapscan.Joint
	// Own is the joint in the sample.
	Own gapscan.Joint
	// Lowered is by how many layers the sample was lowered: its layer n is
	// the model's layer n + Lowered.
	Lowered int
	// Result is the vet of the sample itself, on the same machine.
	Result *gapscan.Result
	// Parts tells which parts it holds: the joint's two, then what lies
	// between.
	Parts []Part
	// Watch lists the layers of the sample that do not come out free, and the
	// worst one; at least one.
	Watch []Watch
	// LeftOut is how many more layers of the joint the model has that do not
	// come out free, above or below the sample.
	LeftOut int
	// Share is the sample's volume over the model's.
	Share float64
	// Moved is what was added to places of the model, mm.
	Moved r3.Vec
}

// Part is what of one part is in a sample.
type Part struct {
	// ID is the part's id in the model, SampleID that in the sample.
	ID, SampleID int
	// Whole says that all of it is there.
	Whole bool
	// Grip says that it got a bar to turn it by, Small that it is too small
	// to hold and got none.
	Grip, Small bool
}

// Watch is a layer to look at.
type Watch struct {
	// Layer counts in the sample, InModel in the model.
	Layer, InModel int
	Margin         float64
	Cause          gapscan.Cause
	GapMM          float64
	// Worst says that it is the joint's worst layer.
	Worst bool
}

// Limits of a sample. All are judgement.
const (
	// Hold is how long a piece must be to be held between finger and thumb,
	// and holdWide how wide it must be across, mm.
	Hold     = 10.0
	holdWide = 5.0
	// bedHold is the contact with the bed in mm2 for each mm of height, as
	// the vet's own caution asks.
	bedHold = 1.0
	// window is how far above and below the worst layer the layers lie that
	// the sample is cut for, mm: a joint that is short all the way up shows
	// the same there.
	window = 6.0
	// side is how far from the worst place, along x and y, short places of
	// the joint are taken in, mm: all round a pin of that width.
	side = 10.0
	// above is how much is kept above the layers that matter, mm, so that
	// the last of them is not the top.
	above = 2.0
	// around is how much is kept round the places at first, and step by how
	// much that grows, mm.
	around = 4.0
	step   = 2.0
	// mostShare is the share of the model's volume from which a sample spares
	// too little to be worth its while.
	mostShare = 0.9
)

// Cut cuts the sample of a joint, or of the worst one where none is named, of a
// model in the layers of a what-if. The error is an *Error.
func Cut(s *gapscan.Sliced, w gapscan.WhatIf, mc machine.Machine, joint gapscan.JointName) (*Sample, error) {
	c, err := newCutter(s, w, mc, joint)
	if err != nil {
		return nil, err
	}
	return c.run()
}
