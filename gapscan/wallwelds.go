package gapscan

import (
	"slices"
	"sync"

	"playgauge/mesh/parallel"
)

// wallWelds measures for every joint and layer the walls that come out welded:
// the lengths of contour that face the other part with a margin below 1, the
// mean of the two sides, times the layer's height, each piece at its least
// margin over the layers within reach of it and weighed.
//
// It follows the scan: the walls of a layer are measured when the layers that
// could hold their beads have been scanned, while those are at hand.
type wallWelds struct {
	sc     *scanner
	layers []layerScan
	depth  int
	// found holds the walls of layer n at n-1, by joint.
	found [][]layerWall

	mu      sync.Mutex
	scanned []bool
	upTo    int // all layers up to this one are scanned
	next    int // the walls of this one are measured next
}

// layerWall is the weld of one joint in a layer.
type layerWall struct {
	joint   int32
	repeats bool // that of the layer below
	weldLayer
}

// newWallWelds follows a scan that leaves what it finds in layer n at n-1.
func newWallWelds(sc *scanner, layers []layerScan) *wallWelds {
	n := len(layers)
	return &wallWelds{sc: sc, layers: layers, depth: sc.weldDepth(closeFrom), found: make([][]layerWall, n), scanned: make([]bool, n), next: 1}
}

// done says that layer n is scanned.
func (ww *wallWelds) done(n int) {
	ww.mu.Lock()
	defer ww.mu.Unlock()
	ww.scanned[n-1] = true
	for ww.upTo < len(ww.scanned) && ww.scanned[ww.upTo] {
		ww.upTo++
	}
}

// ready gives a layer of which the walls can be measured, each once.
func (ww *wallWelds) ready() (n int, ok bool) {
	ww.mu.Lock()
	defer ww.mu.Unlock()
	if ww.next > ww.upTo-ww.depth {
		return 0, false
	}
	ww.next++
	return ww.next - 1, true
}

// rest measures what is left when all layers are scanned.
func (ww *wallWelds) rest() {
	from := ww.next
	ww.next = len(ww.layers) + 1
	parallel.EachWorker(len(ww.layers)-from+1, func() func(int) {
		w := ww.waller()
		return func(i int) { ww.measure(w, from+i) }
	})
}

func (ww *wallWelds) waller() *waller { return &waller{scanner: ww.sc, depth: ww.depth} }

// measure measures the walls of layer n.
func (ww *wallWelds) measure(w *waller, n int) {
	below, here := ww.welded(n-1), ww.welded(n)
	ww.found[n-1] = make([]layerWall, 0, len(here))
	for _, j := range here {
		wall := layerWall{joint: j}
		// Where both parts stay upright the walls repeat from layer to layer:
		// measured once, they serve for all.
		if _, wall.repeats = slices.BinarySearch(below, j); wall.repeats {
			wall.repeats = ww.sc.repeats(j, n, ww.depth)
		}
		if !wall.repeats {
			wall.weldLayer = w.walls(j, n)
		}
		ww.found[n-1] = append(ww.found[n-1], wall)
	}
}

// welded lists the joints that may be welded in layer n, ascending: those that
// are short there, or in a layer above that has its lower beads there.
func (ww *wallWelds) welded(n int) []int32 {
	if n < 1 {
		return nil
	}
	var out []int32
	for m := n; m <= min(n+ww.depth, len(ww.layers)); m++ {
		for k := range ww.layers[m-1].joints {
			f := &ww.layers[m-1].joints[k]
			if weigh(f.best.margin) > 0 && (m == n || f.best.cause == CauseSlope || f.best.cause == CauseRoof) {
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
