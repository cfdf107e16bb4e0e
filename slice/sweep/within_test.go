package sweep

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// cutPlainly cuts a ring off beyond all four sides of a box, whether anything
// lies there or not.
func cutPlainly(ring []r2.Vec, box r2.Box) []r2.Vec {
	for _, depth := range []func(p r2.Vec) float64{
		func(p r2.Vec) float64 { return p.X - box.Min.X },
		func(p r2.Vec) float64 { return box.Max.X - p.X },
		func(p r2.Vec) float64 { return p.Y - box.Min.Y },
		func(p r2.Vec) float64 { return box.Max.Y - p.Y },
	} {
		var out []r2.Vec
		for i, b := range ring {
			a := ring[(i+len(ring)-1)%len(ring)]
			da, db := depth(a), depth(b)
			if (da < 0) != (db < 0) {
				t := da / (da - db)
				out = append(out, r2.Vec{X: a.X + float64(t*(b.X-a.X)), Y: a.Y + float64(t*(b.Y-a.Y))})
			}
			if db >= 0 {
				out = append(out, b)
			}
		}
		ring = out
	}
	return ring
}

// TestAddWithin: the points that are added are those of the plain cut, bit for
// bit, and the winding number inside the box is the ring's own.
func TestAddWithin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		ring := drawnRing(t)
		side := func(label string, lo float64) float64 {
			return lo + rapid.SampledFrom([]float64{0, 1, 1 - 1e-7, 1 + 1e-3, 2, 2.25, 3, 10}).Draw(t, label)
		}
		b := r2.Box{Min: r2.Vec{X: side("x0", -1), Y: side("y0", -1)}}
		b.Max = r2.Vec{X: side("x1", b.Min.X+0.5), Y: side("y1", b.Min.Y+0.5)}
		want := cutPlainly(ring, b)
		var s Sweep
		ok := s.AddWithin(ring, boxOf(ring), 0, b)
		if ok != (len(want) >= 3) || ok && !slices.Equal(s.pts, want) {
			t.Fatalf("%v: %v, want %v", ok, s.pts, want)
		}
		area := func(add func(s *Sweep)) float64 {
			s, sum := Sweep{}, 0.0
			s.Add(box(b.Min.X, b.Min.Y, b.Max.X, b.Max.Y), 1)
			add(&s)
			s.Run(func(w []int32, t *Trapezoid) bool {
				if w[1] > 0 {
					sum += t.Area() * float64(w[0])
				}
				return false
			})
			return sum
		}
		whole := area(func(s *Sweep) { s.Add(ring, 0) })
		if a := area(func(s *Sweep) { s.AddWithin(ring, boxOf(ring), 0, b) }); math.Abs(a-whole) > 1e-6 {
			t.Fatalf("area times winding %v, of the whole ring %v", a, whole)
		}
	})
}

// TestRunOver asks of nothing outside set 0, and gives what Run gives.
func TestRunOver(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var s Sweep
		s.Add(drawnRing(t), 0)
		s.Add(drawnRing(t), 1)
		want := s.Run(func(w []int32, _ *Trapezoid) bool { return w[0] > 0 && w[1]&1 == 0 })
		got := s.RunOver(func(w []int32, _ *Trapezoid) bool {
			if w[0] <= 0 {
				t.Fatal("asked of what set 0 does not cover")
			}
			return w[1]&1 == 0
		})
		if !slices.EqualFunc(got, want, slices.Equal[[]r2.Vec]) {
			t.Fatalf("%v, want %v", got, want)
		}
	})
}

// TestAny answers what RunOver is asked, asks no more than it must, and leaves
// the sweep as it was.
func TestAny(t *testing.T) {
	yes, no := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		var s Sweep
		s.Add(drawnRing(t), 0)
		s.Add(drawnRing(t), 1)
		thin := rapid.SampledFrom([]float64{0, 0.3, 1, 3}).Draw(t, "thin")
		ask := func(w []int32, t *Trapezoid) bool { return w[1] > 0 && t.Thicker(thin) }
		until := 0 // the number of questions up to the first yes
		found := false
		whole := func() [][]r2.Vec {
			return s.RunOver(func(w []int32, t *Trapezoid) bool {
				if !found {
					until++
				}
				yes := ask(w, t)
				found = found || yes
				return yes
			})
		}
		rings, asked := whole(), 0
		if got := s.Any(func(w []int32, t *Trapezoid) bool { asked++; return ask(w, t) }); got != found || asked != until {
			t.Fatalf("%v after %d questions, want %v after %d", got, asked, found, until)
		}
		if again := whole(); !slices.EqualFunc(again, rings, slices.Equal[[]r2.Vec]) {
			t.Fatalf("%v afterwards, %v before", again, rings)
		}
		if found {
			yes++
		} else {
			no++
		}
	})
	if min(yes, no) < (yes+no)/20 {
		t.Errorf("%d found, %d not", yes, no)
	}
}
