package gapscan

import (
	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice/near"
)

// hangStep is the length in mm below which a stretch is no longer divided to
// find where it begins to hang.
const hangStep = 0.001

// support is the distance in plan of a place of layer n from its own part in
// the layer below, if it is at most limit.
func (sc *scanner) support(n int, part int32, p r2.Vec, limit float64) (float64, bool) {
	return sc.index.At(n-1).ToPart(part, p, limit)
}

// hangsAt says whether a place of layer n hangs.
func (sc *scanner) hangsAt(n int, part int32, p r2.Vec) bool {
	if n == 1 || !sc.slabs[part].any(slabHangs, n, n) {
		return false
	}
	_, stands := sc.support(n, part, p, sc.hangFrom(n))
	return !stands
}

// hanging gives the stretches of a segment of the present layer that hang,
// ascending and apart.
func (w *worker) hanging(part, seg int32, a, b r2.Vec) []near.Span {
	if s, ok := w.hung[seg]; ok {
		return s
	}
	g := w.hangFrom(w.n)
	length := r2.Norm(r2.Sub(b, a))
	var out []near.Span
	add := func(from, to float64) {
		if k := len(out); k > 0 && out[k-1].To == from {
			out[k-1].To = to
			return
		}
		out = append(out, near.Span{From: from, To: to})
	}
	// The distance changes along the segment by no more than the way gone.
	var cut func(from, to float64)
	cut = func(from, to float64) {
		r := (to - from) / 2 * length
		d, ok := w.support(w.n, part, near.Along(a, b, (from+to)/2), g+r)
		switch {
		case !ok || d-r > g:
			add(from, to)
		case d+r <= g:
		case 2*r <= hangStep:
			if d > g {
				add(from, to)
			}
		default:
			mid := (from + to) / 2
			cut(from, mid)
			cut(mid, to)
		}
	}
	cut(0, 1)
	w.hung[seg] = out
	return out
}

// stretch is a span that hangs or stands throughout.
type stretch struct {
	near.Span
	hangs bool
}

// split divides a span by the hanging stretches in it.
func split(hung []near.Span, s near.Span) []stretch {
	var out []stretch
	for _, h := range hung {
		if h.To <= s.From || h.From >= s.To {
			continue
		}
		if h.From > s.From {
			out = append(out, stretch{near.Span{From: s.From, To: h.From}, false})
		}
		to := min(h.To, s.To)
		out = append(out, stretch{near.Span{From: max(h.From, s.From), To: to}, true})
		s.From = to
	}
	if s.From < s.To {
		out = append(out, stretch{s, false})
	}
	return out
}
