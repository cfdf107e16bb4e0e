package overhang

import "gonum.org/v1/gonum/spatial/r2"

// noPart stands for no part.
const noPart int32 = -1

// under says what lies under a piece.
type under struct {
	known  bool
	over   int32 // the part, noPart for the bed
	drop   float64
	liesOn int32 // noPart if it does not lie down
	air    int
}

const (
	// underSamples is the number of places from which a piece looks down.
	underSamples = 9
	// lieSamples is the number from which a start in mid-air does so: it must
	// tell one half from the other.
	lieSamples = 64
)

// below looks down from a piece of the present layer for the nearest part.
func (w *worker) below(places []r2.Vec) under {
	u := under{known: true, over: noPart, liesOn: noPart}
	box := boxOf(places)
	mayEnd := func(int) bool { return true }
	if w.opt.MayEnd != nil {
		mayEnd = w.opt.MayEnd(box)
	}
	for m := w.n - 1; m >= 1; m-- {
		if m < w.n-1 && !mayEnd(m) {
			continue // it has nothing there that the layer above has not
		}
		w.parts = w.ix.At(m).PartsNear(box, 0, w.parts)
		for _, p := range w.parts {
			for _, at := range places {
				if w.ix.At(m).Inside(p, at) {
					u.over, u.drop = p, w.plan.Bottom(w.n)-w.plan.Top(m)
					return u
				}
			}
		}
	}
	u.drop = w.plan.Bottom(w.n)
	return u
}

// lie finds whether half of the places have a part within LiesWithin air
// layers below them, and which has the most.
func (u *under) lie(w *worker, places []r2.Vec) {
	if u.over == noPart || u.drop > w.plan.Bottom(w.n)-w.plan.Bottom(max(1, w.n-LiesWithin)) {
		return
	}
	box := boxOf(places)
	done := make([]bool, len(places))
	type found struct {
		part       int32
		count, air int
	}
	var all []found
	total := 0
	for m := w.n - 1; m >= max(1, w.n-1-LiesWithin); m-- {
		w.parts = w.ix.At(m).PartsNear(box, 0, w.parts)
		for _, p := range w.parts {
			f := found{part: p, air: w.n - m - 1}
			for i, at := range places {
				if !done[i] && w.ix.At(m).Inside(p, at) {
					done[i] = true
					f.count++
				}
			}
			if f.count == 0 {
				continue
			}
			total += f.count
			known := false
			for i := range all {
				if all[i].part == p {
					all[i].count += f.count
					known = true
				}
			}
			if !known {
				all = append(all, f)
			}
		}
	}
	if 2*total < len(places) {
		return
	}
	most := 0
	for i := range all {
		if all[i].count > all[most].count || all[i].count == all[most].count && all[i].part < all[most].part {
			most = i
		}
	}
	u.liesOn, u.air = all[most].part, all[most].air
}

func boxOf(places []r2.Vec) r2.Box {
	b := r2.Box{Min: places[0], Max: places[0]}
	for _, p := range places[1:] {
		b = union(b, r2.Box{Min: p, Max: p})
	}
	return b
}
