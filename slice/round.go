package slice

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
)

// Most lines are round: seen from the middle of their box, all of their sides
// run on the same way. To go along them once tells that they cross neither
// themselves nor, where they lie round one another like the walls of a tube,
// each other; to look for crossings takes several times as long.

// mostRound is the most lines of a part that are held against each other one by
// one.
const mostRound = 8

// roundAndApart says that some rings surely do not cross, each other or
// themselves: their sides run round a middle once, and where the boxes of two
// meet, the middle is one and all of one ring lies farther from it than all of
// the other. Rounding may hide folds, but none that has an area.
func roundAndApart(rings []ring) bool {
	if len(rings) > mostRound {
		return false
	}
	var middles [mostRound]r2.Vec
	var spans [mostRound]span
	for j := range rings {
		r := &rings[j]
		middles[j] = r2.Scale(0.5, r2.Add(r.box.Min, r.box.Max))
		for i := range j {
			if !apart(&rings[i].box, &r.box) {
				middles[j] = middles[i]
				break
			}
		}
		ok := false
		if spans[j], ok = r.round(middles[j]); !ok {
			return false
		}
		for i := range j {
			if !apart(&rings[i].box, &r.box) && (middles[i] != middles[j] || spans[i].meets(spans[j])) {
				return false
			}
		}
	}
	return true
}

// span is how near to a middle a ring runs and how far from it, squared.
type span struct{ near, far float64 }

func (s span) meets(o span) bool { return s.near <= o.far && o.near <= s.far }

// round says whether all sides of a ring run the same way about o, and once
// round it; and how far away they do.
func (r *ring) round(o r2.Vec) (span, bool) {
	s := span{near: math.Inf(1)}
	way := math.Copysign(1, r.area)
	turns, longest := 0, 0.0
	a := r2.Sub(r.pts[len(r.pts)-1], o)
	for _, p := range r.pts {
		b := r2.Sub(p, o)
		if !(way*(float64(a.X*b.Y)-float64(a.Y*b.X)) > 0) {
			return s, false
		}
		if a.Y < 0 && b.Y >= 0 {
			turns++
		}
		d, side := r2.Norm2(b), r2.Norm2(r2.Sub(b, a))
		if d < s.near {
			s.near = d
		}
		if d > s.far {
			s.far = d
		}
		if side > longest {
			longest = side
		}
		a = b
	}
	s.near -= longest / 4 // halfway between two corners a side comes nearer than they
	return s, turns == 1
}
