package slice

import (
	"math"
	"math/rand/v2"
	"runtime"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/mesh"
	"playgauge/mesh/shape"
)

// wallFacets lists the facets of a soup whose three corners lie in a box.
func wallFacets(s *mesh.Soup, x0, y0, z0, x1, y1, z1 float32) map[int]bool {
	in := map[int]bool{}
	for i := range s.Triangles() {
		all := true
		for c := range 3 {
			p := s.XYZ[9*i+3*c:]
			all = all && p[0] >= x0 && p[0] <= x1 && p[1] >= y0 && p[1] <= y1 && p[2] >= z0 && p[2] <= z1
		}
		if all {
			in[i] = true
		}
	}
	return in
}

// TestOneFacetMissing: a wall of a box is two facets; without one of them
// there is a gap that grows linearly with the height, closed by a straight
// line along the wall itself, so that the area stays.
func TestOneFacetMissing(t *testing.T) {
	soup := cuboid(0, 0, 0, 1.5, 8, 4).Soup()
	wall := wallFacets(soup, 0, 0, 0, 1.5, 0, 4)
	if len(wall) != 2 {
		t.Fatalf("%d facets on the wall, want 2", len(wall))
	}
	for f := range wall {
		m, st := cut(t, without(soup, map[int]bool{f: true}), 0.2, 0.2)
		if m.OpenEdges != 3 {
			t.Fatalf("%d open edges, want 3", m.OpenEdges)
		}
		for i := range st.Layers {
			l := &st.Layers[i]
			if len(l.Islands) != 1 || math.Abs(l.Islands[0].Area-12) > 1e-5 {
				t.Errorf("z %v: islands %+v, want one of area 12", l.Z, l.Islands)
			}
			if len(l.Repairs) != 1 || l.Repairs[0].Dropped || l.Repairs[0].Part != 0 {
				t.Fatalf("z %v: repairs %+v, want one", l.Z, l.Repairs)
			}
			// The triangle is as wide as 1.5 at its base and 0 at its tip.
			g := l.Repairs[0].Gap
			if a, b := 1.5*l.Z/4, 1.5*(1-l.Z/4); math.Abs(g-a) > 1e-5 && math.Abs(g-b) > 1e-5 {
				t.Errorf("z %v: a gap of %v, want %v or %v", l.Z, g, a, b)
			}
			if at := l.Repairs[0].At; math.Abs(at.Y) > 1e-6 || at.X < -1e-6 || at.X > 1.5+1e-6 {
				t.Errorf("z %v: the repair is said to be at %v, not on the wall", l.Z, at)
			}
		}
	}
}

// TestGapTooWide: a wall wider than CloseWithin is left out and said to be.
func TestGapTooWide(t *testing.T) {
	for _, tc := range []struct {
		wide    float64
		dropped bool
	}{{CloseWithin - 0.01, false}, {CloseWithin + 0.01, true}, {6, true}} {
		soup := cuboid(0, 0, 0, tc.wide, 8, 1).Soup()
		wall := wallFacets(soup, 0, 0, 0, float32(tc.wide), 0, 1)
		_, st := cut(t, without(soup, wall), 0.2, 0.2)
		for i := range st.Layers {
			l := &st.Layers[i]
			if len(l.Repairs) != 1 || l.Repairs[0].Dropped != tc.dropped || math.Abs(l.Repairs[0].Gap-tc.wide) > 1e-5 {
				t.Errorf("wall of %v, layer %d: repairs %+v, want one, dropped %v", tc.wide, i+1, l.Repairs, tc.dropped)
			}
			if got := len(l.Islands) == 0; got != tc.dropped {
				t.Errorf("wall of %v, layer %d: %d islands", tc.wide, i+1, len(l.Islands))
			}
		}
	}
}

// TestEverySecondFacetMissing: a comb of gaps as wide as what is left
// between them is still one contour; no piece is closed on itself.
func TestEverySecondFacetMissing(t *testing.T) {
	for _, n := range []int{12, 48, 200} {
		soup := shape.Tube(3, 6, 2, n, 0).Soup()
		gone := map[int]bool{}
		// Both facets of every second stave of the outer wall.
		for i := range soup.Triangles() {
			outer, mid := true, 0.0
			var x, y float64
			for c := range 3 {
				p := soup.XYZ[9*i+3*c:]
				outer = outer && math.Hypot(float64(p[0]), float64(p[1])) > 5.9
			}
			if !outer {
				continue
			}
			for c := range 3 { // the stave lies after the corner with the least angle
				p := soup.XYZ[9*i+3*c:]
				x, y = x+float64(p[0]), y+float64(p[1])
			}
			mid = math.Atan2(y, x)
			if mid < 0 {
				mid += 2 * math.Pi
			}
			lo := math.Floor(mid / (2 * math.Pi / float64(n)))
			if int(lo)%2 == 0 {
				gone[i] = true
			}
		}
		if len(gone) != n {
			t.Fatalf("%d facets to remove, want %d", len(gone), n)
		}
		_, st := cut(t, without(soup, gone), 0.2, 0.2)
		side := 12 * math.Sin(math.Pi/float64(n))
		for i := range st.Layers {
			l := &st.Layers[i]
			if side > CloseWithin {
				continue
			}
			want := float64(n) / 2 * math.Sin(2*math.Pi/float64(n)) * (36 - 9)
			if len(l.Islands) != 1 || math.Abs(layerArea(l)-want) > 1e-4 {
				t.Errorf("n %d, layer %d: area %v in %d islands, want %v", n, i+1, layerArea(l), len(l.Islands), want)
			}
			closed := 0
			for _, r := range l.Repairs {
				if !r.Dropped && math.Abs(r.Gap-side) < 1e-5 {
					closed++
				}
			}
			if closed != n/2 || len(l.Repairs) != n/2 {
				t.Errorf("n %d, layer %d: %d repairs, %d of them as wide as a stave; want %d", n, i+1, len(l.Repairs), closed, n/2)
			}
		}
	}
}

// TestFewFacetsMissing: small holes in a fine ball cost no contour and little
// area, and every layer that passes through one says so.
func TestFewFacetsMissing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		soup := shape.Sphere(6, 48).Soup()
		gone := map[int]bool{}
		for range rapid.IntRange(1, 20).Draw(t, "gone") {
			gone[rapid.IntRange(0, soup.Triangles()-1).Draw(t, "facet")] = true
		}
		whole, want := cut(t, soup, 0.3, 0.3)
		holed := without(soup, gone)
		m, got := cut(t, holed, 0.3, 0.3)
		if m.Watertight() {
			t.Fatal("nothing is open")
		}
		if m.Box.Max.Z != whole.Box.Max.Z || len(m.Shells) > 1 {
			return // a pole is gone, so all heights are others; or a loose flake is left
		}
		for i := range want.Layers {
			a, b := &want.Layers[i], &got.Layers[i]
			if d := math.Abs(layerArea(a) - layerArea(b)); len(b.Islands) != 1 || d > 0.05*layerArea(a)+0.5 {
				t.Errorf("z %v: %d islands, area %v, whole %v; repairs %+v", b.Z, len(b.Islands), layerArea(b), layerArea(a), b.Repairs)
			}
			through := 0
			for f := range gone {
				lo, hi := math.Inf(1), math.Inf(-1)
				for c := range 3 {
					z := float64(soup.XYZ[9*f+3*c+2]) + 6
					lo, hi = math.Min(lo, z), math.Max(hi, z)
				}
				if lo < b.Z-1e-4 && hi > b.Z+1e-4 {
					through++
				}
			}
			if through > 0 != (len(b.Repairs) > 0) && !nearVertex(m, b.Z) {
				t.Errorf("z %v: the cut passes %d missing facets, repairs %+v", b.Z, through, b.Repairs)
			}
			for _, r := range b.Repairs {
				if r.Dropped {
					t.Errorf("z %v: dropped %+v", b.Z, r)
				}
			}
		}
	})
}

// TestManyOpenEnds counts the bytes it takes to weigh ends against each other
// when a great many lie close together: so many an end, not so many a pair.
func TestManyOpenEnds(t *testing.T) {
	perEnd := func(n int) float64 {
		rnd := rand.New(rand.NewPCG(7, 7))
		w := &walker{m: &mesh.Mesh{}}
		for range n { // hairs in a square of 4 mm
			a := r2.Vec{X: 4 * rnd.Float64(), Y: 4 * rnd.Float64()}
			b := r2.Vec{X: a.X + 0.02*rnd.Float64(), Y: a.Y + 0.02*rnd.Float64()}
			start := int32(len(w.pts))
			w.pts = append(w.pts, a, b)
			w.opens = append(w.opens, line{start: start, end: start + 2})
		}
		var l Layer
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		w.closeOpen(&l)
		runtime.ReadMemStats(&after)
		for _, r := range l.Repairs {
			if !r.Dropped && r.Gap > CloseWithin {
				t.Errorf("closed a gap of %v", r.Gap)
			}
		}
		return float64(after.TotalAlloc-before.TotalAlloc) / float64(n)
	}
	few, many := perEnd(300), perEnd(4800)
	t.Logf("%.0f bytes an end of 300, %.0f of 4800", few, many)
	if many > 2*few {
		t.Errorf("%.0f bytes an end of 300, %.0f of 4800", few, many)
	}
}
