package gapscan

import (
	"fmt"
	"math"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"playgauge/mesh/shape"
	"playgauge/slice"
)

// floatNoise is what float32 coordinates of a few tens of mm leave open.
const floatNoise = 1e-5

// sideGaps lists the side gap of every layer, failing where there is none.
func sideGaps(t *testing.T, r *Result) []float64 {
	t.Helper()
	var out []float64
	for _, l := range r.Layers {
		if l.SideGapMM == nil {
			t.Fatalf("layer %d has no side gap", l.Layer)
		}
		ends := *l.SideEndsMM
		if d := math.Hypot(ends[1][0]-ends[0][0], ends[1][1]-ends[0][1]); !near2(d, *l.SideGapMM, 2e-6) {
			t.Errorf("layer %d: the ends %v are %v mm apart, the gap is %v", l.Layer, ends, d, *l.SideGapMM)
		}
		out = append(out, *l.SideGapMM)
	}
	return out
}

func TestPinInHole(t *testing.T) {
	// Pin a in hole b, both n-gons by vertices: aligned (b-a)cos(pi/n);
	// turned by pi/n: b cos(pi/n) - a. b=5.3, a=5, n=32: .298555 and .274479.
	for _, tc := range []struct {
		name  string
		phase float64
		want  float64
	}{{"aligned", 0, .298555}, {"turned", 180.0 / 32, .274479}} {
		t.Run(tc.name, func(t *testing.T) {
			s := shape.Tube(5.3, 8, 3, 32, 0).Append(shape.Cylinder(5, 3, 32, tc.phase))
			r := scan(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.4))
			for i, g := range sideGaps(t, r) {
				if !near2(g, tc.want, floatNoise) {
					t.Errorf("layer %d: side gap %v, want %v", i+1, g, tc.want)
				}
			}
			if g := r.Joints[0].TrueGapMM; !near2(g, tc.want, floatNoise) {
				t.Errorf("true gap %v, want %v", g, tc.want)
			}
			if r.Joints[0].RoofGapMM != nil || r.Joints[0].RoofAirLayers != nil {
				t.Errorf("an upright pin has no roof, not one of %v mm", *r.Joints[0].RoofGapMM)
			}
		})
	}
}

func TestInterlockedTori(t *testing.T) {
	// Interlocked equal tori in perpendicular planes, centres d apart on their
	// common line: true gap min(d, 2R-d) - 2r. Drawn with vertices on that
	// line, a ring's inner rim is a corner between two chords at pi/n to the
	// square, so another's outer rim, a vertex, is nearer by cos(pi/n); and
	// where two inner rims face each other, the two chords are skew lines,
	// nearer by c/sqrt(1+s^2).
	const n = 48
	ring := shape.Torus(10, 2, n, 24)
	s, c := math.Sincos(math.Pi / n)
	for _, tc := range []struct{ d, share float64 }{
		{5, c}, {10, c / math.Sqrt(1+s*s)}, {15, c / math.Sqrt(1+s*s)},
	} {
		two := ring.Append(ring.Turn(90, 0, 0).Move(tc.d, 0, 0))
		got := cutSolid(t, two, 0.4, 0.4, keeps(0.3, 0.4, 0.4), Options{Reach: 8}).scanner.pairs
		want := (min(tc.d, 20-tc.d) - 4) * tc.share
		if len(got) != 1 || !near2(got[0].trueGap, want, floatNoise) {
			t.Errorf("centres %v apart: %+v, want one joint of true gap %v", tc.d, got, want)
		}
	}
}

func TestBallInSocket(t *testing.T) {
	// Concentric spheres 5 and 5.4, in-layer gap at z: the spheres' sections
	// are n-gons by vertices, aligned, of the radii at which the profile's
	// chords cross z.
	const n, a, b = 32, 5.0, 5.4
	radius := func(r, z float64) float64 {
		for k := range n / 2 {
			t0, t1 := -math.Pi/2+math.Pi*float64(k)/(n/2), -math.Pi/2+math.Pi*float64(k+1)/(n/2)
			if z0, z1 := r*math.Sin(t0), r*math.Sin(t1); z0 <= z && z <= z1 {
				u := (z - z0) / (z1 - z0)
				return r * ((1-u)*math.Cos(t0) + u*math.Cos(t1))
			}
		}
		return 0
	}
	hollow := shape.Sphere(b, n).Flip()
	s := box(-7, -7, -6, 7, 7, 6).Append(hollow, shape.Sphere(a, n))
	c := cutSolid(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.4), Options{})
	r := c.result()
	// The least distance of concentric, aligned facets is between their
	// planes: 0.4 times the nearest facet's distance from the centre over its
	// radius; the nearest face of all is beside a pole or beside the equator.
	least := math.Inf(1)
	tris := shape.Sphere(1, n)
	for _, f := range tris.T {
		p, q, o := tris.V[f[0]], tris.V[f[1]], tris.V[f[2]]
		nx, ny, nz := cross(p, q, o)
		l := math.Sqrt(nx*nx + ny*ny + nz*nz)
		least = min(least, math.Abs(nx*p.X+ny*p.Y+nz*p.Z)/l)
	}
	if g := r.Joints[0].TrueGapMM; !near2(g, 0.4*least, floatNoise) {
		t.Errorf("true gap %v, want %v", g, 0.4*least)
	}
	if g := r.Joints[0].RoofGapMM; g == nil || !near2(*g, 0.4, floatNoise) {
		t.Errorf("roof gap %v, want 0.4 over the pole", g)
	}
	seen := 0
	for _, l := range r.Layers {
		z := c.stack.Plan.Cut(l.Layer) - 6
		ra, rb := radius(a, z), radius(b, z)
		if ra == 0 {
			continue
		}
		want := (rb - ra) * math.Cos(math.Pi/n)
		if want > 2 {
			continue
		}
		seen++
		if l.SideGapMM == nil || !near2(*l.SideGapMM, want, floatNoise) {
			t.Errorf("z %v: side gap %v, want %v", z, l.SideGapMM, want)
		}
	}
	if seen < 40 {
		t.Errorf("only %d layers compared", seen)
	}
}

func TestSlopedWall(t *testing.T) {
	// Wall at angle t from vertical, normal gap g: in-layer gap g/cos t,
	// vertical gap g/sin t.
	for _, deg := range []float64{20, 45, 60} {
		t.Run(fmt.Sprintf("degrees=%v", deg), func(t *testing.T) {
			const g, h = 0.3, 4.0
			sin, cos := math.Sincos(deg * math.Pi / 180)
			tan := sin / cos
			// Two slabs that lean along x, the walls facing each other.
			low := prism(0, 5, 0, 0, 3, 0, 3+h*tan, h, 0, h)
			high := prism(0, 5, 3+g/cos, 0, 8+h*tan, 0, 8+h*tan, h, 3+g/cos+h*tan, h)
			r := scan(t, low.Append(high), 0.2, 0.2, keeps(0.3, 0.4, 0.4))
			for i, got := range sideGaps(t, r) {
				if !near2(got, g/cos, floatNoise) {
					t.Errorf("layer %d: side gap %v, want %v", i+1, got, g/cos)
				}
			}
			j := r.Joints[0]
			if !near2(j.TrueGapMM, g, floatNoise) {
				t.Errorf("true gap %v, want %v", j.TrueGapMM, g)
			}
			if j.RoofGapMM == nil || !near2(*j.RoofGapMM, g/sin, floatNoise) {
				t.Errorf("roof gap %v, want %v", j.RoofGapMM, g/sin)
			}
		})
	}
}

func cross(a, b, c r3.Vec) (x, y, z float64) {
	ux, uy, uz := b.X-a.X, b.Y-a.Y, b.Z-a.Z
	vx, vy, vz := c.X-a.X, c.Y-a.Y, c.Z-a.Z
	return uy*vz - uz*vy, uz*vx - ux*vz, ux*vy - uy*vx
}

// contoursAsGeometry gives a part's contours in a layer as lines.
func contoursAsGeometry(l *slice.Layer, part int32) geom.Geometry {
	var lines []geom.LineString
	for _, c := range l.Contours {
		if c.Part != part {
			continue
		}
		var xy []float64
		for _, p := range append(append([]r2.Vec{}, l.Pts[c.Start:c.End]...), l.Pts[c.Start]) {
			xy = append(xy, p.X, p.Y)
		}
		lines = append(lines, geom.NewLineString(geom.NewSequence(xy, geom.DimXY)))
	}
	return geom.NewMultiLineString(lines).AsGeometry()
}

func TestSideGapAgreesWithSimplefeatures(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := cutSolid(t, someModel(t), 0.2, 0.2, keeps(0.3, 0.4, 0.4), Options{Reach: 1.5})
		for n := 1; n <= c.stack.Plan.Layers; n++ {
			got := map[int32]float64{}
			for _, f := range c.layer(n).joints {
				got[f.joint] = f.side
			}
			l := &c.stack.Layers[n-1]
			for i, p := range c.scanner.pairs {
				want, ok := geom.Distance(contoursAsGeometry(l, p.a), contoursAsGeometry(l, p.b))
				side, found := got[int32(i)]
				found = found && !math.IsInf(side, 1)
				switch {
				case ok && math.Abs(want-1.5) < 1e-9:
				case (ok && want <= 1.5) != found:
					t.Errorf("layer %d, parts %d and %d: side gap %v, by simplefeatures %v", n, p.a, p.b, side, want)
				case found && !near2(side, want, 1e-9):
					t.Errorf("layer %d, parts %d and %d: side gap %v, by simplefeatures %v", n, p.a, p.b, side, want)
				}
			}
		}
	})
}
