package region

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// area is that of the triangle, or of a ring.
func area(pts []r2.Vec, ring []int32) float64 {
	sum := 0.0
	for k, i := range ring {
		sum += r2.Cross(pts[i], pts[ring[(k+1)%len(ring)]]) / 2
	}
	return sum
}

// wantEdges holds triangles to the edges of the rings: all others cancel.
func wantEdges(t testing.TB, tris [][3]int32, rings ...[]int32) {
	t.Helper()
	balance := map[[2]int32]int{}
	count := func(i, j int32, n int) {
		if i > j {
			i, j, n = j, i, -n
		}
		balance[[2]int32{i, j}] += n
	}
	for _, r := range rings {
		for k, i := range r {
			count(i, r[(k+1)%len(r)], -1)
		}
	}
	for _, c := range tris {
		for e := range 3 {
			count(c[e], c[(e+1)%3], 1)
		}
	}
	for e, n := range balance {
		if n != 0 && e[0] != e[1] {
			t.Fatalf("edge %v is there %d times too often", e, n)
		}
	}
}

// wantTiled holds triangles to a region of simple rings: each has area, and
// their areas add up to the region's, so none overlaps another.
func wantTiled(t testing.TB, pts []r2.Vec, outer []int32, holes ...[]int32) {
	t.Helper()
	tris, forced := Triangulate(pts, outer, holes)
	if forced != 0 {
		t.Fatalf("%d forced", forced)
	}
	wantEdges(t, tris, append([][]int32{outer}, holes...)...)
	sum, want := 0.0, area(pts, outer)
	for _, h := range holes {
		want += area(pts, h)
	}
	for _, c := range tris {
		if Orient(pts[c[0]], pts[c[1]], pts[c[2]]) <= 0 {
			t.Fatalf("triangle %v has no area", c)
		}
		sum += area(pts, c[:])
	}
	if math.Abs(sum-want) > 1e-9*want {
		t.Fatalf("triangles of %.12g, region of %.12g", sum, want)
	}
}

// around numbers n corners at the given radii, counter-clockwise or back.
func around(pts *[]r2.Vec, c r2.Vec, n int, ccw bool, radius func(int) float64) []int32 {
	ring := make([]int32, n)
	for k := range ring {
		a := 2 * math.Pi * float64(k) / float64(n)
		ring[k] = int32(len(*pts))
		if !ccw {
			a = -a
		}
		r := radius(k)
		*pts = append(*pts, r2.Vec{X: c.X + r*math.Cos(a), Y: c.Y + r*math.Sin(a)})
	}
	return ring
}

func TestTriangulateStarsWithHoles(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var pts []r2.Vec
		n := rapid.IntRange(3, 60).Draw(rt, "corners")
		outer := around(&pts, r2.Vec{}, n, true, func(int) float64 { return rapid.Float64Range(40, 80).Draw(rt, "r") })
		var holes [][]int32
		for i := range rapid.IntRange(0, 9).Draw(rt, "holes") {
			c := r2.Vec{X: 8 * float64(i%3-1), Y: 8 * float64(i/3-1)}
			holes = append(holes, around(&pts, c, rapid.IntRange(3, 9).Draw(rt, "m"), false,
				func(int) float64 { return rapid.Float64Range(1, 3.9).Draw(rt, "s") }))
		}
		wantTiled(rt2{t, rt}, pts, outer, holes...)
	})
}

// rt2 lets a rapid check fail where a testing.TB is asked for.
type rt2 struct {
	testing.TB
	r *rapid.T
}

func (t rt2) Fatalf(format string, args ...any) { t.r.Fatalf(format, args...) }
func (t rt2) Helper()                           {}

// Corners on straight sides are all used: a square divided along its sides,
// with a divided square hole.
func TestFlatCorners(t *testing.T) {
	for _, n := range []int{1, 2, 7} {
		var pts []r2.Vec
		square := func(a, b float64) []int32 {
			var ring []int32
			c := []r2.Vec{{X: a, Y: a}, {X: b, Y: a}, {X: b, Y: b}, {X: a, Y: b}}
			for i := range 4 {
				for k := range n {
					f := float64(k) / float64(n)
					ring = append(ring, int32(len(pts)))
					pts = append(pts, r2.Add(r2.Scale(1-f, c[i]), r2.Scale(f, c[(i+1)%4])))
				}
			}
			return ring
		}
		outer, inner := square(0, 8), square(2, 6)
		wantTiled(t, pts, outer)
		for i, j := 0, len(inner)-1; i < j; i, j = i+1, j-1 {
			inner[i], inner[j] = inner[j], inner[i]
		}
		wantTiled(t, pts, outer, inner)
	}
}

// Whatever the rings, all edges but theirs cancel: on a small grid they cross
// and touch themselves and each other.
func TestAnyRingsAreClosed(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		var pts []r2.Vec
		for i := range 25 {
			pts = append(pts, r2.Vec{X: float64(i % 5), Y: float64(i / 5)})
		}
		ring := rapid.SliceOfN(rapid.Int32Range(0, 24), 3, 12)
		outer := ring.Draw(rt, "outer")
		holes := rapid.SliceOfN(ring, 0, 3).Draw(rt, "holes")
		tris, _ := Triangulate(pts, outer, holes)
		wantEdges(rt2{t, rt}, tris, append([][]int32{outer}, holes...)...)
	})
}

func BenchmarkTriangulate(b *testing.B) {
	for _, holes := range []int{0, 20} {
		for _, n := range []int{1000, 10000, 100000} {
			var pts []r2.Vec
			outer := around(&pts, r2.Vec{}, n, true, func(k int) float64 { return 50 + 10*math.Sin(float64(37*k)) })
			var rings [][]int32
			for i := range holes {
				c := r2.Vec{X: 6 * float64(i%5-2), Y: 6 * float64(i/5-2)}
				rings = append(rings, around(&pts, c, 48, false, func(int) float64 { return 2 }))
			}
			b.Run(fmt.Sprintf("corners=%d/holes=%d", n, holes), func(b *testing.B) {
				for b.Loop() {
					Triangulate(pts, outer, rings)
				}
			})
		}
	}
}
