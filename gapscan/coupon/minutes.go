package coupon

import (
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/shape"
)

// How printing time is estimated. These are judgements for a machine of no
// great haste; a fast one takes half as long.
const (
	lineSpeed   = 60.0 // mm/s, along a line
	travelShare = 0.2  // of the time laying lines, for ways without a line
	layerPause  = 3.0  // seconds a layer: the step up, slow outlines, small islands
	firstSlower = 2.0  // the first layer takes so many times as long
)

// estimate is the printing time in minutes: the volume, all of it solid, over
// the flow of a line as wide as the nozzle and one layer high, with
// travelShare and layerPause on top. Small overlaps of bodies (fins, labels,
// posts) are counted twice.
func (d *drawing) estimate(s shape.Solid) float64 {
	layers := d.layer(d.up(s.Bounds().Max.Z))
	flow := d.opt.NozzleMM * d.rest * lineSpeed
	seconds := (volume(s)-d.shared)/flow*(1+travelShare) + layerPause*float64(layers)
	first := bedArea(s) * d.first / flow * (1 + travelShare)
	return (seconds + float64((firstSlower-1)*first)) / 60
}

// volume of closed surfaces, mm3.
func volume(s shape.Solid) float64 {
	sum := 0.0
	for _, t := range s.T {
		sum += r3.Dot(s.V[t[0]], r3.Cross(s.V[t[1]], s.V[t[2]]))
	}
	return sum / 6
}

// bedArea is the area that stands on the bed, mm2.
func bedArea(s shape.Solid) float64 {
	sum := 0.0
	for _, t := range s.T {
		a, b, c := s.V[t[0]], s.V[t[1]], s.V[t[2]]
		if a.Z == 0 && b.Z == 0 && c.Z == 0 {
			sum += r3.Norm(r3.Cross(r3.Sub(b, a), r3.Sub(c, a))) / 2
		}
	}
	return sum
}
