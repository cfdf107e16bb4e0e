package remedy

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/gapscan"
	"playgauge/slice"
	"playgauge/slice/near"
)

// thinWalls is the model less half a line all round: what of it is left stands
// in walls at least a line wide.
type thinWalls struct{ core *slice.Stack }

// sharpReach is how many insets away from what an inset leaves the tip of a
// corner may lie: that of a corner of 29 degrees (c over the sine of half of
// it).
const sharpReach = 4.0

// vanishes says where walls that are a line wide or more would be less than
// that with the inset of a what-if, so that nothing would be laid there; ""
// where none would. A wall counts from about a line's length.
func (f *finder) vanishes(w gapscan.WhatIf) string {
	line := f.mc.LineMM
	if f.thin == nil {
		f.thin = &thinWalls{slice.Inset(f.sliced.Stack, line/2+f.base.InsetMM)}
	}
	c := w.InsetMM - f.base.InsetMM
	left := slice.Inset(f.thin.core, c)
	within := max(sharpReach*c, line)
	layers, first, part := 0, 0, 0
	for i := range left.Layers {
		ix := near.New(&left.Layers[i])
		core := &f.thin.core.Layers[i]
		p := gone(core, ix, within)
		if p < 0 {
			continue
		}
		if layers++; first == 0 {
			first, part = i+1, int(p)+1
		}
	}
	switch layers {
	case 0:
		return ""
	case 1:
		return fmt.Sprintf("a wall of part %d in layer %d, thinner than two lines, would vanish", part, first)
	}
	return fmt.Sprintf("walls thinner than two lines would vanish, in %d layers, first of part %d in layer %d", layers, part, first)
}

// gone is the part of the first contour of a layer of which some place lies
// farther than within from all that is left of its part, -1 if none does.
func gone(core *slice.Layer, left *near.Index, within float64) int32 {
	for _, c := range core.Contours {
		pts := core.Pts[c.Start:c.End]
		for k, a := range pts {
			b := pts[(k+1)%len(pts)]
			n := int(r2.Norm(r2.Sub(b, a))/within) + 1
			for i := range n {
				p := r2.Add(a, r2.Scale(float64(i)/float64(n), r2.Sub(b, a)))
				if _, ok := left.ToPart(c.Part, p, within); !ok {
					return c.Part
				}
			}
		}
	}
	return -1
}
