package slice

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// ringIndex answers whether points lie inside a ring. Long rings have the
// heights of runs of ringRun segments, and of runs of those, stacked up, so
// that many questions about one ring cost little each.
type ringIndex struct {
	pts    []r2.Vec
	levels [][]heights
}

// ringRun is how many segments, or runs, go under one entry; ringShort is the
// number of segments up to which to go through all of them is quicker than to
// stack anything up for the few questions that there are.
const (
	ringRun   = 8
	ringShort = 256
)

type heights struct{ lo, hi float64 }

func newRingIndex(pts []r2.Vec) *ringIndex {
	x := &ringIndex{pts: pts}
	if len(pts) <= ringShort {
		return x
	}
	level := make([]heights, (len(pts)+ringRun-1)/ringRun)
	for i := range level {
		// From the first point of the run to that with which the next begins.
		next := min((i+1)*ringRun, len(pts))
		h := heights{pts[next%len(pts)].Y, pts[next%len(pts)].Y}
		for _, p := range pts[i*ringRun : next] {
			h = heights{min(h.lo, p.Y), max(h.hi, p.Y)}
		}
		level[i] = h
	}
	x.levels = append(x.levels, level)
	for len(level) > 1 {
		up := make([]heights, (len(level)+ringRun-1)/ringRun)
		for i := range up {
			up[i] = heights{math.Inf(1), math.Inf(-1)}
			for _, h := range level[i*ringRun : min((i+1)*ringRun, len(level))] {
				up[i] = heights{min(up[i].lo, h.lo), max(up[i].hi, h.hi)}
			}
		}
		x.levels = append(x.levels, up)
		level = up
	}
	return x
}

// inside says whether p lies inside the ring, by the parity of crossings to
// its right.
func (x *ringIndex) inside(p r2.Vec) bool {
	if x.levels == nil {
		return x.crossings(p, 0, len(x.pts))&1 == 1
	}
	return x.below(p, len(x.levels)-1, 0)&1 == 1
}

func (x *ringIndex) below(p r2.Vec, l, i int) int {
	if h := x.levels[l][i]; p.Y < h.lo || p.Y >= h.hi {
		return 0
	}
	if l == 0 {
		return x.crossings(p, i*ringRun, min((i+1)*ringRun, len(x.pts)))
	}
	n := 0
	for k := i * ringRun; k < min((i+1)*ringRun, len(x.levels[l-1])); k++ {
		n += x.below(p, l-1, k)
	}
	return n
}

// crossings counts the segments from point i up to j that a line from p to
// the right crosses.
func (x *ringIndex) crossings(p r2.Vec, i, j int) int {
	n := 0
	for ; i < j; i++ {
		a, b := x.pts[i], x.pts[0]
		if i+1 < len(x.pts) {
			b = x.pts[i+1]
		}
		if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+float64((b.X-a.X)*((p.Y-a.Y)/(b.Y-a.Y))) {
			n++
		}
	}
	return n
}
