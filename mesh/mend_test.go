package mesh

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// TestCornersThatNearlyMeet: a ball in a box's hollow, every corner of every
// triangle rounded anew, is what it was; corners farther apart than MendWithin
// stay apart.
func TestCornersThatNearlyMeet(t *testing.T) {
	whole := soup(join(ball(vec(0, 0, 0), 3, 24), ball(vec(9, 0, 0), 2, 24)))
	for _, c := range []struct {
		off    float64
		closed bool
	}{{1e-6, true}, {MendWithin / 4, true}, {2 * MendWithin, false}} {
		rnd := rand.New(rand.NewPCG(3, 4))
		s := &Soup{XYZ: slices.Clone(whole.XYZ)}
		for i := range s.XYZ {
			s.XYZ[i] += float32(c.off * (2*rnd.Float64() - 1) / math.Sqrt(3))
		}
		m, err := Build(s, Placement{})
		if err != nil {
			t.Fatal(err)
		}
		checkMesh(t, m)
		if m.Closed() != c.closed || m.Watertight() {
			t.Errorf("off by %g: %d of %d open edges left", c.off, m.LeftOpen, m.OpenEdges)
		}
		if !c.closed {
			continue
		}
		if len(m.Parts) != 2 || len(m.Shells) != 2 || len(m.Warnings) != 2 || !strings.HasSuffix(m.Warnings[0], "edges are open; closed as follows") || !strings.Contains(m.Warnings[1], "corners at open edges") {
			t.Errorf("off by %g: %d parts, %d shells, warnings %q", c.off, len(m.Parts), len(m.Shells), m.Warnings)
		}
		// Moved by c.off, a surface sweeps no more than its area times that.
		want, err := Build(&Soup{XYZ: whole.XYZ}, Placement{})
		if err != nil {
			t.Fatal(err)
		}
		for i := range want.Parts {
			near(t, "volume", m.Parts[i].Volume, want.Parts[i].Volume, 4*math.Pi*9*2*c.off+1e-4)
		}
		again, err := Build(shuffledSoup(s, 5), Placement{})
		if err != nil {
			t.Fatal(err)
		}
		for i := range m.Parts {
			if again.Parts[i].Box != m.Parts[i].Box {
				t.Errorf("off by %g: shuffled, part %d is %v, was %v", c.off, i+1, again.Parts[i].Box, m.Parts[i].Box)
			}
		}
	}
}

func shuffledSoup(s *Soup, seed uint64) *Soup {
	out := &Soup{}
	for _, i := range rand.New(rand.NewPCG(seed, 0)).Perm(s.Triangles()) {
		out.XYZ = append(out.XYZ, s.XYZ[9*i:9*i+9]...)
	}
	return out
}

// TestFineHoleIsNoChain: corners of a hole that lie nearer to each other than
// MendWithin, one after the other, do not run together into one.
func TestFineHoleIsNoChain(t *testing.T) {
	const n = 400
	const radius = 0.8 * MendWithin * n / (2 * math.Pi)
	var f facets
	for i := range n {
		at := func(k int) r3.Vec {
			sin, cos := math.Sincos(2 * math.Pi * float64(k) / n)
			return vec(5+radius*cos, 5+radius*sin, 0)
		}
		f = append(f, [3]r3.Vec{at(i), at(i + 1), vec(5, 5, 3)})
	}
	m := built(t, f)
	if got := m.Box.Max.X - m.Box.Min.X; math.Abs(got-2*radius) > 2*MendWithin {
		t.Errorf("%v wide, want %v", got, 2*radius)
	}
}

// TestSlivers: triangles without height, laid on edges that are closed, do not
// part the triangles that close them.
func TestSlivers(t *testing.T) {
	rnd := rand.New(rand.NewPCG(8, 9))
	f := box(0, 0, 0, 7, 5, 3)
	all := slices.Clone(f)
	for i, c := range f {
		a, b := c[i%3], c[(i+1)%3]
		k := 0.2 + 0.6*rnd.Float64()
		all = append(all, [3]r3.Vec{a, b, between(a, b, k)})
	}
	m := built(t, all)
	if !m.Closed() || len(m.Shells) != 1 || len(m.T) != 12 || m.NonManifoldEdges == 0 {
		t.Errorf("%d open edges left, %d shells, %d facets, %d edges of many", m.LeftOpen, len(m.Shells), len(m.T), m.NonManifoldEdges)
	}
	if want := "12 triangles without height at edges that are closed without them left out"; len(m.Warnings) != 3 || m.Warnings[2] != want {
		t.Errorf("warnings %q, want %q last", m.Warnings, want)
	}
	near(t, "volume", m.Parts[0].Volume, 105, 1e-9)

	// One that closes the mesh stays: the top's edge along x has a corner in
	// its middle on one side, and a triangle without height between.
	f = box(0, 0, 0, 2, 2, 2)
	mid := vec(1, 0, 2)
	for i, c := range f {
		for e := range 3 {
			a, b, d := c[e], c[(e+1)%3], c[(e+2)%3]
			if a == vec(0, 0, 2) && b == vec(2, 0, 2) {
				f[i] = [3]r3.Vec{a, mid, d}
				f = append(f, [3]r3.Vec{mid, b, d}, [3]r3.Vec{a, b, mid})
			}
		}
	}
	if m := built(t, f); !m.Watertight() || len(m.Warnings) != 0 {
		t.Errorf("%d open edges, warnings %q", m.OpenEdges, m.Warnings)
	}
}

// TestNeedles: triangles as thin as 1e-7 mm are part of the surface they are
// in.
func TestNeedles(t *testing.T) {
	// A strip of a box's top is 1e-7 mm wide: float32 tells that apart next
	// to 0 only.
	f := box(0, 0, 0, 4, 4, 2)
	split := vec(1e-7, 0, 2)
	for i, c := range f {
		for e := range 3 {
			a, b, d := c[e], c[(e+1)%3], c[(e+2)%3]
			if a.Y == 0 && b.Y == 0 && a.Z == 2 && b.Z == 2 {
				f[i] = [3]r3.Vec{a, split, d}
				f = append(f, [3]r3.Vec{split, b, d})
			}
		}
	}
	m := built(t, f)
	if len(f) != 14 || !m.Watertight() || len(m.Parts) != 1 || len(m.Warnings) != 0 {
		t.Errorf("%d facets, %d open edges, %d parts, warnings %q", len(f), m.OpenEdges, len(m.Parts), m.Warnings)
	}
	near(t, "volume", m.Parts[0].Volume, 32, 1e-9)
}

// TestFarFromTheOrigin: where float32 is coarse, it is said how coarse.
func TestFarFromTheOrigin(t *testing.T) {
	at := func(x float64) []string {
		return built(t, box(x, 0, 0, x+8, 5, 3)).Warnings
	}
	if w := at(8000); len(w) != 0 {
		t.Errorf("8 m from the origin: %q", w)
	}
	// float32 has 24 bits: beyond 2^19 mm its numbers are 2^-4 mm apart.
	w := at(900_000)
	if len(w) != 1 || !strings.Contains(w[0], "places are 0.0625 mm apart") {
		t.Errorf("900 m from the origin: %q", w)
	}
}
