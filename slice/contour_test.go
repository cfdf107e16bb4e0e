package slice

import (
	"math"
	"math/rand/v2"
	"reflect"
	"runtime"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/mesh"
	"playgauge/mesh/shape"
)

// TestTouchingOnACut: horizontal faces and vertices exactly on a cut belong
// to the layer they reach up into (CutNoise), at every multiple of the layer
// height, as float32 has it.
func TestTouchingOnACut(t *testing.T) {
	for k := 1; k <= 60; k++ {
		// A foot, and a block on a stem whose underside and top lie at k and
		// k+10 half layers: on a layer's border or exactly on its cut.
		lo, hi := 0.1*float64(k), 0.1*float64(k+10)
		s := cuboid(0, 0, 0, 2, 2, 10).Append(cuboid(5, 0, lo, 7, 2, hi))
		_, st := cut(t, s.Soup(), 0.2, 0.2)
		noRepairs(t, st)
		for i := range st.Layers {
			l := &st.Layers[i]
			want := 1
			if l.Z > lo+CutNoise*2 && l.Z < hi-CutNoise*2 {
				want = 2
			}
			if math.Abs(l.Z-hi) < CutNoise { // a vertex on the cut counts as above
				want = 2
			}
			if len(l.Islands) != want || math.Abs(layerArea(l)-4*float64(want)) > 1e-5 {
				t.Errorf("block from %v to %v, z %v: %d islands of area %v, want %d", lo, hi, l.Z, len(l.Islands), layerArea(l), want)
			}
		}
	}
}

// TestVertexOnACut: two pyramids tip to tip, the tips exactly on a cut, and a
// vertex in the middle of each side on it.
func TestVertexOnACut(t *testing.T) {
	profile := []r2.Vec{{X: 0, Y: 0}, {X: 2, Y: 1.1}, {X: 0, Y: 2.3}}
	_, st := cut(t, shape.Must(shape.Lathe(profile, 4, 0)).Soup(), 0.2, 0.2)
	noRepairs(t, st)
	for i := range st.Layers {
		l := &st.Layers[i]
		want := latheArea(profile, 4, l.Z)
		if l.Z == 1.1 {
			want = 8 // the square itself, of diagonal 4
		}
		if math.Abs(layerArea(l)-want) > 1e-5 || len(l.Islands) != 1 {
			t.Errorf("z %v: area %v in %d islands, want %v", l.Z, layerArea(l), len(l.Islands), want)
		}
	}
}

// ringsIn stands tubes one in the other on a plate, all one solid.
func ringsIn(tubes int, boss bool) shape.Solid {
	profile := []r2.Vec{{X: 0, Y: 0}, {X: float64(2*tubes) + 1, Y: 0}}
	for k := tubes; k >= 1; k-- {
		r := float64(2 * k)
		profile = append(profile, r2.Vec{X: r + 1, Y: 3}, r2.Vec{X: r, Y: 3}, r2.Vec{X: r, Y: 1}, r2.Vec{X: r - 1, Y: 1})
	}
	if !boss {
		profile = append(profile[:len(profile)-1], r2.Vec{X: 0, Y: 1})
	} else {
		profile = append(profile, r2.Vec{X: 1, Y: 3}, r2.Vec{X: 0, Y: 3})
	}
	return shape.Must(shape.Lathe(profile, 24, 0))
}

// TestNestedRings: ring in ring in ring on one plate, with and without a pin
// in the middle: every hole belongs to the ring just outside it.
func TestNestedRings(t *testing.T) {
	share := 12 * math.Sin(2*math.Pi/24)
	for _, boss := range []bool{false, true} {
		_, st := cut(t, ringsIn(3, boss).Soup(), 0.2, 0.2)
		noRepairs(t, st)
		for i := range st.Layers {
			l := &st.Layers[i]
			var got, want []float64
			for _, is := range l.Islands {
				got = append(got, is.Area)
				if h := is.End - is.First - 1; l.Z > 1 && (h != 1) != (is.Area < 2*share) {
					t.Errorf("z %v: an island of area %v has %d holes", l.Z, is.Area, h)
				}
			}
			slices.Sort(got)
			if l.Z < 1 {
				want = []float64{49 * share}
			} else {
				want = []float64{(9 - 4) * share, (25 - 16) * share, (49 - 36) * share}
				if boss {
					want = append([]float64{share}, want...)
				}
			}
			if !slices.EqualFunc(got, want, func(a, b float64) bool { return math.Abs(a-b) < 1e-4 }) {
				t.Errorf("boss %v, z %v: island areas %v, want %v", boss, l.Z, got, want)
			}
		}
	}
}

// TestIslandInAnotherPartsHole: a pin in a bore is no island of the sleeve.
func TestIslandInAnotherPartsHole(t *testing.T) {
	s := shape.Tube(3, 5, 4, 32, 0).Append(shape.Cylinder(2.5, 4, 32, 0), shape.Tube(6, 8, 4, 32, 0))
	m, st := cut(t, s.Soup(), 0.2, 0.2)
	if len(m.Parts) != 3 {
		t.Fatalf("%d parts, want 3", len(m.Parts))
	}
	share := 16 * math.Sin(2*math.Pi/32)
	for i := range st.Layers {
		l := &st.Layers[i]
		if len(l.Islands) != 3 {
			t.Fatalf("layer %d: %d islands, want 3", i+1, len(l.Islands))
		}
		for k, want := range []float64{64 - 36, 25 - 9, 6.25} { // by falling volume
			if is := l.Islands[k]; is.Part != int32(k) || math.Abs(is.Area-want*share) > 1e-4 {
				t.Errorf("layer %d: part %d has area %v, want %v", i+1, is.Part, is.Area, want*share)
			}
		}
	}
}

// TestHoleTouchingOuter: a bore whose corner touches the outer wall stays a
// hole of it.
func TestHoleTouchingOuter(t *testing.T) {
	outer := shape.Rect(0, 0, 6, 6)
	hole := []r2.Vec{{X: 0, Y: 3}, {X: 2, Y: 2}, {X: 4, Y: 3}, {X: 2, Y: 4}}
	l := &Layer{}
	slices.Reverse(hole)
	var rings []ring
	for _, r := range [][]r2.Vec{outer, hole} {
		rings = appendRing(rings, r)
	}
	islands(l, 0, rings)
	if len(l.Islands) != 1 || len(l.Contours) != 2 || math.Abs(l.Islands[0].Area-32) > 1e-12 || len(l.Repairs) != 0 {
		t.Errorf("islands %v, repairs %v; want one of area 32", l.Islands, l.Repairs)
	}
}

// TestEdgeSharingCubes are two parts, and two islands, in every layer.
func TestEdgeSharingCubes(t *testing.T) {
	for _, turn := range []float64{0, 90, 180, 270} {
		s := cuboid(0, 0, 0, 2, 2, 2).Append(cuboid(2, 2, 0, 5, 5, 2)).Turn(0, 0, turn)
		m, st := cut(t, s.Soup(), 0.2, 0.2)
		if len(m.Parts) != 2 {
			t.Fatalf("%d parts, want 2", len(m.Parts))
		}
		for i := range st.Layers {
			l := &st.Layers[i]
			if len(l.Islands) != 2 || math.Abs(l.Islands[0].Area-9) > 1e-6 || math.Abs(l.Islands[1].Area-4) > 1e-6 {
				t.Errorf("layer %d: islands %+v, want areas 9 and 4", i+1, l.Islands)
			}
		}
	}
}

// perforated is a plate of n by n square holes.
func perforated(n int) shape.Solid {
	var holes [][]r2.Vec
	for i := range n {
		for j := range n {
			x, y := float64(i)+0.25, float64(j)+0.25
			holes = append(holes, shape.Rect(x, y, x+0.5, y+0.5))
		}
	}
	return shape.Must(shape.Extrude(shape.Rect(0, 0, float64(n), float64(n)), holes, 0, 0.6))
}

func TestManyHoles(t *testing.T) {
	const n = 30
	_, st := cut(t, perforated(n).Soup(), 0.2, 0.2)
	for i := range st.Layers {
		l := &st.Layers[i]
		if len(l.Islands) != 1 || len(l.Contours) != 1+n*n || math.Abs(layerArea(l)-0.75*n*n) > 1e-3 {
			t.Errorf("layer %d: %d islands, %d contours, area %v", i+1, len(l.Islands), len(l.Contours), layerArea(l))
		}
	}
}

// TestRidgeOnACut: a ring whose top edge lies exactly on a cut, or a little
// below or above it, tilted by less than the noise: there is no wall to speak
// of, and by no means a disc.
func TestRidgeOnACut(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 40).Draw(t, "n")
		off := rapid.SampledFrom([]float64{0, 0, 1e-9, -1e-9, 2e-6, -2e-6, 9e-6, -9e-6}).Draw(t, "off")
		tilt := rapid.SampledFrom([]float64{0, 0, 1e-8, 1e-6, 1e-5}).Draw(t, "tilt in degrees")
		ring := shape.Must(shape.Lathe([]r2.Vec{{X: 4, Y: 0}, {X: 6, Y: 0}, {X: 5, Y: 1}}, n, rapid.Float64Range(0, 90).Draw(t, "phase")))
		s := cuboid(20, 0, 0, 22, 2, 3).Append(ring.Turn(tilt, tilt/3, 0).Move(rapid.Float64Range(-9, 9).Draw(t, "x"), 0, 0.1+off))
		m, st := cut(t, s.Soup(), 0.2, 0.2)
		if len(m.Parts) != 2 {
			t.Fatalf("%d parts, want 2", len(m.Parts))
		}
		for i := range st.Layers {
			l := &st.Layers[i]
			if l.Z > 0.95 && math.Abs(layerArea(l)-4) > 0.01 {
				t.Errorf("z %v: area %v, want 4; islands %+v", l.Z, layerArea(l), l.Islands)
			}
			if len(l.Repairs) > 0 {
				t.Errorf("z %v: repairs %+v", l.Z, l.Repairs)
			}
		}
	})
}

// several is a model of parts of different kinds and volumes.
func several() *mesh.Soup {
	return ringsIn(2, true).Append(
		shape.Torus(4, 1, 24, 12).Turn(20, 30, 0).Move(20, 0, 4),
		shape.Sphere(3, 20).Move(0, 20, 3.3),
		cuboid(10, 10, 0, 14, 14, 3), cuboid(13, 13, 0, 18, 18, 5.5), // overlapping
	).Soup()
}

// TestSameOnAnyNumberOfProcessors compares whole stacks.
func TestSameOnAnyNumberOfProcessors(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	var first *Stack
	for _, n := range []int{1, 2, 4, 1, 2} {
		runtime.GOMAXPROCS(n)
		_, st := cut(t, several(), 0.2, 0.2)
		if first == nil {
			first = st
		} else if !reflect.DeepEqual(first, st) {
			t.Errorf("another stack on %d processors", n)
		}
	}
}

// canonical lists a layer's contours without regard to where each begins and
// in which order they stand.
func canonical(l *Layer) [][]float64 {
	var all [][]float64
	for _, c := range l.Contours {
		pts := l.Pts[c.Start:c.End]
		least := 0
		for i, p := range pts {
			if p.X < pts[least].X || p.X == pts[least].X && p.Y < pts[least].Y {
				least = i
			}
		}
		f := []float64{float64(c.Part)}
		for i := range pts {
			p := pts[(least+i)%len(pts)]
			f = append(f, p.X, p.Y)
		}
		all = append(all, f)
	}
	slices.SortFunc(all, slices.Compare)
	return all
}

// TestShuffledTriangles: the order of a file's triangles, and with which
// corner each begins, changes neither a coordinate nor an area.
func TestShuffledTriangles(t *testing.T) {
	soup := several()
	_, want := cut(t, soup, 0.2, 0.2)
	for seed := range uint64(5) {
		rnd := rand.New(rand.NewPCG(seed, 1))
		mixed := &mesh.Soup{Format: soup.Format}
		for _, i := range rnd.Perm(soup.Triangles()) {
			f, k := soup.XYZ[9*i:9*i+9], 3*rnd.IntN(3)
			mixed.XYZ = append(append(mixed.XYZ, f[k:]...), f[:k]...)
		}
		_, got := cut(t, mixed, 0.2, 0.2)
		for i := range want.Layers {
			a, b := canonical(&want.Layers[i]), canonical(&got.Layers[i])
			if !slices.EqualFunc(a, b, slices.Equal[[]float64]) {
				t.Fatalf("seed %d, layer %d: contours differ:\n%v\n%v", seed, i+1, a, b)
			}
			if len(want.Layers[i].Islands) != len(got.Layers[i].Islands) {
				t.Errorf("seed %d, layer %d: %d islands, want %d", seed, i+1, len(got.Layers[i].Islands), len(want.Layers[i].Islands))
			}
		}
	}
}

// TestRandomSolids cuts turned tori, tubes and stars and asks the judge
// whether every island is a valid polygon: simple rings, holes inside.
func TestRandomSolids(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var s shape.Solid
		for k := range rapid.IntRange(1, 3).Draw(t, "solids") {
			var one shape.Solid
			switch rapid.IntRange(0, 3).Draw(t, "kind") {
			case 0:
				one = shape.Torus(5, rapid.Float64Range(0.5, 2).Draw(t, "r"), 12, 8)
			case 1:
				one = shape.Tube(2, 4, 5, 10, 0)
			case 2:
				one = shape.Must(shape.Extrude(star(t, "star", r2.Vec{}, 2, 5), nil, 0, 3))
			case 3:
				one = ringsIn(2, true)
			}
			one = one.Turn(rapid.Float64Range(0, 360).Draw(t, "x"), rapid.Float64Range(0, 360).Draw(t, "y"), 0)
			s = s.Append(one.Move(20*float64(k), 0, 0))
		}
		m, st := cut(t, s.Soup(), 0.4, 0.4)
		for i := range st.Layers {
			l := &st.Layers[i]
			if len(l.Repairs) > 0 {
				t.Errorf("layer %d: repairs %v", i+1, l.Repairs)
			}
			if nearVertex(m, l.Z) {
				continue
			}
			if a, want := layerArea(l), sectionArea(m, l.Z); math.Abs(a-want) > 1e-9*(1+want) {
				t.Errorf("layer %d: area %v, facet by facet %v", i+1, a, want)
			}
			for k := range l.Islands {
				if err := polygon(l, k).Validate(); err != nil {
					t.Errorf("layer %d, island %d: %v", i+1, k, err)
				}
			}
		}
	})
}

func TestEmptyPlan(t *testing.T) {
	m := built(t, cuboid(0, 0, 0, 1, 1, 1).Soup())
	st := Cut(m, Plan{First: 0.2, Rest: 0.2})
	if len(st.Layers) != 0 || st.Parts != 1 {
		t.Errorf("%d layers, %d parts; want 0 and 1", len(st.Layers), st.Parts)
	}
	// A plan that reaches above the model has empty layers there.
	st = Cut(m, Plan{First: 0.2, Rest: 0.2, Layers: 8})
	if got := islandsPerLayer(st); !slices.Equal(got, []int{1, 1, 1, 1, 1, 0, 0, 0}) {
		t.Errorf("islands %v, want five layers with one", got)
	}
}
