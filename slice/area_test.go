package slice

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/mesh/shape"
)

// A body turned in n segments has flat trapezoids between its rings, so its
// section at z is an n-gon for every side of the profile that z crosses, by
// vertices on the radius the side has there. latheArea adds their areas, n/2
// sin(2 pi/n) rho^2, outer ones less inner ones.
func latheArea(profile []r2.Vec, n int, z float64) float64 {
	if shape.Area(profile) < 0 {
		profile = slices.Clone(profile)
		slices.Reverse(profile)
	}
	sum := 0.0
	for i, a := range profile {
		b := profile[(i+1)%len(profile)]
		if (a.Y >= z) == (b.Y >= z) {
			continue
		}
		rho := a.X + (z-a.Y)/(b.Y-a.Y)*(b.X-a.X)
		if b.Y > a.Y { // counter-clockwise in (r, z): the outside goes up
			sum += rho * rho
		} else {
			sum -= rho * rho
		}
	}
	return float64(n) / 2 * math.Sin(2*math.Pi/float64(n)) * sum
}

// variation bounds how much latheArea goes up and down in all: one term for
// each side of the profile.
func variation(profile []r2.Vec, n int) float64 {
	sum := 0.0
	for i, a := range profile {
		b := profile[(i+1)%len(profile)]
		sum += math.Abs(a.X*a.X - b.X*b.X)
	}
	return float64(n) / 2 * math.Sin(2*math.Pi/float64(n)) * sum
}

// TestTorusSections: the flat torus R, r at height z has the section 4 pi R
// sqrt(r^2-z^2) [calc, check values: geometry]. The polyhedron's is exact in
// latheArea; it differs from the true one by no more than the sagittas of its
// two polygons, R(1-cos(pi/n)) [calc, same], allow.
func TestTorusSections(t *testing.T) {
	const R, r = 10.0, 2.0
	for _, tc := range []struct{ nR, nr int }{{32, 16}, {64, 32}, {128, 64}, {256, 128}} {
		m, st := cut(t, shape.Torus(R, r, tc.nR, tc.nr).Soup(), 0.2, 0.2)
		noRepairs(t, st)
		if len(st.Layers) != 20 {
			t.Fatalf("%d layers, want 20", len(st.Layers))
		}
		profile := shape.Circle(r2.Vec{X: R, Y: r}, r, tc.nr, 0)
		for i := range st.Layers {
			l := &st.Layers[i]
			if len(l.Islands) != 1 || len(l.Contours) != 2 {
				t.Fatalf("layer %d: %d islands, %d contours; want a ring", i+1, len(l.Islands), len(l.Contours))
			}
			if want := latheArea(profile, tc.nR, l.Z); math.Abs(l.Islands[0].Area-want) > 1e-4 {
				t.Errorf("%d x %d, z %v: area %v, want %v", tc.nR, tc.nr, l.Z, l.Islands[0].Area, want)
			}
			z := l.Z - r
			if math.Abs(z) > 0.8*r { // the profile's sagitta lies level near the poles
				continue
			}
			truth := 4 * math.Pi * R * math.Sqrt(r*r-z*z)
			ratio := 1 - float64(tc.nR)/(2*math.Pi)*math.Sin(2*math.Pi/float64(tc.nR))
			// A point of the chord is at most the sagitta from the circle, and
			// at most sagitta/cos along the level line; two circles of mean
			// circumference 2 pi R each.
			level := r * (1 - math.Cos(math.Pi/float64(tc.nr))) / math.Cos(math.Asin(0.8)+math.Pi/float64(tc.nr))
			allow := ratio*truth + 4*math.Pi*R*level
			if d := truth - l.Islands[0].Area; d < -1e-4 || d > allow {
				t.Errorf("%d x %d, z %v: area %v, true torus %v, at most %v less", tc.nR, tc.nr, l.Z, l.Islands[0].Area, truth, allow)
			}
		}
		if m.Shells[0].Open {
			t.Error("the torus is open")
		}
	}
}

// TestSphereSections: sections pi (R^2-z^2), volume 523.598776 for R = 5
// [calc, check values: geometry], by ever finer polyhedra.
func TestSphereSections(t *testing.T) {
	const R = 5.0
	for _, n := range []int{16, 64, 256} {
		_, st := cut(t, shape.Sphere(R, n).Soup(), 0.1, 0.1)
		noRepairs(t, st)
		profile := shape.Arc(r2.Vec{Y: R}, R, -90, 90, n/2)
		profile[0].X, profile[len(profile)-1].X = 0, 0
		sag := R * (1 - math.Cos(math.Pi/float64(n)))
		sum := 0.0
		for i := range st.Layers {
			l := &st.Layers[i]
			a := layerArea(l)
			sum += a * st.Plan.Height(i+1)
			if want := latheArea(profile, n, l.Z); len(l.Islands) != 1 || math.Abs(a-want) > 1e-4 {
				t.Errorf("n %d, z %v: area %v in %d islands, want %v", n, l.Z, a, len(l.Islands), want)
			}
			// The section lies between the circle of the true ball and that of
			// the ball shrunk by both sagittas.
			z := l.Z - R
			most := math.Pi * (R*R - z*z)
			least := math.Pi * ((R-2*sag)*(R-2*sag) - z*z)
			if a > most+1e-4 || a < least-1e-4 {
				t.Errorf("n %d, z %v: area %v, want %v to %v", n, l.Z, a, least, most)
			}
		}
		// The midpoint rule on an area of second degree is off by h^2/24 times
		// the difference of its slopes at the ends, 4 pi R.
		if most := 523.598776 + 0.01/24*4*math.Pi*R*1.01; sum > most || sum < 4*math.Pi/3*math.Pow(R-2*sag, 3)-0.05 {
			t.Errorf("n %d: areas times heights %v, true ball 523.598776", n, sum)
		}
	}
}

// TestRandomLathes: every section's area is the closed form's, and areas
// times heights come to the volume: a layer's area stands for the mean over
// its height with an error below how much the area varies there, so in all
// h times the variation; halving h halves that.
func TestRandomLathes(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		profile := star(t, "profile", r2.Vec{X: 4, Y: 3}, 0.5, 2.9)
		n := rapid.IntRange(3, 40).Draw(t, "n")
		lathe := shape.Must(shape.Lathe(profile, n, rapid.Float64Range(0, 90).Draw(t, "phase")))
		low := boxAround(profile).Min.Y
		for i := range profile {
			profile[i].Y -= low
		}
		for _, h := range []float64{0.4, 0.2, 0.1} {
			m, st := cut(t, lathe.Soup(), h, h)
			sum := 0.0
			for i := range st.Layers {
				l := &st.Layers[i]
				a := layerArea(l)
				sum += a * h
				if nearVertex(m, l.Z) {
					continue
				}
				// Nearly level sides move by more than float32 rounding.
				if want := latheArea(profile, n, l.Z); math.Abs(a-want) > 1e-3 {
					t.Errorf("z %v: area %v, closed form %v", l.Z, a, want)
				}
				if want := sectionArea(m, l.Z); math.Abs(a-want) > 1e-9*(1+want) {
					t.Errorf("z %v: area %v, facet by facet %v", l.Z, a, want)
				}
			}
			if v := m.Parts[0].Volume; math.Abs(sum-v) > h*variation(profile, n) {
				t.Errorf("h %v: areas times heights %v, volume %v", h, sum, v)
			}
		}
	})
}

// TestRandomExtrusions: prisms with holes, standing and laid at any angle.
func TestRandomExtrusions(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		outer := star(t, "outer", r2.Vec{}, 3, 6)
		var holes [][]r2.Vec
		if rapid.Bool().Draw(t, "hole") {
			holes = append(holes, star(t, "hole", r2.Vec{X: 0.1}, 0.2, 0.55))
		}
		s := shape.Must(shape.Extrude(outer, holes, 0, 4))
		turned := rapid.Bool().Draw(t, "turned")
		if turned {
			s = s.Turn(rapid.Float64Range(0, 360).Draw(t, "x"), rapid.Float64Range(0, 360).Draw(t, "y"), 0)
		}
		plan := math.Abs(shape.Area(outer))
		for _, h := range holes {
			plan -= math.Abs(shape.Area(h))
		}
		m, st := cut(t, s.Soup(), 0.3, 0.2)
		sum := 0.0
		for i := range st.Layers {
			l := &st.Layers[i]
			a := layerArea(l)
			sum += a * st.Plan.Height(i+1)
			if !turned && (math.Abs(a-plan) > 1e-4 || len(l.Contours) != 1+len(holes)) {
				t.Errorf("layer %d: area %v in %d contours, drawn %v", i+1, a, len(l.Contours), plan)
			}
			if nearVertex(m, l.Z) {
				continue
			}
			if want := sectionArea(m, l.Z); math.Abs(a-want) > 1e-9*(1+want) {
				t.Errorf("layer %d: area %v, facet by facet %v", i+1, a, want)
			}
			for k := range l.Islands {
				if err := polygon(l, k).Validate(); err != nil {
					t.Errorf("layer %d, island %d: %v", i+1, k, err)
				}
			}
		}
		if !turned && math.Abs(sum-plan*4) > 0.21*plan {
			t.Errorf("areas times heights %v, volume %v", sum, plan*4)
		}
	})
}
