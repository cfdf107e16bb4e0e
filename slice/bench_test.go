package slice

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh"
	"playgauge/mesh/shape"
)

func benchCut(b *testing.B, s *mesh.Soup, layers int) {
	m := built(b, s)
	p, err := NewPlan(m.Box.Max.Z/float64(layers), m.Box.Max.Z/float64(layers), m.Box.Max.Z)
	if err != nil || p.Layers != layers {
		b.Fatalf("%d layers, error %v; want %d", p.Layers, err, layers)
	}
	b.ReportAllocs()
	var st *Stack
	for b.Loop() {
		st = Cut(m, p)
	}
	points := 0
	for i := range st.Layers {
		points += len(st.Layers[i].Pts)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(points), "ns/point")
}

// BenchmarkCut cuts 100 pins in sleeves.
func BenchmarkCut(b *testing.B) {
	for _, n := range []int{100_000, 1_000_000} {
		for _, shuffled := range []bool{false, true} {
			for _, layers := range []int{150, 300} {
				b.Run(fmt.Sprintf("triangles=%d/layers=%d/shuffled=%v", n, layers, shuffled), func(b *testing.B) {
					benchCut(b, shape.PinGrid(10, 10, n, shuffled), layers)
				})
			}
		}
	}
}

// BenchmarkHoles cuts a plate of many holes, and one whose outline has as
// many points as there are holes; time a point should not grow.
func BenchmarkHoles(b *testing.B) {
	for _, side := range []int{10, 32, 100} {
		b.Run(fmt.Sprintf("outline=square/holes=%d", side*side), func(b *testing.B) { benchHoles(b, side, false) })
		b.Run(fmt.Sprintf("outline=fine/holes=%d", side*side), func(b *testing.B) { benchHoles(b, side, true) })
	}
}

// benchHoles gives islands rings directly: triangulating such plates takes
// longer than cutting them.
func benchHoles(b *testing.B, side int, fine bool) {
	outer := shape.Rect(0, 0, float64(side), float64(side))
	if fine {
		outer = shape.Divide(outer, 4/float64(side))
	}
	rings := appendRing(nil, outer)
	for i := range side {
		for j := range side {
			x, y := float64(i)+0.25, float64(j)+0.25
			rings = appendRing(rings, []r2.Vec{{X: x, Y: y}, {X: x, Y: y + 0.5}, {X: x + 0.5, Y: y + 0.5}, {X: x + 0.5, Y: y}})
		}
	}
	points := 0
	for _, r := range rings {
		points += len(r.pts)
	}
	for b.Loop() {
		var l Layer
		islands(&l, 0, rings)
		if len(l.Contours) != len(rings) {
			b.Fatalf("%d contours of %d rings", len(l.Contours), len(rings))
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(points), "ns/point")
}

// BenchmarkTubes has as many outer contours as holes, all of one part.
func BenchmarkTubes(b *testing.B) {
	for _, side := range []int{10, 32, 100} {
		b.Run(fmt.Sprintf("tubes=%d", side*side), func(b *testing.B) {
			var rings []ring
			for i := range side {
				for j := range side {
					x, y := float64(2*i), float64(2*j)
					hole := shape.Circle(r2.Vec{X: x, Y: y}, 0.5, 8, 0)
					for k := range 4 {
						hole[k], hole[7-k] = hole[7-k], hole[k]
					}
					rings = appendRing(appendRing(rings, shape.Circle(r2.Vec{X: x, Y: y}, 0.9, 8, 0)), hole)
				}
			}
			for b.Loop() {
				var l Layer
				islands(&l, 0, rings)
				if len(l.Islands) != side*side {
					b.Fatalf("%d islands", len(l.Islands))
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(16*side*side), "ns/point")
		})
	}
}

// BenchmarkOpen cuts a ball with a share of its facets gone.
func BenchmarkOpen(b *testing.B) {
	for _, share := range []float64{0.01, 0.3} {
		b.Run(fmt.Sprintf("gone=%v", share), func(b *testing.B) {
			soup := shape.Sphere(30, 300).Soup()
			rnd := rand.New(rand.NewPCG(1, 2))
			gone := map[int]bool{}
			for i := range soup.Triangles() {
				gone[i] = rnd.Float64() < share && i > 1000 && i < soup.Triangles()-1000
			}
			benchCut(b, without(soup, gone), 150)
		})
	}
}
