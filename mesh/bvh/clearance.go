package bvh

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

const (
	// PlanSliver is the width in mm that the place where two facets overlap
	// in plan must exceed to count: walls drawn on one line overlap by
	// rounding.
	PlanSliver = 0.001

	// ContactDepth is how deep in mm, measured downwards, the upper surface
	// may lie below the lower one and still rest on it, with a gap of 0. It
	// equals the depth to which two overlapping solids remain two parts
	// (mesh.ContactDepth).
	ContactDepth = 0.01

	// OpenPlace is the size in mm below which a place beside something that
	// blocks it is not divided further but dropped: a tenth of a bead.
	OpenPlace = 0.05

	// slabNoise is more, in mm along a normal, than rounding makes of a height
	// over a facet.
	slabNoise = 1e-6
)

// Drop is a vertical gap.
type Drop struct {
	// Gap is the height in mm of the upper surface over At.
	Gap float64
	// At lies on the lower surface.
	At r3.Vec
	// FacetUpper looks down on FacetLower, which looks up.
	FacetUpper, FacetLower int32
}

// Blocker tells what stands between two surfaces. Its answers must not
// change during a call of Clearance.
type Blocker interface {
	// MayBlock reports whether anything at all could be in the box. It may
	// be wrong in saying so, never in denying it.
	MayBlock(box r3.Box) bool
	// Blocked reports whether material lies strictly between zLow and zHigh
	// over (x, y). If so, by holds the corners of a facet of that material
	// that is met there, between the two heights or (where the material
	// reaches through both) next above them; all it shades is then out of
	// the question. Without one (by is zero) the place is halved until it is
	// smaller than OpenPlace, which is slower and less exact.
	Blocked(x, y, zLow, zHigh float64) (by [3]r3.Vec, blocked bool)
}

// Clearance finds the least vertical distance from a facet of lower that
// looks up to a facet of upper that looks down and lies above it, if it is at
// most limit, over the places where the two overlap in plan by more than
// PlanSliver and nothing stands between. A nil Blocker never blocks.
//
// Over the overlap of two facets in plan, a convex polygon, the distance is
// linear, so the least is at one of its corners. Where the upper one is below
// the lower one by no more than ContactDepth, or the two pass through each
// other, the gap is 0; what is deeper below is not above. A corner counts as
// blocked by what is blocked PlanSliver from it towards the polygon's middle,
// so that material which ends at the same wall does block. What the blocking
// facet shades is then cut off the polygon, and the rest looked at; so the
// gap is exact but for open places smaller than OpenPlace beside a blocker.
func Clearance(upper, lower *Tree, limit float64, between Blocker) (Drop, bool) {
	c := clearing{upper: upper, lower: lower, between: between}
	c.search(limit, false)
	return c.drop, c.found
}

// Overlooks says whether Clearance would find anything with nothing between,
// which is sooner told than how near it is.
func Overlooks(upper, lower *Tree, limit float64) bool {
	c := clearing{upper: upper, lower: lower}
	c.search(limit, true)
	return c.found
}

// search looks for the least gap up to limit, or for any.
func (c *clearing) search(limit float64, anyGap bool) {
	if len(c.upper.nodes) == 0 || len(c.lower.nodes) == 0 || !(limit >= 0) {
		return
	}
	c.best = math.Nextafter(limit, math.Inf(1))
	c.pushNodes(0, 0)
	for !(anyGap && c.found) {
		task, ok := c.pop()
		if !ok || task.gap >= c.best {
			return
		}
		if task.end > 0 {
			c.decide(task)
		} else {
			c.expand(task.upper, task.lower)
		}
	}
}

// task is something to look at, no nearer than gap: two nodes, or, with
// end > 0, a polygon over two facets whose distance is gap at its corner
// pts[low] and which may be blocked there.
type task struct {
	gap          float64
	seq          int32
	upper, lower int32 // nodes or facets
	start, end   int32 // of the polygon in pts
	low          int32
}

type clearing struct {
	upper, lower *Tree
	between      Blocker
	best         float64 // what is as far is not looked at
	drop         Drop
	found        bool
	heap         []task
	seq          int32
	pts          []r2.Vec
	scratch      [2][]r2.Vec
}

// sooner orders tasks by their bound. Of equal ones the last found goes
// first, so that a stack of level plates is searched in depth.
func (t *task) sooner(u *task) bool {
	if t.gap != u.gap {
		return t.gap < u.gap
	}
	return t.seq > u.seq
}

func (c *clearing) push(t task) {
	c.seq++
	t.seq = c.seq
	h := append(c.heap, t)
	i := len(h) - 1
	for i > 0 && t.sooner(&h[(i-1)/2]) {
		h[i] = h[(i-1)/2]
		i = (i - 1) / 2
	}
	h[i] = t
	c.heap = h
}

func (c *clearing) pop() (task, bool) {
	h := c.heap
	if len(h) == 0 {
		return task{}, false
	}
	first, t := h[0], h[len(h)-1]
	h = h[:len(h)-1]
	i := 0
	for 2*i+1 < len(h) {
		k := 2*i + 1
		if k+1 < len(h) && h[k+1].sooner(&h[k]) {
			k++
		}
		if t.sooner(&h[k]) {
			break
		}
		h[i] = h[k]
		i = k
	}
	if len(h) > 0 {
		h[i] = t
	}
	c.heap = h
	return first, true
}

// bound is the least distance that facets in the two boxes can have, and
// whether they can have any.
func bound(u, l *r3.Box) (float64, bool) {
	over := min(u.Max.X, l.Max.X)-max(u.Min.X, l.Min.X) > PlanSliver &&
		min(u.Max.Y, l.Max.Y)-max(u.Min.Y, l.Min.Y) > PlanSliver &&
		u.Max.Z >= l.Min.Z-ContactDepth
	return max(0, u.Min.Z-l.Max.Z), over
}

func (c *clearing) pushNodes(u, l int32) {
	nu, nl := &c.upper.nodes[u], &c.lower.nodes[l]
	if nu.face&looksDown == 0 || nl.face&looksUp == 0 {
		return
	}
	gap, ok := bound(&nu.box, &nl.box)
	if ok && gap < c.best && nu.n > 0 && nl.n > 0 {
		gap = max(gap, slabBound(nu, nl, &c.upper.slabs[nu.slab], &c.lower.slabs[nl.slab]))
	}
	if ok && gap < c.best {
		c.push(task{gap: gap, upper: u, lower: l})
	}
}

// slabBound is a bound by the slabs of two leaves: between steep walls the way
// up is much longer than the one across.
func slabBound(u, l *node, su, sl *slab) float64 {
	up := su.along(sl)
	from, to := sl.over(&up, &u.box)
	gap := steepBound(from, to, sl.n.Z)
	from, to = up.over(sl, &l.box)
	return max(gap, steepBound(-to, -from, up.n.Z))
}

// steepBound is how far up something is at least that is from..to away along a
// normal whose own height is z.
func steepBound(from, to, z float64) float64 {
	if z < 0 {
		from, to, z = -to, -from, -z
	}
	switch {
	case to < -float64(ContactDepth*z)-slabNoise:
		return math.Inf(1) // deeper below than what counts
	case from > slabNoise:
		return (from - slabNoise) / z
	}
	return 0
}

func (c *clearing) expand(u, l int32) {
	nu, nl := &c.upper.nodes[u], &c.lower.nodes[l]
	switch {
	case nu.n > 0 && nl.n > 0:
		c.leaves(nu, nl)
	case nl.n > 0 || nu.n == 0 && girth(&nu.box) >= girth(&nl.box):
		c.pushNodes(nu.at, l)
		c.pushNodes(u+1, l)
	default:
		c.pushNodes(u, nl.at)
		c.pushNodes(u, l+1)
	}
}

// leaves looks at all pairs of facets of two leaves. Each is readied once.
func (c *clearing) leaves(nu, nl *node) {
	type ready struct {
		facet int32
		box   r3.Box
	}
	var room [leafFacets]ready
	lower := room[:0]
	for _, f := range c.lower.facets[nl.at : nl.at+int32(nl.n)] {
		p, q, r := c.lower.corners(f)
		if !(planArea2(p, q, r) > 0) {
			continue
		}
		box := boxOf(p, q, r)
		if gap, ok := bound(&nu.box, &box); ok && gap < c.best {
			lower = append(lower, ready{f, box})
		}
	}
	if len(lower) == 0 {
		return
	}
	for _, f := range c.upper.facets[nu.at : nu.at+int32(nu.n)] {
		p, q, r := c.upper.corners(f)
		if !(planArea2(p, q, r) < 0) {
			continue
		}
		box := boxOf(p, q, r)
		if gap, ok := bound(&box, &nl.box); !ok || gap >= c.best {
			continue
		}
		for i := range lower {
			if gap, ok := bound(&box, &lower[i].box); ok && gap < c.best {
				c.facets(f, lower[i].facet)
			}
		}
	}
}

// facets looks at one pair of facets, of which the upper one looks down and the
// lower one up.
func (c *clearing) facets(fu, fl int32) {
	a, b, d := c.lower.corners(fl)
	area := planArea2(a, b, d)
	poly := outline(a, b, d, area)
	ua, ub, ud := c.upper.corners(fu)
	uArea := planArea2(ua, ub, ud)
	rim := outline(ua, ub, ud, uArea)
	if beside(&rim, &poly) || beside(&poly, &rim) {
		return
	}
	in, out := append(c.scratch[0][:0], poly[:]...), c.scratch[1]
	for i := range rim {
		side := inside(rim[i], rim[(i+1)%3])
		out = clip(in, &side, out[:0])
		in, out = out, in
	}
	low, high := heights(a, b, d, area), heights(ua, ub, ud, uArea)
	above := high.less(&low, ContactDepth)
	out = clip(in, &above, out[:0])
	c.scratch[0], c.scratch[1] = in, out
	c.place(fu, fl, &high, &low, out)
}

// place looks at a polygon over two facets.
func (c *clearing) place(fu, fl int32, high, low *slope, poly []r2.Vec) {
	if !thick(poly, PlanSliver) {
		return
	}
	t := task{gap: math.Inf(1), upper: fu, lower: fl}
	zLow, zHigh := math.Inf(1), math.Inf(-1)
	for i, p := range poly {
		zl, zh := low.at(p), high.at(p)
		if d := max(0, zh-zl); d < t.gap {
			t.gap, t.low = d, int32(i)
		}
		zLow, zHigh = min(zLow, zl), max(zHigh, zh)
	}
	if t.gap >= c.best {
		return
	}
	if c.between != nil {
		b := bounds(poly)
		box := r3.Box{
			Min: r3.Vec{X: b.Min.X, Y: b.Min.Y, Z: zLow},
			Max: r3.Vec{X: b.Max.X, Y: b.Max.Y, Z: zHigh},
		}
		if c.between.MayBlock(box) {
			t.start = int32(len(c.pts))
			c.pts = append(c.pts, poly...)
			t.end = int32(len(c.pts))
			t.low += t.start
			c.push(t)
			return
		}
	}
	c.take(t.gap, fu, fl, poly[t.low], low)
}

func (c *clearing) take(gap float64, fu, fl int32, at r2.Vec, low *slope) {
	c.best, c.found = gap, true
	c.drop = Drop{Gap: gap, At: r3.Vec{X: at.X, Y: at.Y, Z: low.at(at)}, FacetUpper: fu, FacetLower: fl}
}

// decide takes a polygon's lowest corner if it is open, and otherwise looks
// at what the blocking facet leaves of the polygon.
func (c *clearing) decide(t task) {
	a, b, d := c.lower.corners(t.lower)
	low := heights(a, b, d, planArea2(a, b, d))
	a, b, d = c.upper.corners(t.upper)
	high := heights(a, b, d, planArea2(a, b, d))
	poly := c.pts[t.start:t.end:t.end]
	at := c.pts[t.low]
	probe := inward(poly, at)
	by, blocked := c.between.Blocked(probe.X, probe.Y, low.at(probe), high.at(probe))
	if !blocked {
		c.take(t.gap, t.upper, t.lower, at, &low)
		return
	}
	box := bounds(poly)
	if max(box.Max.X-box.Min.X, box.Max.Y-box.Min.Y) <= OpenPlace {
		return
	}
	var sides [5]slope
	n := shade(by, &high, &low, &sides)
	if n == 0 || !thick(c.cutOff(poly, sides[:n], nil), PlanSliver) {
		half := slope{x: (box.Min.X + box.Max.X) / 2, y: (box.Min.Y + box.Max.Y) / 2, dx: 1}
		if box.Max.Y-box.Min.Y > box.Max.X-box.Min.X {
			half.dx, half.dy = 0, 1
		}
		other := half.negated()
		c.place(t.upper, t.lower, &high, &low, clip(poly, &half, nil))
		c.place(t.upper, t.lower, &high, &low, clip(poly, &other, nil))
		return
	}
	c.cutOff(poly, sides[:n], func(rest []r2.Vec) { c.place(t.upper, t.lower, &high, &low, rest) })
}

// cutOff returns the part of a convex polygon inside all sides; the rest, in
// convex pieces, goes to keep.
func (c *clearing) cutOff(poly []r2.Vec, sides []slope, keep func([]r2.Vec)) []r2.Vec {
	in, out := append(c.scratch[0][:0], poly...), c.scratch[1]
	for i := range sides {
		if keep != nil {
			off := sides[i].negated()
			out = clip(in, &off, out[:0])
			keep(out)
		}
		out = clip(in, &sides[i], out[:0])
		in, out = out, in
	}
	c.scratch[0], c.scratch[1] = in, out
	return in
}

// shade bounds the places in plan where a facet of a third solid shows that
// its material lies between two planes: under the facet if it looks up and
// over it if it looks down. A facet may stand beyond the far plane by
// ContactDepth, as touching solids may. It returns the number of sides, 0
// for a facet without area in plan.
func shade(by [3]r3.Vec, high, low *slope, sides *[5]slope) int {
	area := planArea2(by[0], by[1], by[2])
	if area == 0 {
		return 0
	}
	rim := outline(by[0], by[1], by[2], area)
	for i := range rim {
		sides[i] = inside(rim[i], rim[(i+1)%3])
	}
	z := heights(by[0], by[1], by[2], area)
	fromLow, fromHigh := -columnNoise, ContactDepth
	if area < 0 {
		fromLow, fromHigh = ContactDepth, -columnNoise
	}
	sides[3] = z.less(low, fromLow)
	sides[4] = high.less(&z, fromHigh)
	return 5
}

// inward is the point PlanSliver from p towards the middle of the polygon's
// corners, or the middle.
func inward(poly []r2.Vec, p r2.Vec) r2.Vec {
	var m r2.Vec
	for _, q := range poly {
		m.X += q.X
		m.Y += q.Y
	}
	d := r2.Vec{X: m.X/float64(len(poly)) - p.X, Y: m.Y/float64(len(poly)) - p.Y}
	s := 1.0
	if long := math.Sqrt(float64(d.X*d.X) + float64(d.Y*d.Y)); long > PlanSliver {
		s = PlanSliver / long
	}
	return r2.Vec{X: p.X + float64(s*d.X), Y: p.Y + float64(s*d.Y)}
}
