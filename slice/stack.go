// Package slice cuts a mesh into layers: closed contours, gathered into
// islands. It knows which part a contour belongs to, and nothing of machines.
package slice

import "gonum.org/v1/gonum/spatial/r2"

// Stack is a model in layers.
type Stack struct {
	Plan Plan
	// Layers holds layer n at index n-1.
	Layers []Layer
	// Parts is the number of parts of the mesh that was cut.
	Parts int
}

// Layer is the cut of one layer. Its contours bound the material: counter-
// clockwise outside, clockwise round holes. Where shells of a part overlap, or
// one passes through itself, what they go round at least once is material.
type Layer struct {
	// Number counts from 1; Z is the height of the cut in mm.
	Number int
	Z      float64
	// Pts holds the points of all contours, one contour after the other; the
	// first point of a contour is not repeated at its end. Millimetres.
	Pts []r2.Vec
	// Contours is sorted by part, then by island, an island's outer contour
	// first.
	Contours []Contour
	// Islands is sorted by part; an island's contours lie side by side.
	Islands []Island
	// Repairs lists the contours that were closed across a gap in the mesh.
	Repairs []Repair
	// Folds lists the parts whose surface passes through itself here, by part.
	Folds []Fold
	// Lost counts the islands of which Inset left nothing.
	Lost int
}

// Contour is one closed line.
type Contour struct {
	// Start and End bound its points in Layer.Pts: Pts[Start:End].
	Start, End int32
	// Part is the index (not the id) of its part; Island the index of its
	// island in the layer.
	Part, Island int32
	// Area is the enclosed area in mm2, negative round a hole.
	Area float64
	Box  r2.Box
}

// Island is one piece of material of one part in one layer: an outer contour
// and the holes in it.
type Island struct {
	Part int32
	// First and End bound its contours in Layer.Contours; the first is the
	// outer one.
	First, End int32
	// Area is the outer contour's less the holes', mm2.
	Area float64
	Box  r2.Box
}

// Repair is a contour that did not close by itself.
type Repair struct {
	// Part is the index of the part.
	Part int32
	// Gap is the distance in mm bridged by a straight line.
	Gap float64
	At  r2.Vec
	// Dropped says that the line was left out: its ends were too far apart
	// to be joined, or joining them enclosed nothing.
	Dropped bool
}

// Fold is a part that its own surface passes through in a layer.
type Fold struct {
	// Part is the index of the part.
	Part int32
	// At is a place where it does.
	At r2.Vec
	// Area is that of what the surface goes round more than once, or the
	// wrong way, mm2.
	Area float64
	// Dropped says that its contours cross in so many places that they were
	// left out.
	Dropped bool
}
