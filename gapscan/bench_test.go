package gapscan

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/hschendel/stl"

	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/shape"
	"playgauge/mesh/shape/garden"
	"playgauge/slice"
)

// benchModel is a model of the benchmarks.
type benchModel struct {
	name string
	soup func() (*mesh.Soup, error)
}

// benchModels lists the pin grid at every size, in order and shuffled; two
// toys of 20 thousand triangles, one of few joints and one of many small
// shells; and the largest of the models named by PLAYGAUGE_MODELS.
func benchModels() []benchModel {
	var out []benchModel
	for _, n := range []int{100_000, 1_000_000, 5_000_000} {
		for _, shuffled := range []bool{false, true} {
			out = append(out, benchModel{fmt.Sprintf("model=pins/triangles=%d/shuffled=%v", n, shuffled), func() (*mesh.Soup, error) {
				return shape.PinGrid(10, 10, n, shuffled), nil
			}})
		}
	}
	for _, m := range garden.Models() {
		if m.File == "caterpillar.stl" || m.File == "mesh-cloth.stl" {
			out = append(out, benchModel{"model=" + strings.TrimSuffix(m.File, ".stl"), func() (*mesh.Soup, error) {
				return m.Build().Soup(), nil
			}})
		}
	}
	if file := largestModel(); file != "" {
		out = append(out, benchModel{"model=largest", func() (*mesh.Soup, error) { return readFile(file) }})
	}
	return out
}

// largestModel is the largest STL file of the models' folder.
func largestModel() string {
	files, err := filepath.Glob(filepath.Join(os.Getenv(modelsEnv), "*.stl"))
	if os.Getenv(modelsEnv) == "" || err != nil {
		return ""
	}
	largest, most := "", int64(-1)
	for _, f := range files {
		if info, err := os.Stat(f); err == nil && info.Size() > most {
			largest, most = f, info.Size()
		}
	}
	return largest
}

func readFile(name string) (*mesh.Soup, error) {
	f, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return mesh.ReadSTL(f)
}

// steps is a model on its way from a file to the result.
type steps struct {
	file  string
	soup  *mesh.Soup
	mesh  *mesh.Mesh
	stack *slice.Stack
	// height is that of the layers, mm.
	height float64
}

// newSteps writes a model to a file, which the first step then reads from
// memory: it has just been written.
func newSteps(b *testing.B, m benchModel, height float64) *steps {
	b.Helper()
	soup, err := m.soup()
	if err != nil {
		b.Fatal(err)
	}
	var buf bytes.Buffer
	if err := mesh.WriteSTL(&buf, soup); err != nil {
		b.Fatal(err)
	}
	s := &steps{file: filepath.Join(b.TempDir(), "model.stl"), height: height}
	if err := os.WriteFile(s.file, buf.Bytes(), 0o600); err != nil {
		b.Fatal(err)
	}
	return s
}

func (s *steps) load(b *testing.B) {
	var err error
	if s.soup, err = readFile(s.file); err != nil {
		b.Fatal(err)
	}
}

func (s *steps) build(b *testing.B) {
	var err error
	if s.mesh, err = mesh.Build(s.soup, mesh.Placement{}); err != nil {
		b.Fatal(err)
	}
}

func (s *steps) slice(b *testing.B) {
	p, err := slice.NewPlan(s.height, s.height, s.mesh.Box.Max.Z)
	if err != nil {
		b.Fatal(err)
	}
	s.stack = slice.Cut(s.mesh, p)
}

func (s *steps) scan(b *testing.B) {
	if r := Scan(s.mesh, s.stack, machine.BuiltIn(), Options{}); len(r.Layers) == 0 {
		b.Fatal("no layers")
	}
}

// all goes the whole way and forgets what the next step does not need, as vet
// does.
func (s *steps) all(b *testing.B) {
	s.load(b)
	soup := s.soup
	s.soup = nil
	w := AsIs()
	w.FirstMM, w.RestMM = s.height, s.height
	if _, err := Vet(soup, w, machine.BuiltIn()); err != nil {
		b.Fatal(err)
	}
}

// BenchmarkVet is the whole way from a file to the result, and each step of
// it. The metric ratio is its time over that of a general library that only
// reads the same file, each time right before.
func BenchmarkVet(b *testing.B) {
	for _, m := range benchModels() {
		b.Run(m.name+"/step=all", func(b *testing.B) {
			s := newSteps(b, m, 0.2)
			b.ReportAllocs()
			var reading time.Duration
			for b.Loop() {
				b.StopTimer()
				from := time.Now()
				if _, err := stl.ReadFile(s.file); err != nil {
					b.Fatal(err)
				}
				reading += time.Since(from)
				b.StartTimer()
				s.all(b)
			}
			b.ReportMetric(b.Elapsed().Seconds()/reading.Seconds(), "ratio")
		})
		for _, step := range []struct {
			name          string
			before, timed func(*steps, *testing.B)
		}{
			{"load", func(*steps, *testing.B) {}, (*steps).load},
			{"weld", (*steps).load, (*steps).build},
			{"slice", func(s *steps, b *testing.B) { s.load(b); s.build(b) }, (*steps).slice},
			{"scan", func(s *steps, b *testing.B) { s.load(b); s.build(b); s.slice(b) }, (*steps).scan},
		} {
			b.Run(m.name+"/step="+step.name, func(b *testing.B) {
				s := newSteps(b, m, 0.2)
				step.before(s, b)
				b.ReportAllocs()
				for b.Loop() {
					step.timed(s, b)
				}
			})
		}
	}
}

// BenchmarkLayers halves the layers' height: twice the layers should cost no
// more than twice as much.
func BenchmarkLayers(b *testing.B) {
	for _, height := range []float64{0.2, 0.1} {
		b.Run(fmt.Sprintf("model=pins/triangles=1000000/height=%g", height), func(b *testing.B) {
			s := newSteps(b, benchModel{soup: func() (*mesh.Soup, error) { return shape.PinGrid(10, 10, 1_000_000, false), nil }}, height)
			for b.Loop() {
				s.all(b)
			}
			s.load(b)
			s.build(b)
			plan, err := slice.NewPlan(height, height, s.mesh.Box.Max.Z)
			if err != nil {
				b.Fatal(err)
			}
			points := slice.Crossings(s.mesh, plan)
			b.ReportMetric(b.Elapsed().Seconds()*1e9/float64(b.N)/float64(points), "ns/point")
		})
	}
}
