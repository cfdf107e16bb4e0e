package report

import (
	"image"
	"image/color"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh"
)

// viewSamples is how many facets are looked up for a pixel, along each side:
// their mean leaves no jagged edge.
const viewSamples = 3

// shade turns facets into a picture of a third of the size: the parts in
// quiet tints, lit from above the left shoulder, what is tight in the heat
// colours, what is cut open flat, and lines where one part ends before
// another, or a surface bends.
func shade(m *mesh.Mesh, r *raster, h *heatMap, cut *halfSpace) *image.RGBA {
	w, hgt := r.width/viewSamples, r.height/viewSamples
	img := image.NewRGBA(image.Rect(0, 0, w, hgt))
	s := shader{mesh: m, raster: r, heat: h, cut: cut, normals: map[int32]r3.Vec{}}
	s.light = unit(r3.Add(r3.Add(r3.Scale(0.75, r.toward), r3.Scale(0.75, r.up)), r3.Scale(-0.45, r.right)))
	for y := range hgt {
		for x := range w {
			var sum [3]float64
			for j := range viewSamples {
				for i := range viewSamples {
					v := s.sample(x*viewSamples+i, y*viewSamples+j)
					sum[0], sum[1], sum[2] = sum[0]+v[0], sum[1]+v[1], sum[2]+v[2]
				}
			}
			const n = viewSamples * viewSamples
			img.SetRGBA(x, y, color.RGBA{encode(sum[0] / n), encode(sum[1] / n), encode(sum[2] / n), 255})
		}
	}
	return img
}

// shader looks at one sample after the other.
type shader struct {
	mesh    *mesh.Mesh
	raster  *raster
	heat    *heatMap
	cut     *halfSpace
	light   r3.Vec
	normals map[int32]r3.Vec // of the facets that show
}

var paperLab = oklab{0.988, 0, 0.006}

// sample is the colour of one sample, in linear light.
func (s *shader) sample(x, y int) [3]float64 {
	f := s.facetAt(x, y)
	if f < 0 {
		if s.outline(x, y, -1) > 0 {
			return oklab{0.30, 0, 0}.linear()
		}
		return paperLab.linear()
	}
	n := s.normal(f)
	part := s.part(f)
	tone := partTint(part)
	open := r3.Dot(n, s.raster.toward) < 0
	p := s.raster.place(float64(x)+0.5, float64(y)+0.5, s.raster.near[y*s.raster.width+x])
	lit := 0.0
	switch {
	case open && s.cut != nil:
		// The inside of the part: the cut face, flat and a little darker.
		tone.l -= 0.13
		tone.a, tone.b = 1.3*tone.a, 1.3*tone.b
		if margin, ok := s.heat.at(part, s.onCut(p), r3.Vec{}); ok {
			tone = rampLab(margin)
		}
	default:
		if open { // a hole in an open mesh
			n = r3.Scale(-1, n)
		}
		lit = max(r3.Dot(n, s.light), 0)
		if margin, ok := s.heat.at(part, p, n); ok {
			tone = rampLab(margin)
			tone.l += 0.06 * (lit - 0.6)
		} else {
			tone.l *= 0.66 + 0.36*lit
		}
	}
	if line := s.outline(x, y, f); line > 0 {
		tone = mix(tone, oklab{0.25, 0, 0}, line)
	}
	return tone.linear()
}

// onCut is where the ray through p meets the cut.
func (s *shader) onCut(p r3.Vec) r3.Vec {
	d := r3.Dot(s.raster.toward, s.cut.Toward)
	if d == 0 {
		return p
	}
	return r3.Add(p, r3.Scale(-r3.Dot(r3.Sub(p, s.cut.At), s.cut.Toward)/d, s.raster.toward))
}

func (s *shader) facetAt(x, y int) int32 {
	if x < 0 || y < 0 || x >= s.raster.width || y >= s.raster.height {
		return -1
	}
	return s.raster.facet[y*s.raster.width+x]
}

func (s *shader) part(f int32) int {
	return s.mesh.Parts[s.mesh.Shells[s.mesh.ShellOf[f]].Part].ID
}

func (s *shader) normal(f int32) r3.Vec {
	n, ok := s.normals[f]
	if !ok {
		t := s.mesh.T[f]
		a, b, c := s.mesh.V[t[0]], s.mesh.V[t[1]], s.mesh.V[t[2]]
		n = unit(r3.Cross(r3.Sub(b, a), r3.Sub(c, a)))
		s.normals[f] = n
	}
	return n
}

// How a line shows: round a part, and where a surface bends.
const (
	lineOfPart   = 0.85
	lineOfBend   = 0.30
	bendCos      = 0.82 // 35 degrees
	lineOfStep   = 0.45
	leastStepMM  = 0.6 // of depth between neighbouring samples, at a right angle
	outlineReach = 1   // samples
)

// outline is how much of a line lies on a sample, 0 to 1.
func (s *shader) outline(x, y int, f int32) float64 {
	line := 0.0
	for _, d := range [4][2]int{{outlineReach, 0}, {0, outlineReach}, {-outlineReach, 0}, {0, -outlineReach}} {
		g := s.facetAt(x+d[0], y+d[1])
		if g == f {
			continue
		}
		if f < 0 || g < 0 || s.part(f) != s.part(g) {
			return lineOfPart
		}
		nf, ng := s.normal(f), s.normal(g)
		if s.cut != nil {
			// A cut face ends at a line and has none in it.
			cf, cg := r3.Dot(nf, s.raster.toward) < 0, r3.Dot(ng, s.raster.toward) < 0
			if cf != cg {
				return lineOfPart
			}
			if cf {
				continue
			}
		}
		if r3.Dot(nf, ng) < bendCos {
			line = max(line, lineOfBend)
		}
		w := s.raster.width
		apart := math.Abs(s.raster.near[y*w+x]-s.raster.near[(y+d[1])*w+x+d[0]]) * s.raster.depth
		steep := max(math.Abs(r3.Dot(nf, s.raster.toward)), math.Abs(r3.Dot(ng, s.raster.toward)), 0.1)
		if apart*steep > leastStepMM+1.5/s.raster.perMM {
			line = max(line, lineOfStep)
		}
	}
	return line
}

func unit(v r3.Vec) r3.Vec {
	if l := r3.Norm(v); l > 0 {
		return r3.Scale(1/l, v)
	}
	return v
}
