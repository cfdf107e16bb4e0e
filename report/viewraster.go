package report

import (
	"math"

	"github.com/fogleman/fauxgl"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
)

// raster is a picture of facets: which one shows at each pixel, and how near.
// The shading comes after, once for a pixel.
type raster struct {
	camera
	facet []int32   // -1 where there is none
	near  []float64 // as project tells it
}

// halfSpace is what is cut away: places p with (p - At) . Toward > 0.
type halfSpace struct{ At, Toward r3.Vec }

func (h *halfSpace) holds(p r3.Vec) bool { return r3.Dot(r3.Sub(p, h.At), h.Toward) > 0 }

// rasterize finds the facets that show; without what lies in cut, if any. One
// facet after the other: where two are equally near, the later shows.
func rasterize(m *mesh.Mesh, c camera, cut *halfSpace) raster {
	g := fauxgl.NewContext(c.width, c.height)
	g.AlphaBlend = false
	g.Cull = fauxgl.CullNone // of what is cut open the inside shows
	s := &facetShader{camera: c, cut: cut}
	g.Shader = s
	corner := func(v int32) fauxgl.Vertex {
		p := m.V[v]
		return fauxgl.Vertex{Position: fauxgl.V(p.X, p.Y, p.Z)}
	}
	var t fauxgl.Triangle
	for i, f := range m.T {
		if cut != nil && cut.holds(m.V[f[0]]) && cut.holds(m.V[f[1]]) && cut.holds(m.V[f[2]]) {
			continue
		}
		if edgeOn(&c, m.V[f[0]], m.V[f[1]], m.V[f[2]]) || c.beside(m.V[f[0]], m.V[f[1]], m.V[f[2]]) {
			continue
		}
		s.color = facetColor(i)
		t.V1, t.V2, t.V3 = corner(f[0]), corner(f[1]), corner(f[2])
		g.DrawTriangle(&t)
	}
	r := raster{camera: c, facet: make([]int32, c.width*c.height), near: make([]float64, c.width*c.height)}
	for i := range r.facet {
		px := g.ColorBuffer.Pix[4*i : 4*i+4]
		r.facet[i] = (int32(px[0]) | int32(px[1])<<8 | int32(px[2])<<16 | int32(px[3])<<24) - 1
		r.near[i] = 1 - 2*g.DepthBuffer[i] // the library's depth is 0 at the near end, 1 at the far one
	}
	return r
}

// edgeOn says that a facet covers no pixel: the library would divide by its
// area.
func edgeOn(c *camera, a, b, d r3.Vec) bool {
	const leastPixels = 1e-6
	area := r3.Dot(c.toward, r3.Cross(r3.Sub(b, a), r3.Sub(d, a))) / 2
	return math.Abs(area)*c.perMM*c.perMM < leastPixels
}

// beside says that a facet lies wholly to one side of the picture.
func (c *camera) beside(a, b, d r3.Vec) bool {
	ax, ay, _ := c.project(a)
	bx, by, _ := c.project(b)
	dx, dy, _ := c.project(d)
	w, h := float64(c.width), float64(c.height)
	return max(ax, bx, dx) < 0 || min(ax, bx, dx) > w || max(ay, by, dy) < 0 || min(ay, by, dy) > h
}

// facetShader paints each facet in a colour that stands for its number.
type facetShader struct {
	camera
	cut   *halfSpace
	color fauxgl.Color
}

func (s *facetShader) Vertex(v fauxgl.Vertex) fauxgl.Vertex {
	x, y, near := s.project(r3.Vec{X: v.Position.X, Y: v.Position.Y, Z: v.Position.Z})
	v.Output = fauxgl.VectorW{
		X: 2*x/float64(s.width) - 1,
		Y: 1 - 2*y/float64(s.height),
		Z: -near,
		W: 1,
	}
	return v
}

func (s *facetShader) Fragment(v fauxgl.Vertex) fauxgl.Color {
	if s.cut != nil && s.cut.holds(r3.Vec{X: v.Position.X, Y: v.Position.Y, Z: v.Position.Z}) {
		return fauxgl.Discard
	}
	return s.color
}

// facetColor writes 1 + i in the four bytes of a colour.
func facetColor(i int) fauxgl.Color {
	n := uint32(i + 1)
	b := func(shift int) float64 { return (float64(n>>shift&255) + 0.5) / 255 }
	return fauxgl.Color{R: b(0), G: b(8), B: b(16), A: b(24)}
}
