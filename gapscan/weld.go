package gapscan

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/parallel"
	"playgauge/slice/near"
)

// weldStep is the length in mm of the pieces of contour a weld is summed
// over: half a line width, so that a piece has one margin.
const weldStep = 0.2

// weldPlace is a piece of a weld: a stretch of wall of one layer, or a patch
// under a roof.
type weldPlace struct {
	at   r2.Vec
	area float64 // mm2, weighed: what hardly sticks hardly shapes the weld
}

// weldLayer is a weld within one layer.
type weldLayer struct {
	mm2    float64 // weighed
	places []weldPlace
}

// add adds a piece of wall of a layer of some height: half, since both sides
// are walls.
func (l *weldLayer) add(w *wallPiece, height float64) {
	if g := weigh(w.margin); g > 0 {
		mm2 := g * w.Length * height / 2
		l.mm2 += mm2
		l.places = append(l.places, weldPlace{w.Mid, mm2})
	}
}

// begin lends memory for the places, until done.
func (l *weldLayer) begin(memory []weldPlace) { l.places = memory[:0] }

// done gives the memory back, and keeps no more than the places need.
func (l *weldLayer) done() (memory []weldPlace) {
	memory, l.places = l.places, append([]weldPlace(nil), l.places...)
	return memory
}

// weigh is how much of a piece below the margin counts: nothing just below 1,
// all where it touches.
func weigh(margin float64) float64 {
	if margin >= closeFrom*metShare {
		return 0
	}
	return (1 - margin) * (1 - margin)
}

// jointWall is the weld of one joint in one layer.
type jointWall struct {
	layer   int
	repeats bool // the entry before it, of the layer below
	weldLayer
}

// weldDepth is how many layers down a bead can still have a margin below one.
func (sc *scanner) weldDepth(margin float64) int {
	need := max(sc.side, sc.roof)
	h := sc.stack.Plan.Rest
	d := 1
	for (stagger{dz: float64(d) * h, rr: h, side: sc.side}).lowered(sc.sagMost).margin(0, need) < margin && d < sc.stack.Plan.Layers {
		d++
	}
	return d
}

// repeats says that a joint's walls in a layer are those of the layer below,
// and so is all within depth layers.
func (sc *scanner) repeats(joint int32, n, depth int) bool {
	if n-1 <= sc.bottomLayers || sc.stack.Plan.Height(n-1) != sc.stack.Plan.Height(n) {
		return false
	}
	p := sc.pairs[joint]
	return !sc.slabs[p.a].any(slabSlopes, n-depth, n+depth) && !sc.slabs[p.b].any(slabSlopes, n-depth, n+depth)
}

// waller measures walls; one for each worker.
type waller struct {
	*scanner
	// depth is how many layers up and down are looked at, most the margin from
	// which on nothing is asked.
	depth int
	most  float64
	spans []near.Span
	// beside is what lies near in the wall's own layer; lower and upper are what
	// facing found.
	beside       near.Around
	lower, upper []faced
	overLower    bool      // something in the lower ones is near
	piece        wallPiece // that is told of
}

func (sc *scanner) waller(most float64) *waller {
	return &waller{scanner: sc, depth: sc.weldDepth(most), most: most}
}

// wallPiece is a piece of a part's contour that faces another part.
type wallPiece struct {
	own, other int32
	near.Stretch
	margin float64
}

// walls finds the pieces of both parts' contours in layer k that have a margin
// below most. A piece is good until the next.
func (w *waller) walls(joint int32, k int, found func(*wallPiece)) {
	p := w.pairs[joint]
	for _, side := range [2][2]int32{{p.a, p.b}, {p.b, p.a}} {
		own, other := side[0], side[1]
		box, ok := w.around(other, k)
		if !ok {
			continue
		}
		// No need is met only from farther off than this.
		within := w.most*max(w.sideNeed(k), w.side, w.roof) + w.stack.Plan.Height(k)
		box.Min, box.Max = r2.Sub(box.Min, r2.Vec{X: within, Y: within}), r2.Add(box.Max, r2.Vec{X: within, Y: within})
		w.facing(own, other, k)
		piece := func(s *near.Stretch) {
			if !box.Contains(s.Mid) {
				return
			}
			if m := w.pieceMargin(own, other, k, s.Mid); m < w.most {
				w.piece = wallPiece{own, other, *s, m}
				found(&w.piece)
			}
		}
		w.index.At(k).Runs(own, box, func(r *near.Run) {
			if w.comesNear(r, other, k) {
				r.Stretches(weldStep, piece)
			}
		})
	}
}

// faced is a layer in which the other part may come nearer than in the wall's
// own.
type faced struct {
	layer  int
	s      stagger
	same   bool        // it does not, unless the wall hangs
	within float64     // no margin is below most from farther off
	near   near.Around // what of the other part lies near the run looked at
}

// facing lists the layers below and above layer k that matter to a wall of
// one part against another.
func (w *waller) facing(own, other int32, k int) {
	hangs := w.slabs[own].any(slabHangs, k, k)
	w.lower, w.upper = w.lower[:0], w.upper[:0]
	for m := k - 1; m >= max(1, k-w.depth); m-- {
		if same := w.upright(other, m, k); !same || hangs {
			w.lower = w.faces(w.lower, m, w.stagger(k, m), same)
		}
	}
	for n := k + 1; n <= min(w.index.Len(), k+w.depth); n++ {
		if !w.upright(other, k, n) {
			w.upper = w.faces(w.upper, n, w.stagger(n, k), false)
		}
	}
}

// faces adds a layer to a list, in memory that is used again.
func (w *waller) faces(list []faced, layer int, s stagger, same bool) []faced {
	if len(list) == cap(list) {
		list = append(list, faced{})[:len(list)]
	}
	list = list[:len(list)+1]
	f := &list[len(list)-1]
	f.layer, f.s, f.same = layer, s, same
	f.within = s.lowered(w.sagMost).reach(w.most, max(w.side, w.roof))
	return list
}

// comesNear says whether the other part comes near a run of a wall of layer k, in
// its own layer or in those that facing found.
func (w *waller) comesNear(r *near.Run, other int32, k int) bool {
	beside := w.beside.Set(w.index.At(k), other, r, w.most*w.sideNeed(k))
	set := func(list []faced) bool {
		found := false
		for i := range list {
			f := &list[i]
			found = f.near.Set(w.index.At(f.layer), other, r, f.within) || found
		}
		return found
	}
	w.overLower = set(w.lower)
	underUpper := set(w.upper)
	return beside || w.overLower || underUpper
}

// around bounds a part's islands in the layers within depth of k.
func (w *waller) around(part int32, k int) (r2.Box, bool) {
	var box r2.Box
	found := false
	for n := max(1, k-w.depth); n <= min(w.index.Len(), k+w.depth); n++ {
		is, _ := islandsOf(w.index.At(n).Layer, part)
		for _, i := range is {
			if !found {
				box, found = i.Box, true
			}
			box = unionBox(box, i.Box)
		}
	}
	return box, found
}

// pieceMargin is the least margin below most of a place on a wall of layer k
// against another part, in its own layer, as the upper bead and as the lower
// one; most if there is none. Places that overlap the other part in plan are
// left to the roof. facing was called for the two, and comesNear for the run that
// the place is on.
func (w *waller) pieceMargin(own, other int32, k int, p r2.Vec) float64 {
	best := w.most
	need := w.sideNeed(k)
	if d, ok := w.beside.Distance(p, w.most*need); ok {
		best = min(best, d/need)
	}
	best = w.aboveLower(own, other, k, p, best)
	for i := range w.upper {
		f := &w.upper[i]
		if f.near.Empty() {
			continue
		}
		n, s := f.layer, f.s
		low := s
		if w.sags(n, other) {
			low = s.lowered(w.sagMost)
		}
		limit := low.reach(best, max(w.side, w.roof))
		if limit < 0 {
			continue // a layer further up may come as low again: by its sag
		}
		q, d, ok := f.near.NearestOn(p, limit)
		if !ok || w.index.At(n).Inside(other, p) {
			continue
		}
		v := w.side
		if w.hangsAt(n, other, q) {
			v = w.roof
			s = s.lowered(w.sagAt(n, other, q))
		}
		if m := s.margin(d, v); m < best && w.clear(q, p, k+1, n-1, &w.spans) {
			best = m
		}
	}
	return best
}

// aboveLower lowers best to the least margin of the place as the upper bead.
func (w *waller) aboveLower(own, other int32, k int, p r2.Vec, best float64) float64 {
	if !w.overLower {
		return best
	}
	hangs, sag, v := w.hangsAt(k, own, p), 0.0, w.side
	if hangs {
		sag, v = w.sagAt(k, own, p), w.roof
	}
	for i := range w.lower {
		f := &w.lower[i]
		m, s := f.layer, f.s.lowered(sag)
		limit := s.reach(best, v)
		if limit < 0 {
			break
		}
		if f.near.Empty() || !hangs && f.same {
			continue
		}
		q, d, ok := f.near.NearestOn(p, limit)
		if ok && !w.index.At(m).Inside(other, p) && w.clear(p, q, m+1, k-1, &w.spans) {
			best = min(best, s.margin(d, v))
		}
	}
	return best
}

// upright says that a part has both layers and the same outline in all from
// one to the other: it comes no nearer in the one than in the other.
func (sc *scanner) upright(part int32, from, to int) bool {
	return !sc.slabs[part].any(slabSlopes, from+1, to) && sc.index.At(from).Has(part) && sc.index.At(to).Has(part)
}

// grows says that whatever a part has in layer from it has in layer to above it
// too: nothing between faces up. Beside another part it comes no nearer in the
// one than in the other.
func (sc *scanner) grows(part int32, from, to int) bool {
	return sc.told && !sc.slabs[part].any(slabEnds, from+1, to)
}

// weldSums adds up the weld of every joint: its walls and its roofs.
func (sc *scanner) weldSums(layers []layerScan) []weldSum {
	walls := sc.walls.byJoint()
	roofs := make([][]jointWall, len(sc.pairs))
	for i, l := range layers {
		for k := range l.joints {
			if f := &l.joints[k]; f.roofWeld.mm2 > 0 {
				roofs[f.joint] = append(roofs[f.joint], jointWall{layer: i + 1, weldLayer: f.roofWeld})
			}
		}
	}
	out := make([]weldSum, len(sc.pairs))
	parallel.EachWorker(len(out), func() func(int) {
		var f former
		return func(j int) { out[j] = sc.weldSum(&f, walls[j], roofs[j]) }
	})
	return out
}

// weldSum adds up lists of layers. f is only lent its memory.
func (sc *scanner) weldSum(f *former, lists ...[]jointWall) weldSum {
	sum := weldSum{share: map[int]float64{}}
	f.reset()
	for _, list := range lists {
		for i := 0; i < len(list); {
			// Layers that repeat one another within a cell are one.
			var h heights
			first := &list[i]
			for ; i < len(list) && (&list[i] == first || list[i].repeats && cellOf(sc.stack.Plan.Cut(list[i].layer)) == h.cell); i++ {
				h.add(sc.stack.Plan.Cut(list[i].layer))
				sum.mm2 += list[i].mm2
				sum.share[list[i].layer] += list[i].mm2
			}
			for _, p := range first.places {
				f.add(p, h)
			}
		}
	}
	sum.weldShape = f.shape()
	return sum
}

// weldSum is the weld of one joint.
type weldSum struct {
	mm2   float64
	share map[int]float64 // by layer
	weldShape
}

// weldShape says what a weld looks like: its largest place, and how many
// there are.
type weldShape struct {
	form   string // "spot", "line" or "seam"; "" for none
	length float64
	round  bool // a seam all round
	places int
}

// Forms of a weld.
const (
	formSpot = "spot"
	formLine = "line"
	formSeam = "seam"
)

// Extents in mm up to which a weld is a spot, and across up to which one that
// is half as long again and flat is a line. Judgement: a level pin touches its
// bore along a band of 4 mm, and that cracks on the first turn.
const (
	spotMost = 3.0
	lineMost = 4.0
)

// former gathers places in cells and tells their form.
type former struct {
	// cells holds the cells in the order in which they were met, at finds them
	// by where they lie.
	cells []cell
	at    map[cellKey]int32
	// last is the cell added to last: places come along a wall, and most lie
	// in the cell of the one before.
	last int32
	// clustered lists the cells of each cluster, one after the other.
	clustered []int32
}

// reset forgets all places. The memory is kept, but for that of a map so large
// that to clear it would cost more than the next joint is likely to.
func (f *former) reset() {
	const most = 4096
	if f.at == nil || len(f.cells) > most {
		f.at = map[cellKey]int32{}
	}
	clear(f.at)
	f.cells, f.last = f.cells[:0], -1
}

// cellKey is where a cell lies, in one number so that it is quickly looked up;
// the keys of its neighbours are sums. 21 bits for x and y and 22 for z are
// enough for the largest models that are read (mesh.MaxCoordinate).
type cellKey uint64

const (
	stepX cellKey = 1 << 43
	stepY cellKey = 1 << 22
	stepZ cellKey = 1
)

func keyOf(x, y, z int) cellKey {
	const middle = 1 << 20
	return cellKey(x+middle)*stepX + cellKey(y+middle)*stepY + cellKey(z+middle)*stepZ
}

// cell is a cube of places with their moments.
type cell struct {
	key                    cellKey
	w                      float64
	x, y, z                float64
	xx, yy, zz, xy, xz, yz float64
	cluster                int32
}

func (c *cell) merge(o *cell) {
	c.w += o.w
	c.x, c.y, c.z = c.x+o.x, c.y+o.y, c.z+o.z
	c.xx, c.yy, c.zz = c.xx+o.xx, c.yy+o.yy, c.zz+o.zz
	c.xy, c.xz, c.yz = c.xy+o.xy, c.xz+o.xz, c.yz+o.yz
}

// weldCell is the size of a cell in mm: places in neighbouring cells belong
// together.
const weldCell = 1.5

func cellOf(v float64) int { return int(math.Floor(v / weldCell)) }

// heights are the layers of one cell in which the same place lies.
type heights struct {
	cell     int
	n, z, zz float64
}

func (h *heights) add(z float64) {
	h.cell = cellOf(z)
	h.n, h.z, h.zz = h.n+1, h.z+z, h.zz+z*z
}

func (f *former) add(p weldPlace, h heights) {
	k := keyOf(cellOf(p.at.X), cellOf(p.at.Y), h.cell)
	if f.last < 0 || f.cells[f.last].key != k {
		i, ok := f.at[k]
		if !ok {
			i = int32(len(f.cells))
			f.cells = append(f.cells, cell{key: k})
			f.at[k] = i
		}
		f.last = i
	}
	a, x, y := p.area, p.at.X, p.at.Y
	w := a * h.n
	f.cells[f.last].merge(&cell{w: w, x: w * x, y: w * y, z: a * h.z, xx: w * x * x, yy: w * y * y, zz: a * h.zz, xy: w * x * y, xz: a * x * h.z, yz: a * y * h.z})
}
