package gapscan

import (
	"cmp"
	"iter"
	"slices"
	"sort"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
	"playgauge/slice"
	"playgauge/slice/near"
	"playgauge/slice/sweep"
)

// islandRef names an island: its layer, and its index in the layer.
type islandRef struct {
	layer  int
	island int32
}

// weld notes that two islands print as one piece.
func (w *worker) weld(a, b islandRef) {
	if a.island < 0 || b.island < 0 {
		return
	}
	p := [2]islandRef{a, b}
	if k := len(w.welded); k > 0 && w.welded[k-1] == p {
		return
	}
	w.welded = append(w.welded, p)
}

// pieces notes which islands of this layer touch, and which lie on an island
// of their own part in the layer below. (Those that lie on another part's are
// noted as roofs without air.)
func (w *worker) pieces() {
	ix := w.index.At(w.n)
	for i := range w.found {
		if f := &w.found[i]; f.side == 0 {
			p := w.pairs[f.joint]
			w.touching(ix, p.a, p.b)
		}
	}
	l := ix.Layer
	for i := 0; i < len(l.Islands); {
		part := l.Islands[i].Part
		j := i
		for j < len(l.Islands) && l.Islands[j].Part == part {
			j++
		}
		if boxesTouch(l.Islands[i:j]) {
			w.touching(ix, part, part)
		}
		if w.n > 1 {
			w.carried(l.Islands[i:j], int32(i), part)
		}
		i = j
	}
}

// boxesTouch says whether the boxes of any two islands meet.
func boxesTouch(is []slice.Island) bool {
	if len(is) < 2 {
		return false
	}
	boxes := make([]r3.Box, len(is))
	for i, s := range is {
		boxes[i] = r3.Box{Min: r3.Vec{X: s.Box.Min.X, Y: s.Box.Min.Y}, Max: r3.Vec{X: s.Box.Max.X, Y: s.Box.Max.Y}}
	}
	return len(closeBoxes(boxes, 0)) > 0
}

// touching notes the islands of two parts, or of one, that meet.
func (w *worker) touching(ix *near.Index, a, b int32) {
	near.Pairs(ix, a, ix, b, 0, func(i, j int32, _ float64) float64 {
		if ia, ib := ix.Island(i), ix.Island(j); ia < ib {
			w.weld(islandRef{w.n, ia}, islandRef{w.n, ib})
		} else if ib < ia {
			w.weld(islandRef{w.n, ib}, islandRef{w.n, ia})
		}
		return 0
	})
}

// carried notes for the islands of a part, the first of which has the given
// index, the islands of the same part they lie on.
func (w *worker) carried(up []slice.Island, first int32, part int32) {
	lower := w.index.At(w.n - 1)
	if !lower.Has(part) {
		return
	}
	lo, base := islandsOf(lower.Layer, part)
	order := w.buf[:0]
	for i := range lo {
		order = append(order, int32(i))
	}
	w.buf = order
	slices.SortStableFunc(order, func(a, b int32) int { return cmp.Compare(lo[a].Box.Min.X, lo[b].Box.Min.X) })
	for i := range up {
		u := &up[i]
		for _, k := range order {
			v := &lo[k]
			if v.Box.Min.X > u.Box.Max.X {
				break
			}
			if v.Box.Max.X < u.Box.Min.X || v.Box.Min.Y > u.Box.Max.Y || v.Box.Max.Y < u.Box.Min.Y {
				continue
			}
			if w.overlap(u, first+int32(i), v, base+k) {
				w.weld(islandRef{w.n, first + int32(i)}, islandRef{w.n - 1, base + k})
			}
		}
	}
}

// overlap says whether two islands of neighbouring layers overlap in plan by
// more than near.Skin. A place well inside one usually settles it; otherwise
// the plane is swept.
func (w *worker) overlap(u *slice.Island, iu int32, v *slice.Island, iv int32) bool {
	upper, lower := w.index.At(w.n), w.index.At(w.n-1)
	if p, ok := middle(upper.Layer, u); ok && lower.IslandAt(v.Part, p) == iv {
		if _, close := lower.ToContour(v.Part, p, near.Skin); !close {
			return true
		}
	}
	if p, ok := middle(lower.Layer, v); ok && upper.IslandAt(u.Part, p) == iu {
		if _, close := upper.ToContour(u.Part, p, near.Skin); !close {
			return true
		}
	}
	if !near.Meet(upper, iu, lower, iv) {
		return w.enclosed(u, v, lower, iv) || w.enclosed(v, u, upper, iu)
	}
	w.sw.Reset()
	for s, is := range [2]struct {
		l *slice.Layer
		i *slice.Island
	}{{upper.Layer, u}, {lower.Layer, v}} {
		for _, c := range is.l.Contours[is.i.First:is.i.End] {
			w.sw.Add(is.l.Pts[c.Start:c.End], s)
		}
	}
	return w.sw.Any(func(wind []int32, t *sweep.Trapezoid) bool { return wind[1] > 0 && t.Thicker(near.Skin) })
}

// enclosed says whether some contour of an island lies in another island,
// where their contours do not meet.
func (w *worker) enclosed(u, v *slice.Island, in *near.Index, iv int32) bool {
	l := w.index.At(w.n).Layer
	if in == w.index.At(w.n) {
		l = w.index.At(w.n - 1).Layer
	}
	for _, c := range l.Contours[u.First:u.End] {
		if in.IslandAt(v.Part, l.Pts[c.Start]) == iv {
			return true
		}
	}
	return false
}

// middle is a place inside an island: the middle of the widest stretch of
// material on the line halfway up its box.
func middle(l *slice.Layer, is *slice.Island) (r2.Vec, bool) {
	y := (is.Box.Min.Y + is.Box.Max.Y) / 2
	xs := make([]float64, 0, 16)
	for _, c := range l.Contours[is.First:is.End] {
		a := l.Pts[c.End-1]
		for _, b := range l.Pts[c.Start:c.End] {
			if (a.Y > y) != (b.Y > y) {
				xs = append(xs, a.X+float64((b.X-a.X)*((y-a.Y)/(b.Y-a.Y))))
			}
			a = b
		}
	}
	slices.Sort(xs)
	best, at := 0.0, 0.0
	for i := 0; i+1 < len(xs); i += 2 {
		if w := xs[i+1] - xs[i]; w > best {
			best, at = w, (xs[i]+xs[i+1])/2
		}
	}
	return r2.Vec{X: at, Y: y}, best > 0
}

// islandsOf gives the islands of a part in a layer and the index of the first.
func islandsOf(l *slice.Layer, part int32) ([]slice.Island, int32) {
	i := sort.Search(len(l.Islands), func(i int) bool { return l.Islands[i].Part >= part })
	j := i
	for j < len(l.Islands) && l.Islands[j].Part == part {
		j++
	}
	return l.Islands[i:j], int32(i)
}

// contoursOf yields the indices of the contours of a part in a layer.
func contoursOf(l *slice.Layer, part int32) iter.Seq[int] {
	return func(yield func(int) bool) {
		i := sort.Search(len(l.Contours), func(i int) bool { return l.Contours[i].Part >= part })
		for ; i < len(l.Contours) && l.Contours[i].Part == part; i++ {
			if !yield(i) {
				return
			}
		}
	}
}

// printedPieces counts the pieces of the stack, and lists which parts the
// layers join, from the bed up.
func printedPieces(m *mesh.Mesh, s *slice.Stack, layers []layerScan) (int, []Joined) {
	start := make([]int, len(s.Layers)+1)
	for i := range s.Layers {
		start[i+1] = start[i] + len(s.Layers[i].Islands)
	}
	root := make([]int32, start[len(s.Layers)])
	for i := range root {
		root[i] = int32(i)
	}
	find := func(i int32) int32 {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	// What each part has been joined to so far.
	group := make([]int32, len(m.Parts))
	for i := range group {
		group[i] = int32(i)
	}
	groupOf := func(i int32) int32 {
		for group[i] != i {
			i = group[i]
		}
		return i
	}
	joined := []Joined{}
	count := len(root)
	for i, l := range layers {
		for _, p := range l.welded {
			a := find(int32(start[p[0].layer-1]) + p[0].island)
			b := find(int32(start[p[1].layer-1]) + p[1].island)
			if a != b {
				root[max(a, b)] = min(a, b)
				count--
			}
			pa := s.Layers[p[0].layer-1].Islands[p[0].island].Part
			pb := s.Layers[p[1].layer-1].Islands[p[1].island].Part
			if ga, gb := groupOf(pa), groupOf(pb); ga != gb {
				group[max(ga, gb)] = min(ga, gb)
				joined = append(joined, Joined{Parts: [2]int{m.Parts[min(pa, pb)].ID, m.Parts[max(pa, pb)].ID}, Layer: i + 1})
			}
		}
	}
	return count, joined
}
