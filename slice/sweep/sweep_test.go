package sweep

import (
	"math"
	"slices"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

func ringArea(pts []r2.Vec) float64 {
	s := 0.0
	for i, p := range pts {
		q := pts[(i+1)%len(pts)]
		s += p.X*q.Y - p.Y*q.X
	}
	return s / 2
}

func box(x0, y0, x1, y1 float64) []r2.Vec {
	return []r2.Vec{{X: x0, Y: y0}, {X: x1, Y: y0}, {X: x1, Y: y1}, {X: x0, Y: y1}}
}

func totalArea(rings [][]r2.Vec) float64 {
	s := 0.0
	for _, r := range rings {
		s += ringArea(r)
	}
	return s
}

func union(w []int32, _ *Trapezoid) bool { return w[0] > 0 }

func TestUnionOfBoxes(t *testing.T) {
	tests := []struct {
		name  string
		rings [][]r2.Vec
		area  float64
		n     int // outlines
	}{
		{"one", [][]r2.Vec{box(0, 0, 2, 1)}, 2, 1},
		{"apart", [][]r2.Vec{box(0, 0, 1, 1), box(3, 0, 4, 1)}, 2, 2},
		{"overlapping", [][]r2.Vec{box(0, 0, 2, 2), box(1, 1, 3, 3)}, 7, 1},
		{"crossed bars", [][]r2.Vec{box(0, 1, 3, 2), box(1, 0, 2, 3)}, 5, 1},
		{"one in the other", [][]r2.Vec{box(0, 0, 5, 5), box(1, 1, 2, 2)}, 25, 1},
		{"the same twice", [][]r2.Vec{box(0, 0, 5, 5), box(0, 0, 5, 5)}, 25, 1},
		{"side by side", [][]r2.Vec{box(0, 0, 1, 1), box(1, 0, 2, 1)}, 2, 1},
		{"a hole", [][]r2.Vec{box(0, 0, 5, 5), {{X: 1, Y: 1}, {X: 1, Y: 2}, {X: 2, Y: 2}, {X: 2, Y: 1}}}, 24, 2},
		{"corners on edges", [][]r2.Vec{box(1, 5, 5, 6), box(3, 5, 4, 6), box(1, 6, 3, 7)}, 6, 1},
		{"a frame of four bars", [][]r2.Vec{box(0, 0, 5, 1), box(0, 4, 5, 5), box(0, 0, 1, 5), box(4, 0, 5, 5)}, 16, 2},
	}
	for _, tc := range tests {
		t.Run(tc.name, func(t *testing.T) {
			var s Sweep
			for _, r := range tc.rings {
				s.Add(r, 0)
			}
			got := s.Run(union)
			if a := totalArea(got); math.Abs(a-tc.area) > 1e-9 {
				t.Errorf("area %v, want %v", a, tc.area)
			}
			if len(got) != tc.n {
				t.Errorf("%d outlines, want %d: %v", len(got), tc.n, got)
			}
		})
	}
}

// TestUnionKeepsPoints: what was drawn keeps its exact coordinates.
func TestUnionKeepsPoints(t *testing.T) {
	var s Sweep
	s.Add(box(0.1, 0.2, 2.3, 1.7), 0)
	s.Add(box(1.1, 0.9, 3.3, 2.9), 0)
	have := map[r2.Vec]bool{}
	for _, p := range s.Run(union)[0] {
		have[p] = true
	}
	for _, p := range []r2.Vec{{X: 0.1, Y: 0.2}, {X: 2.3, Y: 0.2}, {X: 3.3, Y: 0.9}, {X: 3.3, Y: 2.9}, {X: 1.1, Y: 2.9}, {X: 0.1, Y: 1.7}} {
		if !have[p] {
			t.Errorf("point %v is gone", p)
		}
	}
	if len(have) != 8 {
		t.Errorf("%d points, want the 6 drawn and 2 crossings", len(have))
	}
}

// convexRing draws a convex polygon, counter-clockwise.
func convexRing(t *rapid.T, label string) []r2.Vec {
	n := rapid.IntRange(3, 12).Draw(t, label+"n")
	cx, cy := rapid.Float64Range(-3, 3).Draw(t, label+"x"), rapid.Float64Range(-3, 3).Draw(t, label+"y")
	r := rapid.Float64Range(0.2, 3).Draw(t, label+"r")
	turn := rapid.Float64Range(0, 6).Draw(t, label+"turn")
	out := make([]r2.Vec, n)
	for i := range out {
		s, c := math.Sincos(turn + 2*math.Pi*float64(i)/float64(n))
		out[i] = r2.Vec{X: cx + r*c, Y: cy + r*s}
	}
	return out
}

func polygon(r []r2.Vec) geom.Geometry {
	var f []float64
	for _, p := range append(r[:len(r):len(r)], r[0]) {
		f = append(f, p.X, p.Y)
	}
	ls := geom.NewLineString(geom.NewSequence(f, geom.DimXY))
	return geom.NewPolygon([]geom.LineString{ls}).AsGeometry()
}

// TestAgainstSimplefeatures judges unions, intersections and differences of
// random polygons by another library.
func TestAgainstSimplefeatures(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := convexRing(t, "a"), convexRing(t, "b")
		var s Sweep
		s.Add(a, 0)
		s.Add(b, 1)
		ga, gb := polygon(a), polygon(b)
		for _, op := range []struct {
			name string
			fill func(w []int32, _ *Trapezoid) bool
			want func(a, b geom.Geometry) (geom.Geometry, error)
		}{
			{"union", func(w []int32, _ *Trapezoid) bool { return w[0] > 0 || w[1] > 0 }, geom.Union},
			{"both", func(w []int32, _ *Trapezoid) bool { return w[0] > 0 && w[1] > 0 }, geom.Intersection},
			{"less", func(w []int32, _ *Trapezoid) bool { return w[0] > 0 && w[1] <= 0 }, geom.Difference},
		} {
			want, err := op.want(ga, gb)
			if err != nil {
				t.Fatal(err)
			}
			sum := 0.0
			got := s.Run(func(w []int32, tz *Trapezoid) bool {
				in := op.fill(w, tz)
				if in {
					sum += tz.Area()
				}
				return in
			})
			if d := totalArea(got) - want.Area(); math.Abs(d) > 1e-6 {
				t.Errorf("%s: outlines %v, want area %v", op.name, totalArea(got), want.Area())
			}
			if d := sum - want.Area(); math.Abs(d) > 1e-6 {
				t.Errorf("%s: trapezoids %v, want area %v", op.name, sum, want.Area())
			}
		}
	})
}

// TestDrawnOnAGrid: polygons on whole numbers share edges and corners all the
// time; areas are then whole or simple, and windings settle them.
func TestDrawnOnAGrid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 6).Draw(t, "n")
		var s Sweep
		covered := map[[2]int]bool{}
		for range n {
			x, y := rapid.IntRange(0, 6).Draw(t, "x"), rapid.IntRange(0, 6).Draw(t, "y")
			w, h := rapid.IntRange(1, 4).Draw(t, "w"), rapid.IntRange(1, 4).Draw(t, "h")
			s.Add(box(float64(x), float64(y), float64(x+w), float64(y+h)), 0)
			for i := range w {
				for j := range h {
					covered[[2]int{x + i, y + j}] = true
				}
			}
		}
		if a := totalArea(s.Run(union)); math.Abs(a-float64(len(covered))) > 1e-9 {
			t.Errorf("area %v, want %d cells", a, len(covered))
		}
	})
}

// TestThick: slivers are told from places by their thickness, whichever way
// they lie.
func TestThick(t *testing.T) {
	for _, deg := range []float64{0, 17, 45, 55.6, 90, 124.4} {
		for _, wide := range []float64{0.0005, 0.02} {
			var s Sweep
			sn, cs := math.Sincos(deg * math.Pi / 180)
			turned := func(r []r2.Vec) []r2.Vec {
				for i, p := range r {
					r[i] = r2.Vec{X: p.X*cs - p.Y*sn, Y: p.X*sn + p.Y*cs}
				}
				return r
			}
			s.Add(turned(box(0, 0, 10, 1)), 0)
			s.Add(turned(box(0, 1-wide, 10, 3)), 1)
			most := 0.0
			s.Run(func(w []int32, tz *Trapezoid) bool {
				if w[0] > 0 && w[1] > 0 {
					most = max(most, tz.Thick())
				}
				return false
			})
			if most > 1.5*wide || most < wide*0.7 {
				t.Errorf("turned %v: an overlap of %v is %v thick", deg, wide, most)
			}
		}
	}
}

func TestEmpty(t *testing.T) {
	var s Sweep
	if got := s.Run(union); got != nil {
		t.Errorf("nothing gave %v", got)
	}
	s.Add(nil, 0)
	s.Add([]r2.Vec{{X: 1, Y: 1}, {X: 1, Y: 1}}, 0)
	if got := s.Run(union); len(got) != 0 {
		t.Errorf("a point gave %v", got)
	}
}

func BenchmarkUnion(b *testing.B) {
	var s Sweep
	const n = 500
	for k := range 6 {
		ring := make([]r2.Vec, n)
		for i := range ring {
			sn, cs := math.Sincos(2 * math.Pi * float64(i) / n)
			ring[i] = r2.Vec{X: float64(k) + cs, Y: sn}
		}
		s.Add(ring, 0)
	}
	for b.Loop() {
		s.Run(union)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/(6*n), "ns/point")
}

// TestRunWithin: a grid of bars has the outline of Run while its pieces are
// within the bound, and none beyond; the sweep is as good as new afterwards.
func TestRunWithin(t *testing.T) {
	const n = 12
	var s Sweep
	add := func() {
		s.Reset()
		for i := range n {
			x := float64(2 * i)
			s.Add([]r2.Vec{{X: x}, {X: x + 1}, {X: x + 1, Y: 2 * n}, {X: x, Y: 2 * n}}, 0)
			s.Add([]r2.Vec{{Y: x}, {X: 2 * n, Y: x}, {X: 2 * n, Y: x + 1}, {Y: x + 1}}, 0)
		}
	}
	covered := func(w []int32, _ *Trapezoid) bool { return w[0] > 0 }
	add()
	want := s.Run(covered)
	if len(want) < n*n/2 {
		t.Fatalf("%d rings of a grid of %d by %d bars", len(want), n, n)
	}
	for _, most := range []int{100, 5000, 1_000_000} {
		add()
		got, ok := s.RunWithin(most, covered)
		if ok != (most > 100_000) || ok && !slices.EqualFunc(got, want, slices.Equal[[]r2.Vec]) {
			t.Errorf("within %d pieces: %v, %d rings, want %d", most, ok, len(got), len(want))
		}
	}
	add()
	if again := s.Run(covered); !slices.EqualFunc(again, want, slices.Equal[[]r2.Vec]) {
		t.Error("Run gives another outline after a bound was passed")
	}
}
