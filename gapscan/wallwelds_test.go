package gapscan

import (
	"slices"
	"testing"
)

// The walls of a layer belong to a weld if the layer is short, or if one above
// it is that has lower beads there, whatever the layers between are.
func TestWeldedLayers(t *testing.T) {
	at := func(joint int32, margin float64, cause Cause) jointLayer {
		return jointLayer{joint: joint, best: bead{margin: margin, cause: cause}}
	}
	layers := make([]layerScan, 8)
	layers[4].joints = []jointLayer{at(0, 0.4, CauseSide), at(2, 0.3, CauseSide)}
	layers[5].joints = []jointLayer{at(0, 3, CauseSlope)} // free
	layers[6].joints = []jointLayer{at(0, 0.5, CauseSlope), at(1, 0.2, CauseRoof)}
	ww := wallWelds{layers: layers, depth: 3}
	want := [][]int32{4: {0, 1}, 5: {0, 1, 2}, 6: {0, 1}, 7: {0, 1}, 9: nil}
	for n := range 9 {
		if got := ww.welded(n); !slices.Equal(got, want[n]) {
			t.Errorf("layer %d: joints %v, want %v", n, got, want[n])
		}
	}
}
