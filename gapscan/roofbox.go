package gapscan

import (
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice/near"
)

const (
	// mostRoofBoxes is how many boxes a layer is looked at in before it is
	// looked at as a whole.
	mostRoofBoxes = 16
	// roofBoxSlack is how far a box reaches beyond what it was made for, mm.
	roofBoxSlack = 10 * near.Skin
	// mostLean is over how many mm walls that count as upright may lean until
	// what lies over one of them by more than near.Skin does not come within
	// roofBoxSlack of it any more.
	mostLean = (roofBoxSlack - near.Skin) / uprightTan
)

// roofBox bounds what of a part's partner, or of what else lies right below it,
// may lie under the part.
type roofBox struct {
	r2.Box
	// over says that the part may lie over some of it.
	over bool
}

// boxesBelow bounds where the part, in this layer, may have something under it
// that roofs are asked about: its partners in the layers within reach, and
// whatever is in the layer right below. The boxes are apart.
func (w *worker) boxesBelow(part int32) []r2.Box {
	up, _ := islandsOf(w.index.At(w.n).Layer, part)
	if len(up) == 0 {
		return nil
	}
	own := islandsBox(up)
	boxes := w.roofBoxes[:0]
	add := func(other int32, from int) bool {
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
			boxes = append(boxes, roofBox{Box: grown(all, roofBoxSlack)})
		}
		return found
	}
	low := w.n
	for low > 1 && w.stagger(w.n, low-1).roofGap() <= w.reach {
		low--
	}
	from := low
	for from < w.n && w.outlines == nil && !w.roofMatters(from) {
		from++ // but what is kept for another machine must be whole
	}
	for _, j := range w.roofs[part] {
		p := w.pairs[j]
		if f, lo := w.of(j), p.a+p.b-part; f != nil && add(lo, low) {
			boxes[len(boxes)-1].over = w.mayLieOver(part, own, f, lo, from)
		}
	}
	w.buf = w.index.At(w.n-1).PartsNear(own, 0, w.buf)
	for _, p := range w.buf {
		if p != part && add(p, w.n-1) && !w.short() {
			boxes[len(boxes)-1].over = w.liesOver(part, own, p, w.n-1)
		}
	}
	w.roofBoxes = boxes
	return apart(boxes)
}

// mayLieOver says whether a part, which has a box in this layer, may lie over
// its partner of a joint in any layer from one up, whatever is between. It is
// asked only of layers that may have something that the others have not.
func (w *worker) mayLieOver(part int32, own r2.Box, f *jointLayer, lo int32, from int) bool {
	news := min(f.side, w.reach) <= roofBoxSlack // something may lie there that does not in this layer
	for m := w.n - 1; m >= from; m-- {
		news = news || w.slabs[lo].any(slabNews, m+1, m+1)
		if !news || m > from && w.stack.Plan.Cut(m)-w.stack.Plan.Cut(from) <= mostLean && !w.slabs[lo].any(slabFaces|slabUntold, m, m) {
			continue // the layer above it has all of it, or the one below
		}
		if w.liesOver(part, own, lo, m) {
			return true
		}
		news = false
	}
	return false
}

// liesOver says whether a part, which has a box in this layer, lies over
// another in layer m, or within roofBoxSlack of that.
func (w *worker) liesOver(part int32, own r2.Box, lo int32, m int) bool {
	lower := w.index.At(m)
	return lower.MayReach(lo, grown(own, roofBoxSlack)) && overlapInPlan(w.index.At(w.n), part, lower, lo, roofBoxSlack)
}

// overlapInPlan says whether islands of two parts, in two layers, come within a
// distance: their contours do, or one lies in another.
func overlapInPlan(a *near.Index, part int32, b *near.Index, other int32, within float64) bool {
	meet := false
	near.Pairs(a, part, b, other, within, func(int32, int32, float64) float64 {
		meet = true
		return -1
	})
	return meet || holdsSome(a, part, b, other) || holdsSome(b, other, a, part)
}

// holdsSome says whether a part holds the first point of some island of
// another in another layer.
func holdsSome(a *near.Index, part int32, b *near.Index, other int32) bool {
	is, _ := islandsOf(b.Layer, other)
	for i := range is {
		if a.Inside(part, b.Layer.Pts[b.Layer.Contours[is[i].First].Start]) {
			return true
		}
	}
	return false
}

// apart unites boxes until none meets another, or all if they are many, and
// gives those that the part may lie over some of.
func apart(boxes []roofBox) []r2.Box {
	united := make([]roofBox, 0, len(boxes))
	for _, b := range boxes {
		for k := 0; k < len(united); {
			if u := united[k]; len(boxes) > mostRoofBoxes || boxes2Meet(b.Box, u.Box) {
				b = roofBox{unionBox(b.Box, u.Box), b.over || u.over}
				united = slices.Delete(united, k, k+1)
				k = 0
				continue
			}
			k++
		}
		united = append(united, b)
	}
	var out []r2.Box
	for _, u := range united {
		if u.over {
			out = append(out, u.Box)
		}
	}
	return out
}

func grown(b r2.Box, by float64) r2.Box {
	d := r2.Vec{X: by, Y: by}
	return r2.Box{Min: r2.Sub(b.Min, d), Max: r2.Add(b.Max, d)}
}
