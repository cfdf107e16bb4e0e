package overhang

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// beam lies 2 mm high, width wide, on two posts 4 mm high and 5 mm long with
// span between them, along x, its middle at the origin.
func beam(span, width float64) shape.Solid {
	a, b, y := span/2, span/2+5, width/2
	return prism(-y, y, -b, 0, -a, 0, -a, 4, a, 4, a, 0, b, 0, b, 6, -b, 6)
}

// The beam's underside lies at 4 mm, the bottom of layer 21; only that layer
// hangs. Of it the growth of layer 20 stands at either end.
func TestBeamOnTwoPosts(t *testing.T) {
	for _, span := range []float64{5, 10, 30, 40} {
		for _, turn := range []float64{0, 17, 45} {
			for _, width := range []float64{1.5, 6} {
				t.Run(fmt.Sprintf("span=%g/turn=%g/width=%g", span, turn, width), func(t *testing.T) {
					o := search(t, beam(span, width).Turn(0, 0, turn))
					r := one(t, o)
					check(t, r, Bridge, 21, 21, span, 0.01)
					checkArea(t, r, (span-2*hangOver)*width, 0.01*span*width)
					if r.OverPart != nil || math.Abs(r.Drop-4) > 1e-6 {
						t.Errorf("lies %v over %v, want 4 over the bed", r.Drop, r.OverPart)
					}
					if l, ok := o.LongestBridge(); !ok || l.Span != r.Span {
						t.Errorf("longest bridge %v, %v", l.Span, ok)
					}
				})
			}
		}
	}
}

func TestBeamOnRoundPosts(t *testing.T) {
	// Posts of radius 2, 20 apart, under a beam as wide as they are: what hangs
	// between them is 20 * 4 less two half circles of 2 + g, 64.3 mm2. Along it
	// the longest run touches both circles at their sides, 20. Turned by d, what
	// leaves through a side is not held: two triangles, 20^2 tan(d) in all, a
	// tenth of what hangs at tan(d) = 0.0161. The longest run then touches one
	// circle and passes the other's middle at 2 - 2 * 10 sin(d) = 1.678, so it
	// ends sqrt(4 - 1.678^2) = 1.088 before it: 20 cos(d) - 1.088 = 18.91. (The
	// corners beyond the posts, 0.83 from them, are trifles.)
	for _, turn := range []float64{0, 17, 45, 81} {
		s := shape.Cylinder(2, 4.05, 96, 0).Move(-10, 0, 0).Append(
			shape.Cylinder(2, 4.05, 96, 0).Move(10, 0, 0), box(-12, -2, 4, 12, 2, 6)).Turn(0, 0, turn)
		r := one(t, search(t, s))
		check(t, r, Bridge, 21, 21, 18.91, 0.3)
		checkArea(t, r, 80-math.Pi*(2+hangOver)*(2+hangOver), 1)
	}
}

func TestPlateHeldOnThreeSides(t *testing.T) {
	// A slot 20 wide and 12 deep in a block, open to -y, covered at 4 mm. Runs
	// along x go from wall to wall, all of them, 20 long. Turned by d, the runs
	// that leave through the open side lack: a triangle of 20 * 20 tan(d) / 2
	// of 240, a tenth at 6.8 degrees; until then the longest is 20 / cos(d).
	u := poly(-14, 0, -10, 0, -10, 12, 10, 12, 10, 0, 14, 0, 14, 16, -14, 16)
	s := shape.Must(shape.Extrude(u, nil, 0, 4.05)).Append(box(-14, 0, 4, 14, 16, 6))
	for _, turn := range []float64{0, 17, 45} {
		r := one(t, search(t, s.Turn(0, 0, turn)))
		check(t, r, Bridge, 21, 21, 20, 0.05)
		checkArea(t, r, (20-2*hangOver)*(12-hangOver), 1)
	}
}

func TestCeilingOverARoundHole(t *testing.T) {
	const r, n = 6.0, 64
	block := poly(-10, -10, 10, -10, 10, 10, -10, 10)
	s := shape.Must(shape.Extrude(block, [][]r2.Vec{shape.Circle(r2.Vec{}, r, n, 0)}, 0, 4.05)).
		Append(box(-10, -10, 4, 10, 10, 6))
	o := search(t, s)
	// Any direction's longest run is a diameter: between 2r cos(pi/n), from
	// side to side, and 2r, from corner to corner.
	got := one(t, o)
	check(t, got, Bridge, 21, 21, 2*r*math.Cos(math.Pi/n), 0.02)
	// A polygon moved in by d keeps its shape: apothem a - d.
	a := r*math.Cos(math.Pi/n) - hangOver
	checkArea(t, got, n*a*a*math.Tan(math.Pi/n), 0.3)
}

// Beside a post's facet along the line of the sweep, the uncarried area is cut
// into strips a hundredth of a micron high; they are part of it.
func TestPostFacetAlongTheSweep(t *testing.T) {
	r := one(t, search(t, shape.Cylinder(10.5625/2, 2, 24, 2).Move(0, 0, 4).Append(
		shape.Cylinder(0.5, 4.05, 24, 3.1171875).Move(1, 1, 0))))
	// The farthest corner lies nearly opposite the post: 5.28 + sqrt(2) - 0.5.
	check(t, r, Cantilever, 21, 21, 10.5625/2+math.Sqrt2-0.5, 0.03)
	// 24-gons of 24/2 R^2 sin(15 degrees), less the growth round the post.
	n := 12 * math.Sin(math.Pi/12)
	checkArea(t, r, n*(10.5625*10.5625/4)-math.Pi*(0.5+hangOver)*(0.5+hangOver), 0.3)
}

func TestRing(t *testing.T) {
	const a, b, n = 5.0, 8.0, 96
	// A round trench between radii 5 and 8, covered. A run is held wherever
	// it goes; the longest passes the core as a tangent, 2 sqrt(8^2 - 5^2).
	rings := shape.Tube(b, 12, 4.05, n, 0).Append(shape.Cylinder(a, 4.05, n, 0), shape.Cylinder(12, 2, n, 0).Move(0, 0, 4))
	r := one(t, search(t, rings))
	check(t, r, Bridge, 21, 21, 2*math.Sqrt(b*b-a*a), 0.1)
	checkArea(t, r, math.Pi*((b-hangOver)*(b-hangOver)-(a+hangOver)*(a+hangOver)), 0.6)
	// The same without the core: a collar. Runs are held on either side of the
	// hole only: segments beyond 5 of a disc of 8, 2 (64 acos(5/8) - 5
	// sqrt(39)), 52 of 122 mm2: a cantilever of reach 8 - 5.
	collar := lathed(n, 8, 0, 12, 0, 12, 6, 5, 6, 5, 4, 8, 4)
	r = one(t, search(t, collar))
	check(t, r, Cantilever, 21, 21, b-a, 0.01)
}

func TestCantilever(t *testing.T) {
	for _, turn := range []float64{0, 17, 45} {
		// A board 6 wide that reaches out by 9 from a post.
		s := prism(-3, 3, 0, 0, 5, 0, 5, 4, 14, 4, 14, 6, 0, 6).Turn(0, 0, turn)
		r := one(t, search(t, s))
		check(t, r, Cantilever, 21, 21, 9, 0.01)
		checkArea(t, r, (9-hangOver)*6, 0.3)
	}
}

func TestTableOnOnePost(t *testing.T) {
	// A table 20 by 20 on a post 4 by 4 in its middle: no run is held at both
	// ends; a corner lies hypot(8, 8) = 11.31 from the post.
	for _, turn := range []float64{0, 17, 45} {
		s := box(-2, -2, 0, 2, 2, 4.05).Append(box(-10, -10, 4, 10, 10, 6)).Turn(0, 0, turn)
		r := one(t, search(t, s))
		check(t, r, Cantilever, 21, 21, math.Hypot(8, 8), 0.01)
		// 400 less the post grown: 16 + 16 g + pi g^2.
		checkArea(t, r, 400-16-16*hangOver-math.Pi*hangOver*hangOver, 1)
	}
}

func TestDeckOnWallsAndAPost(t *testing.T) {
	// A deck 44 by 20 on two walls 2 thick, and a post 4 by 4 in the middle.
	// Along x all runs are held: 18 where the post stands, 40 beside it.
	s := box(-22, -10, 0, -20, 10, 4.05).Append(box(20, -10, 0, 22, 10, 4.05),
		box(-2, -2, 0, 2, 2, 4.05), box(-22, -10, 4, 22, 10, 6))
	for _, turn := range []float64{0, 17, 45} {
		r := one(t, search(t, s.Turn(0, 0, turn)))
		check(t, r, Bridge, 21, 21, 40, 0.01)
	}
}

func TestSlopes(t *testing.T) {
	// A wedge whose underside leans by 45 degrees stands; by 60 degrees it
	// reaches out by 0.2 tan 60 = 0.35 mm a layer, which is a trifle; so does a
	// stair of 0.2 by 0.2, cut between its steps.
	for _, deg := range []float64{45, 60} {
		out := 10 * math.Tan(deg*math.Pi/180)
		o := search(t, prism(-5, 5, 0, 0, 8, 0, 8+out, 10, 0, 10))
		if len(o.Regions) > 0 {
			t.Errorf("%g degrees: %v", deg, o.Regions)
		}
	}
	stair := []float64{0, 0, 8, 0}
	for i := range 40 {
		x, z := 8+0.2*float64(i), 0.2*float64(i+1)
		stair = append(stair, x, z, x+0.2, z)
	}
	stair = append(stair, 16, 9, 0, 9)
	if o := search(t, prism(-5, 5, stair...)); len(o.Regions) > 0 {
		t.Errorf("stair: %v", o.Regions)
	}
	// A stair of 1.5 by 0.2 reaches out by 1.5 in each layer and is one
	// cantilever.
	steep := []float64{0, 0, 8, 0}
	for i := range 5 {
		x, z := 8+1.5*float64(i), 0.2*float64(i+1)
		steep = append(steep, x, z, x+1.5, z)
	}
	steep = append(steep, 15.5, 3, 0, 3)
	r := one(t, search(t, prism(-5, 5, steep...)))
	check(t, r, Cantilever, 2, 6, 1.5, 0.01)
	checkArea(t, r, 5*10*(1.5-hangOver), 1)
}

func TestBallOnTheBed(t *testing.T) {
	// A ball of radius 15 is sqrt(2rz - z^2) wide at z: 1.729 in layer 1, 2.985
	// in layer 2, 3.841 in layer 3: reaches of 1.257, 0.856 and, in layer 4,
	// 0.685, 0.584, 0.517, 0.467 ... Layers 2 to 6 are one region: from layer 7
	// on no place lies farther than 0.5 from support.
	wide := func(n int) float64 { z := 0.2*float64(n) - 0.1; return math.Sqrt(30*z - z*z) }
	r := one(t, search(t, shape.Sphere(15, 256)))
	check(t, r, Cantilever, 2, 6, wide(2)-wide(1), 0.02)
	area := 0.0
	for n := 2; n <= 6; n++ {
		in := wide(n-1) + hangOver
		area += math.Pi * (wide(n)*wide(n) - in*in)
	}
	checkArea(t, r, area, 0.02*area)
	// Of radius 5: 0.995, then 1.706: quiet.
	if o := search(t, shape.Sphere(5, 64)); len(o.Regions) > 0 {
		t.Errorf("small ball: %v", o.Regions)
	}
}

// clip stands on a foot; two legs hang from its bridge's ends and begin at 2
// mm, in mid-air.
func TestClipWithLegs(t *testing.T) {
	s := prism(-2, 2, -2, 0, 2, 0, 2, 8, 12, 8, 12, 2, 14, 2, 14, 10, -14, 10, -14, 2, -12, 2, -12, 8, -2, 8)
	o := search(t, s)
	// The legs, and the two bridges of 10 between foot and legs at 8 mm.
	if len(o.Regions) != 4 {
		t.Fatalf("%d regions, want 4: %v", len(o.Regions), o.Regions)
	}
	for i, x := range []float64{-13, 13} {
		r := o.Regions[i]
		if o.Regions[0].At.X > 0 {
			x = -x
		}
		check(t, r, MidAir, 11, 11, 0, 0)
		checkArea(t, r, 2*4, 1e-3)
		if math.Abs(r.At.X-x) > 0.7 || math.Abs(r.At.Y) > 1.7 {
			t.Errorf("leg at %v, want near %v, 0", r.At, x)
		}
		if r.LiesOn != nil || r.OverPart != nil || math.Abs(r.Drop-2) > 1e-9 {
			t.Errorf("leg lies on %v, %v over %v, want 2 over the bed", r.LiesOn, r.Drop, r.OverPart)
		}
	}
	for _, r := range o.Regions[2:] {
		check(t, r, Bridge, 41, 41, 10, 0.01)
	}
}

func TestLegAboveAnotherPart(t *testing.T) {
	// A plate 2 high under a leg that begins 1 to 5 layers above it.
	for air := 1; air <= 5; air++ {
		z := 2 + 0.2*float64(air)
		s := prism(-2, 2, 10, 0, 14, 0, 14, 10, 0, 10, 0, z, 4, z, 4, 8, 10, 8).Append(box(-3, -5, 0, 7, 5, 2))
		o := search(t, s)
		r := o.Regions[0]
		check(t, r, MidAir, 11+air, 11+air, 0, 0)
		// The plate is the larger part: 200 against 16 + 16 * 8 + ...
		if r.OverPart == nil || *r.OverPart == r.Part || math.Abs(r.Drop-0.2*float64(air)) > 1e-6 {
			t.Errorf("%d air layers: %v over %v", air, r.Drop, r.OverPart)
		}
		if air <= 3 && (r.LiesOn == nil || *r.LiesOn != *r.OverPart || r.AirLayers != air) {
			t.Errorf("%d air layers: lies on %v by %d", air, r.LiesOn, r.AirLayers)
		}
		if air > 3 && r.LiesOn != nil {
			t.Errorf("%d air layers: lies on %d", air, *r.LiesOn)
		}
	}
}

func TestTipInMidAir(t *testing.T) {
	// A cone that hangs, tip down: the tip is cut 0.02 wide, thinner than the
	// lines of the scan, and is one start; by 40 degrees it carries itself.
	s := prism(-2, 2, 10, 0, 14, 0, 14, 12, 0, 12, 0, 10, 10, 10).Append(
		shape.Cone(0, 4, 4.3, 48, 0).Move(3, 0, 5.89))
	o := search(t, s)
	r := o.Regions[0]
	check(t, r, MidAir, 30, 30, 0, 0)
	checkArea(t, r, math.Pi*0.0093*0.0093, 1e-4)
	if math.Abs(r.At.X-3) > 0.02 || math.Abs(r.At.Y) > 0.02 {
		t.Errorf("tip at %v", r.At)
	}
}

func TestBallInMidAir(t *testing.T) {
	// A ball of radius 15 held by a beam at its top: one start, which takes in
	// the rings that follow it.
	s := shape.Sphere(15, 128).Move(0, 0, 20).Append(box(-1, -1, 34, 1, 1, 42),
		prism(-1, 1, 20, 0, 24, 0, 24, 42, -1, 42, -1, 40, 20, 40))
	o := search(t, s)
	if len(o.Regions) != 2 {
		t.Fatalf("%v", o.Regions)
	}
	check(t, o.Regions[0], MidAir, 26, 31, 0, 0)
	check(t, o.Regions[1], Bridge, 201, 201, 19, 0.01)
}

func TestSpanAtAPlace(t *testing.T) {
	// Two slots in one block, 6 and 14 wide, covered at 4 mm.
	s := prism(0, 20, 0, 0, 4, 0, 4, 4, 10, 4, 10, 0, 14, 0, 14, 4, 28, 4, 28, 0, 32, 0, 32, 6, 0, 6)
	o := search(t, s)
	if len(o.Regions) != 2 {
		t.Fatalf("%v", o.Regions)
	}
	for _, c := range []struct {
		x, y, span float64
	}{{7, 10, 6}, {4.1, 3, 6}, {9.9, 19, 6}, {15, 1, 14}, {27, 17, 14}, {2, 5, 0}, {12, 5, 0}, {30, 5, 0}, {7, -1, 0}, {7, 21, 0}} {
		for n, want := range map[int]float64{20: 0, 21: c.span, 22: 0} {
			got, ok := o.BridgeSpan(n, 0, r2.Vec{X: c.x, Y: c.y})
			if ok != (want > 0) || math.Abs(got-want) > 0.01 {
				t.Errorf("layer %d at %g, %g: span %v, %v, want %v", n, c.x, c.y, got, ok, want)
			}
			if o.HasBridge(n, 0) != (n == 21) {
				t.Errorf("layer %d: has bridge %v", n, o.HasBridge(n, 0))
			}
		}
	}
	for _, n := range []int{-1, 0, 1000} {
		if _, ok := o.BridgeSpan(n, 0, r2.Vec{}); ok || o.HasBridge(n, 0) || o.HasBridge(21, 1) {
			t.Errorf("a bridge in layer %d or part 1", n)
		}
	}
}

func TestMayHangSavesWork(t *testing.T) {
	st, ix := cut(t, build(t, beam(10, 5).Soup()))
	asked := 0
	o := Find(st.Plan, ix, Options{TanHang: tan50, MayHang: func(part int32, layer int) bool {
		if layer == 21 {
			asked++
		}
		return layer != 21
	}})
	if asked != 1 || len(o.Regions) > 0 {
		t.Errorf("asked %d times, found %v", asked, o.Regions)
	}
}

func TestNearSupportIsNoStart(t *testing.T) {
	// A slab from 2 mm on hangs 0.05 beside a thin post and is joined to it
	// higher up: its first line leans on the post, as any overhang does, and it
	// reaches out by 5 - 0.15.
	s := prism(-3, 3, 0, 0, 0.15, 0, 0.15, 3.5, 0.2, 3.5, 0.2, 2, 5, 2, 5, 4, 0, 4)
	r := one(t, search(t, s))
	check(t, r, Cantilever, 11, 11, 4.85, 0.01)
	// 0.4 beside it, it is a start, and the roof of the slot a bridge too short
	// to be one.
	s = prism(-3, 3, 0, 0, 0.15, 0, 0.15, 3.5, 0.55, 3.5, 0.55, 2, 5, 2, 5, 4, 0, 4)
	r = one(t, search(t, s))
	check(t, r, MidAir, 11, 11, 0, 0)
	checkArea(t, r, 4.45*6, 1e-3)
}

func TestShortBridges(t *testing.T) {
	for _, c := range []struct {
		span float64
		news int
	}{{0.9, 0}, {1.1, 1}} {
		if o := search(t, beam(c.span, 5)); len(o.Regions) != c.news || o.HasBridge(21, 0) != (c.news == 1) {
			t.Errorf("span %g: %v", c.span, o.Regions)
		}
	}
}

func TestShortCantilevers(t *testing.T) {
	for _, c := range []struct {
		reach float64
		news  int
	}{{0.95, 0}, {1.05, 1}} {
		s := prism(-3, 3, 0, 0, 5, 0, 5, 4, 5+c.reach, 4, 5+c.reach, 6, 0, 6)
		if o := search(t, s); len(o.Regions) != c.news {
			t.Errorf("reach %g: %v", c.reach, o.Regions)
		}
	}
}

func TestOwnFloorBelow(t *testing.T) {
	// A tunnel 8 wide: its ceiling at 5 mm lies 3 above its own floor.
	s := shape.Must(shape.Extrude(poly(0, 0, 12, 0, 12, 8, 0, 8), [][]r2.Vec{poly(2, 2, 10, 2, 10, 5, 2, 5)}, -10, 0)).Turn(90, 0, 0)
	r := one(t, search(t, s))
	check(t, r, Bridge, 26, 26, 8, 0.01)
	if r.OverPart == nil || *r.OverPart != r.Part || math.Abs(r.Drop-3) > 1e-6 {
		t.Errorf("%v over %v, want 3 over its own part", r.Drop, r.OverPart)
	}
}

func TestHalfOfAStartDecides(t *testing.T) {
	// A leg 4 by 4 begins 0.4 above a plate that reaches under some of it.
	for _, c := range []struct {
		under float64
		lies  bool
	}{{1.4, false}, {2.6, true}} {
		s := prism(-2, 2, 10, 0, 14, 0, 14, 10, 0, 10, 0, 2.4, 4, 2.4, 4, 8, 10, 8).
			Append(box(c.under-20, -5, 0, c.under, 5, 2))
		r := search(t, s).Regions[0]
		check(t, r, MidAir, 13, 13, 0, 0)
		if (r.LiesOn != nil) != c.lies || r.OverPart == nil || math.Abs(r.Drop-0.4) > 1e-6 {
			t.Errorf("%g under it: %+v", c.under, r)
		}
	}
}

func TestLongestBridge(t *testing.T) {
	s := prism(0, 5, 0, 0, 2, 0, 2, 4, 12, 4, 12, 0, 14, 0, 14, 10, 0, 10)
	s = s.Append(beam(20, 5).Move(50, 0, 0))
	o := search(t, s)
	if len(o.Regions) != 2 || o.Regions[0].First != 21 || o.Regions[1].First != 21 {
		t.Fatalf("%v", o.Regions)
	}
	if l, _ := o.LongestBridge(); math.Abs(l.Span-20) > 0.01 {
		t.Errorf("longest %v", l)
	}
	if _, ok := new(Overhangs).LongestBridge(); ok {
		t.Errorf("a longest bridge of none")
	}
}

// An arch closes by steps: cantilevers and, last, a bridge between them.
func TestSteppedArch(t *testing.T) {
	// From 20 wide, each of 3 layers reaches in by 2 from either side; then the
	// 8 that are left are bridged.
	s := prism(0, 6, 0, 0, 4, 0, 4, 4, 6, 4, 6, 4.2, 8, 4.2, 8, 4.4, 10, 4.4, 10, 4.6,
		18, 4.6, 18, 4.4, 20, 4.4, 20, 4.2, 22, 4.2, 22, 4, 24, 4, 24, 0, 28, 0, 28, 8, 0, 8)
	o := search(t, s)
	if len(o.Regions) != 3 {
		t.Fatalf("%v", o.Regions)
	}
	check(t, o.Regions[0], Cantilever, 21, 23, 2, 0.01)
	check(t, o.Regions[1], Cantilever, 21, 23, 2, 0.01)
	check(t, o.Regions[2], Bridge, 24, 24, 8, 0.01)
	checkArea(t, o.Regions[0], 3*6*(2-hangOver), 0.3)
}

func TestHairCrackIsNoEnd(t *testing.T) {
	// A beam with a slit of 0.4 microns across its underside still spans 20.
	s := prism(-3, 3, -15, 0, -10, 0, -10, 4, -0.0002, 4, -0.0002, 5, 0.0002, 5, 0.0002, 4,
		10, 4, 10, 0, 15, 0, 15, 6, -15, 6)
	check(t, one(t, search(t, s)), Bridge, 21, 21, 20, 0.01)
	// With one of 0.1 mm it is two boards.
	s = prism(-3, 3, -15, 0, -10, 0, -10, 4, -0.05, 4, -0.05, 5, 0.05, 5, 0.05, 4,
		10, 4, 10, 0, 15, 0, 15, 6, -15, 6)
	o := search(t, s)
	if len(o.Regions) != 2 {
		t.Fatalf("%v", o.Regions)
	}
	for _, r := range o.Regions {
		check(t, r, Cantilever, 21, 21, 9.95, 0.01)
	}
}

func TestNarrowBridgeWithALooseEnd(t *testing.T) {
	// A lid 0.9 wide between two walls, of which one ends 1.5 earlier. What
	// hangs there, 1.5 (0.9 - g), is 8 % of all, and 0.9 from the other wall.
	// The bridge is 0.9, no news.
	s := box(0, 0, 0, 30, 2, 4.05).Append(box(0, 2.9, 0, 28.5, 5, 4.05), box(0, 0, 4, 30, 2.95, 6), box(0, 2.85, 4, 28.5, 5, 6))
	if o := search(t, s); len(o.Regions) > 0 || o.HasBridge(21, 0) {
		t.Errorf("%v", o.Regions)
	}
}

func TestWavyBeamOnRoundPosts(t *testing.T) {
	// No edge of it is long, and all are askew: only the way from post to post
	// tells the direction. The posts, of radius 2.5, stand 40 apart and are wider
	// than the beam's 3: the longest run, at the beam's side, ends sqrt(2.5^2 -
	// 1.5^2) = 2 before their middles: 36. A turn by d lets 36^2 tan(d) of about
	// 36 * 3 leave, so d < 0.5 degrees, and shortens that run by less than 0.25.
	var edge []r2.Vec
	for i := range 81 {
		x := -20 + 0.5*float64(i)
		edge = append(edge, vec2(x, -1.5-0.04*math.Sin(3*x)))
	}
	for i := range 81 {
		edge = append(edge, vec2(-edge[i].X, -edge[i].Y))
	}
	s := shape.Must(shape.Extrude(edge, nil, 4, 6))
	for _, x := range []float64{-20, 20} {
		s = s.Append(shape.Cylinder(2.5, 4.05, 30, 5).Move(x, 0, 0))
	}
	for _, turn := range []float64{0, 7, 40} {
		check(t, one(t, search(t, s.Turn(0, 0, turn))), Bridge, 21, 21, 36, 0.3)
	}
}

func TestStartBesideACantilever(t *testing.T) {
	// A board reaches out by 9 in layer 21; 0.3 beside its end, a little more
	// than the growth, a leg begins in layer 22. Neither is part of the other.
	s := prism(-3, 3, 0, 0, 5, 0, 5, 4, 14, 4, 14, 6, 10, 6, 10, 8, 14.3, 8, 14.3, 4.2, 18, 4.2, 18, 10, 0, 10)
	o := search(t, s)
	if len(o.Regions) != 3 {
		t.Fatalf("%v", o.Regions)
	}
	check(t, o.Regions[0], Cantilever, 21, 21, 9, 0.01)
	check(t, o.Regions[1], MidAir, 22, 22, 0, 0)
	check(t, o.Regions[2], Bridge, 41, 41, 4.3, 0.01)
}

func TestSpansOfRoomsWithADoor(t *testing.T) {
	// Two covered rooms, 8 by 6 and 14 by 10, and between them a passage 0.4
	// wide, in which nothing hangs; turned so that lines of the scan run
	// through it from one room into the other.
	rooms := poly(-10, -3, -2, -3, -2, -0.2, 0, -0.2, 0, -5, 14, -5, 14, 5, 0, 5, 0, 0.2, -2, 0.2, -2, 3, -10, 3)
	s := shape.Must(shape.Extrude(shape.Rect(-14, -8, 18, 8), [][]r2.Vec{rooms}, 0, 4.05)).
		Append(box(-14, -8, 4, 18, 8, 6)).Turn(0, 0, 180/math.Pi)
	o := search(t, s)
	if len(o.Regions) != 2 {
		t.Fatalf("%v", o.Regions)
	}
	for _, c := range []struct{ x, y, span float64 }{
		{-6, 0, 6}, {-6, 0.1, 6}, {-3, -2, 6}, {-1.5, 0, 6}, {-0.5, 0, 10}, {3, 0, 10}, {7, 0.1, 10}, {13, 4, 10}, {-1, 2, 0},
	} {
		got, ok := o.BridgeSpan(21, 0, scanFrame.from(c.x, c.y))
		if ok != (c.span > 0) || math.Abs(got-c.span) > 0.02 {
			t.Errorf("at %g, %g: span %v, %v, want %v", c.x, c.y, got, ok, c.span)
		}
	}
}
