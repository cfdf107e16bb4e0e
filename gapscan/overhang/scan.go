package overhang

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice"
	"playgauge/slice/near"
)

const (
	// scanStep is the distance between the lines on which what hangs is
	// measured, mm: a fifth of what is news, and along its line a place is
	// exact.
	scanStep = 0.1
	// scanLines bounds their number: on a model 400 mm wide they begin to lie
	// farther apart.
	scanLines = 4096
)

// scanFrame turns the lines away from those drawings are full of: 1 radian is
// no angle a designer chooses.
var scanFrame = turned(1)

// stretch is a piece of a line of the scan, in its frame.
type stretch struct{ v, u0, u1 float64 }

// hung is a stretch that hangs.
type hung struct {
	row    int32
	chord  int32 // position in the row of the chord it lies in
	patch  int32
	u0, u1 float64
}

// scan measures one part's uncarried area in one layer along parallel lines.
type scan struct {
	raster
	edges      []edge
	ringStart  []int32 // edges of ring r are edges[ringStart[r]:ringStart[r+1]]
	groups     []group
	ringGroup  []int32
	hung       []hung
	hungStart  []int32 // of row k: hung[hungStart[k]:hungStart[k+1]]
	patches    []patchRows
	patchPiece []int32 // the piece a patch became, -1 if none

	sets   []int32 // union-find, over rings or hung
	covers []cover
	// sorted and coverEnds are memory for sorting them.
	sorted    []cover
	coverEnds []int32
}

// group is one connected piece of what is not carried.
type group struct {
	rings   []int32 // ascending
	patches []int32 // what hangs of it, ascending
}

// patchRows is a connected piece of what hangs.
type patchRows struct {
	hung []int32 // ascending
	area float64
}

// cover is a stretch of a line within the growth of the layer below.
type cover struct {
	row    int32
	u0, u1 float64
}

func find(sets []int32, i int32) int32 {
	for sets[i] != i {
		sets[i] = sets[sets[i]]
		i = sets[i]
	}
	return i
}

func join(sets []int32, a, b int32) {
	a, b = find(sets, a), find(sets, b)
	if a != b {
		sets[max(a, b)] = min(a, b)
	}
}

func (sc *scan) reset(n int) {
	sc.sets = slices.Grow(sc.sets[:0], n)[:n]
	for i := range sc.sets {
		sc.sets[i] = int32(i)
	}
}

// chords lays the lines and gathers rings into groups: the two ends of a chord
// bound the same material. A ring that falls between the lines is a group by
// itself; round a hole it is left out.
func (sc *scan) chords(edges []edge, rings int) {
	sc.edges = edges
	sc.turnEdges(edges, scanFrame)
	lo, hi := sc.extent()
	sc.lay(lo, hi, scanStep, scanLines)
	sc.reset(rings)
	for k := range sc.n {
		row := sc.row(k)
		for i := 0; i+1 < len(row); i += 2 {
			join(sc.sets, edges[row[i].edge].ring, edges[row[i+1].edge].ring)
		}
	}
	sc.ringStart = append(sc.ringStart[:0], 0)
	for i := range edges {
		if i > 0 && edges[i].ring != edges[i-1].ring {
			sc.ringStart = append(sc.ringStart, int32(i))
		}
	}
	sc.ringStart = append(sc.ringStart, int32(len(edges)))
	sc.groups = sc.groups[:0]
	sc.ringGroup = slices.Grow(sc.ringGroup[:0], rings)[:rings]
	for r := range int32(rings) {
		root := find(sc.sets, r)
		if root < r {
			g := sc.ringGroup[root]
			sc.ringGroup[r] = g
			if g >= 0 {
				sc.groups[g].rings = append(sc.groups[g].rings, r)
			}
			continue
		}
		sc.ringGroup[r] = -1
		if !sc.crossed(r) && sc.ringArea(r) <= 0 {
			continue
		}
		sc.ringGroup[r] = int32(len(sc.groups))
		sc.groups = append(sc.groups, group{rings: []int32{r}})
	}
}

// crossed says whether any line crosses a ring.
func (sc *scan) crossed(r int32) bool {
	for i := sc.ringStart[r]; i < sc.ringStart[r+1]; i++ {
		if e := &sc.uv[i]; e.from < e.to {
			return true
		}
	}
	return false
}

// ringArea is the area within a ring, negative round a hole.
func (sc *scan) ringArea(r int32) float64 {
	e := sc.edges[sc.ringStart[r]:sc.ringStart[r+1]]
	sum := 0.0
	for i := range e {
		a, b := r2.Sub(e[i].a, e[0].a), r2.Sub(e[i].b, e[0].a)
		sum += float64(a.X*b.Y) - float64(a.Y*b.X)
	}
	return sum / 2
}

// hang finds what of every chord lies farther than grow from the part's
// contours in the layer below.
func (sc *scan) hang(below *slice.Layer, part int32, grow float64) {
	sc.cover(below, part, grow)
	sc.hung, sc.hungStart = sc.hung[:0], append(sc.hungStart[:0], 0)
	c := 0
	for k := range sc.n {
		row := sc.row(k)
		end := c
		for end < len(sc.covers) && sc.covers[end].row == int32(k) {
			end++
		}
		for i := 0; i+1 < len(row); i += 2 {
			u := row[i].u
			to := row[i+1].u
			// Covers ascend by their beginning; what a chord passed, the next
			// one cannot need.
			for ; c < end && sc.covers[c].u0 < to; c++ {
				if sc.covers[c].u0-u > near.Skin {
					sc.hung = append(sc.hung, hung{row: int32(k), chord: int32(i), u0: u, u1: sc.covers[c].u0})
				}
				u = max(u, sc.covers[c].u1)
				if u > to {
					break // it may reach into the next chord
				}
			}
			if to-u > near.Skin {
				sc.hung = append(sc.hung, hung{row: int32(k), chord: int32(i), u0: u, u1: to})
			}
		}
		c = end
		sc.hungStart = append(sc.hungStart, int32(len(sc.hung)))
	}
}

// cover lists, by line, the stretches within grow of a part's contours,
// united and ascending.
func (sc *scan) cover(below *slice.Layer, part int32, grow float64) {
	sc.covers = sc.covers[:0]
	lo, hi := sc.v0-grow, sc.v0+float64(float64(sc.n)*sc.step)+grow
	for _, c := range contoursOf(below, part) {
		pts := below.Pts[c.Start:c.End]
		var e uvEdge
		e.ua, e.va = sc.to(pts[len(pts)-1])
		for _, p := range pts {
			e.ub, e.vb = sc.to(p)
			if max(e.va, e.vb) > lo && min(e.va, e.vb) < hi {
				sc.coverBy(&e, grow)
			}
			e.ua, e.va = e.ub, e.vb
		}
	}
	sc.sortCovers()
	out := sc.covers[:0]
	for _, c := range sc.covers {
		if k := len(out) - 1; k >= 0 && out[k].row == c.row && c.u0 <= out[k].u1 {
			out[k].u1 = max(out[k].u1, c.u1)
		} else {
			out = append(out, c)
		}
	}
	sc.covers = out
}

// sortCovers orders the covers by their lines, and those of each by their
// beginnings: of a line there are few.
func (sc *scan) sortCovers() {
	ends := slices.Grow(sc.coverEnds[:0], sc.n)[:sc.n]
	clear(ends)
	for i := range sc.covers {
		ends[sc.covers[i].row]++
	}
	at := int32(0)
	for k, n := range ends {
		ends[k], at = at, at+n
	}
	out := slices.Grow(sc.sorted[:0], len(sc.covers))[:len(sc.covers)]
	for _, c := range sc.covers {
		out[ends[c.row]] = c
		ends[c.row]++
	}
	from := int32(0)
	for _, end := range ends {
		row := out[from:end]
		if len(row) > fewCrossings {
			slices.SortFunc(row, func(a, b cover) int { return cmp.Compare(a.u0, b.u0) })
		} else {
			for i := 1; i < len(row); i++ {
				for j := i; j > 0 && row[j].u0 < row[j-1].u0; j-- {
					row[j], row[j-1] = row[j-1], row[j]
				}
			}
		}
		from = end
	}
	sc.covers, sc.sorted, sc.coverEnds = out, sc.covers, ends
}

// coverBy adds the stretches within grow of one segment: on each line, those
// of the circles round its ends and of its sides moved out by grow.
func (sc *scan) coverBy(e *uvEdge, grow float64) {
	du, dv := e.ub-e.ua, e.vb-e.va
	length := math.Sqrt(float64(du*du) + float64(dv*dv))
	var mu, mv float64 // the normal, grow long
	if length > 0 {
		mu, mv = dv/length*grow, -du/length*grow
	}
	from, to := sc.firstFrom(min(e.va, e.vb)-grow), sc.firstFrom(max(e.va, e.vb)+grow)
	for k := from; k < to; k++ {
		row := sc.row(k)
		if len(row) == 0 {
			continue
		}
		v := sc.line(k)
		u0, u1 := math.Inf(1), math.Inf(-1)
		for _, end := range [2][2]float64{{e.ua, e.va}, {e.ub, e.vb}} {
			if d := float64(grow*grow) - float64((v-end[1])*(v-end[1])); d > 0 {
				d = math.Sqrt(d)
				u0, u1 = min(u0, end[0]-d), max(u1, end[0]+d)
			}
		}
		for _, s := range [2]float64{1, -1} {
			va := e.va + float64(s*mv)
			if t := (v - va) / dv; dv != 0 && t >= 0 && t <= 1 {
				u := e.ua + float64(s*mu) + float64(t*du)
				u0, u1 = min(u0, u), max(u1, u)
			}
		}
		if u0 < row[len(row)-1].u && u1 > row[0].u {
			sc.covers = append(sc.covers, cover{int32(k), u0, u1})
		}
	}
}

// join gathers stretches of neighbouring lines that face each other and belong
// to the same group into patches.
func (sc *scan) join() {
	sc.reset(len(sc.hung))
	group := func(h *hung) int32 {
		return sc.ringGroup[sc.edges[sc.row(int(h.row))[h.chord].edge].ring]
	}
	for k := 1; k < sc.n; k++ {
		i, j := sc.hungStart[k-1], sc.hungStart[k]
		for i < sc.hungStart[k] && j < sc.hungStart[k+1] {
			a, b := &sc.hung[i], &sc.hung[j]
			if a.u0 <= b.u1 && b.u0 <= a.u1 && group(a) == group(b) {
				join(sc.sets, i, j)
			}
			if a.u1 < b.u1 {
				i++
			} else {
				j++
			}
		}
	}
	sc.patches = sc.patches[:0]
	for i := range sc.hung {
		h := &sc.hung[i]
		if root := find(sc.sets, int32(i)); root == int32(i) {
			h.patch = int32(len(sc.patches))
			sc.patches = append(sc.patches, patchRows{})
			if g := group(h); g >= 0 {
				sc.groups[g].patches = append(sc.groups[g].patches, h.patch)
			}
		} else {
			h.patch = sc.hung[root].patch
		}
		p := &sc.patches[h.patch]
		p.hung = append(p.hung, int32(i))
		p.area += float64((h.u1 - h.u0) * sc.step)
	}
	sc.patchPiece = sc.patchPiece[:0]
	for range sc.patches {
		sc.patchPiece = append(sc.patchPiece, -1)
	}
}
