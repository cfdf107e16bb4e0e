package bvh

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// anyFacet draws triangles that touch, cross, lie in one plane or have no
// area more often than chance would have it.
func anyFacet() *rapid.Generator[[3]r3.Vec] {
	return rapid.Custom(func(t *rapid.T) [3]r3.Vec {
		var f [3]r3.Vec
		kind := rapid.IntRange(0, 3).Draw(t, "kind")
		for i := range f {
			for _, c := range []*float64{&f[i].X, &f[i].Y, &f[i].Z} {
				if kind == 0 {
					*c = rapid.Float64Range(-4, 4).Draw(t, "c")
				} else {
					*c = float64(rapid.IntRange(-2, 2).Draw(t, "c"))
				}
			}
		}
		switch kind {
		case 2: // a needle
			d := rapid.SampledFrom([]float64{1e-3, 1e-6, 1e-9}).Draw(t, "d")
			f[2] = r3.Add(f[1], r3.Scale(d, f[2]))
		case 3: // no area
			f[2] = rapid.SampledFrom([]r3.Vec{f[0], f[1], r3.Scale(0.5, r3.Add(f[0], f[1]))}).Draw(t, "f2")
		}
		return f
	})
}

func anyModel(t *rapid.T, name string) *model {
	return soup(rapid.SliceOfN(anyFacet(), 1, 12).Draw(t, name)...)
}

// checkPair checks a pair against the judge: the distance, and that its two
// points lie on the two facets it names.
func checkPair(t interface{ Fatalf(string, ...any) }, a, b *model, p Pair, want float64) {
	if math.Abs(p.Dist-want) > 1e-8 {
		t.Fatalf("Dist %.17g, want %.17g", p.Dist, want)
	}
	if d := r3.Norm(r3.Sub(p.A, p.B)); math.Abs(d-p.Dist) > 1e-9 {
		t.Fatalf("Dist %v, but the points are %v apart", p.Dist, d)
	}
	if d := judgeDistance(a.corners(int(p.FacetA)), [3]r3.Vec{p.A, p.A, p.A}); d > 1e-9 {
		t.Fatalf("A is %v off its facet", d)
	}
	if d := judgeDistance(b.corners(int(p.FacetB)), [3]r3.Vec{p.B, p.B, p.B}); d > 1e-9 {
		t.Fatalf("B is %v off its facet", d)
	}
}

func TestNearestAgainstAllPairs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyModel(t, "a"), anyModel(t, "b")
		shift := vec(rapid.SampledFrom([]float64{0, 0, 0.3, 3, 5}).Draw(t, "shift"), 0, 0)
		b = b.moved(func(p r3.Vec) r3.Vec { return r3.Add(p, shift) })
		want := judgeNearest(a, b)
		ta, tb := a.tree(), b.tree()
		got, ok := Nearest(ta, tb, math.Inf(1))
		if !ok {
			t.Fatalf("nothing found")
		}
		checkPair(t, a, b, got, want)
		if want == 0 && got.Dist != 0 {
			t.Fatalf("Dist %v of surfaces that touch", got.Dist)
		}
		back, _ := Nearest(tb, ta, math.Inf(1))
		if math.Abs(back.Dist-got.Dist) > 1e-8 {
			t.Fatalf("%v one way, %v the other", got.Dist, back.Dist)
		}
		if p, ok := Nearest(ta, tb, got.Dist); !ok || p.Dist > got.Dist {
			t.Fatalf("limit %v: %v %v", got.Dist, p.Dist, ok)
		}
		if got.Dist > 1e-6 {
			if p, ok := Nearest(ta, tb, got.Dist*(1-1e-6)); ok && p.Dist < want-1e-8 {
				t.Fatalf("below the least: %v", p.Dist)
			}
		}
	})
}

func TestNearestOfManyFacets(t *testing.T) {
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 2))
		spread := []float64{0.3, 2, 8}[seed%3]
		a := random(rng, 40, 10, spread)
		b := random(rng, 50, 10, spread).moved(func(p r3.Vec) r3.Vec { p.Z += float64(seed % 4 * 3); return p })
		want := judgeNearest(a, b)
		got, ok := Nearest(a.tree(), b.tree(), 1000)
		if !ok {
			t.Fatalf("seed %d: nothing found", seed)
		}
		checkPair(t, a, b, got, want)
	}
}

func TestNearestOfNothingInReach(t *testing.T) {
	a := brick(vec(0, 0, 0), vec(1, 1, 1)).tree()
	b := brick(vec(3, 0, 0), vec(4, 1, 1)).tree()
	for _, limit := range []float64{-1, 0, math.Nextafter(2, 0), math.NaN(), math.Inf(-1)} {
		if p, ok := Nearest(a, b, limit); ok {
			t.Errorf("limit %v: %v", limit, p)
		}
	}
	for _, limit := range []float64{2, 2.5, math.Inf(1)} {
		if p, ok := Nearest(a, b, limit); !ok || p.Dist != 2 {
			t.Errorf("limit %v: %v %v", limit, p, ok)
		}
	}
}

func TestNearestWhereTheyTouch(t *testing.T) {
	face := [3]r3.Vec{vec(0, 0, 0), vec(4, 0, 0), vec(0, 4, 0)}
	for name, f := range map[string][3]r3.Vec{
		"corner on face":   {vec(1, 1, 0), vec(1, 2, 3), vec(2, 1, 3)},
		"corner on corner": {vec(4, 0, 0), vec(5, 0, 1), vec(5, 1, 1)},
		"side on side":     {vec(1, 0, 0), vec(3, 0, 0), vec(2, -1, 1)},
		"sides cross":      {vec(2, -1, 0), vec(2, 1, 0), vec(2, -1, -1)},
		"through the face": {vec(1, 1, -1), vec(1, 1, 1), vec(9, 9, 9)},
		"face in face":     {vec(1, 1, 0), vec(1.5, 1, 0), vec(1, 1.5, 0)},
		"same":             face,
		"point on face":    {vec(1, 1, 0), vec(1, 1, 0), vec(1, 1, 0)},
		"segment through":  {vec(1, 1, -1), vec(1, 1, 2), vec(1, 1, -1)},
	} {
		a, b := soup(face), soup(f)
		for _, pair := range [2][2]*model{{a, b}, {b, a}} {
			p, ok := Nearest(pair[0].tree(), pair[1].tree(), 0)
			if !ok || p.Dist != 0 {
				t.Errorf("%s: %v %v", name, p, ok)
				continue
			}
			checkPair(t, pair[0], pair[1], p, 0)
			n := 0
			Touching(pair[0].tree(), pair[1].tree(), 0, func(_, _ int32) bool { n++; return true })
			if n != 1 {
				t.Errorf("%s: touching pairs %d", name, n)
			}
		}
	}
}

// Two skew lines (FACTS.md, Geometry, calc): 65/sqrt(122).
func TestSkewLines(t *testing.T) {
	on := func(p, d r3.Vec, s float64) r3.Vec { return r3.Add(p, r3.Scale(s, d)) }
	p, d := vec(2, 5, 0), vec(-1, 2, 3)
	q, e := vec(0, -1, 1), vec(2, -1, 2)
	a := soup([3]r3.Vec{on(p, d, -20), on(p, d, 20), on(p, d, 20)})
	b := soup([3]r3.Vec{on(q, e, -20), on(q, e, -20), on(q, e, 20)})
	got, ok := Nearest(a.tree(), b.tree(), 10)
	if want := 65 / math.Sqrt(122); !ok || math.Abs(got.Dist-want) > 1e-12 {
		t.Fatalf("got %.15g %v, want %.15g", got.Dist, ok, want)
	}
}

// A pin in a hole, both n-gons (FACTS.md, Geometry, calc): aligned
// (b-a)cos(pi/n), turned by half a side b cos(pi/n) - a.
func TestPinInHole(t *testing.T) {
	const n = 32
	hole := wall(n, 3, 5.3, 0, 10, 0).tree()
	for _, c := range []struct{ phase, want, digits float64 }{
		{0, 0.3 * math.Cos(math.Pi/n), .298555},
		{0.5, 5.3*math.Cos(math.Pi/n) - 5, .274479},
	} {
		got, ok := Nearest(hole, wall(n, 4, 5, 1, 9, c.phase).tree(), 1)
		if !ok || math.Abs(got.Dist-c.want) > 1e-12 || math.Abs(got.Dist-c.digits) > 5e-7 {
			t.Errorf("phase %v: %.15g %v, want %.15g", c.phase, got.Dist, ok, c.want)
		}
	}
}

// Interlocked tori (FACTS.md, Geometry, calc): min(d, 2R-d) - 2r; 0 where
// they overlap. The facets hang off the round surfaces by no more than the
// two sagittas of a chord, and the nearest places are vertices of both.
func TestInterlockedTori(t *testing.T) {
	for _, n := range []int{16, 64, 160} {
		const big, small = 10, 2
		m := n / 4 * 2
		flat := torus(n, m, big, small).tree()
		off := 2 * ((big+small)*(1-math.Cos(math.Pi/float64(n))) + small*(1-math.Cos(math.Pi/float64(m))))
		for _, c := range []struct{ d, gap float64 }{{5, 1}, {10, 6}, {15, 1}} {
			upright := torus(n, m, big, small).moved(func(p r3.Vec) r3.Vec { return vec(p.X+c.d, -p.Z, p.Y) }).tree()
			got, ok := Nearest(flat, upright, 100)
			if !ok || got.Dist > c.gap+1e-12 || got.Dist < c.gap-off {
				t.Errorf("n %d, d %v: %v %v, want %v less up to %v", n, c.d, got.Dist, ok, c.gap, off)
			}
		}
		upright := torus(n, m, big, small).moved(func(p r3.Vec) r3.Vec { return vec(p.X+18, -p.Z, p.Y) }).tree()
		if got, ok := Nearest(flat, upright, 0); !ok || got.Dist != 0 {
			t.Errorf("n %d, overlap: %v %v", n, got, ok)
		}
	}
}

func TestTouchingAgainstAllPairs(t *testing.T) {
	type pair struct{ a, b int32 }
	rapid.Check(t, func(t *rapid.T) {
		a, b := anyModel(t, "a"), anyModel(t, "b")
		within := rapid.SampledFrom([]float64{0, 0.5, 1, 2}).Draw(t, "within")
		var got []pair
		visit := func(fa, fb int32) bool { got = append(got, pair{fa, fb}); return true }
		Touching(a.tree(), b.tree(), within, visit)
		first := slices.Clone(got)
		count := map[pair]int{}
		for _, p := range got {
			count[p]++
		}
		for i := range a.t {
			for j := range b.t {
				d := judgeDistance(a.corners(i), b.corners(j))
				n := count[pair{int32(i), int32(j)}]
				if n > 1 || n == 1 && d > within+1e-8 || n == 0 && d < within-1e-8 || n == 0 && d == 0 {
					t.Fatalf("facets %d and %d, %v apart, met %d times", i, j, d, n)
				}
			}
		}
		got = nil
		Touching(a.tree(), b.tree(), within, visit)
		if !reflect.DeepEqual(got, first) {
			t.Fatalf("the order changed")
		}
		if len(first) > 1 {
			got = nil
			Touching(a.tree(), b.tree(), within, func(fa, fb int32) bool {
				got = append(got, pair{fa, fb})
				return len(got) < 2
			})
			if !reflect.DeepEqual(got, first[:2]) {
				t.Fatalf("did not stop: %v", got)
			}
		}
	})
}

func TestNearestTo(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := anyModel(t, "m")
		var p r3.Vec
		for _, c := range []*float64{&p.X, &p.Y, &p.Z} {
			if rapid.Bool().Draw(t, "whole") {
				*c = float64(rapid.IntRange(-3, 3).Draw(t, "c"))
			} else {
				*c = rapid.Float64Range(-5, 5).Draw(t, "c")
			}
		}
		want := math.Inf(1)
		for i := range m.t {
			want = min(want, judgeDistance(m.corners(i), [3]r3.Vec{p, p, p}))
		}
		tr := m.tree()
		d, at, f, ok := tr.NearestTo(p, math.Inf(1))
		if !ok || math.Abs(d-want) > 1e-8 {
			t.Fatalf("%v %v, want %v", d, ok, want)
		}
		if off := judgeDistance(m.corners(int(f)), [3]r3.Vec{at, at, at}); off > 1e-9 {
			t.Fatalf("the point is %v off its facet", off)
		}
		if math.Abs(r3.Norm(r3.Sub(at, p))-d) > 1e-9 {
			t.Fatalf("the point is not %v away", d)
		}
		if _, _, _, ok := tr.NearestTo(p, d); !ok {
			t.Fatalf("limit %v is not inclusive", d)
		}
		if want > 1e-6 {
			if _, _, _, ok := tr.NearestTo(p, want/2); ok {
				t.Fatalf("found beyond the limit")
			}
		}
	})
}

// The normal of a facet whose corners lie on one line, but for rounding,
// points anywhere.
func TestNearestToNeedles(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 11))
	point := func(size float64) r3.Vec {
		return vec(size*rng.Float64(), size*rng.Float64(), size*rng.Float64())
	}
	for range 20_000 {
		a, b := point(300), point(300)
		d := r3.Sub(b, a)
		at := func(s float64) r3.Vec { return r3.Add(a, r3.Scale(s, d)) }
		// The foot of the way from q is inside the needle.
		q := r3.Add(at(0.1+0.8*rng.Float64()), r3.Scale(3*math.Pow(10, -15*rng.Float64()), r3.Unit(r3.Cross(d, point(1)))))
		want := r3.Norm(r3.Cross(d, r3.Sub(q, a))) / r3.Norm(d)
		tr := soup([3]r3.Vec{a, b, at(rng.Float64())}).tree()
		if got, _, _, ok := tr.NearestTo(q, 10); !ok || math.Abs(got-want) > TouchNoise+1e-11 {
			t.Fatalf("%v %v, want %v", got, ok, want)
		}
	}
}

// The same surfaces cut into more and more facets stay as far apart.
func TestDivisionChangesNothing(t *testing.T) {
	for _, rows := range []int{1, 2, 7, 50} {
		a, b := wall(48, rows, 5, 0, 10, 0), wall(48, rows+1, 5.3, -1, 11, 0.25)
		got, ok := Nearest(a.tree(), b.tree(), 2)
		want, _ := Nearest(wall(48, 1, 5, 0, 10, 0).tree(), wall(48, 1, 5.3, -1, 11, 0.25).tree(), 2)
		if !ok || math.Abs(got.Dist-want.Dist) > 1e-11 {
			t.Errorf("%d rows: %.15g, want %.15g", rows, got.Dist, want.Dist)
		}
	}
}

func FuzzNearest(f *testing.F) {
	for _, s := range [][12]int8{
		{0, 0, 0, 8, 0, 0, 0, 8, 0, 2, 2, 4},
		{0, 0, 0, 8, 0, 0, 0, 8, 0, 2, 2, 0},
		{1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1, 1},
		{-128, 127, 3, 127, -128, 3, 0, 0, 3, 1, 1, 2},
		{0, 0, 0, 100, 0, 0, 100, 1, 0, 50, 0, 1},
	} {
		f.Add(s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7], s[8], s[9], s[10], s[11], 0.0)
		f.Add(s[0], s[1], s[2], s[3], s[4], s[5], s[6], s[7], s[8], s[9], s[10], s[11], 1e-5)
	}
	f.Fuzz(func(t *testing.T, ax, ay, az, bx, by, bz, cx, cy, cz, dx, dy, dz int8, off float64) {
		if !(math.Abs(off) < 100) {
			return
		}
		at := func(x, y, z int8, off float64) r3.Vec {
			return vec(float64(x)/8+off, float64(y)/8-off/3, float64(z)/8+off/7)
		}
		a, b, c, d := at(ax, ay, az, 0), at(bx, by, bz, off), at(cx, cy, cz, off*off), at(dx, dy, dz, -off)
		first := soup([3]r3.Vec{a, b, c})
		second := soup([3]r3.Vec{d, r3.Add(d, r3.Sub(b, c)), r3.Add(c, r3.Sub(d, b))}, [3]r3.Vec{d, d, a})
		for _, b := range []*model{second, soup(second.corners(0))} {
			got, ok := Nearest(first.tree(), b.tree(), math.Inf(1))
			if !ok {
				t.Fatal("nothing found")
			}
			checkPair(t, first, b, got, judgeNearest(first, b))
		}
	})
}

// Every facet of two close cylinders is as near as any other: the worst
// case of a branch and bound.
func BenchmarkNearest(b *testing.B) {
	for _, facets := range []int{10_000, 100_000, 1_000_000} {
		n := int(math.Sqrt(float64(facets) / 2))
		rows := facets / 2 / n
		in, out := wall(n, rows, 5, 0, 20, 0), wall(n, rows, 5.3, 0, 20, 0.5)
		ti, to := in.tree(), out.tree()
		b.Run(fmt.Sprintf("shape=cylinders/facets=%d", 2*n*rows), func(b *testing.B) {
			for b.Loop() {
				Nearest(ti, to, 2)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(2*len(in.t)), "ns/facet")
		})
	}
	flat := torus(300, 100, 10, 2).tree()
	up := torus(300, 100, 10, 2).moved(func(p r3.Vec) r3.Vec { return vec(p.X+5, -p.Z, p.Y) }).tree()
	b.Run("shape=tori/facets=60000", func(b *testing.B) {
		for b.Loop() {
			Nearest(flat, up, 2)
		}
	})
}

func BenchmarkNearestTo(b *testing.B) {
	tr := ball(200, 10).tree()
	b.Run("shape=ball/facets=160000", func(b *testing.B) {
		for b.Loop() {
			tr.NearestTo(vec(8, 5, 4), 5)
		}
	})
}
