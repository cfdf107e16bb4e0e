package gapscan

import (
	"cmp"
	"encoding/json"
	"hash/crc32"
	"math"
	"slices"
	"testing"

	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/shape"
)

// fuzzSeeds are inputs of FuzzVet; what it finds joins them.
var fuzzSeeds = []struct {
	data []byte
	need uint8
}{
	{[]byte{1, 0, 0, 0, 8, 8, 8, 1, 10, 0, 0, 18, 8, 8}, 40},
	{[]byte{1, 0, 0, 0, 12, 12, 4, 1, 2, 2, 5, 10, 10, 9}, 30},
	{[]byte{2, 8, 8, 0, 4, 8, 7, 1, 0, 0, 0, 3, 3, 9}, 60},
	{[]byte{1, 0, 0, 0, 9, 9, 9, 3, 4, 1, 10, 0, 0, 15, 9, 9}, 25},
	{[]byte{0, 0, 0, 0, 8, 0, 0, 0, 8, 8, 1, 9, 0, 0, 12, 9, 9}, 40},
	{[]byte{2, 0, 8, 8, 8, 1, 0, 1, 15, 2, 10, 7, 8, 8, 1, 10, 0, 0, 20, 7, 11}, 57},              // beads past something
	{[]byte{2, 0, 8, 8, 8, 1, 0, 1, 15, 2, 10, 7, 8, 8, 1, 10, 0, 0, 20, 7, 11}, 92},              // and far apart
	{[]byte{2, 8, 8, 0, 4, 64, 0, 1, 18, 0, 0, 212, 232, 107, 122, 18, 22, 189, 167, 17, 20}, 21}, // ways wider than are looked for
	{[]byte{2, 8, 0, 1, 0, 0, 0, 2, 0, 0, 1, 8, 8, 8}, 50},                                        // a way down along the part's own edge
}

// FuzzVet makes a few boxes, cylinders and single facets of bytes, closed or
// not, through one another or not, and holds the answer to what must be so
// of any model. Each check vets anew, so an input gets one of them, by its
// checksum; a seed gets all.
func FuzzVet(f *testing.F) {
	for _, s := range fuzzSeeds {
		f.Add(s.data, s.need)
		if v := fuzzVet(f, s.data, s.need); v != nil {
			for _, c := range fuzzChecks {
				v.check(f, c)
			}
		}
	}
	f.Fuzz(func(t *testing.T, data []byte, need uint8) {
		if v := fuzzVet(t, data, need); v != nil {
			v.check(t, fuzzChecks[(crc32.ChecksumIEEE(data)+uint32(need))%uint32(len(fuzzChecks))])
		}
	})
}

// fuzzed is a model of FuzzVet and its answer.
type fuzzed struct {
	soup    *mesh.Soup
	machine machine.Machine
	sliced  *Sliced
	result  *Result
}

// fuzzVet vets a model of bytes; nil where there is none.
func fuzzVet(t testing.TB, data []byte, need uint8) *fuzzed {
	t.Helper()
	mm := 0.05 + 0.01*float64(need%60)
	v := &fuzzed{soup: fuzzSoup(data), machine: keeps(mm, mm, mm)}
	placed, err := Place(v.soup, AsIs())
	if err != nil {
		return nil
	}
	if v.sliced, err = placed.Slice(AsIs()); err != nil {
		return nil
	}
	v.result = v.sliced.Judge(AsIs(), v.machine)
	checkSound(t, v.result)
	return v
}

// fuzzCheck is what must be so of any model, or of a watertight one: what an
// open surface bounds, and what closes a contour across a hole of so many mm,
// hangs on where it lies and how large it is.
type fuzzCheck struct {
	watertight bool
	holds      func(t testing.TB, v *fuzzed)
}

var fuzzChecks = []fuzzCheck{
	{false, fuzzGreater},
	{true, func(t testing.TB, v *fuzzed) { v.same(t, "moved", fuzzMoved(v.soup)) }},
	{true, func(t testing.TB, v *fuzzed) { v.same(t, "turned", fuzzTurned(v.soup)) }},
	{true, func(t testing.TB, v *fuzzed) { v.same(t, "reversed", fuzzReversed(v.soup)) }},
	{true, fuzzScaled},
}

func (v *fuzzed) check(t testing.TB, c fuzzCheck) {
	t.Helper()
	if v.result.Mesh.Watertight || !c.watertight {
		c.holds(t, v)
	}
}

// same vets the same model, stored otherwise: moved, turned about z by a
// quarter, or with its parts the other way round.
func (v *fuzzed) same(t testing.TB, how string, s *mesh.Soup) {
	t.Helper()
	again, err := Vet(s, AsIs(), v.machine)
	if err != nil {
		t.Errorf("%s: %v", how, err)
		return
	}
	fuzzSame(t, how, v.result, again, 1)
}

// fuzzGreater: a machine that needs more finds no margin greater.
func fuzzGreater(t testing.TB, v *fuzzed) {
	t.Helper()
	n := v.machine.Needs()
	w := AsIs()
	w.ReachMM = v.result.ReachMM
	greater := v.sliced.Judge(w, keeps(1.5*n.Side, 1.5*n.Roof, 1.5*n.Bottom))
	for i, j := range greater.Joints {
		if was := v.result.Joints[i].Margin; j.Margin != nil && was != nil && *j.Margin > *was+1e-5 {
			t.Errorf("joint %d: margin %v, with greater needs %v", j.ID, *was, *j.Margin)
		}
	}
}

// fuzzScaled: twice as large, with layers and needs twice as high, all gaps
// are twice as wide.
func fuzzScaled(t testing.TB, v *fuzzed) {
	t.Helper()
	n := v.machine.Needs()
	w := AsIs()
	w.Scale, w.FirstMM, w.RestMM, w.ReachMM = [3]float64{2, 2, 2}, 0.4, 0.4, 2*v.result.ReachMM
	double, err := Vet(v.soup, w, keeps(2*n.Side, 2*n.Roof, 2*n.Bottom))
	if err != nil {
		t.Errorf("scaled: %v", err)
		return
	}
	if len(double.Parts) == len(v.result.Parts) { // how deep contact may be is measured in mm
		fuzzSame(t, "scaled", v.result, double, 2)
	}
}

// Models are kept small, so that many are tried: 6 x 6 mm and seven layers of
// 0.2 mm at most. Some heights are those of a cut, and some sides meet.
const (
	fuzzTriangles = 48
	fuzzSideMM    = 0.25
	fuzzHeightMM  = 0.125
)

// fuzzSoup reads operations of a byte each, with their arguments.
func fuzzSoup(data []byte) *mesh.Soup {
	s := &mesh.Soup{Format: "stl binary"}
	at := func(b byte) float64 { return fuzzSideMM * float64(b%24) }
	high := func(b byte) float64 { return fuzzHeightMM * float64(b%12) }
	for len(data) > 0 && s.Triangles() < fuzzTriangles {
		op, args := data[0]%4, data[1:]
		data = args
		switch {
		case op == 0 && len(args) >= 9: // a facet
			for i := 0; i < 9; i += 3 {
				s.XYZ = append(s.XYZ, float32(at(args[i])), float32(at(args[i+1])), float32(high(args[i+2])))
			}
			data = args[9:]
		case op == 1 && len(args) >= 6: // a box
			lo := [3]float64{at(min(args[0], args[3])), at(min(args[1], args[4])), high(min(args[2], args[5]))}
			hi := [3]float64{at(max(args[0], args[3])), at(max(args[1], args[4])), high(max(args[2], args[5]))}
			data = args[6:]
			if lo[0] < hi[0] && lo[1] < hi[1] && lo[2] < hi[2] {
				s.XYZ = append(s.XYZ, box(lo[0], lo[1], lo[2], hi[0], hi[1], hi[2]).Soup().XYZ...)
			}
		case op == 2 && len(args) >= 6: // a cylinder
			z0, z1 := high(min(args[2], args[4])), high(max(args[2], args[4]))
			radius := 0.25 * float64(1+args[3]%12)
			data = args[6:]
			if z0 < z1 {
				c := shape.Cylinder(radius, z1-z0, 8+int(args[5]%9), 0).Move(at(args[0]), at(args[1]), z0)
				s.XYZ = append(s.XYZ, c.Soup().XYZ...)
			}
		case op == 3 && len(args) >= 1 && s.Triangles() > 0: // a facet goes
			k := int(args[0]) % s.Triangles()
			s.XYZ = slices.Delete(s.XYZ, 9*k, 9*k+9)
			data = args[1:]
		}
	}
	return s
}

// fuzzMoved moves by a power of two, so that little is rounded.
func fuzzMoved(s *mesh.Soup) *mesh.Soup { return moved(s, 8, -4, 2) }

// fuzzTurned turns by a quarter about z, exactly.
func fuzzTurned(s *mesh.Soup) *mesh.Soup {
	out := &mesh.Soup{Format: s.Format, XYZ: slices.Clone(s.XYZ)}
	for i := 0; i < len(out.XYZ); i += 3 {
		out.XYZ[i], out.XYZ[i+1] = -out.XYZ[i+1], out.XYZ[i]
	}
	return out
}

// fuzzReversed lists the triangles from the last to the first.
func fuzzReversed(s *mesh.Soup) *mesh.Soup {
	out := &mesh.Soup{Format: s.Format}
	for i := s.Triangles() - 1; i >= 0; i-- {
		out.XYZ = append(out.XYZ, s.XYZ[9*i:9*i+9]...)
	}
	return out
}

// fuzzSame compares the gaps of two answers, those of the second divided by a
// scale.
func fuzzSame(t testing.TB, how string, a, b *Result, scale float64) {
	t.Helper()
	if len(a.Parts) != len(b.Parts) || len(a.Joints) != len(b.Joints) || len(a.Layers) != len(b.Layers) {
		t.Errorf("%s: %d parts, %d joints, %d layers; want %d, %d, %d", how, len(b.Parts), len(b.Joints), len(b.Layers), len(a.Parts), len(a.Joints), len(a.Layers))
		return
	}
	gaps := func(r *Result, scale float64) (g []float64) {
		for _, j := range r.Joints {
			g = append(g, j.TrueGapMM/scale)
		}
		slices.SortFunc(g, cmp.Compare)
		return g
	}
	ga, gb := gaps(a, 1), gaps(b, scale)
	for i := range ga {
		if math.Abs(ga[i]-gb[i]) > 1e-5 {
			t.Errorf("%s: true gap %v, want %v", how, gb[i], ga[i])
		}
	}
	for i := range a.Layers {
		v, w := a.Layers[i].SideGapMM, b.Layers[i].SideGapMM
		switch {
		case v == nil && w == nil:
		case v == nil || w == nil:
			// Just within reach, and just beyond.
			if v != nil && a.ReachMM-*v > 1e-5 || w != nil && b.ReachMM-*w > 1e-5*scale {
				t.Errorf("%s: layer %d: side gap %v, want %v", how, i+1, deref(w), deref(v))
			}
		case math.Abs(*v-*w/scale) > 1e-5:
			t.Errorf("%s: layer %d: side gap %v, want %v", how, i+1, *w/scale, *v)
		}
		fuzzSameMargin(t, how, &a.Layers[i], &b.Layers[i], scale, a.ReachMM)
	}
}

// fuzzSameMargin compares what two layers are judged by; reach is that of the
// first.
func fuzzSameMargin(t testing.TB, how string, a, b *Layer, scale, reach float64) {
	t.Helper()
	if a.Margin == nil && b.Margin == nil {
		return
	}
	// Where only one has a margin, it is that of a gap just within reach, or of
	// a way that runs down along a wall, which rounding may put within the
	// wall. The wall itself comes nearer then, so that no outcome hangs on it.
	m, gap, need, off, slope := math.Inf(1), reach, 0.0, 1e-4, false
	for _, l := range []struct {
		*Layer
		scale float64
	}{{a, 1}, {b, scale}} {
		if l.Margin == nil {
			continue
		}
		m, gap, need = min(m, *l.Margin), min(gap, *l.GapMM/l.scale), *l.NeedMM/l.scale
		slope = slope || *l.Cause == CauseSlope
		if scale != 1 && *l.Cause == CauseSlope {
			// How finely ways past something are looked for, and beyond twice
			// the need also how far, is measured in mm.
			off += wayStep / need
		}
	}
	switch {
	case off > 1e-4 && m > 2:
	case slope && gap > max(pastGap, 2*need):
		// Past what blocks the nearest way others so wide are not looked for,
		// and whether it is blocked may hang on rounding.
	case a.Margin == nil || b.Margin == nil:
		if !slope && reach-gap > max(1e-5, off*need) {
			t.Errorf("%s: layer %d: margin %v, want %v", how, a.Layer, deref(b.Margin), deref(a.Margin))
		}
	case math.Abs(*a.Margin-*b.Margin) > off:
		t.Errorf("%s: layer %d: margin %v, want %v", how, a.Layer, *b.Margin, *a.Margin)
	}
}

// checkSound holds an answer to what is so of every one.
func checkSound(t testing.TB, r *Result) {
	t.Helper()
	if _, err := json.Marshal(r); err != nil {
		t.Fatal(err)
	}
	for _, p := range r.Parts {
		if !(p.VolumeMM3 >= 0) {
			t.Errorf("part %d: volume %v", p.ID, p.VolumeMM3)
		}
	}
	for _, j := range r.Joints {
		if j.Parts[0] == j.Parts[1] || !(j.TrueGapMM >= 0) || j.TrueGapMM > r.ReachMM+1e-6 {
			t.Errorf("joint %+v", j)
		}
		// A contour closed across a hole may lie nearer than any surface.
		if r.Mesh.Watertight && j.SideGapMM != nil && *j.SideGapMM < j.TrueGapMM-1e-4 {
			t.Errorf("joint %d: side gap %v, true gap %v", j.ID, *j.SideGapMM, j.TrueGapMM)
		}
	}
	for _, l := range r.Layers {
		if l.Margin != nil && !(*l.Margin >= 0) {
			t.Errorf("layer %d: margin %v", l.Layer, *l.Margin)
		}
	}
}
