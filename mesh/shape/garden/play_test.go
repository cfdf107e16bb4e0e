package garden

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
	"playgauge/mesh/bvh"
	"playgauge/mesh/shape"
)

// As a file holds them, the toys are the parts they should be.
func TestToysBuildIntoTheirParts(t *testing.T) {
	for _, toy := range toys {
		for _, gap := range []float64{minGap, tight, roomy, maxGap} {
			parts, all := build(t, toy.parts, gap)
			m, err := mesh.Build(all.Soup(), mesh.Placement{})
			if err != nil {
				t.Fatal(err)
			}
			if len(m.Parts) != len(parts) || !m.Watertight() || m.NonManifoldEdges != 0 {
				t.Errorf("%s, gap %g: %d parts, want %d; %d open edges, %d non-manifold",
					toy.name, gap, len(m.Parts), len(parts), m.OpenEdges, m.NonManifoldEdges)
			}
			for _, s := range m.Shells {
				if s.Turned || s.Cavity || s.Inner {
					t.Errorf("%s, gap %g: a shell is turned, hollow or inside another", toy.name, gap)
				}
			}
		}
	}
}

// Pulled straight in any direction that should hold, the parts collide.
func TestToysHoldTogether(t *testing.T) {
	along := []r3.Vec{{X: 1}, {X: -1}}
	every := append([]r3.Vec{{Y: 1}, {Y: -1}, {Z: 1}, {Z: -1}}, along...)
	for name, c := range map[string]struct {
		parts func(float64) ([]shape.Solid, error)
		pulls []r3.Vec
	}{
		"gate hinge": {gateHinge, every},
		"pea chain":  {peaChain, along},
		"snail":      {snail, every},
	} {
		for _, gap := range []float64{tight, maxGap} {
			parts, _ := build(t, c.parts, gap)
			still := tree(parts[0])
			for _, d := range c.pulls {
				held := false
				for s := 0.5; s < 20 && !held; s += 0.5 {
					pair, ok := bvh.Nearest(still, tree(parts[1].Move(s*d.X, s*d.Y, s*d.Z)), 0.01)
					held = ok && pair.Dist == 0
				}
				if !held {
					t.Errorf("%s, gap %g: comes apart along %v", name, gap, d)
				}
			}
		}
	}
}

// Turned facets take their sagitta from the gap: of the largest turning
// radius, 6.9 mm, that is 0.0037 mm, and on a ball it comes in both
// directions.
const turnedFacets = 0.008

func TestHingeFoldsUpward(t *testing.T) {
	for _, gap := range []float64{tight, roomy} {
		parts, _ := build(t, gateHinge, gap)
		still := tree(parts[0])
		for angle := 0.0; angle <= 175; angle += 7 {
			turned := parts[1].Move(0, 0, -hingeAxis).Turn(-angle, 0, 0).Move(0, 0, hingeAxis)
			if pair, ok := bvh.Nearest(still, tree(turned), gap-turnedFacets); ok {
				t.Errorf("gap %g: folded by %g the leaves come within %g at %v", gap, angle, pair.Dist, pair.A)
			}
			if box := turned.Bounds(); angle == 175 && box.Max.Y < 15 {
				t.Errorf("the leaf was not folded over: %v", box)
			}
		}
	}
}

func TestSnailTurnsItsHead(t *testing.T) {
	for _, gap := range []float64{tight, roomy} {
		parts, _ := build(t, snail, gap)
		still := tree(parts[0])
		for _, angle := range []float64{-15, -8, 8, 15} {
			for _, turned := range []shape.Solid{
				parts[1].Turn(0, 0, angle),
				parts[1].Move(0, 0, -snailAxis).Turn(0, angle, 0).Move(0, 0, snailAxis),
			} {
				if pair, ok := bvh.Nearest(still, tree(turned), gap-turnedFacets); ok {
					t.Errorf("gap %g: turned by %g the pieces come within %g at %v", gap, angle, pair.Dist, pair.A)
				}
			}
		}
	}
}

// The socket's opening, a circle on the socket's sphere, is narrower than the
// ball, and so is the one that the bed cuts.
func TestSnailSocketIsNarrowerThanTheBall(t *testing.T) {
	for _, gap := range []float64{minGap, roomy, maxGap} {
		socket := snailBall + gap
		if r := socket * math.Sin(snailRimAngle*math.Pi/180); r > 0.95*snailBall {
			t.Errorf("gap %g: the rim's radius is %g, the ball's %g", gap, r, snailBall)
		}
		if r := math.Sqrt(socket*socket - snailAxis*snailAxis); r > 0.95*snailBall {
			t.Errorf("gap %g: the foot's radius is %g, the ball's %g", gap, r, snailBall)
		}
	}
}

// A body that has a lowest place above the bed would begin in mid-air there,
// unless another body of its part holds that place.
func TestNothingBeginsInMidAir(t *testing.T) {
	for _, toy := range toys {
		for _, gap := range []float64{tight, roomy} {
			parts, _ := build(t, toy.parts, gap)
			for i, p := range parts {
				all := tree(p)
				for _, v := range lowest(p) {
					// Just below the place, inside another body of the part.
					if w := all.Winding(r3.Vec{X: v.X, Y: v.Y, Z: v.Z - 1e-4}); v.Z > 0 && w < 1 {
						t.Errorf("%s, gap %g: part %d begins in mid-air at %v", toy.name, gap, i, v)
					}
				}
			}
		}
	}
}

// lowest returns a vertex of every level place that no edge leads down from
// and that has the solid above it.
func lowest(s shape.Solid) []r3.Vec {
	const level = 1e-9
	next := make([][]int32, len(s.V))
	down := make([]float64, len(s.V)) // of the facets round a vertex
	for _, t := range s.T {
		n := r3.Cross(r3.Sub(s.V[t[1]], s.V[t[0]]), r3.Sub(s.V[t[2]], s.V[t[0]]))
		for e := range 3 {
			next[t[e]] = append(next[t[e]], t[(e+1)%3])
			down[t[e]] -= n.Z
		}
	}
	var out []r3.Vec
	seen := make([]bool, len(s.V))
	for i := range s.V {
		if seen[i] {
			continue
		}
		seen[i] = true
		place, least, sum := []int32{int32(i)}, true, 0.0
		for k := 0; k < len(place); k++ {
			v := place[k]
			sum += down[v]
			for _, w := range next[v] {
				switch d := s.V[w].Z - s.V[v].Z; {
				case d < -level:
					least = false
				case d <= level && !seen[w]:
					seen[w] = true
					place = append(place, w)
				}
			}
		}
		if least && sum > 0 {
			out = append(out, s.V[i])
		}
	}
	return out
}

// The check itself finds a ball that floats.
func TestLowestFindsAFloatingBall(t *testing.T) {
	s := shape.Sphere(3, 16).Move(0, 0, 9).Append(shape.Tube(4, 5, 3, 16, 0))
	got := lowest(s)
	if len(got) != 2 || got[0].Z != 6 || got[1].Z != 0 {
		t.Errorf("lowest places %v, want one at z 6 and one at 0", got)
	}
}
