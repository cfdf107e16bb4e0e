package mesh

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// outcome is what a model must be gathered into.
type outcome struct {
	shells, parts           int
	cavities, inner, turned int
	volumes                 []float64 // of the parts
	warns                   string    // in one of the warnings; "" for none at all
}

func TestParts(t *testing.T) {
	cube := box(0, 0, 0, 10, 10, 10)
	// A cavity looks into itself, away from the material.
	hollow := flipped(box(2, 2, 2, 8, 8, 8))
	in := box(3, 3, 3, 7, 7, 7)
	tests := []struct {
		name string
		f    facets
		want outcome
	}{
		{"a cube", cube, outcome{shells: 1, parts: 1, volumes: []float64{1000}}},
		{"inside out", flipped(cube), outcome{shells: 1, parts: 1, turned: 1, volumes: []float64{1000}, warns: "the whole file was inside out"}},
		{"two apart", join(cube, box(10.3, 0, 0, 20, 10, 10)), outcome{shells: 2, parts: 2, volumes: []float64{1000, 970}}},
		{"one of two inside out", join(cube, flipped(box(12, 0, 0, 13, 1, 1))), outcome{shells: 2, parts: 2, turned: 1, volumes: []float64{1000, 1}, warns: "closed surface 2 (12 facets, near 12.5 0.5 0.5) was inside out; turned"}},

		{"cubes sharing an edge", join(cube, box(10, 10, 0, 20, 20, 10)), outcome{shells: 2, parts: 2, volumes: []float64{1000, 1000}, warns: "1 edge of more than two triangles"}},
		{"cubes sharing an edge, inside out", flipped(join(cube, box(10, 10, 0, 20, 20, 10))), outcome{shells: 2, parts: 2, turned: 2, volumes: []float64{1000, 1000}, warns: "the whole file was inside out"}},
		{"cubes sharing an edge, one inside out", join(cube, flipped(box(10, 10, 0, 19, 20, 10))), outcome{shells: 2, parts: 2, turned: 1, volumes: []float64{1000, 900}, warns: "closed surface 2"}},
		{"cubes sharing a corner", join(cube, box(10, 10, 10, 20, 20, 20)), outcome{shells: 2, parts: 2, volumes: []float64{1000, 1000}}},
		{"cubes sharing a face", join(cube, box(10, 0, 0, 20, 10, 10)), outcome{shells: 2, parts: 2, volumes: []float64{1000, 1000}, warns: "edges of more than two triangles"}},
		{"cubes sharing a face, inside out", flipped(join(cube, box(10, 0, 0, 20, 10, 10))), outcome{shells: 2, parts: 2, turned: 2, volumes: []float64{1000, 1000}, warns: "the whole file"}},
		{"touching face in face", join(cube, box(10, 2, 2, 20, 8, 8)), outcome{shells: 2, parts: 2, volumes: []float64{1000, 360}}},
		{"touching, finely divided", join(fineBox(vec(0, 0, 0), vec(10, 10, 10), 9), fineBox(vec(10, 1, 1), vec(20, 12, 12), 7)), outcome{shells: 2, parts: 2, volumes: []float64{1210, 1000}}},
		{"touching edge to edge across", join(cube, box(10, -5, 10, 15, 5, 15)), outcome{shells: 2, parts: 2, volumes: []float64{1000, 250}}},
		{"standing on top", join(cube, box(0, 0, 10, 10, 10, 12)), outcome{shells: 2, parts: 2, volumes: []float64{1000, 200}, warns: "more than two"}},

		{"a cavity", join(cube, hollow), outcome{shells: 2, parts: 1, cavities: 1, volumes: []float64{784}}},
		{"a cavity, inside out", flipped(join(cube, hollow)), outcome{shells: 2, parts: 1, cavities: 1, turned: 2, volumes: []float64{784}, warns: "the whole file was inside out"}},
		{"only the wall inside out", join(flipped(cube), hollow), outcome{shells: 2, parts: 1, cavities: 1, turned: 1, volumes: []float64{784}, warns: "closed surface 1"}},
		{"a box in a cavity", join(cube, hollow, in), outcome{shells: 3, parts: 2, cavities: 1, volumes: []float64{784, 64}}},
		{"a box in a cavity, flipped", join(cube, hollow, flipped(in)), outcome{shells: 3, parts: 2, cavities: 1, turned: 1, volumes: []float64{784, 64}, warns: "closed surface 3"}},
		{"a box in a cavity, all flipped", flipped(join(cube, hollow, in)), outcome{shells: 3, parts: 2, cavities: 1, turned: 3, volumes: []float64{784, 64}, warns: "the whole file"}},
		{"a box in a cavity, the wall flipped", join(flipped(cube), hollow, in), outcome{shells: 3, parts: 2, cavities: 1, turned: 1, volumes: []float64{784, 64}, warns: "closed surface 1"}},
		{"a box in a cavity, listed first", join(in, hollow, cube), outcome{shells: 3, parts: 2, cavities: 1, volumes: []float64{784, 64}}},
		{"a hollow box in a cavity", join(cube, hollow, in, flipped(box(4, 4, 4, 6, 6, 6))), outcome{shells: 4, parts: 2, cavities: 2, volumes: []float64{784, 56}}},
		{"a ball that touches its socket", join(fineBox(vec(-10, -10, -10), vec(10, 10, 10), 4), flipped(ball(vec(0, 0, 0), 6, 32)), ball(vec(0, 0, 1), 5, 32)), outcome{shells: 3, parts: 2, cavities: 1, volumes: []float64{8000 - ballVolume(6, 32), ballVolume(5, 32)}}},
		{"a ball sunk into its socket by 0.05", join(fineBox(vec(-10, -10, -10), vec(10, 10, 10), 4), flipped(ball(vec(0, 0, 0), 6, 32)), ball(vec(0, 0, 1.05), 5, 32)), outcome{shells: 3, parts: 1, cavities: 1, volumes: []float64{8000 - ballVolume(6, 32) + ballVolume(5, 32)}, warns: "2 overlapping"}},
		{"a box that rests on the cavity's floor", join(cube, hollow, box(3, 3, 2, 7, 7, 7)), outcome{shells: 3, parts: 2, cavities: 1, volumes: []float64{784, 80}}},
		{"a cavity filled exactly", join(cube, hollow, box(2, 2, 2, 8, 8, 8)), outcome{shells: 3, parts: 2, cavities: 1, volumes: []float64{784, 216}, warns: "more than two"}},
		{"a cavity filled exactly, the plug first", join(box(2, 2, 2, 8, 8, 8), hollow, cube), outcome{shells: 3, parts: 2, cavities: 1, volumes: []float64{784, 216}, warns: "more than two"}},
		{"a cavity filled exactly, the plug first, all flipped", flipped(join(box(2, 2, 2, 8, 8, 8), hollow, cube)), outcome{shells: 3, parts: 2, cavities: 1, turned: 3, volumes: []float64{784, 216}, warns: "the whole file"}},
		{"a cavity filled exactly, divided otherwise", join(cube, hollow, fineBox(vec(2, 2, 2), vec(8, 8, 8), 5)), outcome{shells: 3, parts: 2, cavities: 1, volumes: []float64{784, 216}}},
		{"a doubled cavity", join(cube, hollow, hollow), outcome{shells: 3, parts: 1, cavities: 2, inner: 1, volumes: []float64{784}, warns: "12 triangles drawn twice"}},
		{"a plug past all walls of its cavity", join(cube, hollow, box(1.95, 1.95, 1.95, 8.05, 8.05, 8.05)), outcome{shells: 3, parts: 1, cavities: 1, volumes: []float64{784 + 6.1*6.1*6.1}, warns: "2 overlapping"}},
		{"a plug pressed between two walls by 0.005", join(cube, hollow, box(1.995, 3, 3, 8.005, 7, 7)), outcome{shells: 3, parts: 2, cavities: 1, volumes: []float64{784, 6.01 * 16}}},
		{"a plug pressed between two walls by 0.05", join(cube, hollow, box(1.95, 3, 3, 8.05, 7, 7)), outcome{shells: 3, parts: 1, cavities: 1, volumes: []float64{784 + 6.1*16}, warns: "2 overlapping"}},

		{"wholly inside", join(cube, in), outcome{shells: 2, parts: 1, inner: 1, volumes: []float64{1000}, warns: "closed surface 2 (12 facets, near 5.0 5.0 5.0) lies within the solid of part 1"}},
		{"inside, flush with the top", join(cube, box(3, 3, 3, 7, 7, 10)), outcome{shells: 2, parts: 1, inner: 1, volumes: []float64{1000}, warns: "lies within"}},
		{"inside but for a corner", join(cube, mapped(box(3, 3, 3, 7, 7, 9), func(p r3.Vec) r3.Vec {
			if p == vec(7, 7, 9) {
				p.Z = 10.5
			}
			return p
		})), outcome{shells: 2, parts: 1, volumes: []float64{1000 + 96 + 1.5*8/3*2}, warns: "2 overlapping"}},
		{"inside both of two that overlap", join(box(0, 0, 0, 10, 10, 10), box(5, 0, 0, 15, 10, 10), box(4, 4, 4, 11, 6, 6)), outcome{shells: 3, parts: 1, inner: 1, volumes: []float64{2000}, warns: "lies within"}},
		{"doubled in place", join(cube, cube), outcome{shells: 2, parts: 1, inner: 1, volumes: []float64{1000}, warns: "12 triangles drawn twice"}},
		{"trebled in place, one inside out", join(cube, flipped(cube), cube), outcome{shells: 3, parts: 1, inner: 2, turned: 1, volumes: []float64{1000}, warns: "12 triangles drawn twice"}},
		{"two-sided", join(cube, flipped(cube)), outcome{shells: 2, parts: 1, inner: 1, turned: 1, volumes: []float64{1000}, warns: "lies within"}},
		{"doubled, divided otherwise", join(cube, fineBox(vec(0, 0, 0), vec(10, 10, 10), 3)), outcome{shells: 2, parts: 1, inner: 1, volumes: []float64{1000}, warns: "lies within"}},

		{"a box that bridges two, all flipped", flipped(join(box(0, 0, 0, 1, 2, 2), box(0, 0, 1, 1, 1, 4), box(0, 0, 3, 1, 2, 5))), outcome{shells: 3, parts: 1, turned: 3, volumes: []float64{11}, warns: "3 overlapping"}},
		{"a box within two that only touch", join(box(0, 0, 0, 1, 2, 3), box(0, 0, 3, 1, 2, 5), box(0, 0, 2, 1, 1, 5)), outcome{shells: 3, parts: 1, inner: 1, volumes: []float64{10}, warns: "lies within"}},
		{"overlap by half, sides in one plane", join(cube, box(5, 0, 0, 15, 10, 10)), outcome{shells: 2, parts: 1, volumes: []float64{2000}, warns: "part 1: 2 overlapping closed surfaces, taken as one (1, 2)"}},
		{"overlap, finely divided, sides in one plane", join(fineBox(vec(0, 0, 0), vec(10, 10, 10), 13), fineBox(vec(5, 0, 0), vec(15, 10, 10), 17)), outcome{shells: 2, parts: 1, volumes: []float64{2000}, warns: "2 overlapping"}},
		{"overlap by 0.005", join(cube, box(9.995, 0, 0, 20, 10, 10)), outcome{shells: 2, parts: 2, volumes: []float64{1000.5, 1000}}},
		{"overlap by 0.01, which is contact", join(cube, box(9.99, 0, 0, 20, 10, 10)), outcome{shells: 2, parts: 2, volumes: []float64{1001, 1000}}},
		{"overlap by 0.02", join(cube, box(9.98, 0, 0, 20, 10, 10)), outcome{shells: 2, parts: 1, volumes: []float64{2002}, warns: "2 overlapping"}},
		{"overlap by 0.02 at a corner", join(cube, box(9.98, 9.98, 9.98, 20, 20, 20)), outcome{shells: 2, parts: 1, volumes: []float64{1000 + 10.02*10.02*10.02}, warns: "2 overlapping"}},
		{"crossed beams of one height", join(box(0, 10, 0, 30, 20, 10), box(10, 0, 0, 20, 30, 10)), outcome{shells: 2, parts: 1, volumes: []float64{6000}, warns: "2 overlapping"}},
		{"crossed beams", join(box(0, 10, 0, 30, 20, 10), box(11, 0, 3, 19, 30, 7)), outcome{shells: 2, parts: 1, volumes: []float64{3960}, warns: "2 overlapping"}},
		{"beams that only lie on each other", join(box(0, 10, 0, 30, 20, 10), box(11, 0, 10, 19, 30, 17)), outcome{shells: 2, parts: 2, volumes: []float64{3000, 1680}}},
		{"a pin in its bore", join(tube(10, 5.3, 0, 10, 32), prism(5, -1, 11, 32, 1)), outcome{shells: 2, parts: 2, volumes: []float64{prismVolume(10, 10, 32) - prismVolume(5.3, 10, 32), prismVolume(5, 12, 32)}}},
		{"a pin as wide as its bore", join(tube(10, 5, 0, 10, 32), prism(5, -1, 11, 32, 1)), outcome{shells: 2, parts: 2, volumes: []float64{prismVolume(10, 10, 32) - prismVolume(5, 10, 32), prismVolume(5, 12, 32)}}},
		{"a pin 0.05 too wide", join(tube(10, 5, 0, 10, 32), prism(5.05, -1, 11, 32, 1)), outcome{shells: 2, parts: 1, volumes: []float64{prismVolume(10, 10, 32) - prismVolume(5, 10, 32) + prismVolume(5.05, 12, 32)}, warns: "2 overlapping"}},
		{"a pin 0.05 too wide, in many steps, flush", join(tube(10, 5, 0, 10, 32), prism(5.05, 0, 10, 64, 60)), outcome{shells: 2, parts: 1, volumes: []float64{prismVolume(10, 10, 32) - prismVolume(5, 10, 32) + prismVolume(5.05, 10, 64)}, warns: "2 overlapping"}},
		{"a pin 0.005 too wide", join(tube(10, 5, 0, 10, 32), prism(5.005, -1, 11, 32, 1)), outcome{shells: 2, parts: 2, volumes: []float64{prismVolume(10, 10, 32) - prismVolume(5, 10, 32), prismVolume(5.005, 12, 32)}}},
		{"fine balls overlapping by 0.05", join(ball(vec(0, 0, 0), 5, 200), ball(vec(0, 0, 9.95), 5, 200)), outcome{shells: 2, parts: 1, volumes: []float64{2 * ballVolume(5, 200)}, warns: "2 overlapping"}},
		{"fine balls overlapping by 0.008", join(ball(vec(0, 0, 0), 5, 200), ball(vec(0, 0, 9.992), 5, 200)), outcome{shells: 2, parts: 2, volumes: []float64{ballVolume(5, 200), ballVolume(5, 200)}}},
	}
	turns := []r3.Vec{{}, {X: 20, Y: 35, Z: 65}}
	for _, tt := range tests {
		for _, turn := range turns {
			name := tt.name
			if turn != (r3.Vec{}) {
				name += ", askew"
			}
			t.Run(name, func(t *testing.T) {
				m := builtAs(t, tt.f, Placement{TurnDeg: [3]float64{turn.X, turn.Y, turn.Z}})
				checkOutcome(t, m, tt.want, turn == (r3.Vec{}))
			})
		}
	}
}

func checkOutcome(t *testing.T, m *Mesh, want outcome, places bool) {
	t.Helper()
	got := outcome{shells: len(m.Shells), parts: len(m.Parts)}
	for _, s := range m.Shells {
		if s.Cavity {
			got.cavities++
		}
		if s.Inner {
			got.inner++
		}
		if s.Turned {
			got.turned++
		}
	}
	if got.shells != want.shells || got.parts != want.parts || got.cavities != want.cavities || got.inner != want.inner || got.turned != want.turned {
		t.Errorf("got %d shells, %d parts, %d cavities, %d inner, %d turned, want %d, %d, %d, %d, %d; %q",
			got.shells, got.parts, got.cavities, got.inner, got.turned, want.shells, want.parts, want.cavities, want.inner, want.turned, m.Warnings)
		return
	}
	for i, v := range want.volumes {
		// float32 rounds coordinates of 10 mm by 5e-7.
		near(t, "volume", m.Parts[i].Volume, v, 1e-6*v)
	}
	if m.OpenEdges != 0 {
		t.Errorf("%d open edges", m.OpenEdges)
	}
	found := strings.Join(m.Warnings, "\n")
	warns := want.warns
	if i := strings.Index(warns, ", near "); i >= 0 && !places {
		warns = warns[:i]
	}
	if want.warns == "" && found != "" || !strings.Contains(found, warns) {
		t.Errorf("warnings %q, want %q", m.Warnings, want.warns)
	}
}

// prismVolume is (n/2) r^2 sin(2 pi/n) h.
func prismVolume(r, h float64, n int) float64 {
	return float64(n) / 2 * r * r * math.Sin(2*math.Pi/float64(n)) * h
}

// ballVolume sums the frusta between the n-gons of ball, n/2 of them.
func ballVolume(r float64, n int) float64 {
	area := func(k int) float64 {
		s := r * math.Sin(2*math.Pi*float64(k)/float64(n))
		return float64(n) / 2 * s * s * math.Sin(2*math.Pi/float64(n))
	}
	v := 0.0
	for k := range n / 2 {
		h := r * (math.Cos(2*math.Pi*float64(k)/float64(n)) - math.Cos(2*math.Pi*float64(k+1)/float64(n)))
		a, b := area(k), area(k+1)
		v += h / 3 * (a + b + math.Sqrt(a*b))
	}
	return v
}

// Solids that share a face, but not the way it is divided, in coordinates that
// float32 has rounded so that its corners lie in no common plane: the solids
// must stay two.
func TestSharedFaceAskew(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := box(0, 0, 0, 10, 10, 10)
		// Mirrored at the plane of the face, its diagonals run across.
		b := flipped(mapped(box(0, 0, 0, 10, 10, 10), func(p r3.Vec) r3.Vec { return vec(20-p.X, 10-p.Y, p.Z) }))
		b = flipped(b)
		var p Placement
		for i := range p.TurnDeg {
			p.TurnDeg[i] = rapid.Float64Range(0, 360).Draw(t, "turn")
		}
		l, err := p.linear()
		if err != nil {
			t.Fatal(err)
		}
		f := mapped(join(a, b), l.apply)
		if rapid.Bool().Draw(t, "flip") {
			f = flipped(f)
		}
		m, err := Build(soup(f), Placement{})
		if err != nil {
			t.Fatal(err)
		}
		checkMesh(t, m)
		if len(m.V) != 12 || len(m.Shells) != 2 || len(m.Parts) != 2 || m.OpenEdges != 0 {
			t.Fatalf("%d vertices, %d shells, %d parts, %d open edges", len(m.V), len(m.Shells), len(m.Parts), m.OpenEdges)
		}
		for i, s := range m.Shells {
			if math.Abs(math.Abs(s.Volume)-1000) > 1e-3 {
				t.Fatalf("shell %d has a volume of %g", i, s.Volume)
			}
		}
	})
}

func TestOverlapSaysWhichPartsToUnite(t *testing.T) {
	cube := box(0, 0, 0, 10, 10, 10)
	for _, tt := range []struct {
		name string
		f    facets
		want bool
	}{
		{"one shell", cube, false},
		{"cavity first", join(flipped(box(2, 2, 2, 8, 8, 8)), cube), false},
		{"inner", join(cube, box(2, 2, 2, 8, 8, 8)), true},
		{"overlap", join(cube, box(5, 5, 5, 15, 15, 15)), true},
	} {
		if m := built(t, tt.f); m.Parts[0].Overlapping != tt.want || len(m.Parts) != 1 {
			t.Errorf("%s: %d parts, Overlapping %v", tt.name, len(m.Parts), m.Parts[0].Overlapping)
		}
	}
}

// A surface that bounds no volume belongs to what it touches or lies in.
func TestSheets(t *testing.T) {
	cube := box(0, 0, 0, 10, 10, 10)
	sheet := facets{{vec(2, 2, 10), vec(8, 2, 10), vec(2, 8, 10)}}
	sheet = join(sheet, flipped(sheet))
	for _, tt := range []struct {
		name  string
		f     facets
		parts int
		warns string
	}{
		{"on the cube", join(cube, sheet), 1, "surface 2 (2 facets, near 5.0 5.0 10.0) lies within"},
		{"in the cube", join(cube, moved(sheet, vec(0, 0, -5))), 1, "surface 2 (2 facets, near 5.0 5.0 5.0) lies within"},
		{"above the cube", join(cube, moved(sheet, vec(0, 0, 5))), 2, "part 2 bounds no volume and will not print: closed surface 2 (2 facets, near 5.0 5.0 15.0)"},
		{"an open sheet", join(cube, moved(sheet[:1], vec(0, 0, 5))), 2, "part 2 bounds no volume and will not print: open surface 2 (1 facet"},
	} {
		m := built(t, tt.f)
		if len(m.Parts) != tt.parts || !m.Shells[1].Flat || !strings.Contains(strings.Join(m.Warnings, "\n"), tt.warns) {
			t.Errorf("%s: %d parts, flat %v, warnings %q", tt.name, len(m.Parts), m.Shells[1].Flat, m.Warnings)
		}
	}
}

func TestManyMergesAreOneLine(t *testing.T) {
	var f facets
	for i := range 40 {
		f = append(f, moved(box(0, 0, 0, 2, 2, 2), vec(1.5*float64(i), 0, 0))...)
	}
	m := built(t, f)
	if want := []string{"part 1: 40 overlapping closed surfaces, taken as one (1, 2, 3, 4, 5 and 35 more)"}; !slices.Equal(m.Warnings, want) {
		t.Errorf("warnings %q, want %q", m.Warnings, want)
	}
}

// Of very many parts with the same to tell there is one line.
func TestVeryManyMergesAreOneLine(t *testing.T) {
	var f facets
	for i := range 30 {
		at := vec(10*float64(i), 0, 0)
		f = append(f, moved(join(box(0, 0, 0, 2, 2, 2), box(1, 1, 1, 3, 3, 3), box(0.5, 0.5, 0.5, 1.5, 1.5, 1.5)), at)...)
		f = append(f, [3]r3.Vec{at, r3.Add(at, vec(1, 0, -5)), r3.Add(at, vec(0, 1, -5))})
		f[len(f)-1][0].Z -= 5
	}
	m := built(t, f)
	want := []string{
		"the mesh is not closed: 90 edges are open",
		"30 parts: overlapping closed surfaces, taken as one each",
		"30 surfaces lie within the solid of their part and add nothing",
		"30 parts bound no volume and will not print",
	}
	if !slices.Equal(m.Warnings, want) {
		t.Errorf("warnings %q, want %q", m.Warnings, want)
	}
}

// checkPartBoxes compares the parts with what boxes on a grid must give: one
// part where they have a cell in common, directly or through others.
func checkPartBoxes(t failer, m *Mesh, boxes []r3.Box) {
	set := make([]int, len(boxes))
	for i := range set {
		set[i] = i
	}
	for range boxes {
		for i, a := range boxes {
			for j, b := range boxes {
				common := r3.Box{Min: upper(a.Min, b.Min), Max: lower(a.Max, b.Max)}
				if !common.Empty() {
					set[i] = min(set[i], set[j])
				}
			}
		}
	}
	low := noBox()
	union := map[int]r3.Box{}
	for i, b := range boxes {
		u, ok := union[set[i]]
		if !ok {
			u = noBox()
		}
		union[set[i]] = r3.Box{Min: lower(u.Min, b.Min), Max: upper(u.Max, b.Max)}
		low.Min = lower(low.Min, b.Min)
	}
	var want []r3.Box
	for _, b := range union {
		b.Min.Z -= low.Min.Z
		b.Max.Z -= low.Min.Z
		want = append(want, b)
	}
	var got []r3.Box
	for _, p := range m.Parts {
		got = append(got, p.Box)
	}
	slices.SortFunc(want, compareBoxes)
	slices.SortFunc(got, compareBoxes)
	if !slices.Equal(got, want) {
		t.Fatalf("parts in %v, want %v", got, want)
	}
}

func compareBoxes(a, b r3.Box) int {
	return cmp.Or(cmp.Compare(a.Min.X, b.Min.X), cmp.Compare(a.Min.Y, b.Min.Y), cmp.Compare(a.Min.Z, b.Min.Z),
		cmp.Compare(a.Max.X, b.Max.X), cmp.Compare(a.Max.Y, b.Max.Y), cmp.Compare(a.Max.Z, b.Max.Z))
}

// The order of the triangles in the file, and which corner of a triangle
// comes first, must not matter.
func TestShuffledTrianglesGiveTheSameParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		// Boxes on a small grid touch, share edges and overlap often.
		n := rapid.IntRange(1, 5).Draw(t, "boxes")
		var f facets
		var boxes []r3.Box
		for range n {
			at := func(name string) float64 { return float64(rapid.IntRange(0, 4).Draw(t, name)) }
			size := func(name string) float64 { return float64(rapid.IntRange(1, 3).Draw(t, name)) }
			x, y, z := at("x"), at("y"), at("z")
			b := r3.Box{Min: vec(x, y, z), Max: vec(x+size("dx"), y+size("dy"), z+size("dz"))}
			boxes = append(boxes, b)
			f = append(f, fineBox(b.Min, b.Max, 1)...)
		}
		if rapid.Bool().Draw(t, "flip") {
			f = flipped(f)
		}
		a, err := Build(soup(f), Placement{})
		if err != nil {
			t.Fatal(err)
		}
		checkMesh(t, a)
		checkPartBoxes(t, a, boxes)
		g := slices.Clone(f)
		rng := rand.New(rand.NewPCG(1, rapid.Uint64().Draw(t, "seed")))
		rng.Shuffle(len(g), func(i, j int) { g[i], g[j] = g[j], g[i] })
		for i := range g {
			if k := rng.IntN(3); k > 0 {
				g[i] = [3]r3.Vec{g[i][k], g[i][(k+1)%3], g[i][(k+2)%3]}
			}
		}
		b, err := Build(soup(g), Placement{})
		if err != nil {
			t.Fatal(err)
		}
		if len(a.Parts) != len(b.Parts) || a.OpenEdges != b.OpenEdges || a.NonManifoldEdges != b.NonManifoldEdges {
			t.Fatalf("%d parts, %d open edges, %d of many facets; shuffled %d, %d, %d",
				len(a.Parts), a.OpenEdges, a.NonManifoldEdges, len(b.Parts), b.OpenEdges, b.NonManifoldEdges)
		}
		// Where facets of overlapping boxes lie in one plane at a common
		// edge, it is open which belongs to which box; and of equal boxes in
		// a row the middle one adds nothing if it comes last. So the volume
		// that is counted twice may differ.
		inner := func(m *Mesh) (n int) {
			for _, s := range m.Shells {
				if s.Inner {
					n++
				}
			}
			return n
		}
		open := len(a.Shells) != len(b.Shells) || inner(a) != inner(b)
		byPlace := func(m *Mesh) []Part {
			parts := slices.Clone(m.Parts)
			slices.SortFunc(parts, func(p, q Part) int { return cmp.Or(compareBoxes(p.Box, q.Box), cmp.Compare(p.Facets, q.Facets)) })
			return parts
		}
		pa, pb := byPlace(a), byPlace(b)
		for i, p := range pa {
			q := pb[i]
			if p.Box != q.Box || p.Facets != q.Facets || p.Overlapping != q.Overlapping || !open && sixDigits(p.Volume) != sixDigits(q.Volume) {
				t.Fatalf("a part is %+v, shuffled %+v", p, q)
			}
		}
	})
}
