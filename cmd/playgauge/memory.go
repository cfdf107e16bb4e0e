package main

import (
	"os"
	"runtime/debug"

	"playgauge/mesh"
)

const (
	// largeModel is the number of triangles from which memory is saved.
	largeModel = 300_000
	// gcPercent is how much the heap may grow then before it is collected. A
	// large model is arrays of numbers, which the collector passes over:
	// collecting often costs less than fresh memory does, and takes a fifth off
	// the peak. Small models have little to save and would wait for it.
	gcPercent = 20
)

// saveMemory sees to it that a large model does not take more memory than it
// must, unless the environment says how much.
func saveMemory(s *mesh.Soup) {
	if s.Triangles() >= largeModel && os.Getenv("GOGC") == "" {
		debug.SetGCPercent(gcPercent)
	}
}
