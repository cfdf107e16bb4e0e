package garden

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/bvh"
	"playgauge/mesh/shape"
)

var toys = []struct {
	name  string
	parts func(float64) ([]shape.Solid, error)
	// size is about what is promised, mm: within 1 at every gap.
	size r3.Vec
	// short is how much less than the gap the true gap may be, as a share.
	short float64
	// bodies is the sum of Euler characteristics, 2 a ball and 0 a ring.
	euler int
}{
	// Leaves with three holes: 2 - 2*3 each; five knuckles like balls.
	{"gate hinge", gateHinge, r3.Vec{X: 60, Y: 40, Z: 7.85}, 0.0006, -4 - 4 + 5*2},
	{"pea chain", peaChain, r3.Vec{X: 80, Y: 11.8, Z: 11.2}, 1e-6, 0},
	// Slug, house, skull and two feelers.
	{"snail", snail, r3.Vec{X: 50, Y: 18, Z: 23.7}, 0.0011, 5 * 2},
}

func build(t testing.TB, parts func(float64) ([]shape.Solid, error), gap float64) ([]shape.Solid, shape.Solid) {
	t.Helper()
	p, err := parts(gap)
	if err != nil {
		t.Fatal(err)
	}
	return p, p[0].Append(p[1:]...)
}

func tree(s shape.Solid) *bvh.Tree {
	all := make([]int32, len(s.T))
	for i := range all {
		all[i] = int32(i)
	}
	return bvh.New(s.V, s.T, all)
}

func TestToysAreClosedAndStandOnTheBed(t *testing.T) {
	for _, toy := range toys {
		for _, gap := range []float64{minGap, tight, roomy, maxGap} {
			parts, all := build(t, toy.parts, gap)
			for i, p := range parts {
				if err := p.Check(); err != nil {
					t.Errorf("%s, gap %g, part %d: %v", toy.name, gap, i, err)
				}
				if p.Volume() <= 0 {
					t.Errorf("%s, gap %g, part %d: volume %g", toy.name, gap, i, p.Volume())
				}
				if b := p.Bounds(); b.Min.Z != 0 {
					t.Errorf("%s, gap %g, part %d begins at z %g", toy.name, gap, i, b.Min.Z)
				}
			}
			if e := len(all.V) - len(all.T)/2; e != toy.euler {
				t.Errorf("%s, gap %g: Euler characteristic %d, want %d", toy.name, gap, e, toy.euler)
			}
			if n := len(all.T); n > 40_000 {
				t.Errorf("%s: %d facets", toy.name, n)
			}
			b := all.Bounds()
			d := r3.Sub(r3.Sub(b.Max, b.Min), toy.size)
			if math.Abs(d.X) > 1 || math.Abs(d.Y) > 1 || math.Abs(d.Z) > 1 {
				t.Errorf("%s, gap %g: box %v, want a size near %v", toy.name, gap, b, toy.size)
			}
		}
	}
}

// The true gap of every joint is the parameter, and parts that are no
// neighbours keep well apart.
func TestTrueGapIsTheParameter(t *testing.T) {
	for _, toy := range toys {
		for _, gap := range []float64{minGap, 0.1, tight, 0.3, roomy, 0.8, maxGap} {
			parts, _ := build(t, toy.parts, gap)
			var trees []*bvh.Tree
			for _, p := range parts {
				trees = append(trees, tree(p))
			}
			for i := range trees {
				for j := range i {
					pair, ok := bvh.Nearest(trees[i], trees[j], 100)
					if !ok {
						t.Fatalf("%s: nothing near", toy.name)
					}
					if i-j > 1 {
						if pair.Dist < 2*gap || pair.Dist < 1 {
							t.Errorf("%s, gap %g: parts %d and %d are %g apart", toy.name, gap, i, j, pair.Dist)
						}
						continue
					}
					if pair.Dist > gap*(1+1e-9) || pair.Dist < gap*(1-toy.short) {
						t.Errorf("%s, gap %g: true gap %.7f between %v and %v", toy.name, gap, pair.Dist, pair.A, pair.B)
					}
				}
			}
		}
	}
}

func TestModels(t *testing.T) {
	files := map[string]bool{}
	for _, m := range Models() {
		if files[m.File] || !strings.HasSuffix(m.File, ".stl") || m.File != strings.ToLower(m.File) || strings.Contains(m.File, " ") {
			t.Errorf("file %q", m.File)
		}
		files[m.File] = true
		if m.Name == "" || m.About == "" || strings.Contains(m.About, "\n") {
			t.Errorf("%s: name %q, about %q", m.File, m.Name, m.About)
		}
		s := m.Build()
		if err := s.Check(); err != nil {
			t.Errorf("%s: %v", m.File, err)
		}
		t.Logf("%s: %d facets, %v", m.File, len(s.T), s.Bounds())
	}
	for _, bad := range []float64{0, -1, 0.04, 0.91, math.NaN(), math.Inf(1)} {
		for _, toy := range toys {
			if _, err := toy.parts(bad); err == nil {
				t.Errorf("%s: a gap of %g is not refused", toy.name, bad)
			}
		}
	}
}
