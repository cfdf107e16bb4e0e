package shape

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// near compares volumes: relative, since all are sums of products.
const near = 1e-11

func wantVolume(t testing.TB, name string, s Solid, want float64) {
	t.Helper()
	if err := s.Check(); err != nil {
		t.Errorf("%s: %v", name, err)
	}
	if got := s.Volume(); math.Abs(got-want) > near*math.Abs(want) {
		t.Errorf("%s: volume %.12g, want %.12g", name, got, want)
	}
}

// euler is vertices - edges + facets of a closed solid: 2 for a ball, 0 for a
// ring, and the sum over several surfaces.
func euler(s Solid) int { return len(s.V) - len(s.T)*3/2 + len(s.T) }

// gon is the area of the n-gon inscribed in radius r, over r squared:
// (n/2) sin(2 pi/n), FACTS of plane geometry.
func gon(n int) float64 { return float64(n) / 2 * math.Sin(2*math.Pi/float64(n)) }

func TestVolumesAgreeWithClosedForms(t *testing.T) {
	for _, n := range []int{3, 5, 32, 96} {
		wantVolume(t, "cylinder", Cylinder(5, 7, n, 11), gon(n)*25*7)
		wantVolume(t, "tube", Tube(3, 5, 7, n, 0), gon(n)*(25-9)*7)
		wantVolume(t, "frustum", Cone(5, 2, 6, n, 0), gon(n)*6/3*(25+10+4))
		wantVolume(t, "cone up", Cone(5, 0, 6, n, 0), gon(n)*6/3*25)
		wantVolume(t, "cone down", Cone(0, 5, 6, n, 0), gon(n)*6/3*25)
		// Pappus: a lathe of n segments turns 2 pi into 2 gon(n); a regular
		// section of m corners has the area gon(m) r^2.
		m := n + 1
		wantVolume(t, "torus", Torus(10, 2, n, m), 2*gon(n)*10*gon(m)*4)
	}
	wantVolume(t, "cuboid", Box(r3.Vec{X: -1, Y: 2, Z: 3}, r3.Vec{X: 4, Y: 4, Z: 10}), 5*2*7)
	// The smooth torus is 2 pi^2 R r^2, the smooth ball of radius 5
	// 523.598776: n-gons approach them as 1/n^2.
	if got, want := Torus(10, 2, 720, 720).Volume(), 2*math.Pi*math.Pi*10*4; math.Abs(got/want-1) > 5e-5 {
		t.Errorf("fine torus %g, want %g", got, want)
	}
	if got, want := Sphere(5, 720).Volume(), 523.598776; math.Abs(got/want-1) > 5e-5 {
		t.Errorf("fine ball %g, want %g", got, want)
	}
	for _, s := range []struct {
		name string
		s    Solid
		want int
	}{{"sphere", Sphere(5, 24), 2}, {"torus", Torus(10, 2, 24, 12), 0}, {"tube", Tube(3, 5, 7, 8, 0), 0}, {"cone", Cone(5, 0, 6, 7, 0), 2}} {
		if got := euler(s.s); got != s.want {
			t.Errorf("%s: Euler characteristic %d, want %d", s.name, got, s.want)
		}
	}
}

// The vertices of round bodies lie on the true circle, the first at the
// phase; n = 32 sinks its facets by the sagitta .00481527 R.
func TestVerticesLieOnTheCircle(t *testing.T) {
	s := Cylinder(5, 7, 32, 90)
	if s.V[1].X != 0 || s.V[1].Y != 5 {
		t.Errorf("phase 90 begins at %v, want exactly 0, 5", s.V[1])
	}
	low := math.Inf(1)
	for _, f := range s.T {
		for e := range 3 {
			a, b := s.V[f[e]], s.V[f[(e+1)%3]]
			ra, rb := math.Hypot(a.X, a.Y), math.Hypot(b.X, b.Y)
			if ra < 1 || rb < 1 || a.Z != b.Z {
				continue
			}
			if math.Abs(ra-5) > 1e-14 {
				t.Fatalf("vertex at radius %.17g", ra)
			}
			low = min(low, math.Hypot((a.X+b.X)/2, (a.Y+b.Y)/2))
		}
	}
	if sag := 5 - low; math.Abs(sag-.00481527*5) > 5e-8 {
		t.Errorf("sagitta %.9g, want %.9g", sag, .00481527*5)
	}
}

func TestTurnIsExactAtRightAngles(t *testing.T) {
	s := Solid{V: []r3.Vec{{X: 0.1, Y: 0.7, Z: 13.3}}}
	for _, c := range []struct {
		x, y, z float64
		want    r3.Vec
	}{
		{90, 0, 0, r3.Vec{X: 0.1, Y: -13.3, Z: 0.7}},
		{0, 90, 0, r3.Vec{X: 13.3, Y: 0.7, Z: -0.1}},
		{0, 0, 90, r3.Vec{X: -0.7, Y: 0.1, Z: 13.3}},
		{0, 0, -180, r3.Vec{X: -0.1, Y: -0.7, Z: 13.3}},
		{90, 90, 0, r3.Vec{X: 0.7, Y: -13.3, Z: -0.1}}, // X first, then Y
		{360, 720, -360, r3.Vec{X: 0.1, Y: 0.7, Z: 13.3}},
	} {
		if got := s.Turn(c.x, c.y, c.z).V[0]; got != c.want {
			t.Errorf("turn %g,%g,%g gives %v, want %v", c.x, c.y, c.z, got, c.want)
		}
	}
	if got, want := s.Turn(30, 0, 0).V[0].Y, 0.7*math.Cos(math.Pi/6)-13.3*math.Sin(math.Pi/6); math.Abs(got-want) > 1e-14 {
		t.Errorf("turn 30 gives y %g, want %g", got, want)
	}
}

func TestMovingAndScaling(t *testing.T) {
	s := Cone(5, 2, 6, 12, 0)
	v := s.Volume()
	wantVolume(t, "moved and turned", s.Turn(20, 30, 40).Move(100, -50, 3), v)
	wantVolume(t, "scaled", s.Scale(2, 3, 0.5), 3*v)
	wantVolume(t, "mirrored", s.Scale(-1, 1, 1), v)
	wantVolume(t, "mirrored twice", s.Scale(-1, 1, -1), v)
	wantVolume(t, "mirrored thrice", s.Scale(-1, -1, -1), v)
	wantVolume(t, "inside out", s.Flip(), -v)
	wantVolume(t, "two", s.Append(s.Move(20, 0, 0), Solid{}), 2*v)
	if got := (Solid{}).Append(); len(got.V) != 0 || got.Volume() != 0 || len(got.Soup().XYZ) != 0 {
		t.Errorf("the empty solid gives %v", got)
	}
	b := s.Move(1, 2, 3).Bounds()
	if b.Min.Z != 3 || b.Max.Z != 9 || b.Min.X != -4 || b.Max.X != 6 {
		t.Errorf("box %v", b)
	}
}

func TestCheckFindsFaults(t *testing.T) {
	good := Sphere(5, 12)
	open := Solid{V: good.V, T: good.T[1:]}
	if open.Check() == nil {
		t.Error("a missing facet was not found")
	}
	twice := Solid{V: good.V, T: append(append([][3]int32{}, good.T...), good.T[3])}
	if twice.Check() == nil {
		t.Error("a facet that is there twice was not found")
	}
	// 1e-9 beside 5 is nothing in float32.
	if (Sphere(1e-9, 12).Move(5, 5, 5)).Check() == nil {
		t.Error("facets that float32 flattens were not found")
	}
}

func TestSoupHasEqualBitsForEqualVertices(t *testing.T) {
	minus := math.Copysign(0, -1)
	corner := Box(r3.Vec{X: minus, Y: minus, Z: minus}, r3.Vec{X: 1, Y: 1, Z: 1})
	s := Torus(10, 2, 17, 9).Turn(33, 0, 0).Append(corner)
	p := s.Soup()
	if p.Format != "stl binary" || p.Triangles() != len(s.T) {
		t.Fatalf("soup %q of %d", p.Format, p.Triangles())
	}
	type bits [3]uint32
	seen := map[int32]bits{}
	for f, c := range s.T {
		for e, i := range c {
			var b bits
			for k := range 3 {
				b[k] = math.Float32bits(p.XYZ[9*f+3*e+k])
				if b[k] == 1<<31 {
					t.Fatal("a -0 was kept")
				}
			}
			if old, ok := seen[i]; ok && old != b {
				t.Fatalf("vertex %d has bits %v and %v", i, old, b)
			}
			seen[i] = b
		}
	}
}

// star draws a simple polygon round c: radii between lo and hi at ascending
// angles.
func star(t *rapid.T, name string, c r2.Vec, lo, hi float64) []r2.Vec {
	n := rapid.IntRange(3, 24).Draw(t, name)
	pts := make([]r2.Vec, n)
	for i := range pts {
		r := rapid.Float64Range(lo, hi).Draw(t, "r")
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		pts[i] = r2.Vec{X: c.X + r*cos, Y: c.Y + r*sin}
	}
	return pts
}

func TestBendMovesEveryVertex(t *testing.T) {
	flat := Box(r3.Vec{}, r3.Vec{X: 2, Y: 3, Z: 1})
	leaning := flat.Bend(func(v r3.Vec) r3.Vec { return r3.Vec{X: v.X + 5*v.Z, Y: v.Y, Z: v.Z + v.Y} })
	if err := leaning.Check(); err != nil {
		t.Fatal(err)
	}
	// Shears leave the volume.
	if v := leaning.Volume(); math.Abs(v-6) > 1e-12 {
		t.Errorf("volume %g, want 6", v)
	}
	if b := leaning.Bounds(); b.Max != (r3.Vec{X: 7, Y: 3, Z: 4}) || flat.Bounds().Max != (r3.Vec{X: 2, Y: 3, Z: 1}) {
		t.Errorf("box to %v; the one it was made from to %v", b.Max, flat.Bounds().Max)
	}
}
