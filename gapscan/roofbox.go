package gapscan

import (
	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice/near"
)

const (
	// mostRoofBoxes is how many boxes a layer is looked at in before it is
	// looked at as a whole.
	mostRoofBoxes = 16
	// roofBoxSlack is how far a box reaches beyond what it was made for, mm.
	roofBoxSlack = 10 * near.Skin
)

// boxesBelow bounds where the part, in this layer, may have something under it
// that roofs are asked about: its partners in the layers within reach, and
// whatever is in the layer right below. The boxes are apart.
func (w *worker) boxesBelow(part int32) []r2.Box {
	up, _ := islandsOf(w.index.At(w.n).Layer, part)
	if len(up) == 0 {
		return nil
	}
	own := islandsBox(up)
	var boxes []r2.Box
	add := func(other int32, from int) {
		var all r2.Box
		found := false
		for m := w.n - 1; m >= from; m-- {
			is, _ := islandsOf(w.index.At(m).Layer, other)
			for _, i := range is {
				switch {
				case !boxes2Meet(i.Box, own):
				case found:
					all = unionBox(all, i.Box)
				default:
					all, found = i.Box, true
				}
			}
		}
		if found {
			boxes = append(boxes, grown(all, roofBoxSlack))
		}
	}
	low := w.n
	for low > 1 && w.stagger(w.n, low-1).roofGap() <= w.reach {
		low--
	}
	for _, j := range w.roofs[part] {
		if p := w.pairs[j]; w.of(j) != nil {
			add(p.a+p.b-part, low)
		}
	}
	w.buf = w.index.At(w.n-1).PartsNear(own, 0, w.buf)
	for _, p := range w.buf {
		if p != part {
			add(p, w.n-1)
		}
	}
	return apart(boxes)
}

// apart unites boxes until none meets another, or all if they are many.
func apart(boxes []r2.Box) []r2.Box {
	var out []r2.Box
	for _, b := range boxes {
		for k := 0; k < len(out); {
			if len(boxes) <= mostRoofBoxes && !boxes2Meet(b, out[k]) {
				k++
				continue
			}
			b = unionBox(b, out[k])
			out = append(out[:k], out[k+1:]...)
			k = 0
		}
		out = append(out, b)
	}
	return out
}

func grown(b r2.Box, by float64) r2.Box {
	d := r2.Vec{X: by, Y: by}
	return r2.Box{Min: r2.Sub(b.Min, d), Max: r2.Add(b.Max, d)}
}
