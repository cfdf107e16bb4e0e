package clip

import (
	"math"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"playgauge/mesh"
	"playgauge/mesh/shape"
	"playgauge/slice"
)

// anySolid draws a body, round or square, concave, with holes or hollows,
// turned or square to the axes.
func anySolid(t *rapid.T) shape.Solid {
	n := rapid.IntRange(3, 20).Draw(t, "segments")
	var s shape.Solid
	switch rapid.IntRange(0, 5).Draw(t, "kind") {
	case 0:
		s = shape.Sphere(5, max(n, 4)).Append(shape.Sphere(3.5, 7).Flip())
	case 1:
		s = shape.Torus(6, 2.5, n, max(n/2, 3))
	case 2:
		s = shape.Tube(2, 5, 6, n, 10)
	case 3:
		s = shape.Cone(5, 1, 7, n, 0)
	case 4: // a star with a hole
		var star []r2.Vec
		for i := range 2 * n {
			r := rapid.Float64Range(3, 8).Draw(t, "r")
			star = append(star, shape.Circle(r2.Vec{}, r, 2*n, 0)[i])
		}
		s = shape.Must(shape.Extrude(star, [][]r2.Vec{shape.Circle(r2.Vec{}, 1, 5, 3)}, 0, 4))
	default:
		s = shape.Box(r3.Vec{X: -4, Y: -3, Z: 0}, r3.Vec{X: 4, Y: 3, Z: 5})
	}
	if rapid.Bool().Draw(t, "turned") {
		a := rapid.Float64Range(-180, 180)
		s = s.Turn(a.Draw(t, "x"), a.Draw(t, "y"), a.Draw(t, "z"))
	}
	return s
}

// anyPlane draws a plane through a solid: anywhere, or through one of its
// vertices.
func anyPlane(t *rapid.T, s Solid) (Axis, float64) {
	axis := Axis(rapid.IntRange(0, 2).Draw(t, "axis"))
	if rapid.Bool().Draw(t, "at a vertex") {
		return axis, coord(s.V[rapid.IntRange(0, len(s.V)-1).Draw(t, "vertex")], axis)
	}
	b := s.Bounds()
	return axis, rapid.Float64Range(coord(b.Min, axis), coord(b.Max, axis)).Draw(t, "at")
}

// The two sides of a cut are closed, look outward and add up to the whole,
// cut after cut.
func TestHalvesMakeTheWhole(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := one(t, anySolid(rt))
		wantClosed(t, s)
		for range 4 {
			axis, at := anyPlane(rt, s)
			whole := s.Volume()
			var sum float64
			var larger Solid
			for _, side := range []Side{Below, Above} {
				h, err := Plane(s, axis, at, side)
				if err != nil {
					rt.Fatal(err)
				}
				wantClosed(t, h)
				sum += h.Volume()
				if h.Volume() < -1e-6*whole {
					rt.Fatalf("%c %g: a volume of %g", "XYZ"[axis], at, h.Volume())
				}
				for _, v := range h.V {
					if (coord(v, axis)-float64(float32(at)))*float64(side) < 0 {
						rt.Fatalf("%c %g: %v lies on the other side", "XYZ"[axis], at, v)
					}
				}
				if h.Volume() > larger.Volume() {
					larger = h
				}
			}
			if math.Abs(sum-whole) > 1e-6*whole {
				rt.Fatalf("%c %g: halves %.10g, whole %.10g", "XYZ"[axis], at, sum, whole)
			}
			s = larger
		}
		// As a file it is read as solids that face outward.
		m := build(t, s.Soup())
		if !m.Watertight() {
			rt.Fatalf("%d open edges", m.OpenEdges)
		}
		sum := 0.0
		for _, sh := range m.Shells {
			if sh.Turned && math.Abs(sh.Volume) > 1e-6 {
				rt.Fatalf("a shell of %g mm3 is inside out", sh.Volume)
			}
			sum += sh.Volume
		}
		if math.Abs(sum-s.Volume()) > 1e-5*s.Volume() {
			rt.Fatalf("read back as %.10g mm3, want %.10g", sum, s.Volume())
		}
	})
}

// polygons is a layer's material as simplefeatures holds it.
func polygons(t *rapid.T, l *slice.Layer) geom.Geometry {
	var all []geom.Geometry
	for _, is := range l.Islands {
		var rings [][]r2.Vec
		for c := is.First; c < is.End; c++ {
			rings = append(rings, l.Pts[l.Contours[c].Start:l.Contours[c].End])
		}
		lines := make([]geom.LineString, len(rings))
		for i, ring := range rings {
			var xy []float64
			for _, p := range append(ring[:len(ring):len(ring)], ring[0]) {
				xy = append(xy, p.X, p.Y)
			}
			lines[i] = geom.NewLineString(geom.NewSequence(xy, geom.DimXY))
		}
		all = append(all, geom.NewPolygon(lines).AsGeometry())
	}
	g, err := geom.UnionMany(all)
	if err != nil {
		t.Skip("simplefeatures: ", err) // a section that touches itself
	}
	return g
}

// Layer by layer, a box cuts out of the sections what simplefeatures says.
func TestSectionsAgreeWithSimplefeatures(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		s := one(t, anySolid(rt))
		b := s.Bounds()
		draw := func(name string, axis Axis) (float64, float64) {
			lo, hi := coord(b.Min, axis), coord(b.Max, axis)
			p := rapid.Float64Range(0, 0.6).Draw(rt, name)
			q := rapid.Float64Range(0.2, 0.4).Draw(rt, name+" width")
			return float64(float32(lo + p*(hi-lo))), float64(float32(lo + (p+q)*(hi-lo)))
		}
		x0, x1 := draw("x", X)
		y0, y1 := draw("y", Y)
		const h = 0.5
		k := rapid.IntRange(0, 3).Draw(rt, "layers below")
		cut, err := Box(s, r3.Box{Min: r3.Vec{X: x0, Y: y0, Z: h * float64(k)}, Max: r3.Vec{X: x1, Y: y1, Z: all}})
		if err != nil {
			rt.Fatal(err)
		}
		wantClosed(t, cut)
		if cut.Empty() || cut.Bounds().Min.Z != h*float64(k) {
			return // its layers would count from elsewhere
		}
		layers := func(s Solid) *slice.Stack {
			m, err := mesh.Build(s.Soup(), mesh.Placement{})
			if err != nil {
				rt.Fatal(err)
			}
			plan, err := slice.NewPlan(h, h, m.Box.Max.Z)
			if err != nil {
				rt.Fatal(err)
			}
			return slice.Cut(m, plan)
		}
		whole, part := layers(s), layers(cut)
		rect, err := geom.UnmarshalWKT(geom.NewEnvelope(geom.XY{X: x0, Y: y0}, geom.XY{X: x1, Y: y1}).AsGeometry().AsText())
		if err != nil {
			rt.Fatal(err)
		}
		for i := range whole.Layers[k:] {
			g, err := geom.Intersection(polygons(rt, &whole.Layers[k+i]), rect)
			if err != nil {
				rt.Skip("simplefeatures: ", err)
			}
			got := 0.0
			if i < len(part.Layers) {
				for _, is := range part.Layers[i].Islands {
					got += is.Area
				}
			}
			// Vertices on the cut are rounded to float32: some 1e-6 mm along
			// outlines of some 100 mm, steeper where a facet lies nearly level.
			if want := g.Area(); math.Abs(got-want) > 5e-4 {
				rt.Fatalf("layer %d: area %.9g, want %.9g", k+i+1, got, want)
			}
		}
	})
}
