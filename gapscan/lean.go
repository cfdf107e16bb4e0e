package gapscan

import (
	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice/near"
)

// leaning measures contours of one layer against those of a lower one.
type leaning struct {
	w      *worker
	s      stagger
	low    stagger // with the most sag that could apply
	up, lo int32
	m      int     // the lower layer
	hangs  bool    // parts of the upper contour may hang
	need   float64 // the greatest vertical need that could apply
	most   float64 // beyond this distance in plan the beads are out of reach
	f      *jointLayer

	// limitIs is the limit by the margin, the slope and the most in limitBy,
	// which are never all 0: nothing would matter.
	limitBy [3]float64
	limitIs float64

	dangles bool // the stretch that is looked at hangs
	past    bool // whether ways past something that blocks are looked for
	blocked bool // the nearest way between two stretches was blocked
}

// wayStep is the length in mm below which a stretch of contour is no longer
// divided in search of a way through air past something that stands between.
const wayStep = 0.02

// matters says whether beads d apart in plan could lower what was found.
func (l *leaning) matters(d float64) bool {
	return l.low.margin(d, l.need) < l.f.best.margin || l.s.gap(d) < l.f.slope
}

// limit is how near two segments must be to matter. It is reckoned anew only
// where what was found has changed.
func (l *leaning) limit() float64 {
	if by := [3]float64{l.f.best.margin, l.f.slope, l.most}; l.limitBy != by {
		l.limitBy = by
		l.limitIs = min(max(l.low.below(l.f.best.margin, l.need, l.most), l.s.within(l.f.slope)), l.most)
	}
	return l.limitIs
}

// visit measures one pair of segments.
func (l *leaning) visit(i, j int32, d float64) float64 {
	if !l.matters(d) {
		return l.limit()
	}
	a0, a1 := l.w.index.At(l.w.n).Segment(i)
	b0, b1 := l.w.index.At(l.m).Segment(j)
	ups := l.w.open(l.w.n, i, a0, a1, l.m+1, l.w.n-1)
	los := l.w.open(l.m, j, b0, b1, l.m+1, l.w.n-1)
	for _, u := range ups {
		for _, v := range los {
			e0, e1 := near.Along(a0, a1, u.From), near.Along(a0, a1, u.To)
			f0, f1 := near.Along(b0, b1, v.From), near.Along(b0, b1, v.To)
			if !l.hangs {
				l.refine(e0, e1, f0, f1, l.s, l.w.side, true)
				continue
			}
			for _, h := range split(l.w.hanging(l.up, i, a0, a1), u) {
				need, s := l.w.side, l.s
				if l.dangles = h.hangs; h.hangs {
					need = l.w.roof
					s = s.lowered(l.w.sagAt(l.w.n, l.up, near.Along(a0, a1, (h.From+h.To)/2)))
				}
				l.refine(near.Along(a0, a1, h.From), near.Along(a0, a1, h.To), f0, f1, s, need, true)
			}
		}
	}
	return l.limit()
}

// refine finds the nearest places of two stretches between which the way is
// clear. whole says that the stretches are not parts of ones looked at before.
func (l *leaning) refine(e0, e1, f0, f1 r2.Vec, s stagger, need float64, whole bool) {
	p, q, d := near.Nearest(e0, e1, f0, f1)
	if !l.improves(d, s, need) || l.take(p, q, s, need) {
		return
	}
	if !l.past {
		l.blocked = true
		return
	}
	le, lf := r2.Norm(r2.Sub(e1, e0)), r2.Norm(r2.Sub(f1, f0))
	switch {
	case max(le, lf) <= wayStep && whole:
		// The nearest way is blocked; others as good as that are tried from
		// the ends and the middles.
		for _, t := range [3]float64{0, 0.5, 1} {
			p, q := near.Along(e0, e1, t), near.Along(f0, f1, t)
			_, foot, _ := near.Nearest(p, p, f0, f1)
			l.take(p, foot, s, need)
			foot, _, _ = near.Nearest(e0, e1, q, q)
			l.take(foot, q, s, need)
		}
	case max(le, lf) <= wayStep:
	case le >= lf:
		mid := near.Along(e0, e1, 0.5)
		l.refine(e0, mid, f0, f1, s, need, false)
		l.refine(mid, e1, f0, f1, s, need, false)
	default:
		mid := near.Along(f0, f1, 0.5)
		l.refine(e0, e1, f0, mid, s, need, false)
		l.refine(e0, e1, mid, f1, s, need, false)
	}
}

// improves says whether places d apart would lower what was found.
func (l *leaning) improves(d float64, s stagger, need float64) bool {
	if d > l.most {
		return false
	}
	return s.margin(d, need) < l.f.best.margin && d <= s.within(l.w.reach) || l.s.gap(d) < l.f.slope
}

// take lowers what was found to what two places show, if the way between them
// lies in air, and says whether it does.
func (l *leaning) take(p, q r2.Vec, s stagger, need float64) bool {
	d := r2.Norm(r2.Sub(q, p))
	if !l.improves(d, s, need) || !l.w.clear(p, q, l.m+1, l.w.n-1) {
		return false
	}
	if d <= s.within(l.w.reach) {
		l.f.best.better(bead{margin: s.margin(d, need), gap: s.gap(d), cause: CauseSlope, at: p, upper: l.up, ends: [2]r2.Vec{p, q}, low: l.m, steep: l.dangles && s.dz > d+s.rr})
	}
	if g := l.s.gap(d); g <= l.w.reach {
		l.f.slope = min(l.f.slope, g)
	}
	return true
}

// clear says whether the way from p to q lies in air in layers from..to.
func (w *worker) clear(p, q r2.Vec, from, to int) bool {
	return w.scanner.clear(p, q, from, to, &w.spans)
}

func (sc *scanner) clear(p, q r2.Vec, from, to int, buf *[]near.Span) bool {
	for k := to; k >= from; k-- {
		*buf = sc.index.At(k).Material(p, q, *buf)
		if len(*buf) > 0 {
			return false
		}
	}
	return true
}

// covered remembers which stretches of a segment are in air in the layers
// looked at so far.
type covered struct {
	from, to int
	open     []near.Span
}

type coverKey struct {
	layer int32
	seg   int32
}

var wholeSegment = []near.Span{{From: 0, To: 1}}

// open gives the stretches of a segment that lie in air in layers from..to.
func (w *worker) open(layer int, seg int32, a, b r2.Vec, from, to int) []near.Span {
	if from > to {
		return wholeSegment
	}
	key := coverKey{int32(layer), seg}
	c, ok := w.cover[key]
	if ok && c.from == from && c.to == to {
		return c.open
	}
	c2 := covered{from: from, to: to, open: wholeSegment}
	low := to
	if ok && c.to == to && c.from > from { // goes on downward from what is known
		c2.open, low = c.open, c.from-1
	}
	for k := low; k >= from && len(c2.open) > 0; k-- {
		w.spans = w.index.At(k).Material(a, b, w.spans)
		c2.open = without(c2.open, w.spans)
	}
	w.cover[key] = c2
	return c2.open
}

// without takes stretches away from others; both ascending and apart.
func without(from, take []near.Span) []near.Span {
	if len(take) == 0 {
		return from
	}
	var out []near.Span
	for _, s := range from {
		for _, t := range take {
			if t.To <= s.From || t.From >= s.To {
				continue
			}
			if t.From > s.From {
				out = append(out, near.Span{From: s.From, To: t.From})
			}
			s.From = t.To
			if s.From >= s.To {
				break
			}
		}
		if s.From < s.To {
			out = append(out, s)
		}
	}
	return out
}
