package sample

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan/overhang"
)

// stands says what of the sample does not stand on the bed as it should:
// every piece needs bedHold mm2 for each mm of its height, or as much as the
// whole part has; or begins where the part does in the model, lying on
// another. Nothing may begin in mid-air, or reach out, that does not do so in
// the model.
func (c *cutter) stands(t *trial) *fault {
	for i, p := range t.pieces {
		own, in := &t.result.Parts[t.ids[i]-1], &c.result.Parts[p.part]
		want := bedHold * own.SizeMM[2]
		if c.lowered == 0 {
			want = min(want, *in.BedContactMM2)
		}
		if in.StartsAtLayer != nil && *in.StartsAtLayer > c.lowered+1 {
			if own.StartsAtLayer == nil || *own.StartsAtLayer+c.lowered != *in.StartsAtLayer {
				return &fault{kind: Differs, bed: true, msg: fmt.Sprintf("part %d would begin in mid-air", p.part+1)}
			}
			continue
		}
		if *own.BedContactMM2 < want-areaNoise {
			return &fault{kind: Differs, bed: true, msg: fmt.Sprintf("part %d would not stand on the bed", p.part+1)}
		}
	}
	for _, o := range t.result.Overhangs {
		if o.Kind == string(overhang.Bridge) || o.Kind == string(overhang.Cantilever) && *o.SpanMM <= reachOut {
			continue
		}
		part := t.pieces[slices.Index(t.ids, o.Part)].part + 1
		known := false
		for _, in := range c.result.Overhangs {
			if in.Part != part || in.Kind != o.Kind || in.Layers[0] > o.Layers[1]+c.lowered || in.Layers[1] < o.Layers[0]+c.lowered {
				continue
			}
			known = known || o.SpanMM == nil || *o.SpanMM <= *in.SpanMM+reachOut
		}
		if !known {
			return &fault{kind: Differs, bed: true, msg: fmt.Sprintf("part %d would need support", part)}
		}
	}
	return nil
}

const (
	// areaNoise is what rounding may change an area by, mm2.
	areaNoise = 1e-3
	// reachOut is how far a layer may reach out over air, mm: what a printer
	// lays without support [trade].
	reachOut = 3.0
)

// holds says which piece is too small to hold though there is more of it.
func (c *cutter) holds(t *trial) *fault {
	for _, p := range t.pieces[:2] {
		if !p.whole && !holdable(p.solid.Bounds()) {
			return &fault{kind: Differs, msg: fmt.Sprintf("too little of part %d to hold", p.part+1)}
		}
	}
	return nil
}

// holdable says whether a body can be held between finger and thumb.
func holdable(b r3.Box) bool {
	size := []float64{b.Max.X - b.Min.X, b.Max.Y - b.Min.Y, b.Max.Z - b.Min.Z}
	slices.Sort(size)
	return size[2] >= Hold && size[1] >= holdWide
}

// finish gives the pieces their grips and tells of the sample.
func (c *cutter) finish(t *trial) (*Sample, error) {
	s := &Sample{Model: c.result, Joint: c.joint, Lowered: c.lowered, Moved: t.move}
	for _, p := range t.pieces {
		s.Share += p.solid.Volume() / c.volume
	}
	if s.Share > mostShare {
		return nil, errorf(TooMuch, "a sample of joint %d that prints as the model does takes %.0f %% of the model; print the model itself", c.joint.ID, 100*s.Share)
	}
	small := map[int]bool{}
	for i := range t.pieces[:2] {
		if !holdable(t.pieces[i].solid.Bounds()) {
			if g := c.grip(t, i); g != nil {
				t = g
			} else {
				small[t.pieces[i].part] = true
			}
		}
	}
	for i, p := range t.pieces {
		s.Parts = append(s.Parts, Part{ID: p.part + 1, SampleID: t.ids[i], Whole: p.whole, Grip: p.grip, Small: small[p.part]})
	}
	s.Soup, s.Result = t.soup(), t.result
	for _, j := range t.result.Joints {
		if j.ID == t.profile.Joint {
			s.Own = j
		}
	}
	for _, n := range c.short {
		if n <= c.lowered || n > c.lowered+t.result.Plan.Layers {
			s.LeftOut++
			continue
		}
		l := c.layers[n]
		s.Watch = append(s.Watch, Watch{Layer: n - c.lowered, InModel: n, Margin: l.Margin, Cause: l.Cause, GapMM: l.GapMM, Worst: n == *c.joint.WorstLayer})
	}
	return s, nil
}

// The bar to turn a small part by, mm. It lies on the bed and overlaps the
// part by gripIn; the part's own wall at the bed must be about as thick.
const (
	gripLong = 10.0
	gripWide = 4.0
	gripTall = 3.0
	gripIn   = 1.5
)

// grip adds a bar to piece i where the joint stays as it is: along x or y,
// away from where the other part is nearest; nil if there is no such place.
func (c *cutter) grip(t *trial, i int) *trial {
	own, other := t.pieces[i].solid.Bounds(), t.pieces[1-i].solid.Bounds()
	type way struct {
		axis int
		up   bool
		room float64 // beyond the other part
	}
	var ways []way
	for axis := range 2 {
		ways = append(ways,
			way{axis, false, plan(other.Min, axis) - plan(own.Min, axis)},
			way{axis, true, plan(own.Max, axis) - plan(other.Max, axis)})
	}
	slices.SortStableFunc(ways, func(a, b way) int {
		switch {
		case a.room > b.room:
			return -1
		case a.room < b.room:
			return 1
		}
		return 0
	})
	for _, w := range ways {
		bar, ok := t.bar(i, w.axis, w.up)
		if !ok {
			continue
		}
		g := &trial{move: t.move, pieces: slices.Clone(t.pieces)}
		g.pieces[i].solid = bar.join(g.pieces[i].solid)
		g.pieces[i].grip = true
		profiles, f := c.scan(g)
		if f != nil || c.choose(g, profiles) != nil || c.agrees(g) != nil || c.stands(g) != nil {
			continue
		}
		return g
	}
	return nil
}

func plan(v r3.Vec, axis int) float64 {
	if axis == 0 {
		return v.X
	}
	return v.Y
}

// bar is a box with facets.
type bar struct{ lo, hi r3.Vec }

// bar is the bar out of piece i along an axis, from where it reaches farthest
// on the bed.
func (t *trial) bar(i, axis int, up bool) (bar, bool) {
	s := t.pieces[i].solid
	sign := -1.0
	if up {
		sign = 1
	}
	far, across, n := math.Inf(-1), 0.0, 0.0
	for _, v := range s.V {
		if v.Z > gripTall/2 {
			continue
		}
		switch d := sign * plan(v, axis); {
		case d > far+sameReach:
			far, across, n = d, plan(v, 1-axis), 1
		case d > far-sameReach:
			across += plan(v, 1-axis)
			n++
		}
	}
	if n == 0 {
		return bar{}, false
	}
	across /= n
	a, b := sign*(far-gripIn), sign*(far+gripLong)
	var r bar
	set := func(v *r3.Vec, along, cross, z float64) {
		if axis == 0 {
			*v = r3.Vec{X: along, Y: cross, Z: z}
		} else {
			*v = r3.Vec{X: cross, Y: along, Z: z}
		}
	}
	set(&r.lo, min(a, b), across-gripWide/2, 0)
	set(&r.hi, max(a, b), across+gripWide/2, min(gripTall, s.Bounds().Max.Z))
	return r, true
}

// sameReach is how near to the farthest a vertex is as far, mm.
const sameReach = 0.05
