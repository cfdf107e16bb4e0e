package gapscan

import (
	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice/near"
	"playgauge/slice/sweep"
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

// anywhere looks in a trapezoid of the present layer, which the part's own
// layer below has nothing of, for a place that hangs (or, with hangs false, for
// one that stands) and gives one.
func (w *worker) anywhere(part int32, t *sweep.Trapezoid, hangs bool) (r2.Vec, bool) {
	g := w.hangFrom(w.n)
	var look func(u0, u1, v0, v1 float64) (r2.Vec, bool)
	look = func(u0, u1, v0, v1 float64) (r2.Vec, bool) {
		c := t.At((u0+u1)/2, (v0+v1)/2)
		r := 0.0
		for _, q := range [4]r2.Vec{t.At(u0, v0), t.At(u0, v1), t.At(u1, v0), t.At(u1, v1)} {
			r = max(r, r2.Norm(r2.Sub(q, c)))
		}
		d, ok := w.index.At(w.n-1).ToContour(part, c, g+r)
		if !ok {
			d = g + r + hangStep
		}
		if (d > g) == hangs {
			return c, true
		}
		if hangs && d+r <= g || !hangs && d-r > g || r <= hangStep/2 {
			return r2.Vec{}, false
		}
		um, vm := (u0+u1)/2, (v0+v1)/2
		// Divide along the longer side.
		if r2.Norm(r2.Sub(t.At(u1, vm), t.At(u0, vm))) > r2.Norm(r2.Sub(t.At(um, v1), t.At(um, v0))) {
			if p, ok := look(u0, um, v0, v1); ok {
				return p, true
			}
			return look(um, u1, v0, v1)
		}
		if p, ok := look(u0, u1, v0, vm); ok {
			return p, true
		}
		return look(u0, u1, vm, v1)
	}
	return look(0, 1, 0, 1)
}
