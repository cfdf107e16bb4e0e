package gapscan

import (
	"bytes"
	"fmt"
	"testing"

	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/shape"
	"playgauge/slice"
)

// The benchmarks' model: 100 pins in sleeves, 150 layers of 0.2 mm.
var benchSizes = []int{100_000, 1_000_000}

// benchStep is the model at every step of the way.
type benchStep struct {
	data  []byte
	soup  *mesh.Soup
	mesh  *mesh.Mesh
	plan  slice.Plan
	stack *slice.Stack
}

func benchModel(b *testing.B, triangles int) benchStep {
	b.Helper()
	var s benchStep
	var buf bytes.Buffer
	s.soup = shape.PinGrid(10, 10, triangles, false)
	if err := mesh.WriteSTL(&buf, s.soup); err != nil {
		b.Fatal(err)
	}
	s.data = buf.Bytes()
	s.build(b)
	s.slice(b)
	return s
}

func (s *benchStep) load(b *testing.B) {
	var err error
	if s.soup, err = mesh.ReadSTL(bytes.NewReader(s.data)); err != nil {
		b.Fatal(err)
	}
}

func (s *benchStep) build(b *testing.B) {
	var err error
	if s.mesh, err = mesh.Build(s.soup, mesh.Placement{}); err != nil {
		b.Fatal(err)
	}
}

func (s *benchStep) slice(b *testing.B) {
	var err error
	if s.plan, err = slice.NewPlan(0.2, 0.2, s.mesh.Box.Max.Z); err != nil {
		b.Fatal(err)
	}
	s.stack = slice.Cut(s.mesh, s.plan)
}

// scan finds 100 pins in their sleeves, and 180 pairs of sleeves side by side.
func (s *benchStep) scan(b *testing.B) {
	if r := Scan(s.mesh, s.stack, machine.BuiltIn(), Options{}); len(r.Joints) != 280 {
		b.Fatalf("%d joints, want 280", len(r.Joints))
	}
}

// measure runs a step and reports it by triangle and by contour point.
func measure(b *testing.B, s benchStep, step func(*testing.B)) {
	b.ReportAllocs()
	points := 0
	for i := range s.stack.Layers {
		points += len(s.stack.Layers[i].Pts)
	}
	triangles := s.soup.Triangles()
	for b.Loop() {
		step(b)
	}
	ns := float64(b.Elapsed().Nanoseconds()) / float64(b.N)
	b.ReportMetric(ns/float64(triangles), "ns/triangle")
	b.ReportMetric(ns/float64(points), "ns/point")
}

func BenchmarkScan(b *testing.B) {
	for _, n := range benchSizes {
		b.Run(fmt.Sprintf("step=scan/triangles=%d", n), func(b *testing.B) {
			s := benchModel(b, n)
			measure(b, s, s.scan)
		})
	}
}

// BenchmarkVet is the whole way from a file's bytes to the result, and each
// step of it.
func BenchmarkVet(b *testing.B) {
	for _, n := range benchSizes {
		s := benchModel(b, n)
		for _, step := range []struct {
			name string
			do   func(*testing.B)
		}{
			{"load", s.load}, {"weld", s.build}, {"slice", s.slice}, {"scan", s.scan},
			{"all", func(b *testing.B) { s.load(b); s.build(b); s.slice(b); s.scan(b) }},
		} {
			b.Run(fmt.Sprintf("step=%s/triangles=%d", step.name, n), func(b *testing.B) { measure(b, s, step.do) })
		}
	}
}
