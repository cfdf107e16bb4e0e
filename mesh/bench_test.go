package mesh

import (
	"bytes"
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// pinGrid is 10 by 10 pins in sleeves, of about the given number of
// triangles.
func pinGrid(triangles int) *Soup {
	n := max(8, triangles/100/12) // 4n of a pin, 8n of its sleeve
	pin, sleeve := prism(2, 0, 30, n, 1), tube(3.5, 2.3, 5, 25, n)
	one := soup(join(pin, sleeve))
	s := &Soup{Format: "stl binary", XYZ: make([]float32, 0, 100*len(one.XYZ))}
	for i := range 100 {
		dx, dy := float32(8*(i%10)), float32(8*(i/10))
		for k := 0; k < len(one.XYZ); k += 3 {
			s.XYZ = append(s.XYZ, one.XYZ[k]+dx, one.XYZ[k+1]+dy, one.XYZ[k+2])
		}
	}
	return s
}

// denseGrid is the same with round facets instead of long ones: 100 balls in
// sockets.
func denseGrid(triangles int) *Soup {
	// A ball of n around has n(n-2) triangles.
	n := 2 * int(math.Sqrt(float64(triangles)/200)/2)
	one := soup(join(ball(r3.Vec{}, 3, n), flipped(ball(r3.Vec{}, 3.3, n)), box(-4, -4, -4, 4, 4, 4)))
	s := &Soup{Format: "stl binary", XYZ: make([]float32, 0, 100*len(one.XYZ))}
	for i := range 100 {
		dx, dy := float32(9*(i%10)), float32(9*(i/10))
		for k := 0; k < len(one.XYZ); k += 3 {
			s.XYZ = append(s.XYZ, one.XYZ[k]+dx, one.XYZ[k+1]+dy, one.XYZ[k+2])
		}
	}
	return s
}

func eachGrid(b *testing.B, f func(b *testing.B, s *Soup)) {
	for _, g := range []struct {
		name string
		make func(int) *Soup
	}{{"pins", pinGrid}, {"balls", denseGrid}} {
		for _, n := range []int{100_000, 1_000_000} {
			b.Run(fmt.Sprintf("model=%s/triangles=%d", g.name, n), func(b *testing.B) {
				s := g.make(n)
				b.ReportAllocs()
				b.ResetTimer()
				f(b, s)
				b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(s.Triangles()), "ns/triangle")
			})
		}
	}
}

func BenchmarkLoad(b *testing.B) {
	eachGrid(b, func(b *testing.B, s *Soup) {
		var file bytes.Buffer
		if err := WriteSTL(&file, s); err != nil {
			b.Fatal(err)
		}
		b.SetBytes(int64(file.Len()))
		b.ResetTimer()
		for b.Loop() {
			if _, err := ReadSTL(bytes.NewReader(file.Bytes())); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkWeld(b *testing.B) {
	eachGrid(b, func(b *testing.B, s *Soup) {
		for b.Loop() {
			weld(s.XYZ, spaceOrder(s.XYZ, orderFrom))
		}
	})
}

func BenchmarkPair(b *testing.B) {
	eachGrid(b, func(b *testing.B, s *Soup) {
		v, t, order, _ := weld(s.XYZ, spaceOrder(s.XYZ, orderFrom))
		for b.Loop() {
			gather(v, t, pair(v, t, insideOut(v, t)), order)
		}
	})
}

func BenchmarkBuild(b *testing.B) {
	eachGrid(b, func(b *testing.B, s *Soup) {
		for b.Loop() {
			m, err := Build(s, Placement{})
			if err != nil {
				b.Fatal(err)
			}
			if len(m.Parts) != 200 {
				b.Fatalf("%d parts", len(m.Parts))
			}
		}
	})
}
