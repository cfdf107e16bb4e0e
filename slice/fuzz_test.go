package slice

import (
	"testing"

	"playgauge/mesh"
)

// grid maps a byte to a coordinate along an axis: small whole steps, so that
// facets share corners, lie level and fall on cuts, and half as high as wide,
// so that there are few layers.
func grid(axis int, b byte) float32 {
	step := [3]float32{0.25, 0.25, 0.125}[axis]
	return float32(b%16) * step
}

// FuzzCut makes a few facets or boxes of bytes, closed or not, through one
// another or not, and holds every layer to what its types promise.
func FuzzCut(f *testing.F) {
	cube := func(x, y, z, w byte) []byte { return []byte{1, x, y, z, x + w, y + w, z + w} }
	f.Add([]byte{0, 0, 0, 0, 8, 0, 0, 0, 8, 8}, uint8(20), uint8(20))
	f.Add(cube(0, 0, 0, 4), uint8(20), uint8(20))
	f.Add(append(cube(0, 0, 0, 4), cube(4, 4, 0, 4)...), uint8(25), uint8(25))
	f.Add(append(cube(0, 0, 0, 6), cube(2, 2, 0, 8)...), uint8(12), uint8(50))
	f.Add(append(cube(0, 0, 0, 9), []byte{2, 3}...), uint8(25), uint8(10))
	f.Add(append(cube(0, 0, 0, 9), []byte{2, 3, 1, 2, 2, 2, 5, 5, 5, 3}...), uint8(25), uint8(10))
	// A box within a box, turned inside out, with a facet gone.
	f.Add([]byte{1, 0, 0, 0, 12, 12, 12, 1, 2, 2, 2, 6, 6, 6, 3, 2, 14}, uint8(30), uint8(20))
	f.Fuzz(func(t *testing.T, data []byte, first, rest uint8) {
		s := &mesh.Soup{Format: "stl binary"}
		for len(data) > 0 && s.Triangles() < 100 {
			op, args := data[0]%4, data[1:]
			data = args
			switch {
			case op == 0 && len(args) >= 9: // a facet
				for i, b := range args[:9] {
					s.XYZ = append(s.XYZ, grid(i%3, b))
				}
				data = args[9:]
			case op == 1 && len(args) >= 6: // a box
				var c [6]float64
				for i := range c {
					c[i] = float64(grid(i%3, args[i]))
				}
				data = args[6:]
				if c[0] == c[3] || c[1] == c[4] || c[2] == c[5] {
					continue
				}
				s.XYZ = append(s.XYZ, cuboid(min(c[0], c[3]), min(c[1], c[4]), min(c[2], c[5]),
					max(c[0], c[3]), max(c[1], c[4]), max(c[2], c[5])).Soup().XYZ...)
			case op == 2 && len(args) >= 1 && s.Triangles() > 0: // a facet goes
				k := int(args[0]) % s.Triangles()
				s.XYZ = append(s.XYZ[:9*k:9*k], s.XYZ[9*k+9:]...)
				data = args[1:]
			case op == 3 && s.Triangles() >= 12: // the last 12 facets are turned around
				for k := len(s.XYZ) - 108; k < len(s.XYZ); k += 9 {
					for i := range 3 {
						s.XYZ[k+i], s.XYZ[k+3+i] = s.XYZ[k+3+i], s.XYZ[k+i]
					}
				}
			}
		}
		m, err := mesh.Build(s, mesh.Placement{})
		if err != nil {
			return
		}
		p, err := NewPlan(0.01*float64(max(first, 10)), 0.01*float64(max(rest, 10)), m.Box.Max.Z)
		if err != nil {
			return
		}
		st := Cut(m, p)
		for i := range st.Layers {
			checkLayer(t, st, i+1)
			for _, r := range st.Layers[i].Repairs {
				if r.Part < 0 || int(r.Part) >= st.Parts || !(r.Gap >= 0) || r.Gap > CloseWithin && !r.Dropped {
					t.Errorf("layer %d: repair %+v", i+1, r)
				}
			}
		}
	})
}
