package gapscan

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
	"playgauge/mesh/shape"
	"playgauge/mesh/shape/garden"
)

// facet is the nine coordinates of a triangle of a soup.
func facet(s *mesh.Soup, i int) []float32 { return s.XYZ[9*i : 9*i+9 : 9*i+9] }

func flipFacet(s *mesh.Soup, i int) {
	f := facet(s, i)
	for k := range 3 {
		f[3+k], f[6+k] = f[6+k], f[3+k]
	}
}

// some calls visit for n triangles of a soup as it is now, chosen by chance.
func some(s *mesh.Soup, r *rand.Rand, n int, visit func(i int)) {
	for _, i := range r.Perm(s.Triangles())[:n] {
		visit(i)
	}
}

// damages are ways in which files are found, and what the answer says of them.
var damages = []struct {
	name string
	do   func(s *mesh.Soup, r *rand.Rand)
	says string // what a warning contains
	// closed says that nothing is left open for the layers to close.
	closed bool
	off    float64 // by which gaps may differ, mm
}{
	{"facets gone", func(s *mesh.Soup, r *rand.Rand) {
		gone := map[int]bool{}
		some(s, r, 5, func(i int) { gone[i] = true })
		var kept []float32
		for i := range s.Triangles() {
			if !gone[i] {
				kept = append(kept, facet(s, i)...)
			}
		}
		s.XYZ = kept
	}, "the walls there are a guess", false, 1e-4},
	{"facets drawn twice", func(s *mesh.Soup, r *rand.Rand) {
		some(s, r, 40, func(i int) { s.XYZ = append(s.XYZ, facet(s, i)...) })
	}, "40 triangles drawn over others left out", true, 0},
	{"facets drawn twice, the other way round", func(s *mesh.Soup, r *rand.Rand) {
		some(s, r, 40, func(i int) { s.XYZ = append(s.XYZ, facet(s, i)...); flipFacet(s, s.Triangles()-1) })
	}, "40 triangles drawn over others left out", true, 0},
	{"all drawn twice", func(s *mesh.Soup, r *rand.Rand) { s.XYZ = append(s.XYZ, s.XYZ...) }, "triangles drawn twice", true, 0},
	{"facets the wrong way round", func(s *mesh.Soup, r *rand.Rand) {
		some(s, r, 40, func(i int) { flipFacet(s, i) })
	}, "40 triangles ran against the surface around; turned", true, 0},
	{"all the wrong way round", func(s *mesh.Soup, r *rand.Rand) {
		some(s, r, s.Triangles(), func(i int) { flipFacet(s, i) })
	}, "the whole file was inside out; turned", true, 0},
	{"sides divided on one side only", func(s *mesh.Soup, r *rand.Rand) {
		some(s, r, 40, func(i int) {
			a, b := slices.Clone(facet(s, i)), facet(s, i)
			for k := range 3 {
				m := (a[k] + a[3+k]) / 2
				a[k], b[3+k] = m, m
			}
			s.XYZ = append(s.XYZ, a...)
		})
	}, "hairline cracks", false, 1e-4},
	{"corners rounded anew in each facet", func(s *mesh.Soup, r *rand.Rand) {
		for i := range s.XYZ {
			switch r.IntN(3) {
			case 0:
				s.XYZ[i] = math.Nextafter32(s.XYZ[i], math.MaxFloat32)
			case 1:
				s.XYZ[i] = math.Nextafter32(s.XYZ[i], -math.MaxFloat32)
			}
		}
	}, "corners at open edges lay within 0.002 mm of another", true, 1e-4},
	{"needles laid on sides", func(s *mesh.Soup, r *rand.Rand) {
		some(s, r, 200, func(i int) {
			f := facet(s, i)
			s.XYZ = append(s.XYZ, f[0], f[1], f[2], f[3], f[4], f[5], f[3]+1e-7, f[4]+1e-7, f[5])
		})
	}, "left out", true, 0},
	{"facets without area", func(s *mesh.Soup, r *rand.Rand) {
		some(s, r, 200, func(i int) {
			f := facet(s, i)
			s.XYZ = append(s.XYZ, f[:6]...)
			s.XYZ = append(s.XYZ, (f[0]+f[3])/2, (f[1]+f[4])/2, (f[2]+f[5])/2)
		})
	}, "200 triangles without height", true, 0},
	{"flakes in the solid", func(s *mesh.Soup, r *rand.Rand) {
		s.XYZ = append(s.XYZ, 29, 12, 1, 31, 12, 1, 30, 14, 2)
	}, "adds nothing", false, 0},
	{"80 m from the origin", func(s *mesh.Soup, r *rand.Rand) {
		for i := range s.XYZ {
			s.XYZ[i] += 80_000
		}
	}, "places are 0.00781 mm apart", true, 0.01},
}

// TestDamagedToys: damaged in the ways of downloads, a toy keeps its parts,
// its joint, its gaps and its outcome, and the answer says what was wrong.
func TestDamagedToys(t *testing.T) {
	solid := shape.Must(garden.GateHinge(0.45))
	want, err := Vet(solid.Soup(), AsIs(), keeps(0.4, 0.4, 0.5))
	if err != nil {
		t.Fatal(err)
	}
	if want.Outcome != Sticks || len(want.Joints) != 1 {
		t.Fatalf("whole: %s, %d joints", want.Outcome, len(want.Joints))
	}
	for _, d := range damages {
		t.Run(d.name, func(t *testing.T) {
			s := solid.Soup()
			d.do(s, rand.New(rand.NewPCG(1, 2)))
			got, err := Vet(s, AsIs(), keeps(0.4, 0.4, 0.5))
			if err != nil {
				t.Fatal(err)
			}
			wantSound(t, got)
			if !slices.ContainsFunc(got.Mesh.Warnings, func(w string) bool { return strings.Contains(w, d.says) }) {
				t.Errorf("no warning says %q: %q", d.says, got.Mesh.Warnings)
			}
			if repaired := slices.ContainsFunc(got.Layers, func(l Layer) bool { return l.RepairedContours > 0 }); repaired == d.closed {
				t.Errorf("contours repaired: %v; %q", repaired, got.Mesh.Warnings)
			}
			if len(got.Parts) != len(want.Parts) || len(got.Joints) != 1 || got.Outcome != want.Outcome || got.PrintedParts != want.PrintedParts {
				t.Fatalf("%d parts, %d joints, %d printed, %s; want %d, 1, %d, %s", len(got.Parts), len(got.Joints), got.PrintedParts, got.Outcome, len(want.Parts), want.PrintedParts, want.Outcome)
			}
			if a, b := want.Joints[0], got.Joints[0]; !near2(a.TrueGapMM, b.TrueGapMM, d.off+1e-6) || !near2(*a.SideGapMM, *b.SideGapMM, d.off+1e-6) || !near2(*a.Margin, *b.Margin, 3*d.off+1e-5) {
				t.Errorf("true gap %v, side gap %v, margin %v; want %v, %v, %v", b.TrueGapMM, *b.SideGapMM, *b.Margin, a.TrueGapMM, *a.SideGapMM, *a.Margin)
			}
		})
	}
}

// TestWhetherARepairMatters: a wall is gone whose ends lie near another part,
// and one of a block that stands apart.
func TestWhetherARepairMatters(t *testing.T) {
	for _, c := range []struct {
		x    float64 // where the other block begins
		says string
	}{
		{1.9, "and part 1 is near, first in layer 1: the outcome may hang on them"},
		{9, "and no other part is near: no outcome hangs on them"},
	} {
		s := box(0, 0, 0, 1.5, 20, 4).Append(box(c.x, 0, 0, 30, 20, 4)).Soup()
		var kept []float32
		for i := range s.Triangles() {
			if f := facet(s, i); !(f[1] == 0 && f[4] == 0 && f[7] == 0 && f[0] < 1.6) {
				kept = append(kept, f...)
			}
		}
		s.XYZ = kept
		r := vetSoup(t, s, AsIs())
		want := "layers 1 to 20: 20 contours closed across gaps of up to 1.50 mm; the walls there are a guess, " + c.says
		if !slices.Contains(r.Mesh.Warnings, want) {
			t.Errorf("a block from %v: %q, want %q", c.x, r.Mesh.Warnings, want)
		}
	}
}

// TestSurfaceThroughItself: a ring bent so that its ends pass through each
// other is one part, told of, and its gap to a post is that of the outside.
func TestSurfaceThroughItself(t *testing.T) {
	// A flat bar from radius 7 to 10, wound one and a fifth times round in one
	// plane: its last fifth runs through its first.
	const n = 127
	var ring shape.Solid
	for i := range int32(n + 1) {
		sin, cos := math.Sincos(2.4 * math.Pi * float64(i) / n)
		for _, p := range [4][2]float64{{7, 0}, {10, 0}, {10, 3}, {7, 3}} {
			ring.V = append(ring.V, r3.Vec{X: p[0] * cos, Y: p[0] * sin, Z: p[1]})
		}
		for k := range int32(4) {
			if i == 0 {
				continue
			}
			a, b := 4*(i-1)+k, 4*(i-1)+(k+1)%4
			ring.T = append(ring.T, [3]int32{a, b + 4, b}, [3]int32{a, a + 4, b + 4})
		}
	}
	ring.T = append(ring.T, [3]int32{0, 1, 2}, [3]int32{0, 2, 3}, [3]int32{4*n + 0, 4*n + 2, 4*n + 1}, [3]int32{4*n + 0, 4*n + 3, 4*n + 2})
	if err := ring.Check(); err != nil {
		t.Fatal(err)
	}
	post := shape.Cylinder(6.5, 3, 128, 0)
	r := vetSoup(t, ring.Append(post).Soup(), AsIs())
	if len(r.Parts) != 2 || len(r.Joints) != 1 || r.Joints[0].TrueGapMM < 0.45 || r.Joints[0].TrueGapMM > 0.5 || r.PrintedParts != 2 {
		t.Errorf("%d parts, %d joints, true gap %v", len(r.Parts), len(r.Joints), r.Joints[0].TrueGapMM)
	}
	if !slices.ContainsFunc(r.Mesh.Warnings, func(w string) bool {
		return strings.Contains(w, "passes through itself in 15 layers from 1 to 15")
	}) {
		t.Errorf("warnings %q", r.Mesh.Warnings)
	}
	for _, l := range r.Layers {
		if l.Islands != 2 || !near2(*l.SideGapMM, r.Joints[0].TrueGapMM, 1e-3) {
			t.Errorf("layer %d: %d islands, side gap %v, want 2 and %v", l.Layer, l.Islands, *l.SideGapMM, r.Joints[0].TrueGapMM)
		}
	}
	// On the bed lies a ring, not a ring and a quarter: 91 = 100 - 9 times pi.
	for _, p := range r.Parts {
		if area := *p.BedContactMM2; math.Abs(area-51*math.Pi) > 1 && math.Abs(area-6.5*6.5*math.Pi) > 1 {
			t.Errorf("part %d lies on the bed with %v mm2", p.ID, area)
		}
	}
}

// TestPartsThatTouch: at zero distance two shells are two parts, whether their
// faces share corners, lie in one plane or meet in an edge, and it is said.
func TestPartsThatTouch(t *testing.T) {
	cube := box(0, 0, 0, 20, 20, 10)
	for _, c := range []struct {
		name  string
		other shape.Solid
		parts int
		cause Cause
	}{
		{"the same face beside", box(20, 0, 0, 40, 20, 10), 2, CauseBottom},
		{"the same face above", box(0, 0, 10, 20, 20, 20), 2, CauseRoof},
		{"in one plane, smaller", box(20, 3, 0, 30, 7, 9), 2, CauseBottom},
		{"in one plane, half over", box(20, 10, 2, 30, 30, 9), 2, CauseSide},
		{"an edge", box(20, 20, 0, 40, 40, 10), 2, CauseBottom},
		{"overlapping by less than contact", box(20-0.9*mesh.ContactDepth, 3, 0, 30, 7, 9), 2, CauseBottom},
		{"overlapping by more", box(20-2*mesh.ContactDepth, 3, 0, 30, 7, 9), 1, ""},
		{"beside by a hair", box(20.0005, 3, 0, 30, 7, 9), 2, CauseBottom},
	} {
		r := vetSoup(t, cube.Append(c.other).Soup(), AsIs())
		if len(r.Parts) != c.parts || len(r.Joints) != c.parts-1 {
			t.Errorf("%s: %d parts, %d joints; want %d parts", c.name, len(r.Parts), len(r.Joints), c.parts)
			continue
		}
		said := slices.ContainsFunc(r.Mesh.Warnings, func(w string) bool { return strings.HasPrefix(w, "parts 1 and 2 touch") })
		if want := c.parts == 2 && c.name != "beside by a hair"; said != want {
			t.Errorf("%s: said to touch: %v, want %v: %q", c.name, said, want, r.Mesh.Warnings)
		}
		if c.parts == 2 && (*r.Joints[0].Cause != c.cause || r.Joints[0].TrueGapMM > 0.001 || *r.Joints[0].Margin > 0.01) {
			t.Errorf("%s: %+v", c.name, r.Joints[0])
		}
	}
}
