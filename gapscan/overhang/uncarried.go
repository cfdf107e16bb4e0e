package overhang

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice"
	"playgauge/slice/near"
	"playgauge/slice/sweep"
)

// uncarried is the outline of what a part's layer n has outside its own layer
// n-1, region on the left of its rings: all of it but for slivers if some place
// of it lies farther than deep from layer n-1, else none; and thick what of it
// matters in the boxes, but for what is no thicker than near.Skin. hangs says
// whether the former is asked for, and the latter is if there are boxes.
func (w *worker) uncarried(part int32, hangs bool, boxes []r2.Box, deep float64) (rings, thick [][]r2.Vec) {
	if !hangs {
		for _, b := range boxes {
			thick = append(thick, w.uncarriedIn(part, b)...)
		}
		return nil, thick
	}
	up, lo := w.upper().Layer, w.lower().Layer
	w.sw.Reset()
	box := r2.Box{}
	for i, c := range contoursOf(up, part) {
		w.sw.Add(up.Pts[c.Start:c.End], 0)
		if i == 0 {
			box = c.Box
		} else {
			box = union(box, c.Box)
		}
	}
	for _, c := range contoursOf(lo, part) {
		if meet(c.Box, box) {
			w.sw.Add(lo.Pts[c.Start:c.End], 1)
		}
	}
	d := deepest{ix: w.lower(), part: part, limit: deep}
	if len(boxes) > 0 {
		rings, thick = w.sw.RunBoth(func(wind []int32, t *sweep.Trapezoid) (bool, bool) { return d.add(wind, t), isThick(wind, t) })
	} else {
		rings = w.sw.Run(d.add)
	}
	d.settle(false)
	if !d.found {
		rings = nil
	}
	return rings, thick
}

// uncarriedIn is the outline of what a part's layer n has outside its own layer
// n-1 in a box, but for what is no thicker than near.Skin.
func (w *worker) uncarriedIn(part int32, box r2.Box) [][]r2.Vec {
	up, lo := w.upper().Layer, w.lower().Layer
	w.sw.Reset()
	some := false
	for _, c := range contoursOf(up, part) {
		if meet(c.Box, box) {
			some = w.sw.AddWithin(up.Pts[c.Start:c.End], c.Box, 0, box) || some
		}
	}
	if !some {
		return nil
	}
	for _, c := range contoursOf(lo, part) {
		w.sw.AddOver(lo.Pts[c.Start:c.End], c.Box, 1)
	}
	return w.sw.RunOver(isThick)
}

// isThick says whether a trapezoid of layer n is thicker than near.Skin and
// lies outside layer n-1.
func isThick(wind []int32, t *sweep.Trapezoid) bool {
	return wind[0] > 0 && (len(wind) < 2 || wind[1] <= 0) && t.Thicker(near.Skin)
}

// deepest looks, while the plane is swept, for a place of what is not carried
// that lies farther than limit from the layer below. Most trapezoids are
// settled by their width: one side is a wall of the layer below.
type deepest struct {
	ix    *near.Index
	part  int32
	limit float64
	found bool
	walls near.Walls // found last

	// The last of the strip, if any: its lower end and its right side.
	any       bool
	y0        float64
	r0, r1    float64
	lastBelow bool // the layer below covers it
	open      bool // it is not carried and waits for its right side
	waits     sweep.Trapezoid
	leftHeld  bool
}

// add takes the next trapezoid; it answers whether it is not carried.
func (d *deepest) add(wind []int32, t *sweep.Trapezoid) bool {
	below := len(wind) > 1 && wind[1] > 0
	beside := d.any && t.Y0 == d.y0 && t.L0-d.r0 <= near.Skin && t.L1-d.r1 <= near.Skin
	if d.open {
		d.settle(beside && below)
	}
	d.leftHeld = beside && d.lastBelow
	thin := !below && (wind[0] > 0 || d.leftHeld) && sliver(t)
	// A sliver does not part a place from the wall behind it.
	d.lastBelow = below || thin && d.leftHeld
	d.any, d.y0, d.r0, d.r1 = true, t.Y0, t.R0, t.R1
	if d.open = wind[0] > 0 && !below && !thin; d.open {
		d.waits = *t
	}
	return d.open
}

// sliver says whether a trapezoid is no thicker than walls that coincide but
// for rounding may part. The steeper side counts: such walls are parallel,
// while beside a short edge along the sweep line a trapezoid may be as wide as
// the part and no lower than that edge.
func sliver(t *sweep.Trapezoid) bool {
	h := t.Y1 - t.Y0
	lean := min(math.Abs(t.L1-t.L0), math.Abs(t.R1-t.R0))
	wide := float64((t.R0-t.L0)+(t.R1-t.L1)) / 2
	return wide*h <= near.Skin*math.Sqrt(float64(h*h)+float64(lean*lean))
}

// settle judges the trapezoid that waited for its right side.
func (d *deepest) settle(rightHeld bool) {
	if !d.open {
		return
	}
	d.open = false
	if d.found {
		return
	}
	t := &d.waits
	wide := max(t.R0-t.L0, t.R1-t.L1)
	switch {
	case d.leftHeld && rightHeld && wide/2 <= d.limit, (d.leftHeld || rightHeld) && wide <= d.limit:
		return
	}
	d.found = d.look(t, 0, 1, 0, 1)
}

// deepStep is the size in mm below which a piece of a trapezoid is no longer
// divided to find a place deep enough: what is not seen is a trifle.
const deepStep = 0.02

// look divides a trapezoid along its longer side until a place is found or
// none can be there: the distance changes by no more than the way gone.
func (d *deepest) look(t *sweep.Trapezoid, u0, u1, v0, v1 float64) bool {
	um, vm := (u0+u1)/2, (v0+v1)/2
	c := t.At(um, vm)
	r := 0.0
	corners := [4]r2.Vec{t.At(u0, v0), t.At(u0, v1), t.At(u1, v0), t.At(u1, v1)}
	if d.walls.ReachAll(corners[:], d.limit) {
		return false
	}
	for _, q := range corners {
		r = max(r, r2.Norm(r2.Sub(q, c)))
	}
	// Nothing of the layer below is in the trapezoid.
	wall, dist, ok := d.ix.NearestWall(d.part, c, d.limit+r)
	if !ok || dist > d.limit {
		return true
	}
	d.walls.Add(wall)
	if dist+r <= d.limit || r <= deepStep || wall.ReachesAll(corners[:], d.limit) {
		return false
	}
	if r2.Norm(r2.Sub(t.At(u1, vm), t.At(u0, vm))) > r2.Norm(r2.Sub(t.At(um, v1), t.At(um, v0))) {
		return d.look(t, u0, um, v0, v1) || d.look(t, um, u1, v0, v1)
	}
	return d.look(t, u0, u1, v0, vm) || d.look(t, u0, u1, vm, v1)
}

// contoursOf lists the contours of a part, which lie side by side.
func contoursOf(l *slice.Layer, part int32) []slice.Contour {
	by := func(c slice.Contour, p int32) int { return int(c.Part - p) }
	from, _ := slices.BinarySearchFunc(l.Contours, part, by)
	to, _ := slices.BinarySearchFunc(l.Contours, part+1, by)
	return l.Contours[from:to]
}

func meet(a, b r2.Box) bool {
	return a.Min.X <= b.Max.X && b.Min.X <= a.Max.X && a.Min.Y <= b.Max.Y && b.Min.Y <= a.Max.Y
}

func union(a, b r2.Box) r2.Box {
	return r2.Box{
		Min: r2.Vec{X: min(a.Min.X, b.Min.X), Y: min(a.Min.Y, b.Min.Y)},
		Max: r2.Vec{X: max(a.Max.X, b.Max.X), Y: max(a.Max.Y, b.Max.Y)},
	}
}
