package gapscan

import "slices"

// wallWelds measures for every joint and layer the walls that come out welded:
// the lengths of contour that face the other part with a margin below 1, the
// mean of the two sides, times the layer's height, each piece at its least
// margin over the layers within reach of it and weighed.
type wallWelds struct {
	sc     *scanner
	layers []layerScan
	depth  int
	// found holds the walls of layer n at n-1, by joint.
	found [][]layerWall
}

// layerWall is the weld of one joint in a layer.
type layerWall struct {
	joint   int32
	repeats bool // that of the layer below
	weldLayer
}

// newWallWelds follows a scan that leaves what it finds in layer n at n-1.
func newWallWelds(sc *scanner, layers []layerScan) *wallWelds {
	return &wallWelds{sc: sc, layers: layers, depth: sc.weldDepth(closeFrom), found: make([][]layerWall, len(layers))}
}

// in lists the walls of layer n, by joint, those that repeat told from those
// that are yet to be measured. All layers up to depth above are scanned.
func (ww *wallWelds) in(n int, w *waller) []layerWall {
	below, here := ww.welded(n-1), ww.welded(n)
	ww.found[n-1] = make([]layerWall, 0, len(here))
	for _, j := range here {
		wall := layerWall{joint: j}
		if _, wall.repeats = slices.BinarySearch(below, j); wall.repeats {
			wall.repeats = w.repeats(j, n)
		}
		ww.found[n-1] = append(ww.found[n-1], wall)
	}
	return ww.found[n-1]
}

// welded lists the joints that may be welded in layer n.
func (ww *wallWelds) welded(n int) []int32 {
	return beadsIn(ww.layers, n, ww.depth, closeFrom*metShare)
}

// beadsIn lists the joints, ascending, of which a bead in layer n may have a
// margin below most: those that have it there, or in a layer up to depth above
// that has its lower beads there.
func beadsIn(layers []layerScan, n, depth int, most float64) (out []int32) {
	if n < 1 {
		return nil
	}
	for m := n; m <= min(n+depth, len(layers)); m++ {
		for k := range layers[m-1].joints {
			f := &layers[m-1].joints[k]
			if f.best.margin < most && (m == n || f.best.cause == CauseSlope || f.best.cause == CauseRoof) {
				out = append(out, f.joint)
			}
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// byJoint gives the walls of each joint, in the order of their layers.
func (ww *wallWelds) byJoint() [][]jointWall {
	out := make([][]jointWall, len(ww.sc.pairs))
	for i, walls := range ww.found {
		for _, l := range walls {
			have := out[l.joint]
			wall := jointWall{layer: i + 1, repeats: l.repeats, weldLayer: l.weldLayer}
			if l.repeats {
				wall.weldLayer = have[len(have)-1].weldLayer
			}
			out[l.joint] = append(have, wall)
		}
	}
	return out
}
