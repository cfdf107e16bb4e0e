// Package bvh finds distances between triangle surfaces by bounding volumes.
package bvh

import "gonum.org/v1/gonum/spatial/r3"

// Tree holds facets of a mesh in bounding volumes.
type Tree struct{}

// New builds a tree over the given facets.
func New(v []r3.Vec, t [][3]int32, facets []int32) *Tree { panic("later") }
