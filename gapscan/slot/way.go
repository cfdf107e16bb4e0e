package slot

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/parallel"
	"playgauge/slice/near"
)

// link is where a gap goes on, seen from one of its facings.
type link struct {
	// layer and facing are where it goes on narrow; facing is -1 if nowhere.
	layer, facing int32
	// joined is the length in mm of the way round by which its walls were
	// found joined before that; infinite if they were not.
	joined float64
}

// ways takes out the facings whose walls are joined over too short a way
// through the stack. Each facing is linked to the one above and below it in
// parallel; then the ways add up from layer to layer.
func (f *finder) ways() {
	n := f.ix.Len()
	up, down := make([][]link, n), make([][]link, n)
	parallel.EachWorker(n, func() func(int) {
		return func(k int) {
			if len(f.faces[k]) == 0 {
				return
			}
			up[k], down[k] = f.links(k, 1), f.links(k, -1)
		}
	})
	below, above := make([][]float64, n), make([][]float64, n)
	for k := range n {
		below[k] = f.add(k, down[k], below)
	}
	for k := n - 1; k >= 0; k-- {
		above[k] = f.add(k, up[k], above)
	}
	for k := range f.faces {
		keep := f.faces[k][:0]
		for i, fc := range f.faces[k] {
			if min(below[k][i], above[k][i]) >= minWay(fc.width)-wayNoise {
				keep = append(keep, fc)
			}
		}
		f.faces[k] = keep
	}
}

// links follows the gap at all facings of layer k up (1) or down (-1).
func (f *finder) links(k, dir int) []link {
	links := make([]link, len(f.faces[k]))
	m := k + dir
	// Between upright walls the next layer has nearly the same facings in
	// the same order: look where the last one was found before searching.
	next := 0
	for i := range links {
		fc := &f.faces[k][i]
		links[i].facing = -1
		if m >= 0 && m < len(f.faces) {
			for g := next; g < min(next+lookAhead, len(f.faces[m])); g++ {
				if f.tree(m).same(&f.faces[m][g], fc) {
					links[i] = link{int32(m), int32(g), math.Inf(1)}
					next = max(g-lookAhead/2, 0)
					break
				}
			}
		}
		if links[i].facing < 0 {
			links[i] = f.follow(k, fc, dir)
			if links[i].facing >= 0 && int(links[i].layer) == m {
				next = max(int(links[i].facing)-lookAhead/2, 0)
			}
		}
	}
	return links
}

const lookAhead = 8

// same says whether facing g has the chord of another, of a different layer,
// within near.Skin.
func (t *tree) same(g, fc *facing) bool {
	if g.part != fc.part {
		return false
	}
	on := func(p r2.Vec, contour, seg int32, from, to float64) bool {
		a, b := t.segment(contour, seg)
		d := r2.Sub(b, a)
		l := length(d)
		u := r2.Sub(p, a)
		s := dot(u, d) / l
		return s >= from-near.Skin && s <= to+near.Skin && math.Abs(cross(u, d)) <= near.Skin*l
	}
	return on(fc.p, g.ci, g.i, g.i0, g.i1) && on(fc.q, g.cj, g.j, g.j0, g.j1) ||
		on(fc.q, g.ci, g.i, g.i0, g.i1) && on(fc.p, g.cj, g.j, g.j0, g.j1)
}

// wayNoise is the rounding of a way in mm.
const wayNoise = 1e-6

// add reckons the ways of a layer's facings from those they are linked to.
func (f *finder) add(k int, links []link, ways [][]float64) []float64 {
	out := make([]float64, len(links))
	for i, l := range links {
		out[i] = min(f.faces[k][i].way, l.joined)
		if l.facing >= 0 {
			out[i] = min(out[i], f.rise(k, int(l.layer))+ways[l.layer][l.facing])
		}
	}
	return out
}

// rise is twice the height between two layers: along both walls.
func (f *finder) rise(k, m int) float64 {
	return 2 * math.Abs(f.plan.Cut(k+1)-f.plan.Cut(m+1))
}

// follow follows the gap at a facing of layer k up (1) or down (-1).
func (f *finder) follow(k int, fc *facing, dir int) link {
	end := link{facing: -1, joined: math.Inf(1)}
	p, q := fc.p, fc.q
	walls := 0.0 // the way up or down both walls so far
	for m := k + dir; m >= 0 && m < f.ix.Len() && walls < f.wayCap; m += dir {
		t := f.tree(m)
		mid := middle(p, q)
		h, ok := t.nearest(fc.part, mid)
		if !ok {
			return end
		}
		if !h.inside {
			if g := f.facingAt(m, &h, mid); g >= 0 {
				end.layer, end.facing = int32(m), g
				return end
			}
		}
		prev := f.tree(m - dir)
		hp, ok := goOn(prev, t, fc.part, p)
		if !ok {
			return end
		}
		hq, ok := goOn(prev, t, fc.part, q)
		if !ok {
			return end
		}
		dz := f.rise(m-dir, m) / 2
		walls += math.Hypot(dz, dist(p, hp.to)) + math.Hypot(dz, dist(q, hq.to))
		p, q = hp.to, hq.to
		if straight(t, fc.part, p, q) {
			end.joined = min(end.joined, walls+dist(p, q))
			return end
		}
		if hp.contour == hq.contour {
			along := t.along(hp.contour, t.arc[hp.seg]+hp.along, t.arc[hq.seg]+hq.along)
			end.joined = min(end.joined, walls+dist(p, hp.at)+along+dist(hq.at, q))
		}
	}
	return end
}

// facingAt is the facing of a layer that has the wall next to a point in the
// gap, or -1. Of several, the one whose middle is nearest.
func (f *finder) facingAt(m int, h *hit, mid r2.Vec) int32 {
	sides := f.sides[m]
	lo, hi := 0, len(sides)
	for lo < hi {
		if c := (lo + hi) / 2; sides[c].seg < h.seg {
			lo = c + 1
		} else {
			hi = c
		}
	}
	best, at := math.Inf(1), int32(-1)
	for ; lo < len(sides) && sides[lo].seg == h.seg; lo++ {
		fc := &f.faces[m][sides[lo].facing]
		a0, a1 := fc.i0, fc.i1
		if fc.i != h.seg {
			a0, a1 = fc.j0, fc.j1
		}
		if h.along < a0-f.need[m] || h.along > a1+f.need[m] {
			continue
		}
		if d := dist(mid, fc.marks[0]); d < best {
			best, at = d, sides[lo].facing
		}
	}
	return at
}

// wallStep is where a wall goes on in the next layer: to is the place, the hit is
// on the contour next to it.
type wallStep struct {
	hit
	to r2.Vec
}

// goOn is where the wall at p in one layer is found in the next: at p if
// there is material, else at the nearest material, provided that this carries
// or hangs from the same wall: that the line to it lies in material of the
// layer before.
func goOn(prev, t *tree, part int32, p r2.Vec) (wallStep, bool) {
	h, ok := t.nearest(part, p)
	if !ok {
		return wallStep{}, false
	}
	if h.inside || h.dist <= near.Skin {
		return wallStep{h, p}, true
	}
	mid, ok := prev.nearest(part, middle(p, h.at))
	return wallStep{h, h.at}, ok && (mid.inside || mid.dist <= near.Skin) && !prev.crossedBetween(part, p, h.at)
}

// straight says whether the line between two walls lies in material of the
// part.
func straight(t *tree, part int32, p, q r2.Vec) bool {
	h, ok := t.nearest(part, middle(p, q))
	return ok && h.inside && h.dist > near.Skin && !t.crossedBetween(part, p, q)
}
