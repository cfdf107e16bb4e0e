package slice

import (
	"math"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/mesh"
	"playgauge/mesh/shape"
)

// tester is what testing.T and rapid.T share.
type tester interface {
	Helper()
	Fatalf(format string, args ...any)
	Errorf(format string, args ...any)
}

func built(t tester, s *mesh.Soup) *mesh.Mesh {
	t.Helper()
	m, err := mesh.Build(s, mesh.Placement{})
	if err != nil {
		t.Fatalf("build: %v", err)
	}
	return m
}

func cut(t tester, s *mesh.Soup, first, rest float64) (*mesh.Mesh, *Stack) {
	t.Helper()
	m := built(t, s)
	p, err := NewPlan(first, rest, m.Box.Max.Z)
	if err != nil {
		t.Fatalf("plan: %v", err)
	}
	st := Cut(m, p)
	for i := range st.Layers {
		checkLayer(t, st, i+1)
	}
	return m, st
}

// checkLayer holds a layer to what Layer, Contour and Island promise.
func checkLayer(t tester, st *Stack, n int) {
	t.Helper()
	l := &st.Layers[n-1]
	if l.Number != n || l.Z != st.Plan.Cut(n) {
		t.Errorf("layer %d is numbered %d, z %v", n, l.Number, l.Z)
	}
	at, next := int32(0), int32(0)
	part := int32(0)
	for i, is := range l.Islands {
		if is.Part < part || int(is.Part) >= st.Parts {
			t.Errorf("layer %d: island %d of part %d after part %d of %d", n, i, is.Part, part, st.Parts)
		}
		part = is.Part
		if is.First != next || is.End <= is.First || int(is.End) > len(l.Contours) {
			t.Fatalf("layer %d: island %d has contours %d to %d, want from %d of %d", n, i, is.First, is.End, next, len(l.Contours))
		}
		next = is.End
		sum := 0.0
		for k := is.First; k < is.End; k++ {
			c := l.Contours[k]
			if c.Start != at || c.End-c.Start < 3 || int(c.End) > len(l.Pts) {
				t.Fatalf("layer %d: contour %d has points %d to %d, want 3 or more from %d of %d", n, k, c.Start, c.End, at, len(l.Pts))
			}
			at = c.End
			if c.Part != is.Part || c.Island != int32(i) {
				t.Errorf("layer %d: contour %d says part %d island %d, its island %d is of part %d", n, k, c.Part, c.Island, i, is.Part)
			}
			pts := l.Pts[c.Start:c.End]
			for j, p := range pts {
				if p == pts[(j+1)%len(pts)] {
					t.Errorf("layer %d: contour %d has point %v twice running", n, k, p)
				}
			}
			a := shape.Area(pts)
			if math.Abs(a-c.Area) > 1e-9*(1+math.Abs(a)) {
				t.Errorf("layer %d: contour %d encloses %v, says %v", n, k, a, c.Area)
			}
			if (c.Area > 0) != (k == is.First) || math.Abs(c.Area) <= areaNoise {
				t.Errorf("layer %d: contour %d of island %d to %d encloses %v", n, k, is.First, is.End, c.Area)
			}
			if c.Box != boxAround(pts) {
				t.Errorf("layer %d: contour %d has box %v, want %v", n, k, c.Box, boxAround(pts))
			}
			sum += c.Area
		}
		if math.Abs(sum-is.Area) > 1e-9*(1+l.Contours[is.First].Area) || is.Area < 0 {
			t.Errorf("layer %d: island %d has area %v, its contours %v", n, i, is.Area, sum)
		}
		if is.Box != l.Contours[is.First].Box {
			t.Errorf("layer %d: island %d's box is not its outer contour's", n, i)
		}
	}
	if int(next) != len(l.Contours) || int(at) != len(l.Pts) {
		t.Errorf("layer %d: islands hold %d of %d contours, %d of %d points", n, next, len(l.Contours), at, len(l.Pts))
	}
}

func boxAround(pts []r2.Vec) r2.Box {
	inf := math.Inf(1)
	b := r2.Box{Min: r2.Vec{X: inf, Y: inf}, Max: r2.Vec{X: -inf, Y: -inf}}
	for _, p := range pts {
		b.Min = r2.Vec{X: math.Min(b.Min.X, p.X), Y: math.Min(b.Min.Y, p.Y)}
		b.Max = r2.Vec{X: math.Max(b.Max.X, p.X), Y: math.Max(b.Max.Y, p.Y)}
	}
	return b
}

func layerArea(l *Layer) float64 {
	sum := 0.0
	for _, is := range l.Islands {
		sum += is.Area
	}
	return sum
}

// sectionArea adds up the signed triangles from the origin to where the plane
// cuts each facet: the section's area, holes subtracted, overlaps counted
// twice, with no walk from facet to facet.
func sectionArea(m *mesh.Mesh, z float64) float64 {
	sum := 0.0
	for _, t := range m.T {
		var up, down r2.Vec
		n := 0
		for e := range 3 {
			a, b := m.V[t[e]], m.V[t[(e+1)%3]]
			if (a.Z >= z) == (b.Z >= z) {
				continue
			}
			s := (z - a.Z) / (b.Z - a.Z)
			p := r2.Vec{X: a.X + s*(b.X-a.X), Y: a.Y + s*(b.Y-a.Y)}
			if b.Z >= z {
				up = p
			} else {
				down = p
			}
			n++
		}
		if n == 2 { // material on the left: from where the boundary falls to where it rises
			sum += down.X*up.Y - down.Y*up.X
		}
	}
	return sum / 2
}

// nearVertex says whether a cut lies so near a vertex that CutNoise decides.
func nearVertex(m *mesh.Mesh, z float64) bool {
	for _, v := range m.V {
		if math.Abs(v.Z-z) < 3*CutNoise {
			return true
		}
	}
	return false
}

func lineString(pts []r2.Vec) geom.LineString {
	f := make([]float64, 0, 2*len(pts)+2)
	for _, p := range pts {
		f = append(f, p.X, p.Y)
	}
	f = append(f, pts[0].X, pts[0].Y)
	return geom.NewLineString(geom.NewSequence(f, geom.DimXY))
}

// polygon is an island in the judge's form.
func polygon(l *Layer, island int) geom.Polygon {
	var rings []geom.LineString
	for k := l.Islands[island].First; k < l.Islands[island].End; k++ {
		rings = append(rings, lineString(l.Pts[l.Contours[k].Start:l.Contours[k].End]))
	}
	return geom.NewPolygon(rings)
}

// region is a whole layer in the judge's form.
func region(t tester, l *Layer) geom.Geometry {
	t.Helper()
	var g geom.Geometry
	for i := range l.Islands {
		p := polygon(l, i).AsGeometry()
		if g.IsEmpty() {
			g = p
			continue
		}
		u, err := geom.Union(g, p)
		if err != nil {
			t.Fatalf("the judge cannot unite islands: %v", err)
		}
		g = u
	}
	return g
}

func cuboid(x0, y0, z0, x1, y1, z1 float64) shape.Solid {
	return shape.Must(shape.Extrude(shape.Rect(x0, y0, x1, y1), nil, z0, z1))
}

// star draws a simple polygon round a point: corners at rising angles.
func star(t *rapid.T, label string, c r2.Vec, rMin, rMax float64) []r2.Vec {
	n := rapid.IntRange(3, 14).Draw(t, label+"n")
	pts := make([]r2.Vec, n)
	for i := range pts {
		r := rapid.Float64Range(rMin, rMax).Draw(t, label+"r")
		s, k := math.Sincos(2 * math.Pi * (float64(i) + 0.1) / float64(n))
		pts[i] = r2.Vec{X: c.X + r*k, Y: c.Y + r*s}
	}
	return pts
}

// without removes facets from a soup.
func without(s *mesh.Soup, facets map[int]bool) *mesh.Soup {
	o := &mesh.Soup{Format: s.Format}
	for i := range s.Triangles() {
		if !facets[i] {
			o.XYZ = append(o.XYZ, s.XYZ[9*i:9*i+9]...)
		}
	}
	return o
}

func islandsPerLayer(st *Stack) []int {
	n := make([]int, len(st.Layers))
	for i := range st.Layers {
		n[i] = len(st.Layers[i].Islands)
	}
	return n
}

func noRepairs(t *testing.T, st *Stack) {
	t.Helper()
	for i := range st.Layers {
		if r := st.Layers[i].Repairs; len(r) > 0 {
			t.Errorf("layer %d: repairs on a closed mesh: %v", i+1, r)
			return
		}
	}
}
