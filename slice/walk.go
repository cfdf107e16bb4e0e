package slice

import (
	"cmp"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
	"playgauge/slice/sweep"
)

// areaNoise is the area in mm2 below which a contour encloses nothing: a
// hair of 1e-4 mm by a tenth of a millimetre.
const areaNoise = 1e-8

// walker cuts one layer at a time and keeps its memory from one to the next.
type walker struct {
	m     *mesh.Mesh
	plan  Plan
	lv    *levels
	seen  []int32 // the last cut in which a facet was walked
	cut   int32   // counts the cuts
	pts   []r2.Vec
	turn  []r2.Vec
	raw   []line
	opens []line
	rings []ring
	sw    sweep.Sweep
	cr    crossings
}

// line is a run of points of one part, closed or not yet.
type line struct {
	start, end int32
	part       int32
	first      int32 // the facet it began at, as numbered in the file
}

func newWalker(m *mesh.Mesh, p Plan, lv *levels) *walker {
	return &walker{m: m, plan: p, lv: lv, seen: make([]int32, len(m.T))}
}

// layer cuts layer n.
func (w *walker) layer(n int) Layer {
	l := Layer{Number: n, Z: w.plan.Cut(n)}
	z := w.lv.cuts[n-1]
	w.pts, w.raw, w.opens = w.pts[:0], w.raw[:0], w.opens[:0]
	facets, band := w.lv.layer(n)
	nn := int32(n)
	w.cut++
	if !w.m.Closed() {
		// Lines that begin at an open edge first, so that no loop starts in
		// the middle of one.
		for _, t := range facets {
			if in, _ := w.sides(t, nn); w.seen[t] != w.cut && w.m.Mate[in] < 0 {
				w.follow(t, nn, z)
			}
		}
	}
	for _, t := range facets {
		if w.seen[t] != w.cut {
			w.follow(t, nn, z)
		}
	}
	w.lv.give(band)
	if w.m.Order != nil {
		byFile(w.opens)
		byFile(w.raw)
	}
	if len(w.opens) > 0 {
		w.closeOpen(&l)
	}
	w.gather(&l)
	return l
}

// byFile puts lines in the order in which they would be found if the facets
// stood as in the file.
func byFile(lines []line) {
	slices.SortFunc(lines, func(a, b line) int { return cmp.Compare(a.first, b.first) })
}

// sides gives the half-edge by which the contour enters facet t in layer n
// and the one by which it leaves. Seen from above the material is on the left
// of the contour, so it enters where the facet's boundary comes down through
// the cut and leaves where it goes up.
func (w *walker) sides(t, n int32) (in, out int32) {
	c := w.m.T[t]
	a, b, d := w.lv.of[c[0]] >= n, w.lv.of[c[1]] >= n, w.lv.of[c[2]] >= n
	for e, s := range [3][2]bool{{a, b}, {b, d}, {d, a}} {
		if s[0] && !s[1] {
			in = 3*t + int32(e)
		}
		if !s[0] && s[1] {
			out = 3*t + int32(e)
		}
	}
	return in, out
}

// follow walks from facet to facet until the line closes or ends at an open
// edge.
func (w *walker) follow(t, n int32, z float64) {
	m := w.m
	ln := line{start: int32(len(w.pts)), part: m.Shells[m.ShellOf[t]].Part, first: w.inFile(t)}
	first, begin := t, ln.start
	in, _ := w.sides(t, n)
	// The ends of the edge that is crossed, above the cut and below it.
	above, below := m.V[m.T[t][in-3*t]], m.V[m.T[t][next3(in-3*t)]]
	open := m.Mate[in] < 0
	if open {
		w.point(&below, &above, z, ln.start)
	}
	for {
		w.seen[t] = w.cut
		// The line leaves by the edge from the one end to the corner across that
		// lies on the other side of the cut.
		to := next3(in - 3*t)
		far := m.T[t][next3(to)]
		out := 3*t + to
		if w.lv.of[far] >= n {
			above = m.V[far]
		} else {
			below = m.V[far]
			out = 3*t + next3(to)
		}
		w.point(&below, &above, z, ln.start)
		if !open && m.Order != nil {
			if f := w.inFile(t); f < ln.first {
				ln.first, begin = f, int32(len(w.pts))-1
			}
		}
		if in = m.Mate[out]; in < 0 {
			open = true
			break
		}
		t = in / 3
		if t == first || w.seen[t] == w.cut {
			break
		}
	}
	ln.end = int32(len(w.pts))
	if open {
		w.opens = append(w.opens, ln)
		return
	}
	for ln.end-ln.start > 1 && w.pts[ln.end-1] == w.pts[ln.start] {
		ln.end--
		w.pts = w.pts[:ln.end]
	}
	w.begin(ln, begin)
	w.raw = append(w.raw, ln)
}

// inFile is the number of a facet in the file.
func (w *walker) inFile(t int32) int32 {
	if w.m.Order == nil {
		return t
	}
	return w.m.Order[t]
}

// begin turns a closed line round so that it begins at a point of it.
func (w *walker) begin(ln line, at int32) {
	if at == ln.start || at >= ln.end {
		return
	}
	w.turn = append(w.turn[:0], w.pts[ln.start:at]...)
	k := copy(w.pts[ln.start:], w.pts[at:ln.end])
	copy(w.pts[int(ln.start)+k:], w.turn)
}

// next3 is the next of a facet's three corners, or edges.
func next3(e int32) int32 {
	if e == 2 {
		return 0
	}
	return e + 1
}

// point adds the place where the cut crosses an edge. It is reckoned from the
// lower end to the upper one, whichever facet asks.
func (w *walker) point(pa, pb *r3.Vec, z float64, start int32) {
	s := (z - pa.Z) / (pb.Z - pa.Z)
	if s < 0 {
		s = 0
	}
	p := r2.Vec{X: pb.X, Y: pb.Y}
	if s < 1 {
		p = r2.Vec{X: pa.X + float64(s*(pb.X-pa.X)), Y: pa.Y + float64(s*(pb.Y-pa.Y))}
	}
	if k := int32(len(w.pts)); k > start && w.pts[k-1] == p {
		return
	}
	w.pts = append(w.pts, p)
}

// gather turns the closed lines into contours and islands.
func (w *walker) gather(l *Layer) {
	slices.SortStableFunc(w.raw, func(a, b line) int { return int(a.part - b.part) })
	l.Pts = make([]r2.Vec, 0, len(w.pts))
	l.Contours, l.Islands = make([]Contour, 0, len(w.raw)), make([]Island, 0, len(w.raw))
	for i := 0; i < len(w.raw); {
		j := i
		for j < len(w.raw) && w.raw[j].part == w.raw[i].part {
			j++
		}
		w.part(l, w.raw[i].part, w.raw[i:j])
		i = j
	}
}

// part adds the contours of one part to the layer.
func (w *walker) part(l *Layer, part int32, lines []line) {
	var rings []ring
	at, fold, ok := r2.Vec{}, 0.0, true
	if w.m.Parts[part].Overlapping {
		rings, ok = w.united(lines)
		at = w.pts[lines[0].start]
	} else {
		rings, at, fold, ok = w.plain(lines)
	}
	if fold > 0 || !ok {
		l.Folds = append(l.Folds, Fold{Part: part, At: at, Area: fold, Dropped: !ok})
	}
	islands(l, part, rings)
}

// mostPieces bounds what crossing contours of one part cut each other up into
// in a layer: a grid of eighty bars over eighty others comes to 4
// million, and few surfaces can come to any number.
const mostPieces = 5_000_000

// united is the outline of all places that the lines go round at least once;
// false if that is too much work.
func (w *walker) united(lines []line) (rings []ring, ok bool) {
	w.lay(lines)
	outline, ok := w.sw.Union(mostPieces)
	return w.keep(outline), ok
}

// covered is the same, and the area of those places that the lines go round
// more than once, or the wrong way.
func (w *walker) covered(lines []line) (rings []ring, folded float64, ok bool) {
	w.lay(lines)
	outline, ok := w.sw.RunWithin(mostPieces, func(wind []int32, t *sweep.Trapezoid) bool {
		if wind[0] < 0 || wind[0] > 1 {
			folded += t.Area()
		}
		return wind[0] > 0
	})
	return w.keep(outline), folded, ok
}

// lay readies the sweep of some lines.
func (w *walker) lay(lines []line) {
	w.sw.Reset()
	for _, ln := range lines {
		w.sw.Add(w.pts[ln.start:ln.end], 0)
	}
}

// keep makes rings of an outline, until others are made.
func (w *walker) keep(outline [][]r2.Vec) []ring {
	w.rings = w.rings[:0]
	for _, pts := range outline {
		w.rings = appendRing(w.rings, pts)
	}
	return w.rings
}
