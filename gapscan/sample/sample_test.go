package sample

import (
	"bytes"
	"errors"
	"maps"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/shape"
	"playgauge/mesh/shape/garden"
)

func sliced(t testing.TB, soup *mesh.Soup, w gapscan.WhatIf) *gapscan.Sliced {
	t.Helper()
	p, err := gapscan.Place(soup, w)
	if err != nil {
		t.Fatal(err)
	}
	s, err := p.Slice(w)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// cut cuts a sample, and holds it to what is promised of every one.
func cut(t testing.TB, soup *mesh.Soup, w gapscan.WhatIf, joint int) *Sample {
	t.Helper()
	mc := machine.BuiltIn()
	full := sliced(t, soup, w)
	s, err := Cut(full, w, mc, gapscan.JointName{ID: joint})
	if err != nil {
		t.Fatal(err)
	}
	hold(t, s, full.Survey(w, mc), w, mc)
	return s
}

// hold vets the sample as the file that a person has, and compares.
func hold(t testing.TB, s *Sample, full *gapscan.Survey, w gapscan.WhatIf, mc machine.Machine) {
	t.Helper()
	var file bytes.Buffer
	if err := mesh.WriteSTL(&file, s.Soup); err != nil {
		t.Fatal(err)
	}
	soup, err := mesh.ReadSTL(bytes.NewReader(file.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	as := w
	as.ReachMM = full.Result.ReachMM
	as.TurnDeg, as.Scale, as.Units = gapscan.AsIs().TurnDeg, gapscan.AsIs().Scale, gapscan.AsIs().Units
	own := sliced(t, soup, as)
	v := own.Survey(as, mc)
	m := own.Placed.Mesh
	if !m.Watertight() {
		t.Errorf("%d open edges", m.OpenEdges)
	}
	if len(m.Parts) != len(s.Parts) {
		t.Errorf("%d parts, want %d", len(m.Parts), len(s.Parts))
	}
	if s.Parts[0].ID != s.Joint.Parts[0] || s.Parts[1].ID != s.Joint.Parts[1] {
		t.Errorf("parts %d and %d, want the joint's %v", s.Parts[0].ID, s.Parts[1].ID, s.Joint.Parts)
	}
	for _, sh := range m.Shells {
		if sh.Turned {
			t.Errorf("a shell of %g mm3 is inside out", sh.Volume)
		}
	}
	low := math.Inf(1)
	for i := 2; i < len(soup.XYZ); i += 3 {
		low = min(low, float64(soup.XYZ[i]))
	}
	if math.Abs(low) > 1e-5 {
		t.Errorf("the sample begins at z %g, want 0", low)
	}
	if s.Share <= 0 || s.Share > mostShare {
		t.Errorf("share %g", s.Share)
	}
	// The margins, layer by layer, of the joint's parts.
	ids := [2]int{min(s.Parts[0].SampleID, s.Parts[1].SampleID), max(s.Parts[0].SampleID, s.Parts[1].SampleID)}
	margins := func(v *gapscan.Survey, parts [2]int) map[int]gapscan.ProfileLayer {
		out := map[int]gapscan.ProfileLayer{}
		for _, p := range v.Profiles {
			if p.Parts == parts {
				for _, l := range p.Layers {
					out[l.Layer] = l
				}
			}
		}
		return out
	}
	in, got := margins(full, s.Joint.Parts), margins(v, ids)
	watched := map[int]bool{}
	worst := false
	for _, x := range s.Watch {
		watched[x.Layer] = true
		worst = worst || x.Worst
		if x.InModel != x.Layer+s.Lowered {
			t.Errorf("layer %d is called %d of the model, want %d", x.Layer, x.InModel, x.Layer+s.Lowered)
		}
		a, b := got[x.Layer], in[x.InModel]
		if math.Abs(a.Margin-b.Margin) > 1e-5 || a.Margin != x.Margin && math.Abs(a.Margin-x.Margin) > 1e-5 {
			t.Errorf("layer %d: margin %.9g, in the model's layer %d %.9g", x.Layer, a.Margin, x.InModel, b.Margin)
		}
		// Where the place is the same, so is the margin.
		if d := r2.Norm(r2.Sub(a.At, r2.Add(b.At, r2.Vec{X: s.Moved.X, Y: s.Moved.Y}))); d < 1e-3 && math.Abs(a.Margin-b.Margin) > 1e-6 {
			t.Errorf("layer %d: margin %.9g, at the same place of the model's layer %d %.9g", x.Layer, a.Margin, x.InModel, b.Margin)
		}
	}
	if !worst {
		t.Error("the worst layer is not in the sample")
	}
	for n, l := range got {
		if !l.Free() && !watched[n] {
			t.Errorf("layer %d is not free (%.3f) and not watched", n, l.Margin)
		}
	}
	for n, l := range in {
		if k := n - s.Lowered; !l.Free() && k >= 1 && k <= v.Result.Plan.Layers && !watched[k] {
			t.Errorf("layer %d of the model is not free (%.3f), and not watched in the sample", n, l.Margin)
		}
	}
	midAir := func(r *gapscan.Result) int {
		return slices.IndexFunc(r.Cautions, func(c gapscan.Caution) bool { return c.Kind == "mid-air" })
	}
	if i := midAir(v.Result); i >= 0 && midAir(full.Result) < 0 {
		t.Error(v.Result.Cautions[i].Text)
	}
	for i, p := range s.Parts[:2] {
		b := m.Parts[p.SampleID-1].Box
		if !holdable(b) && !p.Small && !p.Grip {
			t.Errorf("part %d is %v and cannot be held", i+1, r3.Sub(b.Max, b.Min))
		}
	}
}

func TestDemoModels(t *testing.T) {
	for _, model := range garden.Models() {
		t.Run(model.File, func(t *testing.T) {
			s := cut(t, model.Build().Soup(), gapscan.AsIs(), 0)
			if s.Joint.ID != s.Model.Joints[0].ID {
				t.Errorf("joint %d, want the worst, %d", s.Joint.ID, s.Model.Joints[0].ID)
			}
		})
	}
}

func TestRealModels(t *testing.T) {
	dir := os.Getenv("PLAYGAUGE_MODELS")
	if dir == "" {
		t.Skip("PLAYGAUGE_MODELS names no folder of models")
	}
	files, err := filepath.Glob(filepath.Join(dir, "*.stl"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no models in %s", dir)
	}
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			soup, err := mesh.ReadSTL(bytes.NewReader(data))
			if err != nil {
				t.Fatal(err)
			}
			w, mc := gapscan.AsIs(), machine.BuiltIn()
			full := sliced(t, soup, w)
			s, err := Cut(full, w, mc, gapscan.JointName{})
			var why *Error
			if errors.As(err, &why) && why.Kind != Differs {
				t.Log(err)
				return
			}
			if err != nil {
				t.Fatal(err)
			}
			hold(t, s, full.Survey(w, mc), w, mc)
		})
	}
}

// tower is a block with a pocket in its top from z on, and in it a plug with
// a gap beside and below it.
func tower(z, top, gap float64) shape.Solid {
	block := shape.Must(shape.Bored(shape.Rect(-15, -15, 15, 15), 0, top, shape.Bore{
		N: 48, Profile: []r2.Vec{{X: 6 + gap, Y: top}, {X: 6 + gap, Y: z}, {Y: z}}}))
	return block.Append(shape.Cylinder(6, top-z-0.6, 48, 0).Move(0, 0, z+0.6))
}

// A joint at the top is lowered by whole layers, whatever the first layer's
// height, and what is cut off below is told.
func TestJointAtTheTop(t *testing.T) {
	for _, first := range []float64{0.2, 0.28, 0.15} {
		w := gapscan.AsIs()
		w.FirstMM = first
		s := cut(t, tower(30.5, 38, 0.2).Soup(), w, 0)
		if s.Lowered < 100 {
			t.Errorf("first %g: lowered by %d layers, want most of the 150 below the joint", first, s.Lowered)
		}
		if h := s.Result.Model.SizeMM[2]; h > 18 {
			t.Errorf("first %g: %g mm tall", first, h)
		}
		if !s.Parts[1].Whole {
			t.Errorf("first %g: the plug is not whole", first)
		}
		if got := s.Moved.Z; math.Abs(got+0.2*float64(s.Lowered)) > 1e-6 {
			t.Errorf("first %g: moved by %g for %d layers", first, got, s.Lowered)
		}
	}
}

// A gap that goes down to the bed is kept down to the bed: its bottom layers
// are the model's own.
func TestJointAtTheBed(t *testing.T) {
	ring := shape.Must(shape.Extrude(shape.Rect(-20, -20, 20, 20), [][]r2.Vec{shape.Circle(r2.Vec{}, 6.2, 48, 0)}, 0, 30))
	s := cut(t, ring.Append(shape.Cylinder(6, 30, 48, 0)).Soup(), gapscan.AsIs(), 0)
	if s.Lowered != 0 || s.Watch[0].Layer != 1 || s.Watch[0].Cause != gapscan.CauseBottom || !s.Watch[0].Worst {
		t.Errorf("lowered by %d, the first to watch is %+v; want the bed itself, the bottom layer the worst", s.Lowered, s.Watch[0])
	}
	if h := s.Result.Model.SizeMM[2]; h > 12 {
		t.Errorf("%g mm tall: a joint that is the same all the way up is shown by its lower end", h)
	}
	if s.LeftOut == 0 || s.LeftOut+len(s.Watch) != 150 {
		t.Errorf("%d watched, %d left out, want 150 in all", len(s.Watch), s.LeftOut)
	}
}

// A plate whose faces, and a second surface that touches it, lie just where
// the sample is cut.
func TestSurfacesThatTouchTheCut(t *testing.T) {
	plain := cut(t, tower(30.5, 38, 0.2).Soup(), gapscan.AsIs(), 0)
	cutAt := -plain.Moved.Z
	for _, d := range []float64{0, 1} {
		// A block sunk into the tower's side, its upper or lower face in or
		// near the cut.
		extra := shape.Box(r3.Vec{X: 10, Y: -5, Z: cutAt - 4 + 4*d}, r3.Vec{X: 17, Y: 5, Z: cutAt + 4*d})
		s := tower(30.5, 38, 0.2).Append(extra)
		got := cut(t, s.Soup(), gapscan.AsIs(), 0)
		if got.Lowered != plain.Lowered {
			t.Errorf("lowered by %d, want %d as without it", got.Lowered, plain.Lowered)
		}
		want := plain.Share * plain.volume(t)
		if got := got.Share * got.volume(t); d == 0 && math.Abs(got-want) > 1e-6*want {
			t.Errorf("a block that ends at the cut changes the sample from %g to %g mm3", want, got)
		}
	}
}

// volume is that of the whole model.
func (s *Sample) volume(t *testing.T) float64 {
	t.Helper()
	sum := 0.0
	for _, p := range s.Model.Parts {
		sum += p.VolumeMM3
	}
	return sum
}

// Too small to hold: a bar is added to the part that is, and nothing else
// changes.
func TestGrip(t *testing.T) {
	// The pin stands out at the open side of a slot.
	plate := shape.Must(shape.Extrude([]r2.Vec{{X: -20, Y: -4}, {X: 2.4, Y: -4}, {X: 2.4, Y: -2.2}, {X: -2.2, Y: -2.2}, {X: -2.2, Y: 2.2}, {X: 2.4, Y: 2.2}, {X: 2.4, Y: 20}, {X: -20, Y: 20}}, nil, 0, 4))
	s := cut(t, plate.Append(shape.Box(r3.Vec{X: -2, Y: -2}, r3.Vec{X: 3, Y: 2, Z: 4})).Soup(), gapscan.AsIs(), 0)
	if !s.Parts[1].Grip || s.Parts[1].Small || !s.Parts[1].Whole || s.Parts[0].Grip {
		t.Errorf("parts %+v, want a bar on part 2 only", s.Parts)
	}
	// In a closed ring there is no place for a bar on the bed.
	ring := shape.Must(shape.Extrude(shape.Rect(-20, -20, 20, 20), [][]r2.Vec{shape.Rect(-2.2, -2.2, 2.2, 2.2)}, 0, 4))
	s = cut(t, ring.Append(shape.Box(r3.Vec{X: -2, Y: -2}, r3.Vec{X: 2, Y: 2, Z: 4})).Soup(), gapscan.AsIs(), 0)
	if s.Parts[1].Grip || !s.Parts[1].Small {
		t.Errorf("parts %+v, want part 2 small and without a bar", s.Parts)
	}
}

// A washer between two plates is there, for it is what lies between.
func TestWhatLiesBetween(t *testing.T) {
	plate := shape.Box(r3.Vec{X: -30, Y: -20}, r3.Vec{X: -3, Y: 20, Z: 8})
	other := shape.Box(r3.Vec{X: 3, Y: -20}, r3.Vec{X: 30, Y: 20, Z: 8})
	between := shape.Box(r3.Vec{X: -2.8, Y: -6}, r3.Vec{X: 2.8, Y: 6, Z: 8})
	nib := shape.Box(r3.Vec{X: -4, Y: 6.3}, r3.Vec{X: 2.9, Y: 8, Z: 8}) // of the first plate
	s := cut(t, plate.Append(nib, other, between).Soup(), gapscan.AsIs(), 0)
	if len(s.Parts) != 3 {
		t.Errorf("%d parts, want the washer too", len(s.Parts))
	}
}

func TestNoSample(t *testing.T) {
	box := shape.Box(r3.Vec{}, r3.Vec{X: 20, Y: 20, Z: 20})
	small := shape.Must(shape.Extrude(shape.Rect(-6, -6, 6, 6), [][]r2.Vec{shape.Circle(r2.Vec{}, 4.2, 48, 0)}, 0, 6)).Append(shape.Cylinder(4, 6, 48, 0))
	open := tower(30.5, 38, 0.2).Soup()
	open.XYZ = open.XYZ[9:]
	for _, tc := range []struct {
		name  string
		soup  *mesh.Soup
		joint int
		kind  Kind
		says  string
	}{
		{"one part", box.Soup(), 0, NoJoint, "one part"},
		{"far apart", box.Append(box.Move(40, 0, 0)).Soup(), 0, NoJoint, "no two parts"},
		{"unknown", small.Soup(), 7, UnknownJoint, "no joint 7"},
		{"through the whole", small.Soup(), 1, TooMuch, "print the model itself"},
		{"open", open, 0, Open, "mend the model first"},
	} {
		_, err := Cut(sliced(t, tc.soup, gapscan.AsIs()), gapscan.AsIs(), machine.BuiltIn(), gapscan.JointName{ID: tc.joint})
		var why *Error
		if !errors.As(err, &why) || why.Kind != tc.kind || !strings.Contains(err.Error(), tc.says) || strings.Contains(err.Error(), "\n") {
			t.Errorf("%s: %v; want kind %d saying %q", tc.name, err, tc.kind, tc.says)
		}
	}
}

func TestSameBytes(t *testing.T) {
	soup := shape.Must(garden.GateHinge(0.2)).Soup()
	var first []byte
	for _, n := range []int{1, 2, 5} {
		old := runtime.GOMAXPROCS(n)
		s, err := Cut(sliced(t, soup, gapscan.AsIs()), gapscan.AsIs(), machine.BuiltIn(), gapscan.JointName{})
		runtime.GOMAXPROCS(old)
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := mesh.WriteSTL(&b, s.Soup); err != nil {
			t.Fatal(err)
		}
		if first == nil {
			first = b.Bytes()
		} else if !bytes.Equal(first, b.Bytes()) {
			t.Errorf("other bytes on %d processors", n)
		}
	}
}

// A turned and scaled model is cut as it lies on the bed.
func TestTurnedAndScaled(t *testing.T) {
	w := gapscan.AsIs()
	w.TurnDeg, w.Scale, w.Units = [3]float64{90, 0, 30}, [3]float64{0.11, 0.12, 0.13}, "cm"
	s := cut(t, tower(30.5, 38, 0.2).Soup(), w, 0)
	if s.Model.Model.Units != "cm" || s.Result.Model.Units != "mm" {
		t.Errorf("units %q and %q", s.Model.Model.Units, s.Result.Model.Units)
	}
}

// How it is printed holds for the sample as for the model: trim, inset, flow,
// and how the layers fall.
func TestPrintSettings(t *testing.T) {
	for _, set := range []func(*gapscan.WhatIf){
		func(w *gapscan.WhatIf) { w.LiftMM = 0.07 },
		func(w *gapscan.WhatIf) { w.LiftMM = -0.13 },
		func(w *gapscan.WhatIf) { w.InsetMM = 0.06 },
		func(w *gapscan.WhatIf) { w.Flow, w.TrimMM, w.LiftMM, w.FirstMM = 0.9, 0.05, 0.04, 0.28 },
	} {
		w := gapscan.AsIs()
		set(&w)
		s := cut(t, tower(30.5, 38, 0.2).Soup(), w, 0)
		if s.Lowered < 100 {
			t.Errorf("%+v: lowered by %d layers, want most of the 150 below the joint", w, s.Lowered)
		}
		full := sliced(t, tower(30.5, 38, 0.2).Soup(), w)
		if !reflect.DeepEqual(full.Survey(w, machine.BuiltIn()).Result, full.Judge(w, machine.BuiltIn())) {
			t.Errorf("%+v: a survey has another result than the judge", w)
		}
		bed := shape.Must(shape.Extrude(shape.Rect(-20, -20, 20, 20), [][]r2.Vec{shape.Circle(r2.Vec{}, 6.2, 48, 0)}, 0, 30)).Append(shape.Cylinder(6, 30, 48, 0))
		s = cut(t, bed.Soup(), w, 0)
		// An inset opens the gap by twice as much, in the sample too.
		want := 0.2*math.Cos(math.Pi/48) + 2*(w.InsetMM+gapscan.FlowInset(w.Flow, machine.BuiltIn().LineMM, w.RestMM))
		if got := s.Watch[0].GapMM; math.Abs(got-want) > 1e-3 {
			t.Errorf("%+v: gap %g, want %g", w, got, want)
		}
	}
}

// However the model lies to the layers, as much is kept above the places.
func TestLiftedTop(t *testing.T) {
	for _, lift := range []float64{-0.6, 0, 0.8} {
		w := gapscan.AsIs()
		w.LiftMM = lift
		s := cut(t, bars(map[float64][2]float64{0: {0.2, 2.05}}).Soup(), w, 0)
		// The place ends at 5.05, beads lean on it a little higher, and where
		// the box had to grow there are steps more.
		top := s.Result.Model.SizeMM[2] - s.Moved.Z
		if over := top - 5.05 - above; over < 0 || math.Mod(over, step) > 2*w.RestMM {
			t.Errorf("lifted by %g: cut off at %g, want %g mm above 5.05, or steps of %g more", lift, top, above, step)
		}
	}
}

// bars are two long bars side by side, 1.5 mm apart, with pads on the first
// that leave a gap: from z to z+3 at each x.
func bars(pads map[float64][2]float64) shape.Solid {
	a, b := shape.Box(r3.Vec{X: -40}, r3.Vec{X: 40, Y: 10, Z: 12}), shape.Box(r3.Vec{X: -40, Y: 11.5}, r3.Vec{X: 40, Y: 21.5, Z: 12})
	s := a.Append(b)
	for _, x := range slices.Sorted(maps.Keys(pads)) {
		gap, z := pads[x][0], pads[x][1]
		s = s.Append(shape.Box(r3.Vec{X: x - 1, Y: 9, Z: z}, r3.Vec{X: x + 1, Y: 11.5 - gap, Z: z + 3}))
	}
	return s
}

// Where a joint is tightest in other places in other layers, the box grows to
// hold them all.
func TestGrowsToTheOtherPlaces(t *testing.T) {
	s := cut(t, bars(map[float64][2]float64{-12: {0.2, 2.05}, 16: {0.25, 6.05}}).Soup(), gapscan.AsIs(), 0)
	if w := s.Result.Model.SizeMM[0]; w < 28 || w > 60 {
		t.Errorf("%g mm wide, want the two places and little more", w)
	}
}

// Round one place that is no weld only so much is kept as a hand can hold.
func TestGrowsToBeHeld(t *testing.T) {
	s := cut(t, bars(map[float64][2]float64{5: {0.8, 2.05}}).Soup(), gapscan.AsIs(), 0)
	if w := s.Result.Model.SizeMM[0]; w < Hold || w > 16 {
		t.Errorf("%g mm wide, want about the %g mm to hold", w, Hold)
	}
	if len(s.Watch) != 1 {
		t.Errorf("%d layers to watch of a joint that is free, want the tightest", len(s.Watch))
	}
}
