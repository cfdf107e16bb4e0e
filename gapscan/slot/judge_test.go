package slot

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/mesh/shape"
	"playgauge/slice"
)

// The judge evaluates the definition by brute force: places sampled on every
// pair of segments of a layer, each rule tested as it is written. It shares no
// code with the search.
type judge struct {
	l    *slice.Layer
	segs []judgeSeg
	need float64
}

type judgeSeg struct {
	a, b    r2.Vec
	contour int
	arc     float64
}

func newJudge(l *slice.Layer, need float64) judge {
	j := judge{l: l, need: need}
	for c, ct := range l.Contours {
		arc := 0.0
		for i := ct.Start; i < ct.End; i++ {
			b := l.Pts[ct.Start]
			if i+1 < ct.End {
				b = l.Pts[i+1]
			}
			j.segs = append(j.segs, judgeSeg{l.Pts[i], b, c, arc})
			arc += math.Hypot(b.X-l.Pts[i].X, b.Y-l.Pts[i].Y)
		}
	}
	return j
}

func (j judge) round(c int) float64 {
	sum := 0.0
	for _, s := range j.segs {
		if s.contour == c {
			sum += math.Hypot(s.b.X-s.a.X, s.b.Y-s.a.Y)
		}
	}
	return sum
}

// angle is the angle in degrees between a chord and the outward normal of a
// segment, the material being to its left.
func angle(s judgeSeg, chord r2.Vec) float64 {
	n := math.Atan2(-(s.b.X - s.a.X), s.b.Y-s.a.Y)
	d := math.Atan2(chord.Y, chord.X) - n
	return math.Abs(math.Remainder(d, 2*math.Pi)) * 180 / math.Pi
}

// valid says whether the chord from place f on segment a to place g on b
// meets the rules, with slack: positive is lenient, negative strict and leaves
// out that it must be clear.
func (j judge) valid(a, b judgeSeg, f, g, slack float64) (float64, bool) {
	p := r2.Vec{X: a.a.X + f*(a.b.X-a.a.X), Y: a.a.Y + f*(a.b.Y-a.a.Y)}
	q := r2.Vec{X: b.a.X + g*(b.b.X-b.a.X), Y: b.a.Y + g*(b.b.Y-b.a.Y)}
	w := math.Hypot(q.X-p.X, q.Y-p.Y)
	if w >= j.need*MetShare+slack || w < 0.002 && slack < 0 {
		return w, false
	}
	chord := r2.Sub(q, p)
	if angle(a, chord) > 30+slack || angle(b, r2.Scale(-1, chord)) > 30+slack {
		return w, false
	}
	if a.contour == b.contour {
		x := math.Abs(a.arc + f*r2.Norm(r2.Sub(a.b, a.a)) - b.arc - g*r2.Norm(r2.Sub(b.b, b.a)))
		way := math.Min(x, j.round(a.contour)-x)
		if way < 5-slack || way < 10*w-10*slack {
			return w, false
		}
	}
	return w, slack < 0 || j.clear(p, q)
}

// clear says whether the line between two walls runs through air: it crosses
// nothing between its ends.
func (j judge) clear(p, q r2.Vec) bool {
	for _, s := range j.segs {
		u, v := r2.Sub(q, p), r2.Sub(s.b, s.a)
		den := u.X*v.Y - u.Y*v.X
		if den == 0 {
			continue
		}
		w := r2.Sub(s.a, p)
		x := (w.X*v.Y - w.Y*v.X) / den
		y := (w.X*u.Y - w.Y*u.X) / den
		if eps := 0.002 / math.Hypot(u.X, u.Y); x > eps && x < 1-eps && y > -1e-9 && y < 1+1e-9 {
			return false
		}
	}
	return true
}

// narrowest samples all pairs strictly and gives the least width of each part.
// A pair counts if its narrowest chord is clear: where something hides that,
// the search promises less.
func (j judge) narrowest(n int) map[int32]float64 {
	least := map[int32]float64{}
	for x, a := range j.segs {
		for _, b := range j.segs[x+1:] {
			part := j.l.Contours[a.contour].Part
			if j.l.Contours[b.contour].Part != part || !boxesWithin(a, b, j.need) {
				continue
			}
			best := math.Inf(1)
			var p, q r2.Vec
			for f := range n + 1 {
				for g := range n + 1 {
					f, g := float64(f)/float64(n), float64(g)/float64(n)
					if w, ok := j.valid(a, b, f, g, -1e-6); ok && w < best {
						best = w
						p, q = r2.Add(a.a, r2.Scale(f, r2.Sub(a.b, a.a))), r2.Add(b.a, r2.Scale(g, r2.Sub(b.b, b.a)))
					}
				}
			}
			if old, seen := least[part]; !math.IsInf(best, 1) && (!seen || best < old) && j.clear(p, q) {
				least[part] = best
			}
		}
	}
	return least
}

func boxesWithin(a, b judgeSeg, d float64) bool {
	return max(min(a.a.X, a.b.X)-max(b.a.X, b.b.X), min(b.a.X, b.b.X)-max(a.a.X, a.b.X)) <= d &&
		max(min(a.a.Y, a.b.Y)-max(b.a.Y, b.b.Y), min(b.a.Y, b.b.Y)-max(a.a.Y, a.b.Y)) <= d
}

// endsValid says whether the ends of a slot meet all rules on some pair of
// segments.
func (j judge) endsValid(s Slot) error {
	on := func(p r2.Vec) (segs []judgeSeg, at []float64) {
		for _, g := range j.segs {
			d := r2.Sub(g.b, g.a)
			f := r2.Dot(r2.Sub(p, g.a), d) / r2.Norm2(d)
			if f > -1e-7 && f < 1+1e-7 && r2.Norm(r2.Sub(p, r2.Add(g.a, r2.Scale(f, d)))) < 1e-8 {
				segs, at = append(segs, g), append(at, f)
			}
		}
		return segs, at
	}
	as, fs := on(s.Ends[0])
	bs, gs := on(s.Ends[1])
	for i, a := range as {
		for k, b := range bs {
			if _, ok := j.valid(a, b, fs[i], gs[k], 2e-4); ok {
				return nil
			}
		}
	}
	return fmt.Errorf("ends %v lie on %d and %d segments and are no chord", s.Ends, len(as), len(bs))
}

// judgeLayer compares what is found with the judge's samples. With slack, in
// mm, other parts stand in the gaps of part 0, which alone is compared.
func judgeLayer(t interface {
	Helper()
	Fatalf(string, ...any)
	Errorf(string, ...any)
}, st *slice.Stack, need float64, slack float64) int {
	t.Helper()
	j := newJudge(&st.Layers[0], need)
	slots := find(st, need)
	found := map[int32]float64{}
	for _, s := range slots {
		if err := j.endsValid(s); err != nil {
			t.Errorf("slot %+v: %v", s, err)
		}
		if d := r2.Norm(r2.Sub(s.Ends[0], s.Ends[1])); d < s.Width-1e-9 || d > s.Width+evenly+1e-9 {
			t.Errorf("slot %+v: ends are %v apart", s, d)
		}
		if w, ok := found[s.Part]; !ok || s.Width < w {
			found[s.Part] = s.Width
		}
	}
	for part, w := range j.narrowest(12) {
		got, ok := found[part]
		if part > 0 && slack > 0 {
			continue
		}
		if !ok {
			t.Errorf("part %d: nothing found, there is a chord of %v", part, w)
		} else if got > w+1e-9+slack {
			t.Errorf("part %d: found %v, there is a chord of %v", part, got, w)
		}
	}
	return len(slots)
}

// ragged draws a simple outline with notches of all kinds, turned anyhow.
func ragged(t *rapid.T, need float64) []r2.Vec {
	p := poly(0, 0)
	x := 0.0
	var top []r2.Vec
	for tooth := range rapid.IntRange(1, 5).Draw(t, "teeth") {
		// No two tips are level: whether the line from gap to gap over a tip
		// only grazes it would be left to rounding.
		high := 5 + 0.0137*float64(tooth)
		w := rapid.Float64Range(0.05, 2).Draw(t, "tooth")
		gap := rapid.Float64Range(0.02, 1.6).Draw(t, "gap") * need
		top = append(top, r2.Vec{X: x, Y: high + rapid.Float64Range(0, 4).Draw(t, "tip")})
		top = append(top, r2.Vec{X: x + w, Y: high + 0.0071 + rapid.Float64Range(0, 4).Draw(t, "tip")})
		x += w
		// The walls of the notch lean, bulge and narrow.
		n := rapid.IntRange(0, 3).Draw(t, "kinks")
		deep := rapid.Float64Range(0.3, 4).Draw(t, "deep")
		var left, right []r2.Vec
		for i := range n + 1 {
			y := 5 - (5-deep)*float64(i+1)/float64(n+1)
			left = append(left, r2.Vec{X: x + gap*rapid.Float64Range(0, 0.49).Draw(t, "l"), Y: y})
			right = append(right, r2.Vec{X: x + gap*rapid.Float64Range(0.51, 1).Draw(t, "r"), Y: y - 0.01})
		}
		slices.Reverse(right)
		top = append(append(top, left...), right...)
		x += gap
	}
	top = append(top, r2.Vec{X: x, Y: 7}, r2.Vec{X: x + 1, Y: 7}, r2.Vec{X: x + 1, Y: 0})
	p = append(p, top...)
	sin, cos := math.Sincos(rapid.Float64Range(0, 7).Draw(t, "turn"))
	for i, q := range p {
		p[i] = r2.Vec{X: q.X*cos - q.Y*sin, Y: q.X*sin + q.Y*cos}
	}
	return p
}

func TestAgainstBruteForce(t *testing.T) {
	some := 0
	rapid.Check(t, func(t *rapid.T) {
		need := rapid.Float64Range(0.2, 1.2).Draw(t, "need")
		outer := ragged(t, need)
		if _, err := shape.Extrude(outer, nil, 0, 1); err != nil {
			t.Skip("not simple")
		}
		if rapid.Bool().Draw(t, "divided") {
			outer = shape.Divide(outer, rapid.Float64Range(0.3, 2).Draw(t, "step"))
		}
		some += judgeLayer(t, layerOf(region{0, [][]r2.Vec{outer}}), need, 0)
	})
	if some < 20 {
		t.Errorf("only %d slots in all: the outlines tell nothing", some)
	}
}

// TestIslandsAgainstBruteForce: several islands of one part, and a pin of
// another part in some of the gaps.
func TestIslandsAgainstBruteForce(t *testing.T) {
	some := 0
	rapid.Check(t, func(t *rapid.T) {
		need := rapid.Float64Range(0.2, 1).Draw(t, "need")
		var regions []region
		x, slack := 0.0, 0.0
		for range rapid.IntRange(1, 4).Draw(t, "blocks") {
			w := rapid.Float64Range(0.2, 3).Draw(t, "w")
			gap := rapid.Float64Range(0.02, 1.5).Draw(t, "gap") * need
			y := rapid.Float64Range(-3, 3).Draw(t, "y")
			lean := rapid.Float64Range(-0.2, 0.2).Draw(t, "lean")
			regions = append(regions, region{0, [][]r2.Vec{poly(x, y, x+w, y, x+w+lean*gap, y+4, x+lean*gap, y+4)}})
			x += w
			if rapid.Bool().Draw(t, "pin") {
				// An eighth of the need along a wall that leans by 0.2 of at
				// most 1.5 needs in 4 mm, on both sides.
				slack = need / 8 * 2 * 0.2 * 1.5 * need / 4
				d := gap / 6
				c := r2.Vec{X: x + gap/2, Y: y + rapid.Float64Range(-1, 4).Draw(t, "at")}
				regions = append(regions, region{1, [][]r2.Vec{shape.Circle(c, d, 7, 11)}})
			}
			x += gap
		}
		slices.SortStableFunc(regions, func(a, b region) int { return int(a.part - b.part) })
		some += judgeLayer(t, layerOf(regions...), need, slack)
	})
	if some < 20 {
		t.Errorf("only %d slots in all", some)
	}
}

// TestTurnedAndMoved: neither the place on the bed nor the turn changes what
// is found.
func TestTurnedAndMoved(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		need := rapid.Float64Range(0.2, 1.2).Draw(t, "need")
		outer := ragged(t, need)
		if _, err := shape.Extrude(outer, nil, 0, 1); err != nil {
			t.Skip("not simple")
		}
		sin, cos := math.Sincos(rapid.Float64Range(0, 7).Draw(t, "turn again"))
		dx, dy := rapid.Float64Range(-300, 300).Draw(t, "dx"), rapid.Float64Range(-300, 300).Draw(t, "dy")
		k := rapid.IntRange(0, len(outer)-1).Draw(t, "start")
		moved := make([]r2.Vec, len(outer))
		for i := range outer {
			p := outer[(i+k)%len(outer)]
			moved[i] = r2.Vec{X: p.X*cos - p.Y*sin + dx, Y: p.X*sin + p.Y*cos + dy}
		}
		a := find(layerOf(region{0, [][]r2.Vec{outer}}), need)
		b := find(layerOf(region{0, [][]r2.Vec{moved}}), need)
		w := func(s []Slot) []float64 {
			var w []float64
			for _, s := range s {
				w = append(w, s.Width)
			}
			slices.Sort(w)
			return w
		}
		if !slices.EqualFunc(w(a), w(b), func(x, y float64) bool { return math.Abs(x-y) < 1e-7 }) {
			t.Errorf("slots %v, moved %v", w(a), w(b))
		}
	})
}

// TestNearest compares the nearest place and the side of it with all segments
// and with the parity of crossings.
func TestNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		outer := ragged(t, 1)
		if _, err := shape.Extrude(outer, nil, 0, 1); err != nil {
			t.Skip("not simple")
		}
		st := layerOf(region{0, [][]r2.Vec{outer}})
		var tr tree
		tr.build(&st.Layers[0])
		pts := st.Layers[0].Pts
		for range 20 {
			// Near a corner, or anywhere.
			p := pts[rapid.IntRange(0, len(pts)-1).Draw(t, "corner")]
			a := rapid.Float64Range(0, 7).Draw(t, "angle")
			r := rapid.SampledFrom([]float64{0.01, 0.3, 5}).Draw(t, "r")
			p = r2.Add(p, r2.Vec{X: r * math.Cos(a), Y: r * math.Sin(a)})
			least, in := math.Inf(1), false
			for i, u := range pts {
				v := pts[(i+1)%len(pts)]
				d := r2.Sub(v, u)
				f := math.Max(0, math.Min(1, r2.Dot(r2.Sub(p, u), d)/r2.Norm2(d)))
				least = math.Min(least, r2.Norm(r2.Sub(p, r2.Add(u, r2.Scale(f, d)))))
				if (u.Y > p.Y) != (v.Y > p.Y) && p.X < u.X+(p.Y-u.Y)/(v.Y-u.Y)*(v.X-u.X) {
					in = !in
				}
			}
			h, ok := tr.nearest(0, p)
			if !ok || math.Abs(h.dist-least) > 1e-9 || math.Abs(r2.Norm(r2.Sub(h.at, p))-least) > 1e-9 {
				t.Fatalf("nearest to %v is %v, want %v away", p, h, least)
			}
			if least > 1e-6 && h.inside != in {
				t.Fatalf("inside at %v: %v, want %v", p, h.inside, in)
			}
		}
		if _, ok := tr.nearest(1, r2.Vec{}); ok {
			t.Fatalf("found a part that is not there")
		}
	})
}
