package sweep

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// plain is the judge of Sweep: the same sweep without chains and without
// sides that go on. Every point's height is sorted, every strip sorts all that
// passes through it anew, and each side of each strip is a piece of its own.
type plain struct {
	s       *Sweep // its points and edges
	fill    func(w []int32, t *Trapezoid) chosen
	regions [2]plainRegion
}

// plainRegion is a region's outline: the sides of all strips.
type plainRegion struct {
	pieces       []plainPiece
	below, above []end
}

// plainEdge is an edge that passes through a strip, and its abscissae there.
type plainEdge struct {
	x0, x1 float64
	e      int32
}

type plainPiece struct {
	e      int32
	left   bool
	y0, y1 float64
	link   [2]int32
}

// run gives the outlines of two regions.
func (p *plain) run() (out [2][][]r2.Vec) {
	s := p.s
	if len(s.edges) == 0 {
		return out
	}
	var ys []float64
	for _, e := range s.edges {
		ys = append(ys, e.y0, e.y1)
	}
	slices.Sort(ys)
	ys = slices.Compact(ys)
	for i := 0; i+1 < len(ys); i++ {
		var act []plainEdge
		for e := range s.edges {
			if ed := &s.edges[e]; ed.y0 <= ys[i] && ed.y1 >= ys[i+1] {
				act = append(act, plainEdge{ed.at(ys[i]), ed.at(ys[i+1]), int32(e)})
			}
		}
		slices.SortFunc(act, func(a, b plainEdge) int {
			return cmp.Or(cmp.Compare(a.x0, b.x0), cmp.Compare(a.x1, b.x1), cmp.Compare(a.e, b.e))
		})
		p.beam(ys[i], ys[i+1], act)
	}
	for k := range p.regions {
		out[k] = p.regions[k].rings(s, ys[len(ys)-1])
	}
	return out
}

// beam cuts a strip where edges cross in it: as a sort by exchanges of
// neighbours finds them.
func (p *plain) beam(y0, y1 float64, act []plainEdge) {
	b := slices.Clone(act)
	var cuts []float64
	for i := range b {
		for j := i; j > 0 && b[j].x1 < b[j-1].x1; j-- {
			lo, hi := b[j].x0-b[j-1].x0, b[j-1].x1-b[j].x1
			if y := y0 + float64((y1-y0)*(lo/(lo+hi))); y > y0 && y < y1 {
				cuts = append(cuts, y)
			}
			b[j], b[j-1] = b[j-1], b[j]
		}
	}
	if slices.IsSortedFunc(act, func(a, b plainEdge) int { return cmp.Compare(a.x1, b.x1) }) {
		p.strip(y0, y1, act)
		return
	}
	slices.Sort(cuts)
	cuts = append(slices.Compact(cuts), y1)
	b = slices.Clone(act)
	for k := range b {
		b[k].x1 = act[k].x0
	}
	for _, hi := range cuts {
		for k := range b {
			b[k].x0, b[k].x1 = b[k].x1, p.s.edges[b[k].e].at(hi)
		}
		slices.SortStableFunc(b, func(a, b plainEdge) int { return cmp.Compare(a.x0+a.x1, b.x0+b.x1) })
		p.strip(y0, hi, b)
		y0 = hi
	}
}

func (p *plain) strip(y0, y1 float64, act []plainEdge) {
	wind := make([]int32, p.s.sets)
	in := chosen(0)
	for i, a := range act {
		e := &p.s.edges[a.e]
		wind[e.set] += e.wind
		now := chosen(0)
		if i+1 < len(act) {
			now = in
			b := act[i+1]
			if w := ((b.x0 - a.x0) + (b.x1 - a.x1)) / 2; w > 0 {
				f := &p.s.edges[b.e]
				now = p.fill(wind, &Trapezoid{Y0: y0, Y1: y1, L0: a.x0, R0: b.x0, L1: a.x1, R1: b.x1,
					wide: w, ldx: e.x1 - e.x0, ldy: e.y1 - e.y0, rdx: f.x1 - f.x0, rdy: f.y1 - f.y0})
			}
		}
		for k := range p.regions {
			if bit := chosen(1) << k; (now^in)&bit != 0 {
				r := &p.regions[k]
				id := 2 * int32(len(r.pieces))
				r.pieces = append(r.pieces, plainPiece{a.e, now&bit != 0, y0, y1, [2]int32{-1, -1}})
				r.below, r.above = append(r.below, end{a.x0, id}), append(r.above, end{a.x1, id + 1})
			}
		}
		in = now
	}
	// The strips' lower ends meet the upper ends of the strip before.
	for k := range p.regions {
		r := &p.regions[k]
		r.join(r.below)
		r.below, r.above = r.above, r.below[:0]
	}
}

// join joins the ends on one line: a side that goes on to itself, else each
// gain to the nearest loss.
func (r *plainRegion) join(ends []end) {
	slices.SortFunc(ends, func(a, b end) int {
		return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(r.pieces[a.id/2].e, r.pieces[b.id/2].e), cmp.Compare(a.id, b.id))
	})
	gains := func(id int32) bool { return r.pieces[id/2].left == (id&1 == 1) }
	link := func(a, b int32) { r.pieces[a/2].link[a&1], r.pieces[b/2].link[b&1] = b, a }
	var open []int32
	for i := 0; i < len(ends); i++ {
		e := ends[i]
		if i+1 < len(ends) && ends[i+1].x == e.x && gains(e.id) != gains(ends[i+1].id) && r.pieces[e.id/2].e == r.pieces[ends[i+1].id/2].e {
			link(e.id, ends[i+1].id)
			i++
			continue
		}
		if k := len(open) - 1; k >= 0 && gains(open[k]) != gains(e.id) {
			link(open[k], e.id)
			open = open[:k]
			continue
		}
		open = append(open, e.id)
	}
}

func (r *plainRegion) rings(s *Sweep, y float64) [][]r2.Vec {
	r.join(r.below)
	goesOn := func(p int32, side int) bool {
		l := r.pieces[p].link[side]
		return l >= 0 && int(l&1) != side && r.pieces[l/2].e == r.pieces[p].e
	}
	point := func(p int32, side int) r2.Vec {
		pc := &r.pieces[p]
		e, y := &s.edges[pc.e], pc.y0
		if side == 1 {
			y = pc.y1
		}
		switch {
		case y <= e.y0:
			return s.pts[e.p0]
		case y >= e.y1:
			return s.pts[e.p1]
		}
		return unturn(e.at(y), y)
	}
	var rings [][]r2.Vec
	done := make([]bool, len(r.pieces))
	for first := range r.pieces {
		var ring []r2.Vec
		for p := int32(first); p >= 0 && !done[p]; {
			done[p] = true
			from, to := 0, 1
			if r.pieces[p].left {
				from, to = 1, 0
			}
			for _, side := range [2]int{from, to} {
				if !goesOn(p, side) {
					if at := point(p, side); len(ring) == 0 || !near(ring[len(ring)-1], at) {
						ring = append(ring, at)
					}
				}
			}
			if p = r.pieces[p].link[to]; p >= 0 {
				p /= 2
			}
		}
		for len(ring) > 1 && near(ring[0], ring[len(ring)-1]) {
			ring = ring[:len(ring)-1]
		}
		if len(ring) >= 3 {
			rings = append(rings, ring)
		}
	}
	return rings
}

// drawnRing draws a ring of any form: on whole numbers, where sides lie on one
// another, along the sweep line, or anywhere.
func drawnRing(t *rapid.T) []r2.Vec {
	n := rapid.IntRange(1, 14).Draw(t, "points")
	kind := rapid.IntRange(0, 2).Draw(t, "kind")
	ring := make([]r2.Vec, n)
	for i := range ring {
		x, y := rapid.IntRange(0, 6).Draw(t, "x"), rapid.IntRange(0, 6).Draw(t, "y")
		switch kind {
		case 0:
			ring[i] = r2.Vec{X: float64(x), Y: float64(y)}
		case 1:
			ring[i] = unturn(float64(x), float64(y))
		default:
			ring[i] = r2.Vec{X: float64(x) + rapid.Float64Range(0, 1).Draw(t, "dx"), Y: float64(y) + rapid.Float64Range(0, 1).Draw(t, "dy")}
		}
	}
	return ring
}

// drawnTower draws storeys of different widths, one upon the other: both walls
// step aside at one height.
func drawnTower(t *rapid.T) []r2.Vec {
	x, y := rapid.SampledFrom([]float64{0, 9, 18}).Draw(t, "x"), rapid.SampledFrom([]float64{0, 0.3, 1}).Draw(t, "y")
	var left, right []r2.Vec
	for range rapid.IntRange(1, 5).Draw(t, "storeys") {
		l, r := rapid.SampledFrom([]float64{1, 2, 3}).Draw(t, "left"), rapid.SampledFrom([]float64{1, 2, 3}).Draw(t, "right")
		up := y + rapid.SampledFrom([]float64{0.5, 1, 3}).Draw(t, "tall")
		left = append(left, r2.Vec{X: x - l, Y: y}, r2.Vec{X: x - l, Y: up})
		right = append(right, r2.Vec{X: x + r, Y: y}, r2.Vec{X: x + r, Y: up})
		y = up
	}
	slices.Reverse(left)
	return append(right, left...)
}

// divided is a ring with each of its sides in so many pieces.
func divided(ring []r2.Vec, pieces int) []r2.Vec {
	var out []r2.Vec
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		for k := range pieces {
			out = append(out, r2.Add(a, r2.Scale(float64(k)/float64(pieces), r2.Sub(b, a))))
		}
	}
	return out
}

// TestAgainstPlain: the same trapezoids in the same order and the same rings,
// bit for bit, as the plain sweep.
func TestAgainstPlain(t *testing.T) {
	type asked struct {
		w [2]int32
		t Trapezoid
	}
	rapid.Check(t, func(t *rapid.T) {
		var s Sweep
		s.Add(nil, 1)
		for range rapid.IntRange(1, 5).Draw(t, "rings") {
			s.Add(drawnRing(t), rapid.IntRange(0, 1).Draw(t, "set"))
		}
		thin := rapid.SampledFrom([]float64{0, 1e-3, 0.3}).Draw(t, "thin")
		var got, want []asked
		fill := func(to *[]asked) func(w []int32, t *Trapezoid) (bool, bool) {
			return func(w []int32, t *Trapezoid) (bool, bool) {
				*to = append(*to, asked{[2]int32(w), *t})
				return w[0] > 0 && t.Thicker(thin), w[0]*w[1]&1 == 1
			}
		}
		first, second := s.RunBoth(fill(&got))
		both := fill(&want)
		p := plain{s: &s, fill: func(w []int32, t *Trapezoid) (c chosen) {
			a, b := both(w, t)
			if a {
				c = 1
			}
			if b {
				c |= 2
			}
			return c
		}}
		out := p.run()
		if !slices.Equal(got, want) {
			t.Fatalf("trapezoids\n%v\nwant\n%v", got, want)
		}
		same := func(a, b [][]r2.Vec) bool { return slices.EqualFunc(a, b, slices.Equal[[]r2.Vec]) }
		if !same(first, out[0]) || !same(second, out[1]) {
			t.Fatalf("rings\n%v\n%v\nwant\n%v\n%v", first, second, out[0], out[1])
		}
	})
}

// TestUnionAgainstPlain: the outline of what rings cover is that of the plain
// sweep bit for bit, though most strips are passed by: rings of any form, round
// ones of many points, beside and in one another and across, and the same
// rings a hair away.
func TestUnionAgainstPlain(t *testing.T) {
	passed, swept := 0, 0
	sin, cos := turnSin, turnCos
	defer func() { turnSin, turnCos = sin, cos }()
	rapid.Check(t, func(t *rapid.T) {
		if turnSin, turnCos = sin, cos; rapid.Bool().Draw(t, "unturned") {
			turnSin, turnCos = 0, 1 // then much lies along the sweep line
		}
		var s Sweep
		var rings [][]r2.Vec
		for range rapid.IntRange(1, 5).Draw(t, "rings") {
			ring := drawnRing(t)
			if rapid.Bool().Draw(t, "round") {
				at := rapid.SampledFrom([]float64{0, 1, 2.5, 6})
				ring = circle(r2.Vec{X: at.Draw(t, "x"), Y: at.Draw(t, "y")},
					rapid.SampledFrom([]float64{0.1, 0.9, 1, 3, 8}).Draw(t, "r"),
					rapid.SampledFrom([]int{3, 8, 17, 60}).Draw(t, "n"), rapid.Bool().Draw(t, "ccw"))
			}
			if rapid.Bool().Draw(t, "tower") {
				ring = drawnTower(t)
			}
			ring = divided(ring, rapid.SampledFrom([]int{1, 1, 2, 5, 16}).Draw(t, "pieces"))
			s.Add(ring, 0)
			rings = append(rings, ring)
			if rapid.IntRange(0, 3).Draw(t, "again") == 0 {
				away := rapid.SampledFrom([]float64{0, 1e-14, 1e-9, 1e-6, 1e-3}).Draw(t, "away")
				ring = slices.Clone(ring)
				for i := range ring {
					ring[i].X += away
				}
				s.Add(ring, 0)
			}
		}
		got, ok := s.Union(1_000_000)
		if !ok {
			t.Fatal("given up")
		}
		if want := plainUnion(&s); !slices.EqualFunc(got, want, slices.Equal[[]r2.Vec]) {
			t.Fatalf("rings\n%v\nwant\n%v", got, want)
		}
		passed, swept = passed+s.passed, swept+int(s.outs[0].strip)-s.passed
		// Nothing of it is left in what is swept next.
		var fresh Sweep
		if a, b := trapezoids(&s, rings), trapezoids(&fresh, rings); !slices.Equal(a, b) {
			t.Fatalf("after a union %v, else %v", a, b)
		}
	})
	if passed < swept/10 {
		t.Errorf("%d strips are passed by, %d swept", passed, swept)
	}
}

// plainUnion is the outline of what set 0 covers by the plain sweep.
func plainUnion(s *Sweep) [][]r2.Vec {
	p := plain{s: s, fill: func(w []int32, _ *Trapezoid) chosen { return chosenBy(w[0] > 0, false) }}
	return p.run()[0]
}

// TestUnionAtCorners: where a corner that is passed by touches something that
// begins there, or walls step aside at one height so that they lie over each
// other, sides are joined as the plain sweep joins them, whichever point is the
// first.
func TestUnionAtCorners(t *testing.T) {
	wall := func(x, from, to, step float64) (ring []r2.Vec) {
		for y := from; step*(to-y) > 0; y += step {
			ring = append(ring, unturn(x, y))
		}
		return ring
	}
	corner := unturn(0, 0)
	arm := slices.Concat(wall(0, -1, -6, -1), []r2.Vec{unturn(5, -6.5)}, wall(10, -5.3, 7, 1),
		[]r2.Vec{unturn(4, 9), unturn(-5, 8), unturn(-3, 4.2), corner, unturn(-1, 4.4), unturn(-0.5, 5)},
		wall(0, 4.1, 0.5, -1), []r2.Vec{corner})
	// The places of steps lie as high as corner in the turned plane.
	step := func(x float64) r2.Vec {
		_, want := turn(corner)
		p := unturn(x, want)
		for range 1000 {
			switch _, y := turn(p); {
			case y < want:
				p.Y = math.Nextafter(p.Y, math.Inf(1))
			case y > want:
				p.Y = math.Nextafter(p.Y, math.Inf(-1))
			default:
				return p
			}
		}
		t.Fatalf("no place %v along the sweep line", x)
		return p
	}
	steps := slices.Concat([]r2.Vec{unturn(0.5, -6)}, wall(1, -5.2, -0.1, 1), []r2.Vec{step(1), step(3)}, wall(3, 1.2, 5, 1),
		[]r2.Vec{unturn(2.5, 6)}, wall(2, 4.3, 0.1, -1), []r2.Vec{step(2), step(0)}, wall(0, -1.3, -5.8, -1))
	for name, ring := range map[string][]r2.Vec{"arm": arm, "steps": steps} {
		for k := range ring {
			var s Sweep
			s.Add(slices.Concat(ring[k:], ring[:k]), 0)
			got, _ := s.Union(0)
			if want := plainUnion(&s); !slices.EqualFunc(got, want, slices.Equal[[]r2.Vec]) {
				t.Errorf("%s from point %d:\n%v\nwant\n%v", name, k, got, want)
			}
			if s.passed == 0 {
				t.Errorf("%s: nothing is passed by", name)
			}
		}
	}
}

// TestUnionOfATooth: a tooth of a long wall that reaches into what stands beside
// it is found wherever in a flight it is, at its lower and its upper end, on
// either side.
func TestUnionOfATooth(t *testing.T) {
	sin, cos := turnSin, turnCos
	defer func() { turnSin, turnCos = sin, cos }()
	turnSin, turnCos = 0, 1 // the tooth has an edge along the sweep line
	for at := 2; at < 2+2*flightEdges; at++ {
		for _, lower := range []bool{false, true} {
			for _, way := range []float64{1, -1} {
				ring := []r2.Vec{{X: -5 * way, Y: 20}, {X: -5 * way, Y: 0}}
				for k := range 20 {
					from, to := 1.0, 1.0
					if k == at && lower {
						from = 4
					} else if k == at {
						to = 4
					}
					ring = append(ring, r2.Vec{X: from * way, Y: float64(k)}, r2.Vec{X: to * way, Y: float64(k + 1)})
				}
				var s Sweep
				s.Add(oriented(ring), 0)
				s.Add(oriented([]r2.Vec{{X: 3 * way, Y: 0.5}, {X: 6 * way, Y: 0.5}, {X: 6 * way, Y: 19.5}, {X: 3 * way, Y: 19.5}}), 0)
				got, _ := s.Union(1000)
				if want := plainUnion(&s); !slices.EqualFunc(got, want, slices.Equal[[]r2.Vec]) {
					t.Errorf("tooth at %d, lower %v, way %v:\n%v\nwant\n%v", at, lower, way, got, want)
				}
				if s.passed == 0 {
					t.Error("nothing is passed by")
				}
			}
		}
	}
}

// oriented is a ring counter-clockwise.
func oriented(ring []r2.Vec) []r2.Vec {
	area := 0.0
	for i, a := range ring {
		area += r2.Cross(a, ring[(i+1)%len(ring)])
	}
	if area < 0 {
		slices.Reverse(ring)
	}
	return ring
}

// TestCosine: as it is reckoned from math.Hypot.
func TestCosine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		dx := rapid.Float64Range(-1e3, 1e3).Draw(t, "dx")
		dy := rapid.Float64Range(1e-12, 1e3).Draw(t, "dy")
		if got, want := cosine(dx, dy), dy/math.Hypot(dx, dy); math.Abs(got-want) > 4e-16*want {
			t.Errorf("%v, want %v", got, want)
		}
	})
}

// TestThicker answers as Thick does: at, beside and far from a limit.
func TestThicker(t *testing.T) {
	sure := 0
	rapid.Check(t, func(t *rapid.T) {
		length := rapid.Float64Range(1e-9, 1e3)
		side := rapid.Float64Range(-1e3, 1e3)
		tz := Trapezoid{wide: length.Draw(t, "wide"),
			ldx: side.Draw(t, "ldx"), ldy: length.Draw(t, "ldy"), rdx: side.Draw(t, "rdx"), rdy: length.Draw(t, "rdy")}
		thick := tz.Thick()
		for _, limit := range []float64{0, thick, math.Nextafter(thick, 0), math.Nextafter(thick, 1e9),
			thick * rapid.Float64Range(0, 2).Draw(t, "share"), length.Draw(t, "limit")} {
			if got := tz.Thicker(limit); got != (thick > limit) {
				t.Fatalf("%v of %v thicker than %v: %v", tz, thick, limit, got)
			}
		}
		if tz.Thicker(1e-3) {
			sure++
		}
	})
	if sure == 0 {
		t.Error("none is thick")
	}
}

// TestHeights: heights lie in the order of the places, -0 is 0, and a place
// comes back from its height.
func TestHeights(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64().Draw(t, "a"), rapid.Float64().Draw(t, "b")
		if cmp.Compare(heightOf(a), heightOf(b)) != cmp.Compare(a, b) || heightOf(a).y() != a {
			t.Errorf("%v, %v: heights %v, %v", a, b, heightOf(a), heightOf(b))
		}
	})
	if heightOf(math.Copysign(0, -1)) != heightOf(0) {
		t.Error("-0 lies elsewhere than 0")
	}
}

// TestNaN: a point that is no number is left out, and the sweep ends.
func TestNaN(t *testing.T) {
	var s Sweep
	s.Add([]r2.Vec{{X: 0}, {X: 2}, {X: math.NaN(), Y: 1}, {X: 0, Y: 2}}, 0)
	s.Run(union)
}

// trapezoids are those of some rings.
func trapezoids(s *Sweep, rings [][]r2.Vec) (all []Trapezoid) {
	s.Reset()
	for _, r := range rings {
		s.Add(r, 0)
	}
	s.Run(func(_ []int32, t *Trapezoid) bool {
		all = append(all, *t)
		return true
	})
	return all
}
