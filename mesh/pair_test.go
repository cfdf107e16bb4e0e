package mesh

import (
	"math/rand/v2"
	"reflect"
	"sync/atomic"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// Edges paired one by one, of all vertices together, are the judge of ranges
// and of the simple way.
func TestPairAgainstEdgeByEdge(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 12))
	never := func(*edgePairer) bool { return false }
	var simple atomic.Int32
	open, copies, sameWay := 0, 0, 0
	for range 400 {
		n := 4 + 2*rng.IntN(5)
		v, f, _, _ := weld(soup(join(ball(r3.Vec{}, 3, n), box(-4, -4, -4, 4, 4, 4), box(4, -4, -4, 9, 4, 4))).XYZ, nil)
		if rng.IntN(2) == 0 {
			f = f[:len(f)-24] // the boxes share edges
		}
		if rng.IntN(2) == 0 {
			rng.Shuffle(len(f), func(i, j int) { f[i], f[j] = f[j], f[i] })
		}
		switch k := rng.IntN(len(f)); rng.IntN(8) {
		case 0:
			f = append(f[:k], f[k+1:]...)
		case 1:
			f[k][0], f[k][1] = f[k][1], f[k][0]
		case 2:
			f = append(f, f[k])
		case 3:
			f = append(f, [3]int32{f[k][1], f[k][0], f[k][2]})
		case 4:
			f = [][3]int32{f[k], f[k]}
		case 5: // a pillow
			f = [][3]int32{f[k], {f[k][1], f[k][0], f[k][2]}}
		}
		insideOut := rng.IntN(2) == 0
		want := pairBy(v, f, insideOut, pairRangesOf(len(v), f, 20, len(f)), never)
		ranges := pairRangesOf(len(v), f, rng.IntN(8), 1+rng.IntN(40))
		got := pairBy(v, f, insideOut, ranges, func(q *edgePairer) bool {
			ok := q.simple()
			if ok {
				simple.Add(1)
			}
			return ok
		})
		if !reflect.DeepEqual(got, want) {
			t.Fatalf("%d ranges by %d facets:\n%+v, want\n%+v", ranges.n, ranges.run, got, want)
		}
		loose := 0
		for _, g := range want.mate {
			if g < 0 {
				loose++
			}
		}
		if want.open != loose {
			t.Fatalf("%d half-edges are open, said to be %d", loose, want.open)
		}
		if want.open > 0 {
			open++
		}
		if len(want.copies) > 0 {
			copies++
		}
		if want.sameWay {
			sameWay++
		}
	}
	if min(int(simple.Load()), open, copies, sameWay) < 30 {
		t.Errorf("%d ranges were simple, %d meshes open, %d had copies, %d facets against each other; want more of each", simple.Load(), open, copies, sameWay)
	}
}

// Where near facets have near vertices there are many ranges, elsewhere one.
func TestPairRanges(t *testing.T) {
	const n = 20 << rangeBits
	f := make([][3]int32, 2*n)
	for i := range f {
		k := int32(i / 2)
		f[i] = [3]int32{k, (k + 1) % n, (k + 100) % n}
	}
	if r := newPairRanges(n, f); r.n != 20 {
		t.Errorf("in order: %d ranges, want 20", r.n)
	}
	rand.New(rand.NewPCG(1, 2)).Shuffle(len(f), func(i, j int) { f[i], f[j] = f[j], f[i] })
	if r := newPairRanges(n, f); r.n > looks {
		t.Errorf("strewn: %d ranges look at every facet, want %d at most", r.n, looks)
	}
}
