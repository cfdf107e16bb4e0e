package gapscan

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"github.com/google/go-cmp/cmp"

	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/shape"
)

// models are bodies of all the kinds of joint there are.
func models() map[string]shape.Solid {
	return map[string]shape.Solid{
		"cone":    coneJoint(0.25, 24),
		"level":   levelBore(1.2, 0.25, 24),
		"slot":    tSlot(0.3),
		"boat":    boat(0.25),
		"bridge":  bridge(0.35),
		"washer":  washer(1.5),
		"ball":    shape.Sphere(1.2, 16).Move(0, 0, 1.7).Append(turned(16, 0, 0, 0, 2, 0, 2, 2.2, 1.45, 2.2, 1.45, 1.7, 0.8, 0.35, 0, 0.3)),
		"touches": box(0, 0, 0, 2, 2, 2).Append(box(2, 1, 0, 4, 3, 2), box(0, 0, 2, 2, 2, 3)),
	}
}

// triedKeeps is keeps with trials, so that there are chances to compare.
func triedKeeps(side, roof, bottom float64) machine.Machine {
	mc := learned(sideTrials, bottomTrials, roofTrials)
	mc.Tested = keeps(side, roof, bottom).Tested
	return mc
}

func TestSameBytesOnAnyNumberOfProcessors(t *testing.T) {
	before := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(before)
	all := models()
	all["grid"] = shape.Solid{}
	for name, s := range all {
		var want []byte
		for i, procs := range []int{1, 2, 7, 2} {
			runtime.GOMAXPROCS(procs)
			soup := s.Soup()
			if name == "grid" {
				soup = shape.PinGrid(3, 3, 9000, true)
			}
			m, err := mesh.Build(soup, mesh.Placement{})
			if err != nil {
				t.Fatal(err)
			}
			got, err := json.Marshal(cutMesh(t, m, 0.2, 0.2, triedKeeps(0.3, 0.4, 0.4), Options{}).result())
			if err != nil {
				t.Fatal(err)
			}
			if i == 0 {
				want = got
			} else if string(got) != string(want) {
				t.Errorf("%s: the result on %d processors differs from that on one", name, procs)
			}
		}
	}
}

func shuffled(s *mesh.Soup, seed uint64) *mesh.Soup {
	rng := rand.New(rand.NewPCG(seed, 1))
	out := &mesh.Soup{Format: s.Format, XYZ: append([]float32{}, s.XYZ...)}
	rng.Shuffle(s.Triangles(), func(a, b int) {
		for k := range 9 {
			out.XYZ[9*a+k], out.XYZ[9*b+k] = out.XYZ[9*b+k], out.XYZ[9*a+k]
		}
	})
	return out
}

func TestShuffledTrianglesGiveTheSameGaps(t *testing.T) {
	for name, s := range models() {
		r := scan(t, s, 0.2, 0.2, triedKeeps(0.3, 0.4, 0.4))
		m, err := mesh.Build(shuffled(s.Soup(), 7), mesh.Placement{})
		if err != nil {
			t.Fatal(err)
		}
		got := cutMesh(t, m, 0.2, 0.2, triedKeeps(0.3, 0.4, 0.4), Options{}).result()
		if len(got.Joints) != len(r.Joints) || got.PrintedParts != r.PrintedParts || got.Outcome != r.Outcome {
			t.Fatalf("%s: %d joints, %d printed parts, %s; shuffled %d, %d, %s", name, len(r.Joints), r.PrintedParts, r.Outcome, len(got.Joints), got.PrintedParts, got.Outcome)
		}
		if r.PFree == nil || got.PFree == nil || !near2(*r.PFree, *got.PFree, 1e-4) {
			t.Errorf("%s: all free with %v, shuffled %v", name, deref(r.PFree), deref(got.PFree))
		}
		for i := range r.Joints {
			// Places may be other ones of the same gap.
			a, b := r.Joints[i], got.Joints[i]
			a.AtMM, b.AtMM = nil, nil
			a.EndsMM, b.EndsMM = nil, nil
			// A weld is summed over pieces that begin elsewhere.
			if a.WeldMM2 != nil && b.WeldMM2 != nil {
				if !near2(*a.WeldMM2, *b.WeldMM2, 0.02+0.03**a.WeldMM2) {
					t.Errorf("%s, joint %d: a weld of %v mm2, shuffled %v", name, a.ID, *a.WeldMM2, *b.WeldMM2)
				}
				a.WeldMM2, b.WeldMM2 = nil, nil
				a.WeldLengthMM, b.WeldLengthMM = nil, nil
			}
			if d := cmp.Diff(a, b, within(1e-5)); d != "" {
				t.Errorf("%s, joint %d: %s", name, a.ID, d)
			}
		}
		if d := cmp.Diff(r.Demands, got.Demands, within(1e-5)); d != "" {
			t.Errorf("%s: %s", name, d)
		}
	}
}

func within(tol float64) cmp.Option {
	return cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) <= tol })
}

// gapsOf are a joint's measures, without the numbers of its parts.
func gapsOf(j Joint) Joint {
	j.ID, j.Parts, j.AtMM, j.EndsMM = 0, [2]int{}, nil, nil
	return j
}

// Which of two parts comes first, as the larger one does, changes nothing but
// their numbers.
func TestWhichPartIsLarger(t *testing.T) {
	for _, name := range []string{"cone", "level", "slot", "boat", "bridge", "ball"} {
		s := models()[name]
		m, err := mesh.Build(s.Soup(), mesh.Placement{})
		if err != nil {
			t.Fatal(err)
		}
		want := cutMesh(t, m, 0.2, 0.2, keeps(0.3, 0.4, 0.4), Options{}).result()
		// The same mesh with its parts' ids exchanged.
		for i := range m.Shells {
			m.Shells[i].Part = 1 - m.Shells[i].Part
		}
		m.Parts[0], m.Parts[1] = m.Parts[1], m.Parts[0]
		m.Parts[0].ID, m.Parts[1].ID = 1, 2
		got := cutMesh(t, m, 0.2, 0.2, keeps(0.3, 0.4, 0.4), Options{}).result()
		if d := cmp.Diff(gapsOf(want.Joints[0]), gapsOf(got.Joints[0]), within(1e-6)); d != "" {
			t.Errorf("%s: %s", name, d)
		}
		for i := range want.Layers {
			a, b := want.Layers[i], got.Layers[i]
			if d := cmp.Diff([]*float64{a.Margin, a.SideGapMM, a.RoofAirMM}, []*float64{b.Margin, b.SideGapMM, b.RoofAirMM}, within(1e-6)); d != "" {
				t.Errorf("%s, layer %d: %s", name, i+1, d)
			}
		}
	}
}

// A model, its layers and its machine twice as large have gaps twice as large
// and the same margins: powers of two are exact in floating point, but for
// the tolerances, which are in mm.
func TestScalingAll(t *testing.T) {
	for name, s := range models() {
		a := cutSolid(t, s, 0.25, 0.25, keeps(0.3, 0.4, 0.4), Options{Reach: 1.5}).result()
		large := keeps(1.2, 1.6, 1.6)
		large.CrackMM2 *= 16
		b := cutSolid(t, s.Scale(4, 4, 4), 1, 1, large, Options{Reach: 6}).result()
		if len(a.Joints) != len(b.Joints) || a.PrintedParts != b.PrintedParts || a.Outcome != b.Outcome {
			t.Fatalf("%s: %d joints, %d printed parts, %s; scaled %d, %d, %s", name, len(a.Joints), a.PrintedParts, a.Outcome, len(b.Joints), b.PrintedParts, b.Outcome)
		}
		for i, j := range a.Joints {
			k := b.Joints[i]
			for _, p := range []struct {
				what string
				a, b *float64
				by   float64
			}{
				{"side gap", j.SideGapMM, k.SideGapMM, 4}, {"roof gap", j.RoofGapMM, k.RoofGapMM, 4},
				{"true gap", &j.TrueGapMM, &k.TrueGapMM, 4}, {"margin", j.Margin, k.Margin, 1}, {"gap", j.GapMM, k.GapMM, 4},
			} {
				if (p.a == nil) != (p.b == nil) || p.a != nil && !near2(*p.a*p.by, *p.b, 2e-3) {
					t.Errorf("%s, joint %d: %s %v, scaled %v", name, j.ID, p.what, deref(p.a), deref(p.b))
				}
			}
		}
	}
}
