package gapscan

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan/overhang"
	"playgauge/mesh/region"
	"playgauge/slice"
	"playgauge/slice/near"
	"playgauge/slice/sweep"
)

// roofsOf finds, for every part that could look down on a partner, the places
// of this layer under which a partner's layer lies with only air between.
//
// It keeps the region of the part that nothing has met yet on the way down:
// first what its own layer below does not carry, then layer by layer less
// whatever lies there. What hangs in the layer is found on the way.
func (w *worker) roofsOf() {
	for _, r := range w.roofRegions() {
		w.roofsUnder(r.Part, r.Rings)
	}
}

// roofRegions is what the layer has outside the one below of the parts that
// could look down on another.
func (w *worker) roofRegions() []overhang.Outline {
	if w.hang == nil {
		return w.outlines[w.n-1]
	}
	found := w.hang.Layer(w.n, func(part int32) []r2.Box {
		if len(w.roofs[part]) == 0 || !w.slabs[part].any(slabFaces, w.n, w.n) || !w.hasPartnerBelow(part) {
			return nil
		}
		return w.boxesBelow(part)
	})
	if w.outlines != nil {
		w.outlines[w.n-1] = found
	}
	return found
}

// hasPartnerBelow says whether any partner the part looks down on could still
// have layers within reach below this one.
func (w *worker) hasPartnerBelow(part int32) bool {
	for _, j := range w.roofs[part] {
		if w.of(j) != nil {
			return true
		}
	}
	return false
}

// roofsUnder follows the region of a part down, each cluster of its pieces by
// itself, as far as a partner could lie under it.
func (w *worker) roofsUnder(part int32, region [][]r2.Vec) {
	for _, rings := range clusters(region) {
		box := ringsBox(rings)
		last := w.lowestMet(part, rings, box)
		below := w.partnersBelow(part, last, box)
		met := w.n // the layer met last
		for m := w.n - 1; m >= last && len(rings) > 0; m-- {
			if w.goesOn(m, met, box) {
				continue // what is left of the region lies over nothing new
			}
			if m < w.n-1 && !w.asks(below, part, m) {
				break
			}
			u := under{w: w, s: w.stagger(w.n, m), part: part, m: m}
			rings = u.meet(rings)
			met = m
		}
	}
}

// goesOn says that whatever lies within a box in layer m was there already in
// layer met above it, which has been met: all of it stays upright between,
// and so little apart that no wall leans by more than near.Skin.
func (w *worker) goesOn(m, met int, box r2.Box) bool {
	if met == w.n || w.stack.Plan.Cut(met)-w.stack.Plan.Cut(m) > near.Skin/uprightTan {
		return false
	}
	w.buf = w.index.At(m).PartsNear(box, 0, w.buf)
	for _, p := range w.buf {
		if !w.upright(p, m, met) {
			return false
		}
	}
	return true
}

// mayMeetPartner says whether a partner that the part looks down on may have
// something within the box in any layer from the given one up.
func (w *worker) mayMeetPartner(part int32, from int, box r2.Box) bool {
	for m := from; m < w.n; m++ {
		for _, j := range w.roofs[part] {
			p := w.pairs[j]
			if lo := p.a + p.b - part; w.index.At(m).MayReach(lo, box) {
				return true
			}
		}
	}
	return false
}

// lowestMet is the lowest layer in which a region of a part meets something
// that is asked for: a partner that the part looks down on or, in the layer
// right below, any other part if a partner is about. This layer if it meets
// nothing anywhere. What the region loses on its way down can only make it meet less.
func (w *worker) lowestMet(part int32, rings [][]r2.Vec, box r2.Box) int {
	low := w.n
	for low > 1 && w.roofMatters(low-1) {
		low--
	}
	if low == w.n {
		return w.n
	}
	for m := low; m < w.n-1; m++ {
		for _, j := range w.roofs[part] {
			p := w.pairs[j]
			if lo := p.a + p.b - part; w.of(j) != nil && w.index.At(m).MayReach(lo, box) && w.meets(rings, box, lo, m) {
				return m
			}
		}
	}
	w.buf = w.index.At(w.n-1).PartsNear(box, 0, w.buf)
	for _, lo := range w.buf {
		if lo != part && w.meets(rings, box, lo, w.n-1) && w.mayMeetPartner(part, low, box) {
			return w.n - 1
		}
	}
	return w.n
}

// meets says whether a region, which lies in a box, and what a part has in layer
// m overlap, or come within near.Skin of it: then their contours do, or one lies
// in the other.
func (w *worker) meets(rings [][]r2.Vec, box r2.Box, lo int32, m int) bool {
	lower := w.index.At(m)
	for _, r := range rings {
		if lower.MeetsRing(lo, r, near.Skin) || lower.Inside(lo, r[0]) {
			return true
		}
	}
	for i := range contoursOf(lower.Layer, lo) {
		p := lower.Layer.Pts[lower.Layer.Contours[i].Start]
		if box.Min.X <= p.X && p.X <= box.Max.X && box.Min.Y <= p.Y && p.Y <= box.Max.Y && inRegion(rings, p) {
			return true
		}
	}
	return false
}

// inRegion says whether a place lies in a region, by the even-odd rule.
func inRegion(rings [][]r2.Vec, p r2.Vec) bool {
	in := false
	for _, r := range rings {
		in = in != region.Contains(r, p)
	}
	return in
}

// partnerBelow is a joint in this layer, and the lowest layer in which the
// partner may lie under a region of the upper part.
type partnerBelow struct {
	f   *jointLayer
	low int
}

// partnersBelow lists the joints of a part whose partners may lie within a box
// in a layer from last up.
func (w *worker) partnersBelow(part int32, last int, box r2.Box) (out []partnerBelow) {
	for _, j := range w.roofs[part] {
		f, lo := w.of(j), w.pairs[j].a+w.pairs[j].b-part
		for m := last; f != nil && m < w.n; m++ {
			if w.index.At(m).MayReach(lo, box) {
				out = append(out, partnerBelow{f, m})
				break
			}
		}
	}
	return out
}

// asks says whether what lies in layer m, or in a lower one, could tell anything
// that is not known of the part over its partners.
func (w *worker) asks(below []partnerBelow, part int32, m int) bool {
	return slices.ContainsFunc(below, func(p partnerBelow) bool { return p.low <= m && !w.settled(p.f, part, m) })
}

// settled says that nothing can change what is known of a joint in this layer
// where the part lies over its partner in layer m or a lower one: it has been
// found to hang and to stand over less air, as far as it can do either and that
// is asked for, and what is told of a joint is the least.
func (w *worker) settled(f *jointLayer, part int32, m int) bool {
	s, r := w.stagger(w.n, m), &f.roof
	air, sagged := s.roofGap(), s.lowered(w.sagMost).roofGap()
	hangs := r.hangs && r.hangAir <= air && r.sagged <= sagged || !w.slabs[part].any(slabHangs, w.n, w.n)
	// Over as much air as beside it a standing place is no news: sides need
	// the same, but in bottom layers.
	stands := r.stands && r.least <= air || air >= f.side && w.n > w.bottomLayers
	bound := min(sagged/w.roof, air/w.side)
	return r.found && r.air <= air && m < w.n-1 && hangs && stands && f.best.margin <= bound &&
		weigh(sagged/max(w.side, w.roof)) == 0 && (w.tight == nil || bound >= tightUpTo)
}

// roofMatters says whether a roof of this layer over layer m is asked for.
func (w *worker) roofMatters(m int) bool {
	s := w.stagger(w.n, m)
	return s.roofGap() <= w.reach && s.lowered(w.sagMost).roofGap() < w.enough*max(w.side, w.roof)
}

// clusters groups rings whose boxes meet, in the order of their first rings.
func clusters(rings [][]r2.Vec) [][][]r2.Vec {
	if len(rings) < 2 {
		if len(rings) == 0 {
			return nil
		}
		return [][][]r2.Vec{rings}
	}
	boxes := make([]r3.Box, len(rings))
	root := make([]int, len(rings))
	for i := range rings {
		b := ringsBox(rings[i : i+1])
		boxes[i] = r3.Box{Min: r3.Vec{X: b.Min.X, Y: b.Min.Y}, Max: r3.Vec{X: b.Max.X, Y: b.Max.Y}}
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			i = root[i]
		}
		return i
	}
	for _, c := range closeBoxes(boxes, 0) {
		a, b := find(int(c[0])), find(int(c[1]))
		root[max(a, b)] = min(a, b)
	}
	at := map[int]int{}
	var out [][][]r2.Vec
	for i, r := range rings {
		k := find(i)
		g, ok := at[k]
		if !ok {
			g = len(out)
			at[k] = g
			out = append(out, nil)
		}
		out[g] = append(out[g], r)
	}
	return out
}

// under is one step down: a region of the present layer against layer m.
type under struct {
	w    *worker
	s    stagger
	part int32
	m    int
	lies []int32 // the part behind each set of the sweep from set 1 on
	met  []metPart
}

// metPart gathers the places where the region meets one part.
type metPart struct {
	f               *jointLayer // nil: no joint that is looked at
	thick           float64
	at              r2.Vec // of the thickest place
	hangs, stands   bool
	hangAt, standAt r2.Vec
	sag             float64 // the most of what hangs, mm
	weld            weldLayer
}

// meet records what the region lies over in layer m and gives what is left of
// it.
func (u *under) meet(region [][]r2.Vec) [][]r2.Vec {
	w := u.w
	lower := w.index.At(u.m)
	box := ringsBox(region)
	w.buf = lower.PartsNear(box, 0, w.buf)
	if !slices.ContainsFunc(w.buf, func(p int32) bool { return u.asks(p) && u.isNews(p) && w.meets(region, box, p, u.m) }) {
		return region
	}
	w.sw.Reset()
	for _, r := range region {
		w.sw.Add(r, 0)
	}
	u.lies = u.lies[:0]
	// Some contour under the region is not all around it. Of those that are, a
	// hole's lies in its island's: they go round it as often as material does.
	swept := false
	for _, p := range w.buf {
		if !u.asks(p) {
			continue
		}
		set, found := len(u.lies)+1, false
		for i := range contoursOf(lower.Layer, p) {
			c := &lower.Layer.Contours[i]
			found = w.sw.AddOver(lower.Layer.Pts[c.Start:c.End], c.Box, set) || found
		}
		if found || w.sw.GoesRound(set) {
			u.lies = append(u.lies, p)
		}
		swept = swept || found
	}
	switch {
	case len(u.lies) == 0:
		return region
	case len(u.lies) == 1 && u.lies[0] == u.part && !swept:
		return nil
	}
	u.met = make([]metPart, len(u.lies))
	for i, p := range u.lies {
		if j := w.jointOf(u.part, p); p != u.part && j >= 0 {
			u.met[i].f = w.of(j)
		}
	}
	rest := w.sw.RunOver(func(wind []int32, t *sweep.Trapezoid) bool {
		if !t.Thicker(near.Skin) {
			return false
		}
		open := true
		for i := range u.lies {
			if wind[i+1] > 0 {
				open = false
				if u.lies[i] != u.part {
					u.record(i, t)
				}
			}
		}
		return open
	})
	for i := range u.met {
		u.judge(&u.met[i])
	}
	if w.tight != nil {
		u.tightRoofs()
	}
	return rest
}

// asks says whether it is looked at what a part has in layer m: the region is
// what its own part's layer below does not carry.
func (u *under) asks(p int32) bool { return p != u.part || u.m < u.w.n-1 }

// isNews says whether a part may have something in layer m under the region: of
// its own part it does not lie over the layer right below, nor over lower ones
// that have no more.
func (u *under) isNews(p int32) bool { return p != u.part || !u.w.grows(p, u.m, u.w.n-1) }

// record notes a place where the region lies over the part of set i+1.
func (u *under) record(i int, t *sweep.Trapezoid) {
	w, mp := u.w, &u.met[i]
	if thick := t.Thick(); thick > mp.thick {
		mp.thick, mp.at = thick, t.At(0.5, 0.5)
	}
	if u.m == w.n-1 {
		p := t.At(0.5, 0.5)
		w.weld(islandRef{w.n, w.index.At(w.n).IslandAt(u.part, p)}, islandRef{u.m, w.index.At(u.m).IslandAt(u.lies[i], p)})
	}
	if mp.f == nil {
		return
	}
	if !w.short() {
		u.weld(mp, t)
	}
	if !w.slabs[u.part].any(slabHangs, w.n, w.n) {
		if !mp.stands {
			mp.stands, mp.standAt = true, t.At(0.5, 0.5)
		}
		return
	}
	if w.sags(w.n, u.part) {
		if at := t.At(0.5, 0.5); w.hangsAt(w.n, u.part, at) {
			mp.sag = max(mp.sag, w.sagAt(w.n, u.part, at))
		}
	}
	if !mp.hangs {
		mp.hangAt, mp.hangs = w.anywhere(u.part, t, true)
	}
	// A standing place needs more than a hanging one only on some machines,
	// and asks for something new only where it is nearer than the sides.
	if !mp.stands && (!mp.hangs || w.side > w.roof || u.s.roofGap() < mp.f.side) {
		mp.standAt, mp.stands = w.anywhere(u.part, t, false)
	}
}

// weld adds a place to the weld under the roof, if it is short.
func (u *under) weld(mp *metPart, t *sweep.Trapezoid) {
	w, gap := u.w, u.s.roofGap()
	least := gap
	if w.sags(w.n, u.part) {
		least = u.s.lowered(w.sagMost).roofGap()
	}
	if weigh(least/max(w.side, w.roof)) == 0 {
		return
	}
	need := w.side
	if at := t.At(0.5, 0.5); w.hangsAt(w.n, u.part, at) {
		need = w.roof
		gap = u.s.lowered(w.sagAt(w.n, u.part, at)).roofGap()
	}
	g := weigh(gap / need)
	if g == 0 {
		return
	}
	mp.weld.mm2 += g * t.Area()
	// A trapezoid may be large: its place is told by pieces of half a cell.
	up := max(1, int(math.Ceil((t.Y1-t.Y0)/(weldCell/2))))
	across := max(1, int(math.Ceil(((t.R0-t.L0)+(t.R1-t.L1))/weldCell)))
	area := g * t.Area() / float64(up*across)
	for i := range up {
		for k := range across {
			at := t.At((float64(i)+0.5)/float64(up), (float64(k)+0.5)/float64(across))
			mp.weld.places = append(mp.weld.places, weldPlace{at, area})
		}
	}
}

// judge turns what was met into a margin.
func (u *under) judge(mp *metPart) {
	f := mp.f
	if f == nil || mp.thick == 0 {
		return
	}
	gap := u.s.roofGap()
	f.roof.add(gap, u.w.n-u.m-1, mp.hangs, mp.stands)
	f.roofWeld.mm2 += mp.weld.mm2
	f.roofWeld.places = append(f.roofWeld.places, mp.weld.places...)
	b := bead{gap: gap, cause: CauseRoof, at: mp.at, upper: u.part, low: u.m}
	if mp.hangs {
		b.gap = u.s.lowered(mp.sag).roofGap()
		b.margin, b.at = b.gap/u.w.roof, mp.hangAt
		b.ends = [2]r2.Vec{b.at, b.at}
		f.roof.addSagged(b.gap)
		f.best.better(b)
	}
	if mp.stands {
		b.gap = gap
		b.margin, b.at = gap/u.w.side, mp.standAt
		b.ends = [2]r2.Vec{b.at, b.at}
		f.best.better(b)
	}
}

// jointOf finds the joint in which one part looks down on another, -1 if
// there is none.
func (w *worker) jointOf(up, lo int32) int32 {
	for _, j := range w.roofs[up] {
		if p := w.pairs[j]; p.a == lo || p.b == lo {
			return j
		}
	}
	return -1
}

func boxes2Meet(a, b r2.Box) bool {
	return a.Min.X <= b.Max.X && b.Min.X <= a.Max.X && a.Min.Y <= b.Max.Y && b.Min.Y <= a.Max.Y
}

func ringsBox(rings [][]r2.Vec) r2.Box {
	b := r2.Box{Min: rings[0][0], Max: rings[0][0]}
	for _, r := range rings {
		for _, p := range r {
			b.Min.X, b.Max.X = min(b.Min.X, p.X), max(b.Max.X, p.X)
			b.Min.Y, b.Max.Y = min(b.Min.Y, p.Y), max(b.Max.Y, p.Y)
		}
	}
	return b
}

func islandsBox(is []slice.Island) r2.Box {
	b := is[0].Box
	for _, i := range is[1:] {
		b = unionBox(b, i.Box)
	}
	return b
}

func unionBox(a, b r2.Box) r2.Box {
	return r2.Box{
		Min: r2.Vec{X: min(a.Min.X, b.Min.X), Y: min(a.Min.Y, b.Min.Y)},
		Max: r2.Vec{X: max(a.Max.X, b.Max.X), Y: max(a.Max.Y, b.Max.Y)},
	}
}
