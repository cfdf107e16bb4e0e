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
	for j := range rings {
		r := &rings[j]
		middle := r2.Scale(0.5, r2.Add(r.box.Min, r.box.Max))
		for i := range j {
			if !apart(&rings[i].box, &r.box) {
				middle = rings[i].middle
				break
			}
		}
		if !r.round(middle) {
			return false
		}
		for i := range j {
			o := &rings[i]
			if !apart(&o.box, &r.box) && (o.middle != r.middle || o.span.meets(r.span)) {
				return false
			}
		}
	}
	return true
}

// roundIn says that a ring surely lies in another, as both are known to be round.
func (r *ring) roundIn(o *ring) bool {
	return r.span.far > 0 && r.middle == o.middle && r.span.far < o.span.near
}

// span is how near to a middle a ring runs and how far from it, squared.
type span struct{ near, far float64 }

func (s span) meets(o span) bool { return s.near <= o.far && o.near <= s.far }

// round says whether all sides of a ring run the same way about o, and once
// round it, and notes how far away they do.
func (r *ring) round(o r2.Vec) bool {
	s := span{near: math.Inf(1)}
	way := math.Copysign(1, r.area)
	turns, longest := 0, 0.0
	a := r2.Sub(r.pts[len(r.pts)-1], o)
	for _, p := range r.pts {
		b := r2.Sub(p, o)
		if !(way*(float64(a.X*b.Y)-float64(a.Y*b.X)) > 0) {
			return false
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
	if turns != 1 {
		return false
	}
	r.middle, r.span = o, s
	return true
}
