package gapscan

import (
	"math"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"playgauge/gapscan/machine"
	"playgauge/gapscan/overhang"
	"playgauge/mesh/shape"
	"playgauge/slice"
	"playgauge/slice/near"
)

// coneJoint is an upright 45 degree cone that opens upward in a cup of the
// same slope, gap apart square to the wall.
func coneJoint(gap float64, n int) shape.Solid {
	c := gap * math.Sqrt2 // the gap in a layer
	ball := turned(n, 0, 0, 0.6, 0.5, 0.6, 2.1, 2.2, 0, 2.2)
	cup := turned(n, 0, 0, 0, 3.2, 0, 3.2, 2.2, 2.1+c, 2.2, 0.5+c-(0.6-0.3), 0.3, 0, 0.3)
	return cup.Append(ball)
}

// tSlot is a head in a slot whose lips hold it down.
func tSlot(gap float64) shape.Solid {
	w, lips := 1+gap, 1.6+gap
	body := prism(0, 1.5, -2.2, 0, 2.2, 0, 2.2, 2.6, 0.5+gap, 2.6, 0.5+gap, lips, w, lips, w, 0.5, -w, 0.5, -w, lips, -0.5-gap, lips, -0.5-gap, 2.6, -2.2, 2.6)
	head := prism(0, 1.5, -1, 0.5+gap, 1, 0.5+gap, 1, 1.6, 0.5, 1.6, 0.5, 3, -0.5, 3, -0.5, 1.6, -1, 1.6)
	return body.Append(head)
}

// levelBore is a pin lying in a bore through a block.
func levelBore(r, gap float64, n int) shape.Solid {
	pin := shape.Cylinder(r, 2, n, 180/float64(n)).Turn(90, 0, 0).Move(0, 1.5, 2.2)
	c := shape.Circle(r2.Vec{}, r+gap, n, 180/float64(n))
	block := shape.Must(shape.Extrude(shape.Rect(-2.2, -2.2, 2.2, 2.2), [][]r2.Vec{c}, 0, 1)).Turn(90, 0, 0).Move(0, 1, 2.2)
	return block.Append(pin)
}

// boat is a keel over a plate: its bottom line rises to both ends, its sides
// are steep.
func boat(gap float64) shape.Solid {
	hull := shape.Solid{
		V: append([]r3.Vec{vec(-2, 0, 1.1), vec(0, 0, 0), vec(2, 0, 1.1)},
			vec(-2, -0.5, 1.5), vec(2, -0.5, 1.5), vec(2, 0.5, 1.5), vec(-2, 0.5, 1.5)),
		T: [][3]int32{{0, 1, 3}, {1, 4, 3}, {1, 2, 4}, {0, 6, 1}, {1, 6, 5}, {1, 5, 2}, {0, 3, 6}, {2, 5, 4}, {3, 4, 5}, {3, 5, 6}},
	}
	return box(-2.5, -1, 0, 2.5, 1, 0.6).Append(hull.Move(0, 0, 0.6+gap))
}

// bridge is a beam on two posts of its own over a block.
func bridge(gap float64) shape.Solid {
	beam := prism(0, 1.2, -2, 0, -1.5, 0, -1.5, 1+gap, 1.5, 1+gap, 1.5, 0, 2, 0, 2, 1.8+gap, -2, 1.8+gap)
	return beam.Append(box(-1.2, 0, 0, 1.2, 1.2, 1))
}

func TestMarginAgreesWithBruteForce(t *testing.T) {
	roomy, strictRoof, softRoof := keeps(0.3, 0.3, 0.4), keeps(0.25, 0.6, 0.4), keeps(0.4, 0.15, 0.5)
	plate := box(-1.5, -1, 0, 1.5, 1, 0.6)
	models := []struct {
		name  string
		solid shape.Solid
	}{
		{"upright cone", coneJoint(0.25, 16)},
		{"level cone", coneJoint(0.25, 12).Turn(90, 0, 0)},
		{"level pin", levelBore(1.2, 0.25, 24)},
		{"T in a slot", tSlot(0.3)},
		{"flat roof beside a post", prism(0, 1, 0, 0, 0.5, 0, 0.5, 1.2, 2, 1.2, 2, 1.8, 0, 1.8).Append(box(0.8, 0.1, 0, 2.4, 0.9, 0.75))},
		{"plates, 0 layers of air", plate.Append(plate.Move(0, 0, 0.6))},
		{"plates, 1 layer of air", plate.Append(plate.Move(0, 0, 0.8))},
		{"plates, 2 layers of air", plate.Append(plate.Move(0, 0, 1.0))},
		{"plates, shifted", plate.Append(plate.Move(1.3, 0.7, 0.93))},
		{"boat over a plate", boat(0.25)},
		{"cone tip over a plate", plate.Append(shape.Cone(0, 1, 1.4, 12, 0).Move(0, 0, 0.85))},
		{"bridge over a block", bridge(0.35)},
		{"wall at 60 degrees", prism(0, 0.6, 0, 0, 1, 0, 1+1.5*math.Sqrt(3), 1.5, 0, 1.5).Append(
			prism(0, 0.6, 1.5, 0, 4.5, 0, 4.5, 1.5, 1.5+1.5*math.Sqrt(3), 1.5))},
		{"conical cap", turned(10, 0, 0, 1.3, 1.4, 1.3-1.4/math.Sqrt(3), 1.4, 0, 1.8, 0, 1.8, 1.6, 0, 1.6).Append(
			turned(10, 0, 0, 0, 1.1, 0, 1.1, 1-1.1/math.Sqrt(3), 0, 1))},
		{"corner in contact", box(0, 0, 0, 1, 1, 0.9).Append(shape.Cylinder(0.6, 1, 4, 0).Move(1.6-0.0095, 0.5, 0.45))},
		{"washer between plates", plate.Append(plate.Scale(0.8, 0.8, 0.4).Move(0, 0, 0.8), plate.Move(0, 0, 1.24))},
		{"ball in a cup", shape.Sphere(1.2, 16).Move(0, 0, 1.7).Append(turned(16, 0, 0, 0, 2, 0, 2, 2.2, 1.45, 2.2, 1.45, 1.7, 0.8, 0.35, 0, 0.3))},
	}
	for _, tc := range models {
		t.Run(tc.name, func(t *testing.T) {
			t.Parallel()
			if err := tc.solid.Check(); err != nil {
				t.Fatal(err)
			}
			for i, layers := range [][2]float64{{0.2, 0.2}, {0.3, 0.17}} {
				for _, mc := range [][]int{{0, 1}, {2}}[i] {
					s := cutSolid(t, tc.solid, layers[0], layers[1], []machine.Machine{roomy, strictRoof, softRoof}[mc], Options{Reach: 1})
					if len(s.scanner.pairs) == 0 {
						t.Fatal("no joint to judge")
					}
					j := newJudge(s.scanner, 0.05)
					for n := 1 + i; n <= s.stack.Plan.Layers; n += 1 + i {
						j.agrees(t, s, n)
					}
				}
			}
		})
	}
}

// someSolid draws a small body about the origin.
func someSolid(t *rapid.T, label string) shape.Solid {
	len01 := func(name string, lo, hi float64) float64 {
		return math.Round(rapid.Float64Range(lo, hi).Draw(t, label+name)*100) / 100
	}
	n := rapid.IntRange(3, 9).Draw(t, label+"n")
	var s shape.Solid
	switch rapid.IntRange(0, 4).Draw(t, label+"kind") {
	case 0:
		s = box(0, 0, 0, len01("x", 0.3, 2), len01("y", 0.3, 2), len01("z", 0.3, 1.5))
	case 1:
		s = shape.Cylinder(len01("r", 0.2, 1), len01("h", 0.3, 1.5), n, len01("phase", 0, 90))
	case 2:
		r0, r1 := len01("r0", 0, 1), len01("r1", 0.1, 1)
		s = shape.Cone(r0, r1, len01("h", 0.3, 1.5), n, len01("phase", 0, 90))
	case 3: // a cup
		r, h := len01("r", 0.6, 1.2), len01("h", 0.5, 1.4)
		s = turned(n, len01("phase", 0, 90), 0, 0, r, 0, r, h, r*len01("mouth", 0.3, 0.8), h, r*len01("floor", 0.1, 0.7), 0.25, 0, 0.25)
	default: // a spool
		r, h := len01("r", 0.5, 1.2), len01("h", 0.7, 1.5)
		s = turned(n, len01("phase", 0, 90), 0, 0, r, 0, r, h/4, r*len01("waist", 0.2, 0.9), h/2, r, h*3/4, r, h, 0, h)
	}
	switch rapid.IntRange(0, 3).Draw(t, label+"turn") {
	case 1:
		s = s.Turn(90, 0, 0)
	case 2:
		s = s.Turn(len01("a", 0, 180), len01("b", 0, 180), 0)
	}
	return s
}

// someModel draws two or three bodies that lie close.
func someModel(t *rapid.T) shape.Solid {
	s := someSolid(t, "0")
	for i := range rapid.IntRange(1, 2).Draw(t, "more") {
		o := someSolid(t, string(rune('1'+i)))
		a, b := s.Bounds(), o.Bounds()
		gap := math.Round(rapid.Float64Range(-0.3, 0.7).Draw(t, "gap")*100) / 100
		shift := func(lo, hi float64, name string) float64 {
			return lo + (hi-lo)*math.Round(rapid.Float64Range(0, 1).Draw(t, name)*20)/20
		}
		mx := (a.Min.X+a.Max.X)/2 - (b.Min.X+b.Max.X)/2
		my := (a.Min.Y+a.Max.Y)/2 - (b.Min.Y+b.Max.Y)/2
		mz := (a.Min.Z+a.Max.Z)/2 - (b.Min.Z+b.Max.Z)/2
		switch rapid.IntRange(0, 2).Draw(t, "side") {
		case 0:
			o = o.Move(mx+shift(-0.5, 0.5, "dx"), my+shift(-0.5, 0.5, "dy"), a.Max.Z-b.Min.Z+gap)
		case 1:
			o = o.Move(a.Max.X-b.Min.X+gap, my+shift(-0.5, 0.5, "dy"), mz+shift(-1, 1, "dz"))
		default:
			o = o.Move(mx+shift(-0.5, 0.5, "dx"), a.Max.Y-b.Min.Y+gap, mz+shift(-1, 1, "dz"))
		}
		s = s.Append(o)
	}
	return s
}

// someMachine draws needs, the roof's above or below the side's.
func someMachine(t *rapid.T) machine.Machine {
	hundredths := func(lo, hi int, name string) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, name)) / 100 }
	mc := keeps(hundredths(15, 50, "side"), hundredths(10, 80, "roof"), hundredths(20, 60, "bottom"))
	mc.BottomLayers = rapid.IntRange(0, 2).Draw(t, "bottom layers")
	// At small angles what stands is a band thinner than wayStep.
	mc.OverhangDeg = float64(rapid.IntRange(20, 70).Draw(t, "overhang"))
	return mc
}

func TestMarginOfRandomSolids(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := someModel(t)
		first := float64(rapid.IntRange(10, 40).Draw(t, "first")) / 100
		rest := float64(rapid.IntRange(10, 40).Draw(t, "rest")) / 100
		c := cutSolid(t, s, first, rest, someMachine(t), Options{Reach: 0.9})
		j := newJudge(c.scanner, 0.06)
		for n := 1; n <= c.stack.Plan.Layers; n++ {
			j.agrees(t, c, n)
		}
	})
}

// What a slab cannot do is only ever a way to save work.
func TestSlabFlagsOnlySaveWork(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := someModel(t)
		first := float64(rapid.IntRange(10, 40).Draw(t, "first")) / 100
		rest := float64(rapid.IntRange(10, 40).Draw(t, "rest")) / 100
		c := cutSolid(t, s, first, rest, someMachine(t), Options{Reach: 0.9})
		all := *c.scanner
		all.slabs = nil
		for _, sl := range c.scanner.slabs {
			full := make(slabs, len(sl))
			for i := range full {
				full[i] = slabSlopes | slabFaces | slabHangs | slabReaches | slabEnds
			}
			all.slabs = append(all.slabs, full)
		}
		for n := 1; n <= c.stack.Plan.Layers; n++ {
			got, want := c.layer(n), newWorker(&all).scan(n)
			if len(got.joints) != len(want.joints) {
				t.Fatalf("layer %d: %d joints, with every flag set %d", n, len(got.joints), len(want.joints))
			}
			for i, f := range got.joints {
				// The reading of a nearly upright wall may differ by the
				// micron that uprightTan allows.
				w := want.joints[i]
				if f.joint != w.joint || !near2(f.best.margin, w.best.margin, 1e-5) && f.best.margin != w.best.margin || f.roof != w.roof {
					t.Fatalf("layer %d: %+v, with every flag set %+v", n, f, w)
				}
			}
		}
	})
}

// Nor is anything else found where layers that have no more than the ones above
// are looked at as well, be the mesh closed or not.
func TestWhatGrowsOnlySavesWork(t *testing.T) {
	passed := 0
	rapid.Check(t, func(t *rapid.T) {
		s := someModel(t)
		for range rapid.IntRange(0, 3).Draw(t, "facets missing") {
			i := rapid.IntRange(0, len(s.T)-1).Draw(t, "missing")
			s.T = slices.Delete(s.T, i, i+1)
		}
		height := float64(rapid.IntRange(10, 40).Draw(t, "height")) / 100
		c := cutSolid(t, s, height, height, someMachine(t), Options{Reach: 0.9})
		all := *c.scanner
		all.slabs = nil
		for _, sl := range c.scanner.slabs {
			open := slices.Clone(sl)
			open.mark(slabOpen, 0, int32(len(sl)))
			all.slabs = append(all.slabs, open)
		}
		for n := 1; n <= c.stack.Plan.Layers; n++ {
			for part := range c.mesh.Parts {
				if p := int32(part); n > 1 && c.scanner.grows(p, n-1, n) && !c.scanner.upright(p, n-1, n) && all.index.At(n-1).Has(p) {
					passed++
				}
			}
			got, want := c.layer(n), newWorker(&all).scan(n)
			if len(got.joints) != len(want.joints) {
				t.Fatalf("layer %d: %d joints, looked at everywhere %d", n, len(got.joints), len(want.joints))
			}
			for i, f := range got.joints {
				if w := want.joints[i]; f.joint != w.joint || f.best != w.best || f.slope != w.slope || f.roof != w.roof {
					t.Fatalf("layer %d: %+v, looked at everywhere %+v", n, f, w)
				}
			}
		}
	})
	if passed < 50 {
		t.Errorf("only %d layers passed over", passed)
	}
}

// Nor does what hangs change where only slabs are looked at that may reach out
// so far.
func TestReachFlagsOnlySaveWork(t *testing.T) {
	hung := 0
	rapid.Check(t, func(t *rapid.T) {
		h := float64(rapid.IntRange(10, 40).Draw(t, "layer")) / 100
		s := someModel(t).Scale(3, 3, 3).Turn(float64(rapid.SampledFrom([]int{0, 10, 20, 45, 70, 90}).Draw(t, "turn")), 0, 0)
		c := cutSolid(t, s.Move(0, 0, -s.Bounds().Min.Z), h, h, someMachine(t), Options{Reach: 0.9})
		recede := rapid.SampledFrom([]float64{0, 0, 0.1, 0.3, 0.6}).Draw(t, "recede")
		ix := near.IndexAll(slice.Inset(c.stack, recede))
		flags := partSlabs(c.mesh, c.stack.Plan, c.scanner.tanHang, recede > 0)
		opt := overhang.Options{TanHang: c.scanner.tanHang}
		want := overhang.Find(c.stack.Plan, ix, opt).Regions
		opt.MayHang = func(part int32, n int) bool { return flags[part].any(slabReaches, n, n) }
		got := overhang.Find(c.stack.Plan, ix, opt).Regions
		if d := cmp.Diff(want, got); d != "" {
			t.Fatalf("all slabs, and those that may reach (+):\n%s", d)
		}
		hung += len(want)
	})
	if hung == 0 {
		t.Error("nothing hung")
	}
}

// TestTipThatRecedes: the tip of a cone that hangs in mid-air is gone where walls
// recede, and it begins on its flanks, whatever their slope.
func TestTipThatRecedes(t *testing.T) {
	for _, run := range []float64{0.5, 0.84, 1.73} {
		cone := shape.Cone(0, 5, 5/run, 64, 0).Move(0, 0, 3)
		s := box(-10, -10, 0, 10, 10, 1).Append(cone)
		for _, inset := range []float64{0, 0.2, 0.6} {
			m, err := Place(s.Soup(), AsIs())
			if err != nil {
				t.Fatal(err)
			}
			w := AsIs()
			w.InsetMM = inset
			r, err := m.Judge(w, machine.BuiltIn())
			if err != nil {
				t.Fatal(err)
			}
			// The first cut at which a disc is left.
			z := 3 + inset/run
			if n := len(r.Overhangs); n != 1 || r.Overhangs[0].Kind != "mid-air" || math.Abs(0.2*float64(r.Overhangs[0].Layers[0])-0.1-z) > 0.21 {
				t.Errorf("run %v, receded by %v: %d overhangs %+v, want a start in mid-air at %v mm", run, inset, n, r.Overhangs, z)
			}
		}
	}
}

// TestBelow: no place farther away than below says has a lesser margin, and
// those a little nearer do.
func TestBelow(t *testing.T) {
	within := 0
	rapid.Check(t, func(t *rapid.T) {
		num := func(name string, lo, hi float64) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
		s := stagger{dz: num("dz", 0, 2), rr: num("rr", 0.05, 0.3), side: num("side", 0.1, 0.6)}
		v, m, most := num("v", 0.1, 0.8), num("margin", 0, 4), num("most", 0, 3)
		close := 1e-5
		if rapid.Bool().Draw(t, "one need") {
			v, close = s.side, 2*belowNoise
		}
		d := s.below(m, v, most)
		switch {
		case d < 0:
			if got := s.margin(0, v); got < m {
				t.Errorf("none, but a margin of %v where they touch, below %v", got, m)
			}
			return
		case d > most:
			t.Errorf("%v, beyond %v", d, most)
		case d < most:
			within++
			if got := s.margin(d, v); got < m {
				t.Errorf("a margin of %v at %v, below %v", got, d, m)
			}
		}
		if near := d - close; near > 0 && s.margin(near, v) >= m {
			t.Errorf("a margin of %v at %v already, not below %v", s.margin(near, v), near, m)
		}
	})
	if within < 5 {
		t.Errorf("only %d between", within)
	}
}
