package mesh

import (
	"errors"
	"fmt"
	"math"
	"reflect"
	"runtime"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

func TestPlacement(t *testing.T) {
	// A box of 1 by 2 by 3 with one corner at (4, 5, 6).
	b := box(4, 5, 6, 5, 7, 9)
	inch, half := 25.4, 12.7
	tests := []struct {
		name     string
		p        Placement
		min, max r3.Vec
	}{
		{"dropped only", Placement{}, vec(4, 5, 0), vec(5, 7, 3)},
		{"about X", Placement{TurnDeg: [3]float64{90, 0, 0}}, vec(4, -9, 0), vec(5, -6, 2)},
		{"about Y", Placement{TurnDeg: [3]float64{0, 90, 0}}, vec(6, 5, 0), vec(9, 7, 1)},
		{"about Z", Placement{TurnDeg: [3]float64{0, 0, 90}}, vec(-7, 4, 0), vec(-5, 5, 3)},
		{"about Z, backwards", Placement{TurnDeg: [3]float64{0, 0, -90}}, vec(5, -5, 0), vec(7, -4, 3)},
		{"about Z, once and a half round", Placement{TurnDeg: [3]float64{0, 0, 540}}, vec(-5, -7, 0), vec(-4, -5, 3)},
		// X turns (x, y, z) to (x, -z, y), then Y turns that to (y, -z, -x):
		// the other order would give (z, x, y).
		{"about X, then Y", Placement{TurnDeg: [3]float64{90, 90, 0}}, vec(5, -9, 0), vec(7, -6, 1)},
		{"about Y, then Z", Placement{TurnDeg: [3]float64{0, 90, 90}}, vec(-7, 6, 0), vec(-5, 9, 1)},
		{"scaled", Placement{Scale: [3]float64{2, 0, 0.5}}, vec(8, 5, 0), vec(10, 7, 1.5)},
		{"turned, then scaled along the bed", Placement{TurnDeg: [3]float64{0, 0, 90}, Scale: [3]float64{2, 3, 1}}, vec(-14, 12, 0), vec(-10, 15, 3)},
		{"inches", Placement{UnitMM: 25.4}, vec(4*inch, 5*inch, 0), vec(5*inch, 7*inch, 9*inch-6*inch)},
		{"inches, halved", Placement{UnitMM: 25.4, Scale: [3]float64{0.5, 0.5, 0.5}}, vec(4*half, 5*half, 0), vec(5*half, 7*half, 9*half-6*half)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			m := builtAs(t, b, tt.p)
			if want := (r3.Box{Min: tt.min, Max: tt.max}); m.Box != want {
				t.Errorf("got %v, want %v, exactly", m.Box, want)
			}
		})
	}
}

func TestTurnOf45Degrees(t *testing.T) {
	m := builtAs(t, box(-1, -1, -1, 1, 1, 1), Placement{TurnDeg: [3]float64{0, 45, 0}})
	near(t, "width", m.Box.Max.X-m.Box.Min.X, 2*math.Sqrt2, 1e-12)
	near(t, "depth", m.Box.Max.Y-m.Box.Min.Y, 2, 0)
	near(t, "height", m.Box.Max.Z, 2*math.Sqrt2, 1e-12)
}

func TestPlacementRefused(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, tt := range []struct {
		p    Placement
		says string
	}{
		{Placement{Scale: [3]float64{1, -1, 1}}, "scale -1 along Y would mirror"},
		{Placement{Scale: [3]float64{nan, 1, 1}}, "along X must be a number above 0, not NaN"},
		{Placement{Scale: [3]float64{1, 1, inf}}, "along Z must be a number above 0, not +Inf"},
		{Placement{Scale: [3]float64{1, 1, -inf}}, "along Z must be a number above 0, not -Inf"},
		{Placement{UnitMM: -25.4}, "unit must be a length above 0 mm, not -25.4"},
		{Placement{UnitMM: nan}, "unit"},
		{Placement{UnitMM: inf}, "unit"},
		{Placement{UnitMM: 1e300, Scale: [3]float64{1e300, 1, 1}}, "out of range"},
		{Placement{UnitMM: 1e-300, Scale: [3]float64{1, 1e-300, 1}}, "out of range"},
		{Placement{UnitMM: 1e308}, "more than a kilometre away"},
		{Placement{TurnDeg: [3]float64{0, nan, 0}}, "turn about Y must be a number of degrees, not NaN"},
		{Placement{TurnDeg: [3]float64{0, 0, inf}}, "turn about Z"},
	} {
		m, err := Build(soup(box(0, 0, 0, 9, 9, 9)), tt.p)
		var e *PlacementError
		if !errors.As(err, &e) || !strings.Contains(e.Error(), tt.says) {
			t.Errorf("%+v: got %v, %v, want an error that says %q", tt.p, m, err, tt.says)
		}
	}
}

// A turn by whole quarters keeps every bit of the coordinates.
func TestQuarterTurnsAreExact(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := func(name string) float64 { return float64(rapid.Float32Range(-100, 100).Draw(t, name)) }
		var p Placement
		for i := range p.TurnDeg {
			p.TurnDeg[i] = 90 * float64(rapid.IntRange(-9, 9).Draw(t, "quarters"))
		}
		l, err := p.linear()
		if err != nil {
			t.Fatal(err)
		}
		v := vec(x("x"), x("y"), x("z"))
		w := l.apply(v)
		a := []float64{math.Abs(v.X), math.Abs(v.Y), math.Abs(v.Z)}
		b := []float64{math.Abs(w.X), math.Abs(w.Y), math.Abs(w.Z)}
		slices.Sort(a)
		slices.Sort(b)
		if !slices.Equal(a, b) {
			t.Fatalf("%v turned by %v is %v", v, p.TurnDeg, w)
		}
		if det := dot(l.row[0], cross(l.row[1], l.row[2])); det != 1 {
			t.Fatalf("the turn by %v has determinant %v", p.TurnDeg, det)
		}
	})
}

func TestWeldJoinsEqualBitsOnly(t *testing.T) {
	next := math.Nextafter32(1, 2)
	negative := float32(math.Copysign(0, -1))
	xyz := []float32{
		0, 0, 0, 1, 0, 0, 0, 1, 0,
		negative, 0, negative, 0, 1, negative, next, 0, 0,
		5, 5, 5, 5, 5, 5, 6, 6, 6, // no facet, and its corners no vertices
		negative, 7, 0, 0, 7, 0, 1, 1, 1, // no facet either
	}
	v, f, _, dropped := weld(xyz, nil)
	if want := []r3.Vec{{}, {X: 1}, {Y: 1}, {X: float64(next)}}; !slices.Equal(v, want) {
		t.Errorf("vertices %v, want %v", v, want)
	}
	if math.Signbit(v[0].X) {
		t.Error("-0 was kept")
	}
	if want := [][3]int32{{0, 1, 2}, {0, 2, 3}}; !slices.Equal(f, want) || dropped != 2 {
		t.Errorf("facets %v, want %v; dropped %d, want 2", f, want, dropped)
	}
}

// A map is the judge, whatever the runs and the order, and with one table.
func TestWeldAgainstMap(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 200).Draw(t, "triangles")
		span := rapid.IntRange(1, 12).Draw(t, "span")
		var xyz []float32
		for range 9 * n {
			xyz = append(xyz, float32(rapid.IntRange(-span, span).Draw(t, "x"))/4)
		}
		var all []int32
		for i := range n {
			all = append(all, int32(i))
		}
		size := rapid.IntRange(1, 250).Draw(t, "size of runs")
		var order []int32
		if rapid.Bool().Draw(t, "ordered") {
			all = rapid.Permutation(all).Draw(t, "order")
			order = slices.Clone(all)
		}
		var v []r3.Vec
		var f [][3]int32
		var kept []int32
		var dropped int
		if order == nil && rapid.Bool().Draw(t, "one table") {
			v, f, dropped = weldWhole(xyz)
		} else {
			v, f, kept, dropped = weldRuns(xyz, order, size)
		}
		number := map[[3]float32]int32{}
		var want [][3]int32
		var wantKept []int32
		for _, i := range all {
			var c [3][3]float32
			for k := range 3 {
				c[k] = [3]float32(xyz[9*int(i)+3*k:])
			}
			if c[0] == c[1] || c[1] == c[2] || c[2] == c[0] {
				continue
			}
			var facet [3]int32
			for k := range 3 {
				if _, ok := number[c[k]]; !ok {
					number[c[k]] = int32(len(number))
				}
				facet[k] = number[c[k]]
			}
			want = append(want, facet)
			wantKept = append(wantKept, i)
		}
		if order == nil {
			wantKept = nil
		}
		if !slices.Equal(kept, wantKept) {
			t.Fatalf("triangles %v are kept, want %v", kept, wantKept)
		}
		if len(v) != len(number) || !slices.Equal(f, want) || dropped != n-len(want) {
			t.Fatalf("%d vertices, %d facets, want %d, %d", len(v), len(f), len(number), len(want))
		}
		for c, i := range number {
			if v[i] != vec(float64(c[0]), float64(c[1]), float64(c[2])) {
				t.Fatalf("vertex %d is %v, want %v", i, v[i], c)
			}
		}
	})
}

func TestVolumes(t *testing.T) {
	for _, tt := range []struct {
		name string
		f    facets
		want float64
	}{
		{"box", box(0, 0, 0, 2, 3, 4), 24},
		{"box far away", box(1000, 2000, 0, 1002, 2003, 4), 24},
		// A hexahedron with corners cut off the axes: det of its edges.
		{"sheared box", mapped(box(0, 0, 0, 1, 1, 1), func(p r3.Vec) r3.Vec {
			return vec(2*p.X+p.Y, 3*p.Y+p.Z, 4*p.Z)
		}), 24},
		// The frustum of a square pyramid: h/3 (a + b + sqrt(a b)).
		{"frustum", mapped(box(-1, -1, 0, 1, 1, 1), func(p r3.Vec) r3.Vec {
			return vec(p.X*(4-2*p.Z), p.Y*(4-2*p.Z), 3*p.Z)
		}), 64 + 16 + 32},
		{"prism of 32 sides", prism(5, 0, 3, 32, 2), prismVolume(5, 3, 32)},
		{"ball", ball(vec(3, 3, 3), 5, 48), ballVolume(5, 48)},
	} {
		m := built(t, tt.f)
		near(t, tt.name, m.Parts[0].Volume, tt.want, 2e-6*tt.want)
		near(t, tt.name+" of the shell", m.Shells[0].Volume, tt.want, 2e-6*tt.want)
	}
}

func TestMoebiusStrip(t *testing.T) {
	var f facets
	const n = 24
	at := func(i int, side float64) r3.Vec {
		a := 2 * math.Pi * float64(i) / n
		r := 10 + side*math.Cos(a/2)
		return vec(r*math.Cos(a), r*math.Sin(a), side*math.Sin(a/2))
	}
	for i := range n {
		a, b, c, d := at(i, -2), at(i, 2), at(i+1, 2), at(i+1, -2)
		if i == n-1 {
			c, d = at(0, -2), at(0, 2) // where the strip meets itself
		}
		f = append(f, [3]r3.Vec{a, b, c}, [3]r3.Vec{a, c, d})
	}
	m := built(t, f)
	if len(m.Shells) != 1 || len(m.Parts) != 1 || !m.Shells[0].Open {
		t.Errorf("%d shells, %d parts, open %v", len(m.Shells), len(m.Parts), m.Shells[0].Open)
	}
	// Its rim of 2n edges, and both sides of at least one cut across.
	if m.OpenEdges < 2*n+2 || m.OpenEdges > 2*n+2*3 || m.Watertight() {
		t.Errorf("%d open edges", m.OpenEdges)
	}
	if !strings.Contains(strings.Join(m.Warnings, "\n"), "only one side") {
		t.Errorf("warnings %q", m.Warnings)
	}
}

func TestTJunction(t *testing.T) {
	// The top's edge along x has a vertex in the middle on one side only.
	f := box(0, 0, 0, 2, 2, 2)
	mid := vec(1, 0, 2)
	for i, c := range f {
		for e := range 3 {
			a, b, d := c[e], c[(e+1)%3], c[(e+2)%3]
			if a == vec(0, 0, 2) && b == vec(2, 0, 2) {
				f[i] = [3]r3.Vec{a, mid, d}
				f = append(f, [3]r3.Vec{mid, b, d})
			}
		}
	}
	if len(f) != 13 {
		t.Fatalf("%d facets", len(f))
	}
	m := built(t, f)
	if len(m.Shells) != 1 || len(m.Parts) != 1 || m.OpenEdges != 3 {
		t.Errorf("%d shells, %d parts, %d open edges, want 1, 1, 3", len(m.Shells), len(m.Parts), m.OpenEdges)
	}
	near(t, "volume", m.Parts[0].Volume, 8, 1e-12)
}

func TestReversedFacetsAreTurned(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := fineBox(vec(0, 0, 0), vec(3, 3, 3), 3)
		n := rapid.IntRange(1, len(f)/2-1).Draw(t, "reversed")
		which := rapid.Permutation(slices.Collect(func(yield func(int) bool) {
			for i := range f {
				if !yield(i) {
					return
				}
			}
		})).Draw(t, "which")
		for _, i := range which[:n] {
			f[i][1], f[i][2] = f[i][2], f[i][1]
		}
		m, err := Build(soup(f), Placement{})
		if err != nil {
			t.Fatal(err)
		}
		checkMesh(t, m)
		if len(m.Shells) != 1 || m.OpenEdges != 0 || math.Abs(m.Shells[0].Volume-27) > 1e-12 || m.Shells[0].Turned {
			t.Fatalf("%d shells, %d open edges, volume %v, turned %v", len(m.Shells), m.OpenEdges, m.Shells[0].Volume, m.Shells[0].Turned)
		}
		if want := []string{count(n, "triangle") + " ran against the surface around; turned"}; !slices.Equal(m.Warnings, want) {
			t.Fatalf("warnings %q, want %q", m.Warnings, want)
		}
	})
}

func TestDoubledFacets(t *testing.T) {
	// Facets of a closed box stand there again, neighbours among them and some
	// the other way round: the box is what it was.
	f := box(0, 0, 0, 2, 2, 2)
	for _, again := range []facets{{f[5]}, {f[4], f[5]}, flipped(facets{f[5]}), {f[5], f[5]}, f[2:9]} {
		for _, all := range []facets{join(f, again), join(again, f)} {
			m := built(t, all)
			if len(m.Parts) != 1 || len(m.Shells) != 1 || !m.Closed() || m.OpenEdges == 0 || len(m.T) != 12 {
				t.Errorf("%d again: %d parts, %d shells, %d of %d open edges left, %d facets", len(again), len(m.Parts), len(m.Shells), m.LeftOpen, m.OpenEdges, len(m.T))
			}
			near(t, "volume", m.Parts[0].Volume, 8, 1e-12)
			if want := count(len(again), "triangle") + " drawn over others left out"; len(m.Warnings) != 3 || m.Warnings[2] != want {
				t.Errorf("warnings %q, want %q last", m.Warnings, want)
			}
		}
	}
}

// A whole box drawn twice, and a sheet drawn twice, are one.
func TestDoubledSurfaces(t *testing.T) {
	f := box(0, 0, 0, 2, 2, 2)
	m := built(t, join(f, f))
	near(t, "volume", m.Parts[0].Volume, 8, 1e-12)
	if len(m.Parts) != 1 || m.OpenEdges != 0 || !slices.Contains(m.Warnings, "12 triangles drawn twice") {
		t.Errorf("%d parts, %d open edges, warnings %q", len(m.Parts), m.OpenEdges, m.Warnings)
	}
	lid := facets{{vec(5, 0, 0), vec(7, 0, 0), vec(5, 0, 2)}}
	m = built(t, join(f, lid, lid))
	if len(m.Shells) != 2 || len(m.Parts) != 2 {
		t.Errorf("a sheet twice: %d shells, %d parts, want 2 of each; %q", len(m.Shells), len(m.Parts), m.Warnings)
	}
}

func TestDegenerateFacetsAndDustAreLeftOut(t *testing.T) {
	f := box(0, 0, 0, 2, 2, 2)
	line := facets{{vec(5, 5, -5), vec(6, 5, -5), vec(7, 5, -5)}}
	point := facets{{vec(9, 9, -9), vec(9, 9, -9), vec(9, 8, -9)}}
	m := built(t, join(line, f, point))
	if len(m.T) != 12 || len(m.V) != 8 || m.Read != 14 || len(m.Parts) != 1 {
		t.Errorf("%d facets, %d vertices, %d read, %d parts", len(m.T), len(m.V), m.Read, len(m.Parts))
	}
	if want := (r3.Box{Max: vec(2, 2, 2)}); m.Box != want {
		t.Errorf("box %v, want %v", m.Box, want)
	}
	if want := []string{"1 triangle with two equal corners left out", "1 surface without area left out"}; !slices.Equal(m.Warnings, want) {
		t.Errorf("warnings %q, want %q", m.Warnings, want)
	}
	for _, nothing := range []facets{nil, point, line, join(line, point)} {
		_, err := Build(soup(nothing), Placement{})
		var e *FormatError
		if !errors.As(err, &e) || e.Kind != KindNoTriangles {
			t.Errorf("%v: got %v", nothing, err)
		}
	}
}

// Edges of many facets are paired across the material: a fan of wedges that
// share one edge are as many solids, in whatever order, and all inside out.
func TestWedgesAroundAnEdge(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 9).Draw(t, "wedges")
		angles := make([]float64, 2*n)
		step := 2 * math.Pi / float64(2*n)
		for i := range angles {
			angles[i] = step * (float64(i) + rapid.Float64Range(0, 0.8).Draw(t, "angle"))
		}
		axis := rapid.SampledFrom([]Placement{{}, {TurnDeg: [3]float64{33, 71, 12}}, {TurnDeg: [3]float64{90, 0, 0}}, {TurnDeg: [3]float64{180, 0, 0}}}).Draw(t, "axis")
		var f facets
		for i := 0; i < len(angles); i += 2 {
			lo, hi := vec(0, 0, 0), vec(0, 0, 1)
			a := vec(math.Cos(angles[i]), math.Sin(angles[i]), 0.5)
			b := vec(math.Cos(angles[i+1]), math.Sin(angles[i+1]), 0.5)
			f = append(f, [3]r3.Vec{lo, b, a}, [3]r3.Vec{hi, a, b}, [3]r3.Vec{lo, a, hi}, [3]r3.Vec{lo, hi, b})
		}
		if rapid.Bool().Draw(t, "flip") {
			f = flipped(f)
		}
		f = rapid.Permutation(f).Draw(t, "order")
		m, err := Build(soup(f), axis)
		if err != nil {
			t.Fatal(err)
		}
		checkMesh(t, m)
		if len(m.Shells) != n || len(m.Parts) != n || m.OpenEdges != 0 || m.NonManifoldEdges != 1 {
			t.Fatalf("%d shells, %d parts, %d open edges, %d of many facets, want %d wedges", len(m.Shells), len(m.Parts), m.OpenEdges, m.NonManifoldEdges, n)
		}
	})
}

func TestManySolidsSideBySide(t *testing.T) {
	// A 9 by 9 by 3 block of cubes, every second left out: each touches its
	// neighbours along edges only.
	var f facets
	cubes := 0
	for i := range 9 {
		for j := range 9 {
			for k := range 3 {
				if (i+j+k)%2 == 0 {
					f = append(f, moved(box(0, 0, 0, 1, 1, 1), vec(float64(i), float64(j), float64(k)))...)
					cubes++
				}
			}
		}
	}
	m := built(t, f)
	if len(m.Shells) != cubes || len(m.Parts) != cubes || m.OpenEdges != 0 {
		t.Errorf("%d shells, %d parts, %d open edges, want %d cubes", len(m.Shells), len(m.Parts), m.OpenEdges, cubes)
	}
}

func TestPartOrder(t *testing.T) {
	// Volumes that agree to 6 digits count as equal; the corner decides.
	f := join(
		box(30, 0, 0, 31, 1, 1),
		box(20, 0, 0, 22, 2, 2.000001),
		box(10, 5, 0, 12, 7, 2),
		box(10, 0, 0, 12, 2, 2.0000005),
		box(0, 0, 0, 1, 1, 8.1))
	m := built(t, f)
	var got []float64
	for _, p := range m.Parts {
		got = append(got, p.Box.Min.X*10+p.Box.Min.Y)
	}
	if want := []float64{0, 100, 105, 200, 300}; !slices.Equal(got, want) {
		t.Errorf("corners in order %v, want %v", got, want)
	}
}

// The same bytes whatever the number of processors.
func TestBuildIsDeterministic(t *testing.T) {
	s := denseGrid(20_000)
	s.XYZ = append(s.XYZ, soup(join(box(-5, -5, -1, 90, 20, 1), flipped(box(40, 40, 2, 50, 50, 9)))).XYZ...)
	procs := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(procs)
	var want *Mesh
	for _, n := range []int{1, 2, 7} {
		runtime.GOMAXPROCS(n)
		m, err := Build(s, Placement{TurnDeg: [3]float64{1, 2, 3}})
		if err != nil {
			t.Fatal(err)
		}
		if want == nil {
			want = m
		} else if !reflect.DeepEqual(m, want) {
			t.Errorf("another result on %d processors: %s", n, firstDifference(m, want))
		}
	}
}

func firstDifference(a, b *Mesh) string {
	x, y := reflect.ValueOf(*a), reflect.ValueOf(*b)
	for i := range x.NumField() {
		if !reflect.DeepEqual(x.Field(i).Interface(), y.Field(i).Interface()) {
			return fmt.Sprint("field ", x.Type().Field(i).Name)
		}
	}
	return "none"
}
