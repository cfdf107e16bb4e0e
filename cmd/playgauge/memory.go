package main

import (
	"os"
	"runtime/debug"
	"sync"

	"playgauge/mesh"
)

const (
	// largeModel is the number of triangles from which memory is saved.
	largeModel = 300_000
	// savingPercent is how much the heap may grow then before it is collected. A
	// large model is arrays of numbers, which the collector passes over:
	// collecting often costs less than fresh memory does, and takes a fifth off
	// the peak.
	savingPercent = 20
	// sparingPercent is the same for other models, which have little to save and
	// would wait for it.
	sparingPercent = 200
	// smallModel is the number of triangles below which a model takes some 10 MB
	// from first to last, and patientPercent has it judged before anything is
	// collected.
	smallModel     = 50_000
	patientPercent = 400
	// layersHeap is about what the layers of a finely divided model take beside
	// its triangles, in bytes.
	layersHeap = 128 << 20
)

// setCollector has the collector save memory or time, as suits a model, unless
// the environment says which.
func setCollector(s *mesh.Soup) {
	if os.Getenv("GOGC") != "" {
		return
	}
	percent := sparingPercent
	switch n := s.Triangles(); {
	case n >= largeModel:
		percent = savingPercent
	case n < smallModel:
		percent = patientPercent
	}
	debug.SetGCPercent(percent)
}

var heapPrepared sync.Once

// prepareHeap readies the heap for a file of so many bytes, if it is the first
// one. Of what is readied only what is used is taken from the machine.
func prepareHeap(file int64) {
	heapPrepared.Do(func() { largePages(layersHeap + int(min(file, maxStream))) })
}
