package gapscan

import (
	"cmp"
	"encoding/json"
	"math"
	"slices"
	"testing"

	"playgauge/mesh"
	"playgauge/mesh/shape"
)

// FuzzVet makes a few boxes, turned pieces and single facets of bytes, closed
// or not, through one another or not, and holds the answer to what must be so
// of any model.
func FuzzVet(f *testing.F) {
	f.Add([]byte{1, 0, 0, 0, 8, 8, 8, 1, 10, 0, 0, 18, 8, 8}, uint8(40))
	f.Add([]byte{1, 0, 0, 0, 12, 12, 4, 1, 2, 2, 5, 10, 10, 9}, uint8(30))
	f.Add([]byte{2, 8, 8, 0, 4, 8, 7, 1, 0, 0, 0, 3, 3, 9}, uint8(60))
	f.Add([]byte{1, 0, 0, 0, 9, 9, 9, 3, 4, 1, 10, 0, 0, 15, 9, 9}, uint8(25))
	f.Add([]byte{0, 0, 0, 0, 8, 0, 0, 0, 8, 8, 1, 9, 0, 0, 12, 9, 9}, uint8(40))
	f.Fuzz(func(t *testing.T, data []byte, need uint8) {
		soup := fuzzSoup(data)
		mc := keeps(0.05+0.01*float64(need%60), 0.05+0.01*float64(need%60), 0.05+0.01*float64(need%60))
		r, err := Vet(soup, AsIs(), mc)
		if err != nil {
			return
		}
		checkSound(t, r)

		// A machine that needs more finds no margin greater.
		wider := keeps(1.5*mc.Needs().Side, 1.5*mc.Needs().Roof, 1.5*mc.Needs().Bottom)
		w := AsIs()
		w.ReachMM = r.ReachMM
		if greater, err := Vet(soup, w, wider); err != nil {
			t.Errorf("vetted on one machine, and on another: %v", err)
		} else {
			for i, j := range greater.Joints {
				if was := r.Joints[i].Margin; j.Margin != nil && was != nil && *j.Margin > *was+1e-5 {
					t.Errorf("joint %d: margin %v, with greater needs %v", j.ID, *was, *j.Margin)
				}
			}
		}

		// What an open surface bounds, and what closes a contour across a
		// hole of so many mm, hangs on where it lies and how large it is.
		if !r.Mesh.Watertight {
			return
		}

		// Moved, turned about z by a quarter, or with its parts the other way
		// round, it is the same model.
		for how, s := range map[string]*mesh.Soup{"moved": fuzzMoved(soup), "turned": fuzzTurned(soup), "reversed": fuzzReversed(soup)} {
			again, err := Vet(s, AsIs(), mc)
			if err != nil {
				t.Errorf("%s: %v", how, err)
				continue
			}
			fuzzSame(t, how, r, again, 1)
		}

		// Twice as large, with layers and needs twice as high, all gaps are
		// twice as wide.
		w = AsIs()
		w.Scale, w.FirstMM, w.RestMM, w.ReachMM = [3]float64{2, 2, 2}, 0.4, 0.4, 2*r.ReachMM
		n := mc.Needs()
		if double, err := Vet(soup, w, keeps(2*n.Side, 2*n.Roof, 2*n.Bottom)); err != nil {
			t.Errorf("scaled: %v", err)
		} else if len(double.Parts) == len(r.Parts) { // how deep contact may be is measured in mm
			fuzzSame(t, "scaled", r, double, 2)
		}
	})
}

// fuzzSoup reads operations of a byte each, with their arguments.
func fuzzSoup(data []byte) *mesh.Soup {
	s := &mesh.Soup{Format: "stl binary"}
	at := func(b byte) float64 { return 0.25 * float64(b%24) }
	for len(data) > 0 && s.Triangles() < 300 {
		op, args := data[0]%4, data[1:]
		data = args
		switch {
		case op == 0 && len(args) >= 9: // a facet
			for _, b := range args[:9] {
				s.XYZ = append(s.XYZ, float32(at(b)))
			}
			data = args[9:]
		case op == 1 && len(args) >= 6: // a box
			lo := [3]float64{at(min(args[0], args[3])), at(min(args[1], args[4])), at(min(args[2], args[5]))}
			hi := [3]float64{at(max(args[0], args[3])), at(max(args[1], args[4])), at(max(args[2], args[5]))}
			data = args[6:]
			if lo[0] < hi[0] && lo[1] < hi[1] && lo[2] < hi[2] {
				s.XYZ = append(s.XYZ, box(lo[0], lo[1], lo[2], hi[0], hi[1], hi[2]).Soup().XYZ...)
			}
		case op == 2 && len(args) >= 6: // a cylinder
			z0, z1 := at(min(args[2], args[4])), at(max(args[2], args[4]))
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
func fuzzSame(t *testing.T, how string, a, b *Result, scale float64) {
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
		if v == nil != (w == nil) {
			// Just within reach, and just beyond.
			if v != nil && a.ReachMM-*v > 1e-5 || w != nil && b.ReachMM-*w > 1e-5*scale {
				t.Errorf("%s: layer %d: side gap %v, want %v", how, i+1, deref(w), deref(v))
			}
			continue
		}
		if v != nil && math.Abs(*v-*w/scale) > 1e-5 {
			t.Errorf("%s: layer %d: side gap %v, want %v", how, i+1, *w/scale, *v)
		}
		if m, n := a.Layers[i].Margin, b.Layers[i].Margin; m != nil && n != nil && math.Abs(*m-*n) > 1e-4 {
			t.Errorf("%s: layer %d: margin %v, want %v", how, i+1, *n, *m)
		}
	}
}

// checkSound holds an answer to what is so of every one.
func checkSound(t *testing.T, r *Result) {
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
