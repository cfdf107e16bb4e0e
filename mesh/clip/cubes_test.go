package clip

import (
	"math"
	"math/bits"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
)

// cubes is a solid of unit cubes on a grid of 4 x 4 x 4, one a bit of set:
// its faces lie on every plane of the grid, and cubes touch by faces, edges
// and corners.
func cubes(set uint64) Solid {
	var s Solid
	w := newWelder(&s)
	full := func(x, y, z int) bool {
		return x >= 0 && y >= 0 && z >= 0 && x < 4 && y < 4 && z < 4 && set>>(x+4*y+16*z)&1 == 1
	}
	for i := range 64 {
		at := [3]int{i & 3, i >> 2 & 3, i >> 4}
		if set>>i&1 == 0 {
			continue
		}
		for axis := range 3 {
			for _, up := range []int{-1, 1} {
				n := at
				n[axis] += up
				if full(n[0], n[1], n[2]) {
					continue
				}
				// The corners of the face, counter-clockwise from outside.
				u, v := (axis+1)%3, (axis+2)%3
				if up < 0 {
					u, v = v, u
				}
				var c [4]int32
				for k, d := range [4][2]int{{0, 0}, {1, 0}, {1, 1}, {0, 1}} {
					p := at
					p[axis] += (up + 1) / 2
					p[u] += d[0]
					p[v] += d[1]
					c[k] = w.vertex(r3.Vec{X: float64(p[0]), Y: float64(p[1]), Z: float64(p[2])})
				}
				s.add(c[0], c[1], c[2], 0)
				s.add(c[0], c[2], c[3], 0)
			}
		}
	}
	return s
}

// within counts the cubes between two heights of an axis, with fractions.
func within(set uint64, axis Axis, lo, hi float64) float64 {
	sum := 0.0
	for i := range 64 {
		if set>>i&1 == 1 {
			p := float64([3]int{i & 3, i >> 2 & 3, i >> 4}[axis])
			sum += max(min(hi, p+1)-max(lo, p), 0)
		}
	}
	return sum
}

// FuzzCubes cuts cubes along faces, edges and through their middles, and
// counts what is left.
func FuzzCubes(f *testing.F) {
	f.Add(uint64(1), uint8(0), uint8(4))
	f.Add(uint64(0x8000_0000_0000_0001), uint8(1), uint8(8)) // far apart
	f.Add(uint64(0x0000_0000_0012_0021), uint8(2), uint8(2)) // by edges
	f.Add(uint64(0x0000_0000_0020_0001), uint8(2), uint8(4)) // by a corner on the plane
	f.Add(uint64(0x0000_0000_0007_0757), uint8(2), uint8(3)) // a hole
	f.Add(uint64(0x0000_0777_0757_0777), uint8(0), uint8(6)) // a hollow
	f.Add(^uint64(0), uint8(1), uint8(9))
	f.Add(uint64(0xa5a5_5a5a_a5a5_5a5a), uint8(0), uint8(8)) // a chessboard
	f.Add(uint64(0x0660_9009_9009_0660), uint8(1), uint8(7))
	f.Fuzz(func(t *testing.T, set uint64, axisByte, quarters uint8) {
		s := cubes(set)
		wantClosed(t, s)
		axis, at := Axis(axisByte%3), float64(quarters%17)/4
		if got := s.Volume(); got != float64(bits.OnesCount64(set)) {
			t.Fatalf("volume %g of %d cubes", got, bits.OnesCount64(set))
		}
		for _, side := range []Side{Below, Above} {
			h, err := Plane(s, axis, at, side)
			if err != nil {
				t.Fatal(err)
			}
			wantClosed(t, h)
			want := within(set, axis, 0, at)
			if side == Above {
				want = within(set, axis, at, 4)
			}
			if got := h.Volume(); math.Abs(got-want) > 1e-12 {
				t.Fatalf("%c %g, side %d: volume %g, want %g", "XYZ"[axis], at, side, got, want)
			}
			if want == 0 && !h.Empty() {
				t.Fatalf("%c %g, side %d: %d facets round nothing", "XYZ"[axis], at, side, len(h.T))
			}
			// Area is exact too: no facet folds back over another.
			if got, want := area(h), cutArea(set, axis, at, side); math.Abs(got-want) > 1e-9 {
				t.Fatalf("%c %g, side %d: area %g, want %g", "XYZ"[axis], at, side, got, want)
			}
			if want == 0 {
				continue
			}
			// Cut again, square to it. To build the mesh takes longer than all
			// the rest: that is left to one in eight, by a hash.
			if (set+uint64(quarters))*0x9E3779B97F4A7C15>>61 == 0 {
				m, err := mesh.Build(h.Soup(), mesh.Placement{})
				if err != nil {
					t.Fatal(err)
				}
				if !m.Watertight() {
					t.Fatalf("%d open edges", m.OpenEdges)
				}
			}
			q, err := Plane(h, (axis+1)%3, 1.5, side)
			if err != nil {
				t.Fatal(err)
			}
			wantClosed(t, q)
		}
	})
}

func area(s Solid) float64 {
	sum := 0.0
	for _, c := range s.T {
		a, b, d := s.V[c[0]], s.V[c[1]], s.V[c[2]]
		sum += r3.Norm(r3.Cross(r3.Sub(b, a), r3.Sub(d, a))) / 2
	}
	return sum
}

// cutArea is the surface of the cubes on one side of a plane, counted face by
// face.
func cutArea(set uint64, axis Axis, at float64, side Side) float64 {
	// thick is how much of the cubes at a height is left.
	thick := func(k int) float64 {
		if side == Below {
			return max(min(at-float64(k), 1), 0)
		}
		return max(min(float64(k)+1-at, 1), 0)
	}
	full := func(p [3]int) bool {
		for _, c := range p {
			if c < 0 || c > 3 {
				return false
			}
		}
		return set>>(p[0]+4*p[1]+16*p[2])&1 == 1 && thick(p[axis]) > 0
	}
	sum := 0.0
	for i := range 64 {
		p := [3]int{i & 3, i >> 2 & 3, i >> 4}
		if !full(p) {
			continue
		}
		for a := range 3 {
			for _, d := range []int{-1, 1} {
				q := p
				q[a] += d
				if full(q) {
					continue
				}
				if Axis(a) == axis {
					sum++
				} else {
					sum += thick(p[axis])
				}
			}
		}
	}
	return sum
}
