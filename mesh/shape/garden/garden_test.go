package garden

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/bvh"
	"playgauge/mesh/shape"
)

// toy is a toy at any gap and what is promised of it.
type toy struct {
	name  string
	parts func(float64) ([]shape.Solid, error)
	// size is about what is promised, mm: within 1 at the roomy gap.
	size r3.Vec
	// short is how much less than the gap the true gap may be, as a share,
	// and over how much more, in mm.
	short, over float64
	// joined says whether parts i > j are a joint.
	joined func(i, j int) bool
	// apart is the least distance of parts that are none, mm.
	apart float64
	// euler is the sum of Euler characteristics, 2 a ball and 0 a ring.
	euler int
}

func inLine(i, j int) bool { return i-j == 1 }

var toys = []toy{
	// Leaves with three holes: 2 - 2*3 each; five knuckles like balls.
	{"gate hinge", func(gap float64) ([]shape.Solid, error) { return gateHinge(gap, gap) },
		r3.Vec{X: 60, Y: 40, Z: 9.6}, 0.0006, 1e-9, inLine, 0, -4 - 4 + 5*2},
	{"pea chain", peaChain, r3.Vec{X: 80, Y: 11.8, Z: 11.2}, 1e-6, 1e-9, inLine, 1, 0},
	// Slug, house, skull and two feelers.
	{"snail", snail, r3.Vec{X: 50, Y: 18, Z: 23.7}, 0.0016, 1e-9, inLine, 0, 5 * 2},
	// Hub, rim, four sails with eight holes, eight rollers.
	{"windmill", windmill, r3.Vec{X: 94, Y: 94, Z: 8}, 0.0006, 1e-9,
		func(i, j int) bool { return i > 1 && (j < 2 || i-j == 1 || i-j == millRollers-1) }, 5,
		2 + 0 + 4*(2-2*8) + millRollers*2},
	// Gears are rings, and so is the frame; three bars and three pins.
	{"gears", func(gap float64) ([]shape.Solid, error) { return gearFrame(gap, gap) },
		r3.Vec{X: 87.9, Y: 37.9, Z: 10.5}, 0.0013, 0.02,
		func(i, j int) bool { return i == 3 || i-j == 1 }, 10, 3*2 + 3*2},
	// Plates with one hole and two, three knuckles.
	{"plant clip", func(gap float64) ([]shape.Solid, error) { return plantClip(gap, clipLegs{}) },
		r3.Vec{X: 38, Y: 12.4, Z: 42}, 0.0006, 1e-9, inLine, 0, 0 - 2 + 3*2},
	// Lower laths with ten holes in all; of upper ones the laths, two feet
	// each, ten rivets and the feet of two free ends.
	{"trellis", func(gap float64) ([]shape.Solid, error) { return trellis(gap, gap, trellisHigh) },
		r3.Vec{X: 106.5, Y: 34.3, Z: 8}, 0.0031, 1e-9,
		func(i, j int) bool {
			d := i - trellisCells - j
			return j < trellisCells && i >= trellisCells && d >= -1 && d <= 1
		}, 5,
		4*2 - 10*2 + 4*2 + 8*2 + 10*2 + 2*2},
	{"mesh cloth", func(gap float64) ([]shape.Solid, error) { return meshCloth(gap, clothBeside) },
		r3.Vec{X: 85.1, Y: 85.1, Z: 5}, 1e-6, 1e-9, clothLinked, clothBeside - 1e-6, 0},
	// The head with two eyes, two feelers and a tongue with an eye; segments
	// of base, slab, dome, pin and two feet, and three more tongues.
	{"caterpillar", func(gap float64) ([]shape.Solid, error) { return caterpillar(gap, gap, grubTall) },
		r3.Vec{X: 91.7, Y: 21.6, Z: 23.1}, 0.0022, 1e-9, inLine, 1, 5*2 + 4*6*2},
}

// clothLinked counts the rings by rows: four in even rows, three in odd ones.
func clothLinked(i, j int) bool {
	place := func(i int) (x, y int) {
		pair, in := i/(2*clothRows-1), i%(2*clothRows-1)
		if in < clothRows {
			return 2 * in, 2 * pair
		}
		return 2*(in-clothRows) + 1, 2*pair + 1
	}
	x, y := place(i)
	u, v := place(j)
	return (x-u)*(x-u) == 1 && (y-v)*(y-v) == 1
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
		for _, gap := range []float64{minGap, near, roomy, maxGap} {
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
			if gap == roomy && (math.Abs(d.X) > 1 || math.Abs(d.Y) > 1 || math.Abs(d.Z) > 1) {
				t.Errorf("%s, gap %g: box %v, want a size near %v", toy.name, gap, b, toy.size)
			}
		}
	}
}

// The true gap of every joint is the parameter, and parts that are no
// neighbours keep well apart.
func TestTrueGapIsTheParameter(t *testing.T) {
	for _, toy := range toys {
		for _, gap := range []float64{minGap, near, roomy, maxGap} {
			parts, _ := build(t, toy.parts, gap)
			var trees []*bvh.Tree
			for _, p := range parts {
				trees = append(trees, tree(p))
			}
			for i := range trees {
				for j := range i {
					pair, ok := bvh.Nearest(trees[i], trees[j], 200)
					if !ok {
						t.Fatalf("%s: nothing near", toy.name)
					}
					if !toy.joined(i, j) {
						if pair.Dist < toy.apart {
							t.Errorf("%s, gap %g: parts %d and %d are %g apart", toy.name, gap, i, j, pair.Dist)
						}
						continue
					}
					if pair.Dist > gap+toy.over || pair.Dist < gap*(1-toy.short) {
						t.Errorf("%s, gap %g: true gap %.7f of parts %d and %d between %v and %v", toy.name, gap, pair.Dist, i, j, pair.A, pair.B)
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
