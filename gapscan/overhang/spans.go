package overhang

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
)

// partSpans says where one part bridges in one layer: the chords of what is
// not carried, on the lines of the scan, each with the span of its bridge.
type partSpans struct {
	part     int32
	v0, step float64
	start    []int32 // runs of line k are runs[start[k]:start[k+1]]
	runs     []spanRun
}

type spanRun struct{ u0, u1, span float64 }

// spans gathers the bridges among the pieces; false if there is none.
func (sc *scan) spans(part int32, pieces []piece) (partSpans, bool) {
	bridges := slices.ContainsFunc(pieces, func(p piece) bool { return p.kind == Bridge })
	if !bridges {
		return partSpans{}, false
	}
	s := partSpans{part: part, v0: sc.v0, step: sc.step, start: make([]int32, 1, sc.n+1)}
	span := func(patch int32) float64 {
		if i := sc.patchPiece[patch]; i >= 0 && pieces[i].kind == Bridge {
			return pieces[i].span
		}
		return 0
	}
	for k := range sc.n {
		row := sc.row(k)
		h := sc.hungStart[k]
		for i := 0; i+1 < len(row); i += 2 {
			from := h
			for h < sc.hungStart[k+1] && sc.hung[h].chord == int32(i) {
				h++
			}
			s.add(row[i].u, row[i+1].u, sc.hung[from:h], span, sc.fallback(row[i].edge, span))
		}
		s.start = append(s.start, int32(len(s.runs)))
	}
	return s, true
}

// fallback is the span of the first bridge in the group that an edge bounds,
// for chords on which nothing hangs; 0 if there is none.
func (sc *scan) fallback(edge int32, span func(patch int32) float64) float64 {
	g := sc.ringGroup[sc.edges[edge].ring]
	if g < 0 {
		return 0
	}
	for _, p := range sc.groups[g].patches {
		if v := span(p); v > 0 {
			return v
		}
	}
	return 0
}

// add shares a chord out among what hangs on it: each place to the nearest.
func (s *partSpans) add(u0, u1 float64, on []hung, span func(patch int32) float64, otherwise float64) {
	put := func(u0, u1, span float64) {
		if span > 0 {
			s.runs = append(s.runs, spanRun{u0, u1, span})
		}
	}
	if len(on) == 0 {
		put(u0, u1, otherwise)
		return
	}
	for i := range on {
		to := u1
		if i+1 < len(on) {
			to = (on[i].u1 + on[i+1].u0) / 2
		}
		put(u0, to, span(on[i].patch))
		u0 = to
	}
}

// at is the span at a place, true if one of the lines next to it has a run
// there, or as near as the lines are to each other.
func (s *partSpans) at(p r2.Vec) (float64, bool) {
	u, v := scanFrame.to(p)
	k := math.Floor((v - s.v0) / s.step)
	for _, d := range [3]float64{0, -1, 1} {
		i := k + d
		if !(i >= 0 && i < float64(len(s.start)-1)) {
			continue
		}
		runs := s.runs[s.start[int(i)]:s.start[int(i)+1]]
		j, _ := slices.BinarySearchFunc(runs, u, func(r spanRun, u float64) int {
			if r.u1+s.step < u {
				return -1
			}
			return 1
		})
		if j < len(runs) && runs[j].u0-s.step <= u {
			if j+1 < len(runs) && runs[j].u1 < u && runs[j+1].u0 <= u {
				j++
			}
			return runs[j].span, true
		}
	}
	return 0, false
}

func (o *Overhangs) spansOf(layer int, part int32) *partSpans {
	if layer < 1 || layer > len(o.spans) {
		return nil
	}
	s := o.spans[layer-1]
	i, ok := slices.BinarySearchFunc(s, part, func(s partSpans, p int32) int { return int(s.part - p) })
	if !ok {
		return nil
	}
	return &s[i]
}

// HasBridge says whether a part (its index) bridges anywhere in a layer.
func (o *Overhangs) HasBridge(layer int, part int32) bool { return o.spansOf(layer, part) != nil }

// BridgeSpan is the span in mm of the bridge of a part in a layer that holds a
// place: what hangs there, or what else of the same uncarried area lies next to
// it. At the rim the answer may be off by the distance of the scan's lines, a
// tenth of a millimetre. Every layer has its own bridges: a layer laid on a
// bridge does not hang.
func (o *Overhangs) BridgeSpan(layer int, part int32, p r2.Vec) (span float64, ok bool) {
	s := o.spansOf(layer, part)
	if s == nil {
		return 0, false
	}
	return s.at(p)
}
