package bvh

import (
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// checkTree walks a tree and checks its boxes, leaves and flags.
func checkTree(t *testing.T, tr *Tree, facets []int32) {
	t.Helper()
	if tr.Facets() != len(facets) {
		t.Fatalf("%d facets of %d", tr.Facets(), len(facets))
	}
	if len(facets) == 0 {
		if b := tr.Box(); !(b.Min.X > b.Max.X) {
			t.Fatalf("box of nothing: %v", b)
		}
		return
	}
	var seen []int32
	var walk func(i int32, depth int) (r3.Box, uint8)
	walk = func(i int32, depth int) (r3.Box, uint8) {
		if depth >= maxDepth {
			t.Fatalf("depth %d", depth)
		}
		n := tr.nodes[i]
		box, face := emptyBox(), uint8(0)
		if n.n == 0 {
			lb, lf := walk(i+1, depth+1)
			rb, rf := walk(n.at, depth+1)
			box, face = union(&lb, &rb), lf|rf
		} else if n.n > leafFacets {
			t.Fatalf("leaf of %d", n.n)
		}
		for _, f := range tr.facets[n.at : n.at+int32(n.n)] {
			seen = append(seen, f)
			a, b, c := tr.corners(f)
			for _, p := range [3]r3.Vec{a, b, c} {
				grow(&box, p)
			}
			if up := r3.Cross(r3.Sub(b, a), r3.Sub(c, a)).Z; up > 0 {
				face |= looksUp
			} else if up < 0 {
				face |= looksDown
			}
		}
		if n.box != box || n.face != face {
			t.Fatalf("node %d: box %v face %d, want %v %d", i, n.box, n.face, box, face)
		}
		return box, face
	}
	if box, _ := walk(0, 0); box != tr.Box() {
		t.Fatalf("Box %v, want %v", tr.Box(), box)
	}
	slices.Sort(seen)
	want := slices.Clone(facets)
	slices.Sort(want)
	if !slices.Equal(seen, want) {
		t.Fatalf("facets in the tree: %v, want %v", seen, want)
	}
}

func TestEverySize(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 65))
	other := random(rng, 9, 10, 3)
	ot := other.tree()
	for n := range 66 {
		m := random(rng, n+5, 10, 2)
		facets := make([]int32, n)
		for i := range facets {
			facets[i] = int32(i + 5) // not all of the mesh
		}
		tr := New(m.v, m.t, facets)
		checkTree(t, tr, facets)
		if !reflect.DeepEqual(tr, New(m.v, m.t, facets)) {
			t.Fatalf("%d facets: two builds differ", n)
		}
		sub := &model{v: m.v, t: m.t[5:]}
		want := judgeNearest(sub, other)
		got, ok := Nearest(tr, ot, 100)
		if ok != (n > 0) || ok && math.Abs(got.Dist-want) > 1e-12 {
			t.Fatalf("%d facets: nearest %v %v, want %v", n, got.Dist, ok, want)
		}
	}
}

func TestAwkwardBuilds(t *testing.T) {
	same := [3]r3.Vec{vec(1, 2, 3), vec(2, 2, 3), vec(1, 3, 3)}
	var alike, growing, flat, huge [][3]r3.Vec
	// Splits where it is cheapest would make a tree of more than maxDepth.
	for s := 1e-30; s < 1e36; s *= 1.003 {
		growing = append(growing, [3]r3.Vec{vec(s, 0, 0), vec(s*1.01, 0, 0), vec(s, s*0.01, 0)})
	}
	for i := range 500 {
		alike = append(alike, same)
		x := float64(i % 25)
		y := float64(i / 25)
		flat = append(flat, [3]r3.Vec{vec(x, y, 0), vec(x+1, y, 0), vec(x, y+1, 0)})
		huge = append(huge, [3]r3.Vec{vec(x*3e38, y*3e38, 0), vec(x*3e38, y, 0), vec(x, y*3e38, 0)})
	}
	for name, m := range map[string]*model{"alike": soup(alike...), "growing": soup(growing...), "flat": soup(flat...), "huge": soup(huge...)} {
		t.Run(name, func(t *testing.T) {
			all := make([]int32, len(m.t))
			for i := range all {
				all[i] = int32(i)
			}
			checkTree(t, New(m.v, m.t, all), all)
		})
	}
}

func TestEmpty(t *testing.T) {
	var none Tree
	full := brick(vec(0, 0, 0), vec(1, 1, 1)).tree()
	for _, e := range []*Tree{&none, New(nil, nil, nil)} {
		if _, ok := Nearest(e, full, math.Inf(1)); ok {
			t.Error("Nearest found something")
		}
		if _, ok := Nearest(full, e, math.Inf(1)); ok {
			t.Error("Nearest found something")
		}
		Touching(e, full, math.Inf(1), func(_, _ int32) bool { t.Error("Touching found something"); return true })
		Touching(full, e, math.Inf(1), func(_, _ int32) bool { t.Error("Touching found something"); return true })
		if _, _, _, ok := e.NearestTo(vec(0, 0, 0), math.Inf(1)); ok {
			t.Error("NearestTo found something")
		}
		if w := e.Winding(vec(0, 0, 0)); w != 0 {
			t.Error("Winding", w)
		}
		if _, ok := Clearance(e, full, math.Inf(1), nil); ok {
			t.Error("Clearance found something")
		}
		if _, ok := Clearance(full, e, math.Inf(1), nil); ok {
			t.Error("Clearance found something")
		}
		if e.FilledBetween(0, 0, -1, 1) || (Solids{e}).MayBlock(full.Box()) {
			t.Error("filled")
		}
		if _, b := (Solids{e}).Blocked(0, 0, -1, 1); b {
			t.Error("blocked")
		}
	}
}

func BenchmarkNew(b *testing.B) {
	for _, trees := range []int{1, 200} {
		rows := 1_000_000 / trees / 2 / 100
		m := wall(100, rows, 5, 0, 20, 0)
		all := make([]int32, len(m.t))
		for i := range all {
			all[i] = int32(i)
		}
		b.Run(fmt.Sprintf("facets=1000000/trees=%d", trees), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				for range trees {
					New(m.v, m.t, all)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(trees*len(all)), "ns/facet")
		})
	}
}
