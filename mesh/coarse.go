package mesh

import (
	"fmt"
	"math"
)

// coarseSpacing is the distance in mm between neighbouring float32 numbers
// from which it is told: gaps are a few tenths of a millimetre, and both their
// walls are rounded.
const coarseSpacing = 0.001

// coarse says how coarsely the vertices of a file can lie, the largest
// coordinate of which is far; empty where that is fine.
func coarse(far float64, l *linear) string {
	f := float32(far)
	spacing := float64(math.Nextafter32(f, 2*f+1)-f) * max(l.factor[0], l.factor[1], l.factor[2])
	if spacing < coarseSpacing {
		return ""
	}
	return fmt.Sprintf("the model lies %.0f from the origin of its file, where places are %.3g mm apart: gaps may be off by that much; move it to the origin and export it again", far, spacing)
}
