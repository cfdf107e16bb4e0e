package mesh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/parallel"
)

// key is the bits of a vertex; -0 and 0 have the same.
type key [3]uint32

func keyOf(x []float32) key {
	// -0 + 0 is 0.
	return key{math.Float32bits(x[0] + 0), math.Float32bits(x[1] + 0), math.Float32bits(x[2] + 0)}
}

// hash spreads a key over 64 bits.
func (k key) hash() uint64 {
	h := (uint64(k[0])|uint64(k[1])<<32)*0x9E3779B97F4A7C15 ^ uint64(k[2])*0xC2B2AE3D27D4EB4F
	h ^= h >> 32
	h *= 0xD6E8FEB86659FD93
	return h ^ h>>32
}

func (k key) vec() r3.Vec {
	return r3.Vec{
		X: float64(math.Float32frombits(k[0])),
		Y: float64(math.Float32frombits(k[1])),
		Z: float64(math.Float32frombits(k[2])),
	}
}

// weld makes equal corners one vertex, numbered by first appearance. Facets
// with two equal corners are left out and counted, their other corners too.
// It takes the triangles in the given order, if there is one, and leaves out
// of that what it leaves out.
//
// Most corners belong to a triangle shortly before. So runs of many triangles
// are welded by themselves, in tables that fit a cache; then what is left of all
// runs, divided by its hash. The runs and the shares are done side by side.
func weld(xyz []float32, order []int32) (v []r3.Vec, t [][3]int32, kept []int32, dropped int) {
	if order == nil && len(xyz)/9 < orderFrom {
		v, t, dropped = weldWhole(xyz)
		return v, t, nil, dropped
	}
	return weldRuns(xyz, order, weldRun)
}

// weldRuns is weld by runs of at most weldRun triangles.
func weldRuns(xyz []float32, order []int32, size int) (v []r3.Vec, t [][3]int32, kept []int32, dropped int) {
	n := len(xyz) / 9
	t = make([][3]int32, n)
	runs := make([]weldedRun, parallel.Runs(n, size))
	parallel.EachWorker(len(runs), func() func(int) {
		w := newRunWelder(min(size, n))
		return func(i int) { runs[i] = w.weld(xyz, order, t, i*size, min((i+1)*size, n)) }
	})
	v = numberVertices(runs)
	// Close up behind what was left out.
	end := 0
	for i := range runs {
		if from, count := runs[i].from, len(runs[i].t); from > end {
			copy(t[end:], runs[i].t)
			if order != nil {
				copy(order[end:], order[from:from+count])
			}
		}
		end += len(runs[i].t)
	}
	if order != nil {
		order = order[:end]
	}
	return v, t[:end], order, n - end
}
