package slot

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/slice"
)

// facing is a stretch of wall and the stretch that faces it, nearer than the
// need, through air, and far enough along the contour.
type facing struct {
	part int32
	// i and j are the points at which the two segments begin, i the longer
	// one; i0 to i1 and j0 to j1 are the stretches, in mm from there.
	i, j           int32
	ci, cj         int32 // their contours
	i0, i1, j0, j1 float64
	// width is the length of the shortest chord, p and q are the ends of
	// one that is as short, way is the way between them along the contour:
	// infinite if there is none.
	width, way float64
	p, q       r2.Vec
	// marks are the middles of p and q and, nearly, of the outermost chords.
	marks [3]r2.Vec
}

// side says that a facing has a stretch on the segment that begins at point
// seg.
type side struct{ seg, facing int32 }

// piece is the longest stretch of wall, in mm, for which the way round is
// looked up once: a floor that long under a slot is not missed.
const piece = MinWay

// search finds the facings of one layer at a time.
type search struct {
	f     *finder
	k     int
	t     tree
	need  float64
	found []facing
	// short holds pairs of segments that are both shorter than the need.
	// There may be many to a segment; of these only the narrowest is kept
	// for each.
	short []shortPair
	taken []bool
	buf   []int32
	// discs and holes are those that were looked at last.
	discs, holes []disc
	// work is what is left of mostWork for the layer; below 0, the search
	// of the layer is given up.
	work int
}

// mostWork bounds the search of a layer of so many points, in pairs of
// segments measured and chords tried, and then the connecting of so many
// facings, in lines of sight: what real models come to is a small part of it.
// Hundreds of walls within the need of each other, as no
// machine could print, would come to any number.
func mostWork(points int) int { return 50_000 + 100*points }

type shortPair struct {
	c1, c2, i, j int32
	width        float64
}

func sidesOf(faces []facing) []side {
	if len(faces) == 0 {
		return nil
	}
	sides := make([]side, 0, 2*len(faces))
	for n := range faces {
		sides = append(sides, side{faces[n].i, int32(n)}, side{faces[n].j, int32(n)})
	}
	slices.SortFunc(sides, func(a, b side) int {
		return cmp.Or(cmp.Compare(a.seg, b.seg), cmp.Compare(a.facing, b.facing))
	})
	return sides
}

func (s *search) layer(k int) []facing {
	s.k, s.need = k, s.f.need[k]
	s.found, s.short = s.found[:0], s.short[:0]
	layer := s.f.ix.At(k + 1).Layer
	s.work = mostWork(len(layer.Pts))
	if s.allFaceless(layer) {
		return nil
	}
	s.measure(layer)
	s.narrowestOfShort()
	s.f.crowded[k] = s.work < 0
	slices.SortFunc(s.found, func(a, b facing) int {
		return cmp.Or(cmp.Compare(a.i, b.i), cmp.Compare(a.j, b.j), cmp.Compare(a.i0, b.i0))
	})
	return slices.Clone(s.found)
}

// measure measures the pairs of walls of a layer that may face each other.
func (s *search) measure(layer *slice.Layer) {
	s.t.build(layer)
	if top := len(s.t.levels) - 1; s.mayFace(&s.t.levels[top][0], &s.t.levels[top][0]) {
		s.pair(top, 0, 0)
	}
}

// pair looks for facings between the walls in box a and those in box b of a
// level, a <= b.
func (s *search) pair(level, a, b int) {
	if level == 0 {
		s.blocks(a, b)
		return
	}
	nodes := s.t.levels[level-1]
	for i := a * fan; i < min((a+1)*fan, len(nodes)); i++ {
		for j := max(i, b*fan); j < min((b+1)*fan, len(nodes)); j++ {
			if s.mayFace(&nodes[i], &nodes[j]) {
				s.pair(level-1, i, j)
			}
		}
	}
}

// mayFace says whether walls in two boxes, or in one, could face each other.
// Plain comparisons are faster here than min and max, which care for NaN and
// -0.
func (s *search) mayFace(a, b *node) bool {
	if a.faces&b.dirs == 0 || s.work < 0 {
		return false
	}
	if a.part != b.part && a.part != mixed && b.part != mixed {
		return false
	}
	dx, dy := spansApart(a.x0, a.x1, b.x0, b.x1), spansApart(a.y0, a.y1, b.y0, b.y1)
	if float64(dx*dx)+float64(dy*dy) > float64(s.need*s.need) {
		return false
	}
	return a.contour == mixed || a.contour != b.contour || s.t.longestWay(a, b) >= MinWay
}

// spansApart is the distance of two spans.
func spansApart(a0, a1, b0, b1 float64) float64 {
	if d := a0 - b1; d > 0 {
		return d
	}
	if d := b0 - a1; d > 0 {
		return d
	}
	return 0
}

// longestWay is an upper bound of the way from a place in one box to one in
// another on the same contour.
func (t *tree) longestWay(a, b *node) float64 {
	round := t.round[a.contour]
	apart := spansApart(a.from, a.to, b.from, b.to)
	long := b.to - a.from
	if l := a.to - b.from; l > long {
		long = l
	}
	if l := round - apart; l < long {
		long = l
	}
	if l := round / 2; l < long {
		long = l
	}
	return long
}

// blocks looks at the segments of two blocks.
func (s *search) blocks(a, b int) {
	ba, bb := s.t.blocks[a], s.t.blocks[b]
	c1, c2 := s.t.levels[0][a].contour, s.t.levels[0][b].contour
	cs := s.t.layer.Contours
	if cs[c1].Part != cs[c2].Part {
		return
	}
	for i := ba.first; i < ba.end; i++ {
		from := bb.first
		if a == b {
			from = i + 1
		}
		for j := from; j < bb.end; j++ {
			s.segments(c1, c2, i, j)
		}
	}
}

// segments looks at two segments. The longer one is a, wherever the contour
// begins.
func (s *search) segments(c1, c2, i, j int32) {
	a0, a1 := s.t.segment(c1, i)
	b0, b1 := s.t.segment(c2, j)
	da, db := r2.Sub(a1, a0), r2.Sub(b1, b0)
	// Walls that face each other run against each other, to within twice
	// the tilt.
	run := dot(da, db)
	la2, lb2 := dot(da, da), dot(db, db)
	if run >= 0 || float64(run*run) < againstSquared*float64(la2*lb2) {
		return
	}
	// Each lies in front of the other, nearer than the need.
	if !inFront(da, la2, r2.Sub(b0, a0), r2.Sub(b1, a0), s.need) || !inFront(db, lb2, r2.Sub(a0, b0), r2.Sub(a1, b0), s.need) {
		return
	}
	if dx, dy := max(min(a0.X, a1.X)-max(b0.X, b1.X), min(b0.X, b1.X)-max(a0.X, a1.X)), max(min(a0.Y, a1.Y)-max(b0.Y, b1.Y), min(b0.Y, b1.Y)-max(a0.Y, a1.Y)); dx > s.need || dy > s.need {
		return
	}
	if la2 < lb2 || la2 == lb2 && j < i {
		a0, a1, la2, c1, i, b0, b1, lb2, c2, j = b0, b1, lb2, c2, j, a0, a1, la2, c1, i
	}
	round := s.roundOf(c1, c2, i, j)
	if round.same && min(round.apart+math.Sqrt(max(la2, lb2)), round.round-round.apart+math.Sqrt(max(la2, lb2)), round.round/2) < MinWay {
		return // as a whole too near along the contour
	}
	if s.work--; s.work < 0 {
		return
	}
	var all chords
	all.set(a0, a1, b0, b1, s.need)
	if all.n == 0 {
		return
	}
	set, at, width, ok := s.narrowest(&all, round)
	if !ok {
		return
	}
	if need2 := float64(s.need * s.need); la2 < need2 && lb2 < need2 {
		s.short = append(s.short, shortPair{c1, c2, i, j, width})
		return
	}
	s0, s1 := set.stretch()
	n := math.Ceil((s1-s0)/piece - boundNoise)
	if n <= 1 {
		s.add(c1, c2, i, j, &all, round, &set, at, width)
		return
	}
	for m := range int(n) {
		part := all
		part.between(s0+(s1-s0)*(float64(m)/n), s0+(s1-s0)*(float64(m+1)/n))
		if set, at, width, ok := s.narrowest(&part, round); ok {
			s.add(c1, c2, i, j, &part, round, &set, at, width)
		}
	}
}

// boundNoise lets what is at a bound but for rounding through to the exact
// test; relative.
const boundNoise = 1e-9

// againstSquared is the square of the least cosine between walls that face
// each other.
var againstSquared = math.Pow(math.Cos(2*MaxTilt*math.Pi/180), 2) * (1 - boundNoise)

// inFront says whether some place on a segment, given by its ends as seen
// from the start of a wall with direction d, lies before that wall, nearer
// than need.
func inFront(d r2.Vec, d2 float64, u, v r2.Vec, need float64) bool {
	n := outward(d)
	hu, hv := dot(n, u), dot(n, v)
	if hu <= 0 && hv <= 0 {
		return false
	}
	least := min(hu, hv)
	return least <= 0 || float64(least*least) <= float64(d2*float64(need*need))
}

// roundWay is what is known of the way along the contour between two
// segments.
type roundWay struct {
	same bool
	// apart is the way from the start of the earlier segment to that of the
	// later one, round once round the contour, both in mm.
	apart, round float64
	// forward is 1 if the first segment is the earlier, else -1.
	forward float64
}

func (s *search) roundOf(c1, c2, i, j int32) roundWay {
	switch {
	case c1 != c2:
		return roundWay{}
	case i < j:
		return roundWay{true, s.t.arc[j] - s.t.arc[i], s.t.round[c1], 1}
	}
	return roundWay{true, s.t.arc[i] - s.t.arc[j], s.t.round[c1], -1}
}

// clip keeps the chords with at least that way round.
func (r roundWay) clip(c *chords, way float64) {
	if r.same {
		c.clip(r.apart-way, -r.forward, r.forward)
		c.clip(r.round-r.apart-way, r.forward, -r.forward)
	}
}

// of is the way round for one chord.
func (r roundWay) of(st r2.Vec) float64 {
	if !r.same {
		return math.Inf(1)
	}
	d := r.apart + float64(r.forward*(st.Y-st.X))
	return min(d, r.round-d)
}

// widthSteps bounds the steps towards the least width by MinWidths; each
// brings the bound closer by a constant factor, in practice two are taken.
const widthSteps = 100

// narrowest finds the shortest chord of a set with way enough, and the chords
// with at least that way. MinWidths is no half-plane: it asks for way in
// proportion to length. The shortest chord with the way that the shortest so
// far would need is never longer than the answer, and comes up to it.
func (s *search) narrowest(all *chords, r roundWay) (set chords, at r2.Vec, width float64, ok bool) {
	way := MinWay
	for range widthSteps {
		set = *all
		r.clip(&set, way)
		if set.n == 0 {
			return set, at, 0, false
		}
		at, width = set.shortest()
		if !(width < MetShare*s.need) {
			return set, at, width, false
		}
		if !r.same || MinWidths*width <= way*(1+boundNoise) {
			break
		}
		way = MinWidths * width
	}
	return set, at, width, true
}

// add keeps a set of chords as a facing, if they run through air. Where the
// narrowest does not, the stretch is halved until some do or it is shorter
// than an eighth of the need: between things that small a gap is not looked
// for. Once the layer's work is spent nothing is added.
func (s *search) add(c1, c2, i, j int32, all *chords, r roundWay, set *chords, at r2.Vec, width float64) {
	if s.work--; s.work < 0 {
		return
	}
	mid := set.middlemost(at, width)
	p, q := set.ends(mid)
	i0, i1 := set.stretch()
	part := s.t.layer.Contours[c1].Part
	if !s.air(part, p, q) {
		if i1-i0 < s.need/8 {
			return
		}
		for _, half := range [2][2]float64{{i0, (i0 + i1) / 2}, {(i0 + i1) / 2, i1}} {
			part := *all
			part.between(half[0], half[1])
			if set, at, width, ok := s.narrowest(&part, r); ok {
				s.add(c1, c2, i, j, &part, r, &set, at, width)
			}
		}
		return
	}
	f := facing{part: part, i: i, j: j, ci: c1, cj: c2, i0: i0, i1: i1, width: width, way: r.of(mid), p: p, q: q}
	f.j0, f.j1 = set.far()
	lo, hi := set.outermost()
	at0 := middle(p, q)
	f.marks = [3]r2.Vec{at0, inset(middle(set.ends(lo)), at0, s.need), inset(middle(set.ends(hi)), at0, s.need)}
	s.found = append(s.found, f)
}

// inset moves a mark a twentieth of the need towards the middle one: level
// with the tip of a tooth, it would be left to rounding whether the tip is
// between this mark and that beyond the tooth.
func inset(mark, mid r2.Vec, need float64) r2.Vec {
	d := r2.Sub(mid, mark)
	l := length(d)
	if l <= need/20 {
		return mid
	}
	return step(mark, d, need/20/l)
}

// narrowestOfShort keeps those pairs of short segments of which one has no
// narrower one.
func (s *search) narrowestOfShort() {
	if len(s.short) == 0 {
		return
	}
	s.taken = slices.Grow(s.taken[:0], len(s.t.layer.Pts))[:len(s.t.layer.Pts)]
	clear(s.taken)
	slices.SortFunc(s.short, func(a, b shortPair) int {
		return cmp.Or(cmp.Compare(a.width, b.width), cmp.Compare(a.i, b.i), cmp.Compare(a.j, b.j))
	})
	for _, h := range s.short {
		if s.taken[h.i] && s.taken[h.j] {
			continue
		}
		a0, a1 := s.t.segment(h.c1, h.i)
		b0, b1 := s.t.segment(h.c2, h.j)
		var all chords
		all.set(a0, a1, b0, b1, s.need)
		r := s.roundOf(h.c1, h.c2, h.i, h.j)
		if set, at, width, ok := s.narrowest(&all, r); ok {
			n := len(s.found)
			if s.add(h.c1, h.c2, h.i, h.j, &all, r, &set, at, width); len(s.found) > n {
				s.taken[h.i], s.taken[h.j] = true, true
			}
		}
	}
}

// air says whether a chord of a part runs through air.
func (s *search) air(part int32, p, q r2.Vec) bool {
	if s.t.crossedBetween(mixed, p, q) {
		return false
	}
	if top := s.t.levels[len(s.t.levels)-1][0]; top.part != mixed {
		return true
	}
	mid := middle(p, q)
	ix := s.f.ix.At(s.k + 1)
	s.buf = ix.PartsNear(r2.Box{Min: mid, Max: mid}, 0, s.buf)
	for _, other := range s.buf {
		if other != part && ix.Inside(other, mid) {
			return false
		}
	}
	return true
}
