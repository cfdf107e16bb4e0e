package garden

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
	"playgauge/mesh/bvh"
	"playgauge/mesh/shape"
)

// As a file holds them, the toys are the parts they should be.
func TestToysBuildIntoTheirParts(t *testing.T) {
	for _, toy := range toys {
		for _, gap := range []float64{minGap, near, roomy, maxGap} {
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

// Pulled straight away from the others in any direction, a part collides.
func TestToysHoldTogether(t *testing.T) {
	pulls := []r3.Vec{{X: 1}, {X: -1}, {Y: 1}, {Y: -1}, {Z: 1}, {Z: -1}}
	for _, toy := range toys {
		for _, gap := range []float64{near, maxGap} {
			parts, _ := build(t, toy.parts, gap)
			for _, k := range slices.Compact([]int{0, 1, len(parts) - 1}) {
				var others shape.Solid
				for i, p := range parts {
					if i != k {
						others = others.Append(p)
					}
				}
				still := tree(others)
				for _, d := range pulls {
					held := false
					for s := 0.5; s < 20 && !held; s += 0.5 {
						pair, ok := bvh.Nearest(still, tree(parts[k].Move(s*d.X, s*d.Y, s*d.Z)), 0.01)
						held = ok && pair.Dist == 0
					}
					if !held {
						t.Errorf("%s, gap %g: part %d comes away along %v", toy.name, gap, k, d)
					}
				}
			}
		}
	}
}

// near is a gap as of the toys that fail, mm.
const near = 0.2

// Turned facets take their sagittas from the gap, in mm: of the hinge's
// largest turning radius, 6.5 mm, 0.0035; of the snail's ball and socket, 6
// and 6.65 mm in 72 segments, 0.0057 and 0.0063.
const (
	hingeFacets = 0.008
	snailFacets = 0.013
)

func TestHingeFoldsUpward(t *testing.T) {
	for _, gap := range []float64{near, roomy} {
		parts, _ := build(t, toys[0].parts, gap)
		still := tree(parts[0])
		for angle := 0.0; angle <= 175; angle += 7 {
			turned := parts[1].Move(0, 0, -hingeAxis).Turn(-angle, 0, 0).Move(0, 0, hingeAxis)
			if pair, ok := bvh.Nearest(still, tree(turned), gap-hingeFacets); ok {
				t.Errorf("gap %g: folded by %g the leaves come within %g at %v", gap, angle, pair.Dist, pair.A)
			}
			if box := turned.Bounds(); angle == 175 && box.Max.Y < 15 {
				t.Errorf("the leaf was not folded over: %v", box)
			}
		}
	}
}

func TestSnailTurnsItsHead(t *testing.T) {
	for _, gap := range []float64{near, roomy} {
		parts, _ := build(t, snail, gap)
		still := tree(parts[0])
		for _, angle := range []float64{-15, -8, 8, 15} {
			for _, turned := range []shape.Solid{
				parts[1].Turn(0, 0, angle),
				parts[1].Move(0, 0, -snailAxis).Turn(0, angle, 0).Move(0, 0, snailAxis),
			} {
				if pair, ok := bvh.Nearest(still, tree(turned), gap-snailFacets); ok {
					t.Errorf("gap %g: turned by %g the pieces come within %g at %v", gap, angle, pair.Dist, pair.A)
				}
			}
		}
	}
}

// The jaws open: the legs part, and the petals pass each other.
func TestClipOpens(t *testing.T) {
	for _, gap := range []float64{near, roomy} {
		parts, _ := build(t, func(g float64) ([]shape.Solid, error) { return plantClip(g, clipLegs{}) }, gap)
		still := tree(parts[1])
		for angle := 0.0; angle <= 35; angle += 5 {
			turned := parts[0].Move(0, 0, -clipAxis).Turn(angle, 0, 0).Move(0, 0, clipAxis)
			if pair, ok := bvh.Nearest(still, tree(turned), gap-hingeFacets); ok {
				t.Errorf("gap %g: opened by %g the jaws come within %g at %v", gap, angle, pair.Dist, pair.A)
			}
			if y := turned.Bounds().Max.Y; angle == 35 && y < 18 {
				t.Errorf("the legs did not open: y goes to %g", y)
			}
		}
	}
}

// Turned against each other by a tooth, the gears keep their play, and the
// frame its gap.
func TestGearsTurnTogether(t *testing.T) {
	const facets = 0.01 // pins of 3.4 to 6.4 mm in 64 segments, bores alike
	for _, gap := range []float64{near, roomy} {
		parts, _ := build(t, func(g float64) ([]shape.Solid, error) { return gearFrame(g, g) }, gap)
		far := gearModule * gearTeeth
		frame := tree(parts[3])
		for angle := 0.0; angle < 36; angle += 4.5 {
			var turned []*bvh.Tree
			for i, way := range []float64{1, -1, 1} {
				x := far * float64(i-1)
				turned = append(turned, tree(parts[i].Move(-x, 0, 0).Turn(0, 0, way*angle).Move(x, 0, 0)))
			}
			for i := range turned {
				if i < 2 {
					pair, _ := bvh.Nearest(turned[i], turned[i+1], 5)
					if pair.Dist < gap-1e-6 || pair.Dist > gap+0.02 {
						t.Errorf("gap %g, turned by %g: teeth %g apart at %v", gap, angle, pair.Dist, pair.A)
					}
				}
				if pair, ok := bvh.Nearest(turned[i], frame, gap-facets); ok {
					t.Errorf("gap %g, turned by %g: gear %d comes within %g of the frame at %v", gap, angle, i, pair.Dist, pair.A)
				}
			}
		}
	}
}

// While one pair of teeth parts another has met, and no tip reaches below the
// other's base circle, where there is no involute to meet: the contact ratio
// and the limit of interference of any text on gears.
func TestGearsNeverLoseEachOther(t *testing.T) {
	g := shape.Gear{Teeth: gearTeeth, Module: gearModule, Pressure: gearPressure, Addendum: gearAddendum}
	sin, cos := math.Sincos(gearPressure * math.Pi / 180)
	ra, rb, far := g.TipRadius(), g.BaseRadius(), 2*g.PitchRadius()
	if ratio := (2*math.Sqrt(ra*ra-rb*rb) - far*sin) / (math.Pi * gearModule * cos); ratio < 1.05 {
		t.Errorf("the contact ratio is %g", ratio)
	}
	if most := math.Hypot(rb, far*sin); ra > most {
		t.Errorf("tips at %g mm interfere beyond %g", ra, most)
	}
}

func TestWindmillSpins(t *testing.T) {
	const facets = 0.03 // rollers of 4.6 mm in 32 segments, races in 96
	for _, gap := range []float64{near, roomy} {
		parts, _ := build(t, windmill, gap)
		rollers := parts[2].Append(parts[3:]...)
		still := tree(rollers)
		for i, p := range parts[:2] {
			for angle := 0.0; angle < 45; angle += 4.2 {
				if pair, ok := bvh.Nearest(still, tree(p.Turn(0, 0, angle)), gap-facets); ok {
					t.Errorf("gap %g, part %d turned by %g: %g from the rollers at %v", gap, i, angle, pair.Dist, pair.A)
				}
			}
		}
	}
}

// Even with every roller as far out as it goes, the hub's rim is wider than
// the way between their middles: nothing falls out without a cage.
func TestWindmillHoldsItsHub(t *testing.T) {
	if millBulge <= 2*maxGap {
		t.Errorf("rollers bulge by %g only", millBulge)
	}
}

// Stretched and folded, the laths keep their gap.
func TestTrellisFolds(t *testing.T) {
	const facets = 0.02 // holes and pins of 4 mm in 40 segments
	for _, gap := range []float64{near, roomy} {
		parts, _ := build(t, func(g float64) ([]shape.Solid, error) { return trellis(g, g, trellisHigh) }, gap)
		from := 2 * trellisArm * tilted45
		for _, half := range []float64{25, 32, 38, 45, 52, 58, 65} {
			to := 2 * trellisArm * math.Cos(half*math.Pi/180)
			var moved []*bvh.Tree
			for i, p := range parts {
				at, turn := float64(i%trellisCells), half-45
				if i >= trellisCells {
					turn = -turn
				}
				moved = append(moved, tree(p.Move(-at*from, 0, 0).Turn(0, 0, turn).Move(at*to, 0, 0)))
			}
			for i := range moved {
				for j := range i {
					if pair, ok := bvh.Nearest(moved[i], moved[j], gap-facets); ok {
						t.Errorf("gap %g, laths at %g: %d and %d come within %g at %v", gap, half, i, j, pair.Dist, pair.A)
					}
				}
			}
		}
	}
}

func TestCaterpillarBends(t *testing.T) {
	const facets = 0.02 // holes and pins of 3 mm in 48 segments
	for _, gap := range []float64{near, roomy} {
		parts, _ := build(t, func(g float64) ([]shape.Solid, error) { return caterpillar(g, g, grubTall) }, gap)
		for i := range parts[1:] {
			// The pin belongs to the follower.
			x := grubPost - (grubHead + grubRadius + gap) - float64(i)*(2*grubRadius+gap)
			still := tree(parts[i])
			for _, angle := range []float64{-15, -8, 8, 15} {
				turned := parts[i+1].Move(-x, 0, 0).Turn(0, 0, angle).Move(x, 0, 0)
				if pair, ok := bvh.Nearest(still, tree(turned), gap-facets); ok {
					t.Errorf("gap %g, segment %d bent by %g: within %g at %v", gap, i+1, angle, pair.Dist, pair.A)
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
		for _, gap := range []float64{near, roomy} {
			parts, _ := build(t, toy.parts, gap)
			for i, p := range parts {
				all := tree(p)
				for _, place := range lowest(p) {
					// Just below the place, inside another body of the part.
					held := slices.ContainsFunc(place, func(v r3.Vec) bool {
						return v.Z == 0 || all.Winding(r3.Vec{X: v.X, Y: v.Y, Z: v.Z - 1e-4}) >= 1
					})
					if !held {
						t.Errorf("%s, gap %g: part %d begins in mid-air at %v", toy.name, gap, i, place[0])
					}
				}
			}
		}
	}
}

// lowest returns, for every level place that no edge leads down from and that
// has the solid above it, its corners and points of its facets.
func lowest(s shape.Solid) [][]r3.Vec {
	const level = 1e-9
	next := make([][]int32, len(s.V))
	down := make([]float64, len(s.V)) // of the facets round a vertex
	round := make([][][3]int32, len(s.V))
	for _, t := range s.T {
		n := r3.Cross(r3.Sub(s.V[t[1]], s.V[t[0]]), r3.Sub(s.V[t[2]], s.V[t[0]]))
		for e := range 3 {
			next[t[e]] = append(next[t[e]], t[(e+1)%3])
			round[t[e]] = append(round[t[e]], t)
			down[t[e]] -= n.Z
		}
	}
	var out [][]r3.Vec
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
		if !least || sum <= 0 {
			continue
		}
		var pts []r3.Vec
		for _, v := range place {
			pts = append(pts, s.V[v])
			for _, t := range round[v] {
				a, b, c := s.V[t[0]], s.V[t[1]], s.V[t[2]]
				if t[0] != v || max(a.Z, b.Z, c.Z)-min(a.Z, b.Z, c.Z) > level {
					continue
				}
				const n = 12
				for i := 1; i < n; i++ {
					for j := 1; i+j < n; j++ {
						pts = append(pts, r3.Add(a, r3.Add(r3.Scale(float64(i)/n, r3.Sub(b, a)), r3.Scale(float64(j)/n, r3.Sub(c, a)))))
					}
				}
			}
		}
		out = append(out, pts)
	}
	return out
}

// The check itself finds a ball that floats.
func TestLowestFindsAFloatingBall(t *testing.T) {
	s := shape.Sphere(3, 16).Move(0, 0, 9).Append(shape.Tube(4, 5, 3, 16, 0))
	got := lowest(s)
	if len(got) != 2 || got[0][0].Z != 6 || got[1][0].Z != 0 {
		t.Errorf("lowest places %v, want one at z 6 and one at 0", got)
	}
}

// What is thinnest round the joints, at the roomy gap: three lines wide.
func TestWallsRoundTheJointsAreThreeLinesWide(t *testing.T) {
	seat := hingeConeR + roomy*math.Tan(math.Pi/8) // where it opens
	for name, wall := range map[string]float64{
		"under the gate hinge's seat":  hingeAxis - seat,
		"round the plant clip's seat":  clipKnuckle - seat,
		"round the snail's socket":     snailWall,
		"round the windmill's rollers": millWall,
		"round the gears' pins":        gearModule*gearTeeth/2 - gearAddendum - roomy - 0.1 - gearCap - roomy,
		"round the trellis's rivets":   trellisRim,
		"round the caterpillar's eyes": grubRim,
		"the rings' wire on its slope": clothTall * tilted45,
		"beside the caterpillar's mouth": grubRadius - (grubFoot + roomy + grubRim) -
			roomy,
	} {
		if wall < 1.2 {
			t.Errorf("%s the wall is %g mm", name, wall)
		}
	}
}
