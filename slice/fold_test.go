package slice

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"playgauge/mesh/shape"
)

// TestCrossingsAgainstAllPairs: the search finds a crossing just where one of
// all pairs of segments crosses.
func TestCrossingsAgainstAllPairs(t *testing.T) {
	var c crossings
	found := 0
	rapid.Check(t, func(t *rapid.T) {
		var pts []r2.Vec
		var lines []line
		for range rapid.IntRange(1, 12).Draw(t, "lines") {
			start := int32(len(pts))
			at := r2.Vec{X: rapid.Float64Range(-20, 20).Draw(t, "x"), Y: rapid.Float64Range(-20, 20).Draw(t, "y")}
			pts = append(pts, star(t, "star", at, 1, 3)...)
			if rapid.IntRange(0, 9).Draw(t, "scrambled") == 0 {
				k := int(start) + rapid.IntRange(0, len(pts)-int(start)-1).Draw(t, "point")
				pts[k], pts[start] = pts[start], pts[k]
			}
			lines = append(lines, line{start: start, end: int32(len(pts))})
		}
		want := false
		for _, a := range lines {
			for i := a.start; i < a.end; i++ {
				for _, b := range lines {
					for j := b.start; j < b.end; j++ {
						if _, ok := meet(pts[i], pts[after(i, a.start, a.end)], pts[j], pts[after(j, b.start, b.end)]); ok && (a != b || i != j) {
							want = true
						}
					}
				}
			}
		}
		at, got := c.find(pts, lines)
		if got != want {
			t.Fatalf("found %v at %v, of all pairs one crosses: %v", got, at, want)
		}
		if got {
			found++
		}
	})
	if found == 0 {
		t.Error("no case crossed")
	}
}

// TestMeet: what crosses, what only touches.
func TestMeet(t *testing.T) {
	v := func(x, y float64) r2.Vec { return r2.Vec{X: x, Y: y} }
	for _, c := range []struct {
		u, v r2.Vec
		want bool
	}{
		{v(2, -1), v(2, 1), true},
		{v(2, 1), v(2, -1), true},
		{v(5, -1), v(5, 1), false},
		{v(0, 0), v(2, 2), false}, // from its start
		{v(1, 0), v(2, 2), false}, // from a place on it to its left
		{v(1, 0), v(3, 0), false}, // along it
		{v(1, 1), v(3, 1), false},
	} {
		if at, ok := meet(v(0, 0), v(4, 0), c.u, c.v); ok != c.want || ok && at != v(2, 0) {
			t.Errorf("%v to %v: %v at %v", c.u, c.v, ok, at)
		}
	}
}

// TestSurfacePassesThroughItself: a bar bent so that it passes through itself
// is one closed surface; its layers are what it covers. A bar that turns over
// on the way, like a figure of eight, keeps the part that is the right way
// round.
func TestSurfacePassesThroughItself(t *testing.T) {
	v := func(x, y float64) r2.Vec { return r2.Vec{X: x, Y: y} }
	for _, c := range []struct {
		name         string
		outline      []r2.Vec
		area, folded float64
		islands      int
		islandsHoles int
	}{
		// A bar 1 wide goes 6 along, 3 up, 2 back and 4 more down outside of
		// the square in which it passes through itself; the loop's hole stays.
		{"a loop", []r2.Vec{v(0, 2), v(6, 2), v(6, 6), v(3, 6), v(3, 0), v(4, 0), v(4, 5), v(5, 5), v(5, 3), v(0, 3)}, 15, 1, 1, 1},
		{"a figure of eight", []r2.Vec{v(0, 0), v(2, 0), v(0, 3), v(2, 3)}, 1.5, 1.5, 1, 0},
		{"nothing folded", []r2.Vec{v(0, 0), v(2, 0), v(2, 3), v(0, 3)}, 6, 0, 1, 0},
	} {
		s := prismOf(c.outline, 2)
		m, st := cut(t, s.Soup(), 0.2, 0.2)
		if len(m.Shells) != 1 {
			t.Fatalf("%s: %d shells", c.name, len(m.Shells))
		}
		for i := range st.Layers {
			l := &st.Layers[i]
			if math.Abs(layerArea(l)-c.area) > 1e-5 || len(l.Islands) != c.islands || len(l.Contours) != c.islands+c.islandsHoles {
				t.Errorf("%s, layer %d: area %v in %d islands and %d contours, want %v", c.name, i+1, layerArea(l), len(l.Islands), len(l.Contours), c.area)
			}
			if (c.folded == 0) != (len(l.Folds) == 0) || c.folded > 0 && math.Abs(l.Folds[0].Area-c.folded) > 1e-5 {
				t.Errorf("%s, layer %d: folds %+v, want an area of %v", c.name, i+1, l.Folds, c.folded)
			}
		}
	}
}

// prismOf stands walls on an outline that may cross itself, between two lids
// that fan out from its first point.
func prismOf(outline []r2.Vec, h float64) shape.Solid {
	var s shape.Solid
	n := int32(len(outline))
	for _, z := range []float64{0, h} {
		for _, p := range outline {
			s.V = append(s.V, r3.Vec{X: p.X, Y: p.Y, Z: z})
		}
	}
	for i := range n {
		j := (i + 1) % n
		s.T = append(s.T, [3]int32{i, j, n + j}, [3]int32{i, n + j, n + i})
		if i > 0 && i+1 < n {
			s.T = append(s.T, [3]int32{0, i + 1, i}, [3]int32{n, n + i, n + i + 1})
		}
	}
	return s
}

// TestManyLines: rings side by side in any order do not cross, and a triangle
// over several does.
func TestManyLines(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 5))
	var pts []r2.Vec
	var lines []line
	for x := range 30 {
		for y := range 30 {
			start := int32(len(pts))
			for k := range 64 {
				sin, cos := math.Sincos(2 * math.Pi * float64(k) / 64)
				pts = append(pts, r2.Vec{X: 3*float64(x) + 1.4*cos, Y: 3*float64(y) + 1.4*sin})
			}
			lines = append(lines, line{start: start, end: int32(len(pts))})
		}
	}
	rnd.Shuffle(len(lines), func(i, j int) { lines[i], lines[j] = lines[j], lines[i] })
	var c crossings
	if at, ok := c.find(pts, lines); ok {
		t.Errorf("rings apart cross at %v", at)
	}
	lines = append(lines, line{start: int32(len(pts)), end: int32(len(pts)) + 3})
	pts = append(pts, r2.Vec{X: 40, Y: 40}, r2.Vec{X: 43, Y: 40}, r2.Vec{X: 43, Y: 43})
	if _, ok := c.find(pts, lines); !ok {
		t.Error("a triangle over several rings crosses none")
	}
}

// TestTooManyCrossings: a star of so many points that its outline crosses
// itself a million times is left out, and said to be; one of few is united.
func TestTooManyCrossings(t *testing.T) {
	star := func(n, step int) []r2.Vec {
		var out []r2.Vec
		for i := range n {
			sin, cos := math.Sincos(2 * math.Pi * float64(i*step%n) / float64(n))
			out = append(out, r2.Vec{X: 20 * cos, Y: 20 * sin})
		}
		return out
	}
	for _, c := range []struct {
		n, step int
		dropped bool
	}{{1501, 750, true}, {7, 3, false}} {
		_, st := cut(t, prismOf(star(c.n, c.step), 0.5).Soup(), 0.2, 0.2)
		for i := range st.Layers {
			l := &st.Layers[i]
			if len(l.Folds) != 1 || l.Folds[0].Dropped != c.dropped || (len(l.Islands) == 0) != c.dropped {
				t.Errorf("star of %d, layer %d: folds %+v, %d islands", c.n, i+1, l.Folds, len(l.Islands))
			}
		}
	}
}
