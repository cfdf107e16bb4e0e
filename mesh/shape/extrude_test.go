package shape

import (
	"errors"
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"playgauge/mesh/region"
)

func TestExtrudeRandomPolygonsWithHoles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		outer := star(t, "outer", r2.Vec{}, 20, 40)
		area := Area(outer)
		// Holes on a grid inside the square that every outer polygon of
		// radii from 20 holds: its incircle is at least 20 cos(60).
		var holes [][]r2.Vec
		for i := range 9 {
			if rapid.Bool().Draw(t, "hole") {
				c := r2.Vec{X: 4.5 * float64(i%3-1), Y: 4.5 * float64(i/3-1)}
				h := star(t, "corners", c, 0.2, 2)
				area -= Area(h)
				if rapid.Bool().Draw(t, "reversed") {
					slices.Reverse(h)
				}
				holes = append(holes, h)
			}
		}
		if rapid.Bool().Draw(t, "clockwise") {
			slices.Reverse(outer)
		}
		if rapid.Bool().Draw(t, "divided") { // corners along straight sides
			outer = Divide(outer, 3)
			for i := range holes {
				holes[i] = Divide(holes[i], 0.7)
			}
		}
		s, err := Extrude(outer, holes, 1, 4)
		if err != nil {
			// Only three far corners cut the square off.
			if len(outer) > 5 {
				t.Fatal(err)
			}
			t.Skip()
		}
		if err := s.Check(); err != nil {
			t.Fatal(err)
		}
		if got := s.Volume(); math.Abs(got-3*area) > 1e-9 {
			t.Fatalf("volume %g, want %g", got, 3*area)
		}
		if got, want := euler(s), 2-2*len(holes); got != want {
			t.Fatalf("Euler characteristic %d, want %d", got, want)
		}
		wantUp(t, s, 4, area)
	})
}

// wantUp checks that every facet of the upper end at the height z faces up and
// that together they cover the region. It returns the least height of one, mm.
func wantUp(t interface{ Fatalf(string, ...any) }, s Solid, z, area float64) (thin float64) {
	sum := 0.0
	thin = math.Inf(1)
	for _, f := range s.T {
		a, b, c := s.V[f[0]], s.V[f[1]], s.V[f[2]]
		if a.Z != z || b.Z != z || c.Z != z {
			continue
		}
		if region.Orient(r2.Vec{X: a.X, Y: a.Y}, r2.Vec{X: b.X, Y: b.Y}, r2.Vec{X: c.X, Y: c.Y}) <= 0 {
			t.Fatalf("a flat facet has no area or faces down at %v", a)
		}
		twice := r3.Cross(r3.Sub(b, a), r3.Sub(c, a)).Z
		sum += twice / 2
		thin = min(thin, twice/max(r3.Norm(r3.Sub(b, a)), r3.Norm(r3.Sub(c, b)), r3.Norm(r3.Sub(a, c))))
	}
	if math.Abs(sum-area) > 1e-9*(1+area) {
		t.Fatalf("facets at z %g cover %g, want %g", z, sum, area)
	}
	return thin
}

// Points that divide a side lie on it but for rounding. No facet is made of
// three of them: in float32 it would have no area.
func TestExtrudeDividedSidesMakeNoSlivers(t *testing.T) {
	for n := 3; n < 12; n++ {
		for phase := 0.0; phase < 90; phase += 13 {
			outer := Divide(Circle(r2.Vec{X: 0.3, Y: 0.7}, 20, n, phase), 1.3)
			hole := Divide(Circle(r2.Vec{X: 1}, 5, n+1, 2*phase), 0.9)
			s := Must(Extrude(outer, [][]r2.Vec{hole}, 0, 1))
			if thin := wantUp(t, s, 1, Area(outer)-Area(hole)); thin < 1e-5 {
				t.Errorf("%d sides, phase %g: a facet is %g mm high", n, phase, thin)
			}
		}
	}
}

// Corners of holes in one line, sharing their x, give bridges in one line.
func TestExtrudeHolesInARow(t *testing.T) {
	outer := Rect(0, 0, 100, 20)
	var holes [][]r2.Vec
	area := 2000.0
	for i := range 9 {
		for j := range 2 {
			h := Rect(5+10*float64(i), 4+8*float64(j), 10+10*float64(i), 8+8*float64(j))
			area -= Area(h)
			holes = append(holes, h)
		}
	}
	s := Must(Extrude(outer, holes, 0, 1))
	wantVolume(t, "row of holes", s, area)
	wantUp(t, s, 1, area)
}

// A comb is concave throughout, and its teeth stand in line.
func TestExtrudeComb(t *testing.T) {
	outer := []r2.Vec{{X: 50, Y: 10}, {X: 0, Y: 10}}
	for i := range 10 {
		x := 5 * float64(i)
		outer = append(outer, r2.Vec{X: x}, r2.Vec{X: x + 3}, r2.Vec{X: x + 3, Y: 9}, r2.Vec{X: x + 5, Y: 9})
	}
	outer[len(outer)-1] = r2.Vec{X: 50, Y: 9}
	s := Must(Extrude(outer, nil, 0, 2))
	wantVolume(t, "comb", s, 2*(50+10*3*9))
	wantUp(t, s, 2, 50+10*3*9)
}

func TestExtrudeRefuses(t *testing.T) {
	square := Rect(0, 0, 10, 10)
	for name, c := range map[string]struct {
		outer  []r2.Vec
		holes  [][]r2.Vec
		z0, z1 float64
	}{
		"two corners":      {square[:2], nil, 0, 1},
		"bow tie":          {[]r2.Vec{{}, {X: 1, Y: 1}, {X: 1}, {Y: 1}}, nil, 0, 1},
		"spike":            {[]r2.Vec{{}, {X: 5}, {X: 5, Y: 5}, {X: 5, Y: 9}, {X: 5, Y: 5.5}, {Y: 5}}, nil, 0, 1},
		"corner twice":     {[]r2.Vec{{}, {X: 5}, {X: 5}, {Y: 5}}, nil, 0, 1},
		"not a number":     {[]r2.Vec{{}, {X: math.NaN()}, {Y: 5}}, nil, 0, 1},
		"no area":          {[]r2.Vec{{}, {X: 1}, {X: 2}}, nil, 0, 1},
		"hole across":      {square, [][]r2.Vec{Rect(5, 5, 15, 8)}, 0, 1},
		"hole outside":     {square, [][]r2.Vec{Rect(15, 5, 18, 8)}, 0, 1},
		"hole touches":     {square, [][]r2.Vec{Rect(5, 5, 10, 8)}, 0, 1},
		"hole in a hole":   {square, [][]r2.Vec{Rect(2, 2, 8, 8), Rect(3, 3, 4, 4)}, 0, 1},
		"holes touch":      {square, [][]r2.Vec{Rect(2, 2, 4, 4), Rect(4, 4, 6, 6)}, 0, 1},
		"no height":        {square, nil, 1, 1},
		"height no number": {square, nil, 1, math.NaN()},
	} {
		s, err := Extrude(c.outer, c.holes, c.z0, c.z1)
		var e *Error
		if !errors.As(err, &e) || len(s.T) != 0 {
			t.Errorf("%s: error %v, %d facets", name, err, len(s.T))
		}
	}
}

func TestBored(t *testing.T) {
	square := Rect(0, 0, 20, 20)
	c := func(x, y float64) r2.Vec { return r2.Vec{X: x, Y: y} }
	recess := Bore{c(5, 5), []r2.Vec{{X: 3, Y: 8}, {X: 2, Y: 7}, {X: 2, Y: 4}, {Y: 4}}, 24, 0}
	hole := Bore{c(15, 5), []r2.Vec{{X: 2, Y: 0}, {X: 3, Y: 4}, {X: 3, Y: 8}}, 32, 10}
	boss := Bore{c(15, 15), []r2.Vec{{X: 3, Y: 8}, {X: 1, Y: 10}, {Y: 10}}, 16, 0}
	under := Bore{c(5, 15), []r2.Vec{{X: 2, Y: 0}, {X: 1, Y: -1}, {X: 1, Y: -3}, {Y: -3}}, 12, 0}
	s := Must(Bored(square, 0, 8, recess, hole, boss, under))
	frustum := func(r0, r1, h float64) float64 { return h / 3 * (r0*r0 + r0*r1 + r1*r1) }
	want := 20*20*8 -
		gon(24)*(frustum(3, 2, 1)+4*3) -
		gon(32)*(frustum(2, 3, 4)+9*4) +
		gon(16)*frustum(3, 1, 2) +
		gon(12)*(frustum(2, 1, 1)+2)
	wantVolume(t, "bored", s, want)
	if got := euler(s); got != 0 { // one way through
		t.Errorf("Euler characteristic %d, want 0", got)
	}
	down := hole
	down.Profile = slices.Clone(hole.Profile)
	slices.Reverse(down.Profile)
	wantVolume(t, "bored, other way", Must(Bored(square, 0, 8, recess, down, boss, under)), want)

	for name, b := range map[string]Bore{
		"begins in mid-air": {c(5, 5), []r2.Vec{{X: 1, Y: 5}, {Y: 4}}, 12, 0},
		"ends in mid-air":   {c(5, 5), []r2.Vec{{X: 1, Y: 8}, {X: 1, Y: 4}}, 12, 0},
		"returns":           {c(5, 5), []r2.Vec{{X: 1, Y: 8}, {X: 1, Y: 4}, {X: 2, Y: 8}}, 12, 0},
		"pinched":           {c(5, 5), []r2.Vec{{X: 1, Y: 8}, {X: 0, Y: 4}, {X: 1, Y: 0}}, 12, 0},
		"two segments":      {c(5, 5), []r2.Vec{{X: 1, Y: 8}, {Y: 4}}, 2, 0},
		"across the side":   {c(1, 5), []r2.Vec{{X: 3, Y: 8}, {Y: 4}}, 12, 0},
	} {
		if _, err := Bored(square, 0, 8, b); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
}
