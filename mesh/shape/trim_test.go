package shape

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

func TestTrimPrisms(t *testing.T) {
	wantVolume(t, "cylinder", Must(Trim(Cylinder(5, 10, 32, 3), 4)), gon(32)*25*6)
	wantVolume(t, "tube", Must(Trim(Tube(3, 5, 10, 32, 3), 4)), gon(32)*16*6)
	// Two surfaces that pass through each other are trimmed apart.
	two := Cylinder(5, 10, 32, 0).Append(Cylinder(5, 9, 16, 0).Move(3, 0, 0))
	wantVolume(t, "two", Must(Trim(two, 4)), gon(32)*25*6+gon(16)*25*5)
	// A ring and a disc that fills its opening: the opening is closed with the
	// ring it belongs to, not with the disc, so that both stay closed.
	both := Must(Trim(Tube(5, 10, 10, 32, 0).Append(Cylinder(7, 8, 32, 0)), 4))
	wantVolume(t, "ring and disc", both, gon(32)*(75*6+49*4))
	seen := map[int32]bool{}
	for _, f := range both.surfaces() {
		seen[f] = true
	}
	if len(seen) != 2 {
		t.Errorf("ring and disc make %d surfaces, want 2", len(seen))
	}
	// A plane through existing vertices, and one below everything.
	step := Must(Lathe([]r2.Vec{{}, {X: 5}, {X: 5, Y: 3}, {X: 2, Y: 3}, {X: 2, Y: 9}, {Y: 9}}, 20, 0))
	wantVolume(t, "at a step", Must(Trim(step, 3)), gon(20)*4*6)
	wantVolume(t, "below", Must(Trim(step, 0)), step.Volume())
	if s := Must(Trim(step, 9)); len(s.T) != 0 || len(s.V) != 0 {
		t.Errorf("nothing should be left, not %d facets", len(s.T))
	}
	// A ball lying in a hollow: the ring, and an island in it.
	hollow := Sphere(5, 24).Append(Sphere(4, 24).Flip(), Sphere(2, 24))
	half := Must(Trim(hollow, 0))
	wantVolume(t, "ball in a hollow", half, hollow.Volume()/2)
}

// What lies above a plane and what lies below it make the whole.
func TestTrimHalvesMakeTheWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		angle := rapid.Float64Range(-180, 180)
		s := Torus(10, 3, 24, 12).Append(Tube(2, 4, 9, 11, 0).Move(0, 0, -4)).
			Turn(angle.Draw(t, "x"), angle.Draw(t, "y"), 0)
		z := rapid.Float64Range(-8, 8).Draw(t, "z")
		up, err := Trim(s, z)
		if err != nil {
			t.Skip() // a section through a vertex that joins two rings
		}
		down, err := Trim(s.Turn(180, 0, 0), -z)
		if err != nil {
			t.Skip()
		}
		sum := 0.0
		for _, h := range []Solid{up, down} {
			if err := closed(h); err != "" {
				t.Fatal(err)
			}
			sum += h.Volume()
		}
		if want := s.Volume(); math.Abs(sum-want) > 1e-9*want {
			t.Fatalf("halves %g, whole %g", sum, want)
		}
		if len(up.V) > 0 && up.Bounds().Min.Z < z {
			t.Fatalf("something below %g: %v", z, up.Bounds())
		}
	})
}

// closed checks the edges alone: a plane close by a vertex may leave facets
// that float32 flattens.
func closed(s Solid) string {
	seen := map[[2]int32]int{}
	for _, t := range s.T {
		for e := range 3 {
			seen[[2]int32{t[e], t[(e+1)%3]}]++
		}
	}
	for d, n := range seen {
		if n != 1 || seen[[2]int32{d[1], d[0]}] != 1 {
			return "an edge without its one partner"
		}
	}
	return ""
}

func TestTrimRefusesATouchingSection(t *testing.T) {
	// Two square pyramids that share a corner of their bases, by which they
	// stand: the section there touches itself.
	s := Cone(0, 4, 4, 4, 0).Append(Cone(0, 4, 4, 4, 0).Move(8, 0, 0))
	for i := range s.V {
		for j := range i {
			if s.V[i] == s.V[j] {
				s = merged(s, int32(i), int32(j))
			}
		}
	}
	if _, err := Trim(s.Turn(180, 0, 0), -4); err == nil {
		t.Error("no error")
	}
}

func merged(s Solid, from, to int32) Solid {
	r := Solid{V: s.V, T: append([][3]int32{}, s.T...)}
	for f := range r.T {
		for e := range 3 {
			if r.T[f][e] == from {
				r.T[f][e] = to
			}
		}
	}
	return r
}
