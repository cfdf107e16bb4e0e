package gapscan

import "playgauge/slice/near"

// repeats says that a joint's walls in a layer are those of the layer below,
// margins and all: where parts stay upright they repeat from layer to layer, so
// that they are measured once for all.
func (w *waller) repeats(joint int32, n int) bool {
	if n-1 <= w.bottomLayers || w.stack.Plan.Height(n-1) != w.stack.Plan.Height(n) {
		return false
	}
	p := w.pairs[joint]
	either := func(f uint8, from, to int) bool {
		return w.slabs[p.a].any(f, from, to) || w.slabs[p.b].any(f, from, to)
	}
	switch {
	case either(slabSlopes, n, n):
		return false
	case !either(slabSlopes, n-w.depth, n+w.depth):
		return true // and so is all that could be near
	case either(slabOpen|slabLeans, n, n):
		// A contour may begin or end there; and what leans by a fifth of a micron a
		// layer has gone farther over the layers that went before.
		return false
	}
	return w.alone(joint, n-1) && w.alone(joint, n)
}

// alone says that of what lies in other layers nothing comes so near the joint's
// walls in layer k as to matter.
func (w *waller) alone(joint int32, k int) bool {
	comesNear := func(own, other int32, list []faced) bool {
		for i := range list {
			met := false
			near.Pairs(w.index.At(k), own, w.index.At(list[i].layer), other, list[i].within, func(_, _ int32, _ float64) float64 {
				met = true
				return -1
			})
			if met {
				return true
			}
		}
		return false
	}
	for _, side := range w.pairs[joint].sides() {
		own, other := side[0], side[1]
		w.facing(own, other, k)
		if comesNear(own, other, w.lower) || comesNear(own, other, w.upper) {
			return false
		}
	}
	return true
}
