package bvh

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func mustClear(t *testing.T, upper, lower *model, want, digits float64, between Blocker) Drop {
	t.Helper()
	got, ok := Clearance(upper.tree(), lower.tree(), 100, between)
	if !ok || math.Abs(got.Gap-want) > digits {
		t.Fatalf("gap %.15g %v, want %.15g", got.Gap, ok, want)
	}
	return got
}

func mustNotClear(t *testing.T, upper, lower *model, limit float64, between Blocker) {
	t.Helper()
	if got, ok := Clearance(upper.tree(), lower.tree(), limit, between); ok {
		t.Fatalf("found %+v", got)
	}
}

func TestClearanceOfSlabs(t *testing.T) {
	low := brick(vec(0, 0, 0), vec(10, 10, 2))
	for _, c := range []struct {
		name   string
		lo, hi r3.Vec
		gap    float64 // below 0: none
	}{
		{"above", vec(2, 2, 2.5), vec(5, 5, 4), 0.5},
		{"overhanging", vec(9, 9, 2.5), vec(15, 15, 4), 0.5},
		{"resting", vec(2, 2, 2), vec(5, 5, 4), 0},
		{"sunk in to the contact depth", vec(2, 2, 2-0.0099), vec(5, 5, 4), 0},
		{"sunk in deeper", vec(2, 2, 2-0.0101), vec(5, 5, 4), -1},
		{"beside", vec(11, 0, 3), vec(12, 9, 4), -1},
		{"wall on wall", vec(10, 0, 3), vec(12, 9, 4), -1},
		{"corner on corner", vec(10, 10, 3), vec(12, 12, 4), -1},
		{"over by half a sliver", vec(10-PlanSliver/2, 0, 3), vec(12, 9, 4), -1},
		{"over by two slivers", vec(10-PlanSliver*2, 0, 3), vec(12, 9, 4), 1},
		{"below", vec(2, 2, -4), vec(5, 5, -1), -1},
	} {
		t.Run(c.name, func(t *testing.T) {
			up := brick(c.lo, c.hi)
			if c.gap < 0 {
				mustNotClear(t, up, low, 100, nil)
				return
			}
			d := mustClear(t, up, low, c.gap, 1e-12, nil)
			if d.At.Z != 2 || d.At.X < c.lo.X || d.At.X > min(c.hi.X, 10) || d.At.Y < c.lo.Y || d.At.Y > min(c.hi.Y, 10) {
				t.Errorf("at %v", d.At)
			}
			if c.gap > 0 {
				// The limit is inclusive.
				if _, ok := Clearance(up.tree(), low.tree(), d.Gap, nil); !ok {
					t.Error("not found at its own limit")
				}
				mustNotClear(t, up, low, math.Nextafter(d.Gap, 0), nil)
			}
		})
	}
}

// Two parallel walls at an angle from the vertical, a gap g between them, lie
// g/sin(angle) apart vertically (FACTS.md, Clearances, calc).
func TestClearanceOfWedges(t *testing.T) {
	for _, deg := range []float64{5, 30, 45, 60, 85} {
		s, c := math.Sincos(deg * math.Pi / 180)
		const g = 0.3
		slopeAt := func(x float64) float64 { return x * c / s }
		// A ramp that looks up, and the same ramp moved along its normal,
		// looking down. Not divided alike.
		ramp := func(x0, x1, y0, y1 float64) [][3]r3.Vec {
			a, b := vec(x0, y0, slopeAt(x0)), vec(x1, y0, slopeAt(x1))
			d, e := vec(x1, y1, slopeAt(x1)), vec(x0, y1, slopeAt(x0))
			return [][3]r3.Vec{{a, b, d}, {a, d, e}}
		}
		low := soup(ramp(0, 5, 0, 7)...)
		up := soup(ramp(0.7, 3, -1, 3)...).inward().moved(func(p r3.Vec) r3.Vec { return vec(p.X-g*c, p.Y, p.Z+g*s) })
		mustClear(t, up, low, g/s, 1e-9, nil)
		mustNotClear(t, low, up, 100, nil)
	}
}

// Cones of one axis, moved apart along it: the vertical gap is the move.
func TestClearanceOfCones(t *testing.T) {
	for _, n := range []int{8, 33, 128} {
		cone := func(z float64) *model {
			return ringed(n, 1, func(_, k int) r3.Vec {
				c, s := turn(float64(k), n)
				return vec(5*c, 5*s, z-5)
			}, vec(0, 0, z-5), vec(0, 0, z))
		}
		cup := cone(0.42).inward()
		d := mustClear(t, cup, cone(0), 0.42, 1e-12, nil)
		if math.Abs(d.At.Z-(-math.Hypot(d.At.X, d.At.Y))) > 5*(1-math.Cos(math.Pi/float64(n)))+1e-9 {
			t.Errorf("at %v, off the cone", d.At)
		}
	}
}

// A ball in a concentric shell (FACTS.md, Geometry, calc, true gap 0.4): the
// least is where both are level, at the axis.
func TestClearanceOfBallInSocket(t *testing.T) {
	up, low := ball(40, 5), ball(40, 5.4).inward()
	d := mustClear(t, up, low, 0.4, 1e-12, nil)
	// All over the facets round the axis, which are parallel.
	if math.Hypot(d.At.X, d.At.Y) > 5.4*math.Sin(math.Pi/40) {
		t.Errorf("at %v, not by the axis", d.At)
	}
	mustNotClear(t, up, low, 0.3999, nil)
}

func TestClearanceOfSurfacesThatCross(t *testing.T) {
	flat := soup([3]r3.Vec{vec(0, 0, 0), vec(9, 0, 0), vec(0, 9, 0)})
	// Looks down; below the flat one at one end, above it at the other.
	tilted := soup([3]r3.Vec{vec(1, 1, -2), vec(1, 3, -2), vec(4, 2, 3)})
	d := mustClear(t, tilted, flat, 0, 0, nil)
	if d.At.Z != 0 {
		t.Errorf("at %v", d.At)
	}
	mustNotClear(t, tilted.moved(func(p r3.Vec) r3.Vec { p.Z -= 3.02; return p }), flat, 100, nil)
}

// judgeClearance looks at all pairs, with the overlap cut by another library.
// It leaves out pairs too near a rule's edge, and says whether it did.
func judgeClearance(t interface{ Fatalf(string, ...any) }, upper, lower *model) (least float64, unsure bool) {
	least = math.Inf(1)
	flat := func(f [3]r3.Vec) geom.Geometry {
		ring := geom.NewSequence([]float64{f[0].X, f[0].Y, f[1].X, f[1].Y, f[2].X, f[2].Y, f[0].X, f[0].Y}, geom.DimXY)
		return geom.NewPolygon([]geom.LineString{geom.NewLineString(ring)}).AsGeometry()
	}
	height := func(f [3]r3.Vec, x, y float64) float64 {
		n := r3.Cross(r3.Sub(f[1], f[0]), r3.Sub(f[2], f[0]))
		return f[0].Z - (n.X*(x-f[0].X)+n.Y*(y-f[0].Y))/n.Z
	}
	for i := range upper.t {
		for j := range lower.t {
			u, l := upper.corners(i), lower.corners(j)
			if r3.Cross(r3.Sub(u[1], u[0]), r3.Sub(u[2], u[0])).Z > -1e-9 || r3.Cross(r3.Sub(l[1], l[0]), r3.Sub(l[2], l[0])).Z < 1e-9 {
				continue
			}
			over, err := geom.Intersection(flat(u), flat(l))
			if err != nil {
				t.Fatalf("%v", err)
			}
			if !over.IsPolygon() {
				continue
			}
			low, high := math.Inf(1), math.Inf(-1)
			pts := over.MustAsPolygon().ExteriorRing().Coordinates()
			for k := range pts.Length() {
				p := pts.GetXY(k)
				d := height(u, p.X, p.Y) - height(l, p.X, p.Y)
				low, high = min(low, d), max(high, d)
			}
			hull := over.MustAsPolygon().Area() / over.MustAsPolygon().ExteriorRing().Length()
			if high < -ContactDepth-1e-9 {
				continue
			}
			if hull < 0.01 || high < 0.1 {
				// Thin, or above by little: the width decides.
				unsure = true
				continue
			}
			least = min(least, max(0, low))
		}
	}
	return least, unsure
}

func TestClearanceAgainstAllPairs(t *testing.T) {
	sure := 0
	rapid.Check(t, func(t *rapid.T) {
		seed := rapid.Uint64().Draw(t, "seed")
		rng := rand.New(rand.NewPCG(seed, 9))
		n := rapid.IntRange(1, 25).Draw(t, "facets")
		lift := rapid.SampledFrom([]float64{0, 3, 8, 12}).Draw(t, "lift")
		low := random(rng, n, 8, 4)
		up := random(rng, n, 8, 4).moved(func(p r3.Vec) r3.Vec { p.Z += lift; return p })
		want, unsure := judgeClearance(t, up, low)
		got, ok := Clearance(up.tree(), low.tree(), math.Inf(1), nil)
		if Overlooks(up.tree(), low.tree(), math.Inf(1)) != ok {
			t.Fatalf("overlooks %v, and finds a gap: %v", !ok, ok)
		}
		if ok && (!Overlooks(up.tree(), low.tree(), got.Gap) || Overlooks(up.tree(), low.tree(), math.Nextafter(got.Gap, -1))) {
			t.Fatalf("overlooks it within something else than its gap %v", got.Gap)
		}
		if ok && got.Gap > want+1e-9 {
			t.Fatalf("gap %v, want %v", got.Gap, want)
		}
		if unsure {
			return
		}
		sure++
		if ok != !math.IsInf(want, 1) || ok && math.Abs(got.Gap-want) > 1e-9 {
			t.Fatalf("gap %v %v, want %v", got.Gap, ok, want)
		}
		if ok {
			x := got.At
			if d := judgeDistance(low.corners(int(got.FacetLower)), [3]r3.Vec{x, x, x}); d > 1e-9 {
				t.Fatalf("the place is %v off its facet", d)
			}
		}
	})
	if sure < 20 && !testing.Short() {
		t.Errorf("only %d cases decided", sure)
	}
}

// plainClearance looks at all pairs of facets as Clearance does at few.
func plainClearance(upper, lower *Tree, limit float64) (float64, bool) {
	c := clearing{upper: upper, lower: lower, best: math.Nextafter(limit, math.Inf(1))}
	for _, u := range upper.facets {
		for _, l := range lower.facets {
			p, q, r := upper.corners(u)
			o, s, t := lower.corners(l)
			if planArea2(p, q, r) < 0 && planArea2(o, s, t) > 0 {
				c.facets(u, l)
			}
		}
	}
	return c.drop.Gap, c.found
}

// Curved walls and small patches, close to each other at any slant: most leaves
// are told apart by their slabs.
func TestClearanceAgainstThePlainWay(t *testing.T) {
	gaps, contacts := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 11))
		n := rapid.IntRange(4, 24).Draw(t, "n")
		lift := 1 + 3*rng.Float64()
		var up, low *model
		switch rapid.SampledFrom([]string{"ball", "torus", "soup", "patches"}).Draw(t, "kind") {
		case "ball":
			up, low = ball(n, 5).inward(), pin(n+1, 3, 4.5, -4, 4, 0.3)
		case "torus":
			up, low = torus(n, 6, 5, 1), torus(n+3, 8, 5, 1.2).inward()
		case "soup":
			up, low = random(rng, 3*n, 5, 2), random(rng, 3*n, 5, 2)
		case "patches":
			// One leaf each, of which some facets face the other way.
			up, low = patch(rng).inward(), patch(rng)
			lift = rapid.SampledFrom([]float64{-0.02, -0.009, -0.001, 0.001, 0.3}).Draw(t, "lift")
		}
		tilt, turned := 3*rng.Float64(), max(0, 0.04*rng.Float64()-0.02)
		about := func(angle float64) func(r3.Vec) r3.Vec {
			s, c := math.Sincos(angle)
			return func(p r3.Vec) r3.Vec { return vec(p.X, c*p.Y-s*p.Z, s*p.Y+c*p.Z) }
		}
		up = up.moved(about(tilt + turned)).moved(func(p r3.Vec) r3.Vec { return vec(p.X+0.1, p.Y, p.Z+lift) })
		low = low.moved(about(tilt))
		limit := rapid.SampledFrom([]float64{0.5, 2, 20}).Draw(t, "limit")
		want, wantOK := plainClearance(up.tree(), low.tree(), limit)
		if got, ok := Clearance(up.tree(), low.tree(), limit, nil); ok != wantOK || math.Abs(got.Gap-want) > 1e-12 {
			t.Fatalf("%v %v, the plain way %v %v", got.Gap, ok, want, wantOK)
		}
		switch {
		case wantOK && want > 0:
			gaps++
		case wantOK:
			contacts++
		}
	})
	if (gaps < 10 || contacts < 10) && !testing.Short() {
		t.Errorf("only %d gaps and %d contacts found", gaps, contacts)
	}
}

// patch is a few facets that lie all but level, some of which look down.
func patch(rng *rand.Rand) *model {
	var fs [][3]r3.Vec
	down := rng.Float64()
	for range 1 + rng.IntN(leafFacets) {
		f := [3]r3.Vec{}
		for k := range f {
			c, s := turn(float64(k)+rng.Float64()/2, 3)
			f[k] = vec(c+rng.Float64(), s+rng.Float64(), 0.003*rng.Float64())
		}
		if rng.Float64() < down {
			f[1], f[2] = f[2], f[1]
		}
		fs = append(fs, f)
	}
	return soup(fs...)
}

// A washer between two plates: from its rim on, the plates see each other.
func TestWasherBetweenPlates(t *testing.T) {
	low, up := brick(vec(-9, -9, 0), vec(9, 9, 1)), brick(vec(-9, -9, 3), vec(9, 9, 4))
	between := func(m *model) Blocker { return Solids{m.tree()} }
	// Smaller than the plates, or with a hole: they see each other beside it.
	for _, w := range []*model{washer(64, 2, 6, 1.5, 2.5), pin(64, 1, 6, 1.5, 2.5, 0), pin(64, 1, 6, 1, 3, 0), washer(64, 2, 20, 1, 3)} {
		d := mustClear(t, up, low, 2, 1e-12, between(w))
		if r := math.Hypot(d.At.X, d.At.Y); w.tree().FilledBetween(d.At.X*0.9999, d.At.Y*0.9999, 1, 3) && r > 2 {
			t.Errorf("at %v, in the washer", d.At)
		}
	}
	// Covering them: not, however the three touch and whoever else has an
	// outline in common.
	for name, w := range map[string]*model{
		"larger":            pin(64, 1, 20, 1.5, 2.5, 0),
		"one outline":       brick(vec(-9, -9, 1.2), vec(9, 9, 2.8)),
		"touching":          brick(vec(-9, -9, 1), vec(9, 9, 3)),
		"within the depth":  brick(vec(-9, -9, 0.993), vec(9, 9, 3.007)),
		"round and tilted":  ball(30, 40).moved(func(p r3.Vec) r3.Vec { return vec(p.X, p.Y, p.Z/50+2+p.X/100) }),
		"two sides by side": joinedModel(brick(vec(-9, -9, 1.2), vec(1, 9, 2.8)), brick(vec(1, -9, 1.6), vec(9, 9, 2.9))),
	} {
		t.Run(name, func(t *testing.T) {
			mustNotClear(t, up, low, 100, between(w))
			mustClear(t, up, low, 2, 1e-12, nil)
		})
	}
	// In other places.
	mustClear(t, up, low, 2, 1e-12, between(brick(vec(-9, -9, 3.5), vec(9, 9, 4))))
	mustClear(t, up, low, 2, 1e-12, between(brick(vec(-9, -9, -4), vec(9, 9, 0.9))))
}

// Under a washer's edge the gap of a wedge is what the edge leaves open.
func TestBlockedWedge(t *testing.T) {
	low := brick(vec(0, -5, 0), vec(10, 5, 1))
	// The underside rises from z 2 at x 0 to z 7 at x 10.
	up := soup([3]r3.Vec{vec(0, -5, 2), vec(0, 5, 2), vec(10, 5, 7)}, [3]r3.Vec{vec(0, -5, 2), vec(10, 5, 7), vec(10, -5, 7)})
	for _, edge := range []float64{1, 2.345, 7.5} {
		third := brick(vec(-1, -6, 1.1), vec(edge, 6, 1.2))
		want := 1 + edge/2
		d := mustClear(t, up, low, want, 1e-9, Solids{third.tree()})
		if math.Abs(d.At.X-edge) > 1e-9 {
			t.Errorf("edge %v: at %v", edge, d.At)
		}
		mustNotClear(t, up, low, want-0.01, Solids{third.tree()})
		// A blocker that shows no facet is searched for to OpenPlace.
		got, ok := Clearance(up.tree(), low.tree(), 100, blind{Solids{third.tree()}})
		if !ok || got.Gap < want-OpenPlace || got.Gap > want+2*OpenPlace {
			t.Errorf("edge %v, blind: %v %v, want about %v", edge, got.Gap, ok, want)
		}
	}
}

// A third solid that dips into one of the two blocks as far as its face lies
// between them, not as far as the face reaches.
func TestBlockerThatDips(t *testing.T) {
	low := brick(vec(0, -5, 0), vec(10, 5, 1))
	up := soup([3]r3.Vec{vec(0, -5, 4), vec(0, 5, 4), vec(10, 5, 5)}, [3]r3.Vec{vec(0, -5, 4), vec(10, 5, 5), vec(10, -5, 5)})
	// Its top falls from 3 at x -1 through the lower face at x 3.
	third := brick(vec(-1, -6, -9), vec(9, 6, 3)).moved(func(p r3.Vec) r3.Vec {
		if p.Z > 0 {
			p.Z -= (p.X + 1) / 2
		}
		return p
	})
	d := mustClear(t, up, low, 3.3, 1e-5, Solids{third.tree()})
	if math.Abs(d.At.X-3) > 1e-4 {
		t.Errorf("at %v", d.At)
	}
	// Its underside rises from 1.5 at x -1 through the upper face at x 5.
	third = brick(vec(-1, -6, 1.5), vec(9, 6, 19)).moved(func(p r3.Vec) r3.Vec {
		if p.Z < 9 {
			p.Z += (p.X + 1) / 2
		}
		return p
	})
	d = mustClear(t, up, low, 3.5, 1e-5, Solids{third.tree()})
	if math.Abs(d.At.X-5) > 1e-4 {
		t.Errorf("at %v", d.At)
	}
}

// blind blocks without showing a facet.
type blind struct{ Solids }

func (b blind) Blocked(x, y, zLow, zHigh float64) ([3]r3.Vec, bool) {
	_, blocked := b.Solids.Blocked(x, y, zLow, zHigh)
	return [3]r3.Vec{}, blocked
}

// Random solids between two tilted plates: no open place of a fine grid is
// lower than the answer, and beside the answer there is an open place.
func TestBlockedAgainstAGrid(t *testing.T) {
	for seed := range uint64(40) {
		rng := rand.New(rand.NewPCG(seed, 10))
		low := soup([3]r3.Vec{vec(0, 0, 0), vec(6, 0, 1), vec(0, 6, 0)}, [3]r3.Vec{vec(6, 0, 1), vec(6, 6, 1), vec(0, 6, 0)})
		gx, gy := rng.Float64()-0.5, rng.Float64()-0.5
		high := func(x, y float64) float64 { return 7 + gx*x + gy*y }
		lowAt := func(x, _ float64) float64 { return x / 6 }
		up := soup([3]r3.Vec{vec(-1, -1, high(-1, -1)), vec(-1, 9, high(-1, 9)), vec(9, -1, high(9, -1))})
		var third []*model
		for range 1 + seed%6 {
			b := ball(3+rng.IntN(5), 0.5+2*rng.Float64())
			o := vec(rng.Float64()*6, rng.Float64()*6, 1+3*rng.Float64())
			third = append(third, b.moved(func(p r3.Vec) r3.Vec { return r3.Add(o, p) }))
		}
		var s Solids
		for _, m := range third {
			s = append(s, m.tree())
		}
		got, ok := Clearance(up.tree(), low.tree(), 100, s)
		least := math.Inf(1)
		const step = 0.06
		for x := step / 2; x < 6; x += step {
			for y := step / 2; y < 6; y += step {
				if x+y > 8 {
					continue
				}
				if _, b := s.Blocked(x, y, lowAt(x, y), high(x, y)); !b {
					least = min(least, high(x, y)-lowAt(x, y))
				}
			}
		}
		if math.IsInf(least, 1) {
			continue
		}
		// The gap changes by less than one for each mm in plan.
		if !ok || got.Gap > least+1e-9 || got.Gap < least-2*step-OpenPlace {
			open := false
			for i := range 2000 {
				c, sn := turn(float64(i%100), 100)
				r := float64(i/100+1) * 0.001
				x, y := got.At.X+r*c, got.At.Y+r*sn
				_, b := s.Blocked(x, y, lowAt(x, y), high(x, y))
				open = open || ok && !b && x > 0 && y > 0 && x < 6 && y < 6
			}
			// A corner between round things may be smaller than the grid.
			if !open || got.Gap > least+1e-9 {
				t.Errorf("seed %d: %+v %v, the grid has %v", seed, got, ok, least)
			}
		}
	}
}

func BenchmarkClearance(b *testing.B) {
	low, up := brick(vec(-50, -50, 0), vec(50, 50, 1)).tree(), brick(vec(-50, -50, 3), vec(50, 50, 4)).tree()
	for _, n := range []int{64, 1024} {
		s := Solids{washer(n, 10, 80, 1.5, 2.5).tree(), pin(n, 1, 20, 1.2, 2.8, 0).tree()}
		b.Run(fmt.Sprintf("shape=washer/sides=%d", n), func(b *testing.B) {
			for b.Loop() {
				if _, ok := Clearance(up, low, 5, s); ok {
					b.Fatal("open")
				}
			}
		})
	}
	for _, n := range []int{50, 200} {
		cup, in := ball(n, 5.4).inward().tree(), ball(n, 5).tree()
		b.Run(fmt.Sprintf("shape=socket/facets=%d", 2*in.Facets()), func(b *testing.B) {
			for b.Loop() {
				Clearance(in, cup, 2, nil)
			}
		})
		// Every pair of facets is as near as any other.
		lo, hi := plate(n, 0, false).tree(), plate(n+1, 0.4, true).tree()
		b.Run(fmt.Sprintf("shape=cones/facets=%d", lo.Facets()+hi.Facets()), func(b *testing.B) {
			for b.Loop() {
				Clearance(hi, lo, 2, nil)
			}
		})
	}
}

// plate is a shallow cone of n by n fields.
func plate(n int, lift float64, down bool) *model {
	m := &model{}
	for i := range n + 1 {
		for j := range n + 1 {
			x, y := 10*float64(i)/float64(n)-5, 10*float64(j)/float64(n)-5
			m.v = append(m.v, vec(x, y, lift-math.Hypot(x, y)))
		}
	}
	id := func(i, j int) int32 { return int32(i*(n+1) + j) }
	for i := range n {
		for j := range n {
			m.quad(id(i, j), id(i+1, j), id(i+1, j+1), id(i, j+1))
		}
	}
	if down {
		return m.inward()
	}
	return m
}
