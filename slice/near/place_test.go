package near

import (
	"math"
	"slices"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/mesh/shape"
	"playgauge/slice"
)

// winding is how often a part's contours go round p, by angles; edge says
// that p lies so near one that rounding decides.
func winding(islands []drawn, part int32, p r2.Vec) (w int, edge bool) {
	sum := 0.0
	for _, d := range islands {
		if d.part != part {
			continue
		}
		for k, r := range d.rings {
			turn := 0.0
			for i, a := range r {
				b := r[(i+1)%len(r)]
				if toLine(p, a, b) < 1e-9 {
					edge = true
				}
				u, v := r2.Sub(a, p), r2.Sub(b, p)
				turn += math.Atan2(r2.Cross(u, v), r2.Dot(u, v))
			}
			turn = math.Abs(turn)
			if k > 0 {
				turn = -turn
			}
			sum += turn
		}
	}
	return int(math.Round(sum / (2 * math.Pi))), edge
}

func place(t *rapid.T, l *slice.Layer) r2.Vec {
	p := r2.Vec{X: rapid.Float64Range(-7, 27).Draw(t, "px"), Y: rapid.Float64Range(-7, 27).Draw(t, "py")}
	switch rapid.IntRange(0, 3).Draw(t, "where") {
	case 0: // level with a corner
		p.Y = l.Pts[rapid.IntRange(0, len(l.Pts)-1).Draw(t, "corner")].Y
	case 1: // on a round number
		p = r2.Vec{X: math.Round(p.X), Y: math.Round(p.Y)}
	}
	return p
}

// TestPlaces asks where points lie, of winding angles and of the judge's
// distances.
func TestPlaces(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := scene(t)
		l := layerOf(all)
		ix := New(l)
		for range 5 {
			p := place(t, l)
			for part := range int32(4) {
				w, edge := winding(all, part, p)
				if got := ix.Inside(part, p); !edge && got != (w == 1) {
					t.Errorf("part %d, %v: inside %v, winding number %d", part, p, got, w)
				}
				limit := rapid.SampledFrom([]float64{0.5, 3, 100, math.Inf(1)}).Draw(t, "limit")
				want, ok := geom.Distance(point(p), lines(all, part))
				ok = ok && want <= limit
				got, found := ix.ToContour(part, p, limit)
				if found != ok || ok && math.Abs(got-want) > 1e-9 {
					t.Errorf("part %d, %v: contour %v away, %v; want %v, %v", part, p, got, found, want, ok)
				}
				if w == 1 && !edge {
					want, ok = 0, true
				}
				got, found = ix.ToPart(part, p, limit)
				if !edge && (found != ok || ok && math.Abs(got-want) > 1e-9) {
					t.Errorf("part %d, %v: material %v away, %v; want %v, %v", part, p, got, found, want, ok)
				}
				at := int32(-1)
				for i, d := range all {
					if n, _ := winding([]drawn{d}, part, p); n == 1 {
						at = int32(i)
					}
				}
				if got := ix.IslandAt(part, p); !edge && got != at {
					t.Errorf("part %d, %v: in island %d, want %d", part, p, got, at)
				}
			}
		}
	})
}

// TestIslandAtAmongTouching: islands of one part that share a wall or a
// corner are told apart by the side of the wall the place lies on.
func TestIslandAtAmongTouching(t *testing.T) {
	corner := []r2.Vec{{X: 0, Y: 0}, {X: 4, Y: 0}, {X: 4, Y: 2}, {X: 2, Y: 2}, {X: 2, Y: 4}, {X: 0, Y: 4}}
	for _, swap := range []bool{false, true} {
		all := []drawn{
			{0, [][]r2.Vec{corner}},
			{0, [][]r2.Vec{{{X: 2, Y: 2}, {X: 3.5, Y: 2.5}, {X: 3, Y: 3}, {X: 2.5, Y: 3.5}}}},
			{0, [][]r2.Vec{shape.Rect(-3, -1, 0, 5)}},
		}
		if swap {
			slices.Reverse(all)
		}
		ix := New(layerOf(all))
		for _, q := range []struct {
			p  r2.Vec
			at int32
		}{
			{r2.Vec{X: 1.6, Y: 1.7}, 0}, {r2.Vec{X: 1.9, Y: 1.9}, 0}, {r2.Vec{X: 2.1, Y: 2.1}, 1},
			{r2.Vec{X: -0.1, Y: 2}, 2}, {r2.Vec{X: 0.1, Y: 2}, 0}, {r2.Vec{X: 0.1, Y: 3.1}, 0}, {r2.Vec{X: -0.1, Y: 3.1}, 2},
		} {
			want := q.at
			if swap {
				want = 2 - want
			}
			if got := ix.IslandAt(0, q.p); got != want {
				t.Errorf("swapped %v, %v: in island %d, want %d", swap, q.p, got, want)
			}
		}
	}
}

func spansLength(s []Span) float64 {
	sum := 0.0
	for _, x := range s {
		sum += x.To - x.From
	}
	return sum
}

func checkSpans(t *rapid.T, s []Span) {
	for i, x := range s {
		if !(0 <= x.From && x.From < x.To && x.To <= 1) || i > 0 && s[i-1].To >= x.From {
			t.Fatalf("spans %v are not ascending and apart", s)
		}
	}
}

// TestMaterial: the stretches of a line through material are as long as the
// judge's intersection, and hold the places that lie inside by winding
// number.
func TestMaterial(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := scene(t)
		l := layerOf(all)
		ix := New(l)
		var buf []Span
		for range 4 {
			a, b := place(t, l), place(t, l)
			switch rapid.IntRange(0, 3).Draw(t, "line") {
			case 1: // through corners
				a = l.Pts[rapid.IntRange(0, len(l.Pts)-1).Draw(t, "a")]
				b = l.Pts[rapid.IntRange(0, len(l.Pts)-1).Draw(t, "b")]
			case 2: // through a corner, ends anywhere
				c := l.Pts[rapid.IntRange(0, len(l.Pts)-1).Draw(t, "c")]
				b = r2.Add(c, r2.Sub(c, a))
			}
			if a == b {
				continue
			}
			buf = ix.Material(a, b, buf)
			checkSpans(t, buf)
			const n = 60
			for i := range n {
				s := (float64(i) + 0.5) / float64(n)
				p := Along(a, b, s)
				in := false
				for _, d := range all {
					w, _ := winding([]drawn{d}, d.part, p)
					in = in || w == 1
				}
				covered := slices.ContainsFunc(buf, func(x Span) bool { return x.From <= s && s <= x.To })
				if in == covered {
					continue
				}
				// Within Skin of a wall either may be.
				if depth, _ := geom.Distance(point(p), allLines(all)); depth > 2*Skin {
					t.Errorf("%v to %v at %v, %v: in material %v, spans %v, %v from a contour", a, b, s, p, in, buf, depth)
					break
				}
			}
		}
	})
}

func allLines(islands []drawn) geom.Geometry {
	var ls []geom.LineString
	for _, d := range islands {
		for _, r := range d.rings {
			ls = append(ls, lineString(r))
		}
	}
	return geom.NewMultiLineString(ls).AsGeometry()
}

// TestMaterialLength compares lengths with the judge's intersection, over
// lines in general position.
func TestMaterialLength(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := scene(t)
		ix := New(layerOf(all))
		draw := func(name string) float64 { return rapid.Float64Range(-7, 27).Draw(t, name) + math.Pi*1e-4 }
		a, b := r2.Vec{X: draw("ax"), Y: draw("ay")}, r2.Vec{X: draw("bx"), Y: draw("by")}
		length := math.Hypot(b.X-a.X, b.Y-a.Y)
		if length < 0.1 {
			return
		}
		want, short := 0.0, 0
		for _, d := range all { // islands one by one: they may share walls
			g, err := geom.Intersection(segment([2]r2.Vec{a, b}), polygons([]drawn{d}, -1))
			if err != nil {
				t.Fatal(err)
			}
			want += g.Length()
			for _, part := range g.Dump() {
				if part.Length() < 1 {
					short++ // may lie within Skin of a wall
				}
			}
		}
		s := ix.Material(a, b, nil)
		checkSpans(t, s)
		if got := spansLength(s) * length; got > want+1e-9 || short == 0 && got < want-1e-9 {
			t.Errorf("%v to %v: %v mm through material in %v, want %v", a, b, got, s, want)
		}
	})
}

// TestAlongAWall: a line along a wall, or within Skin of it, is in air; one
// deeper is in material; the walls of neighbouring islands and layers share
// their lines and do not stand in each other's way.
func TestAlongAWall(t *testing.T) {
	for deg := 0.0; deg < 180; deg += 7.5 {
		sn, cs := math.Sincos(deg * math.Pi / 180)
		turned := func(p r2.Vec) r2.Vec { return r2.Vec{X: p.X*cs - p.Y*sn, Y: p.X*sn + p.Y*cs} }
		ring := shape.Divide(shape.Rect(0, 0, 8, 4), 0.7)
		for i := range ring {
			ring[i] = turned(ring[i])
		}
		ix := New(layerOf([]drawn{{0, [][]r2.Vec{ring}}}))
		for _, tc := range []struct {
			y        float64
			material bool
		}{{0, false}, {Skin * 0.9, false}, {Skin * 1.1, true}, {2, true}, {4 - Skin*0.9, false}, {4, false}, {4.1, false}, {-0.1, false}} {
			for _, x := range [][2]float64{{-3, 11}, {1, 7}, {0, 8}, {-3, 5}, {11, 2}} {
				a, b := turned(r2.Vec{X: x[0], Y: tc.y}), turned(r2.Vec{X: x[1], Y: tc.y})
				s := ix.Material(a, b, nil)
				want := 0.0
				if tc.material {
					lo, hi := math.Max(0, min(x[0], x[1])), math.Min(8, max(x[0], x[1]))
					want = (hi - lo) / math.Abs(x[1]-x[0])
				}
				if math.Abs(spansLength(s)-want) > 1e-9 {
					t.Errorf("turned %v, at %v from the wall, %v: spans %v, want %v in all", deg, tc.y, x, s, want)
				}
			}
		}
		for _, tc := range []struct {
			p    r2.Vec
			deep bool
		}{{r2.Vec{X: 4, Y: 2}, true}, {r2.Vec{X: 4, Y: Skin / 2}, false}, {r2.Vec{X: 4, Y: 5}, false}} {
			p := turned(tc.p)
			if s := ix.Material(p, p, nil); (len(s) == 1 && s[0] == Span{0, 1}) != tc.deep {
				t.Errorf("turned %v, the point %v: spans %v, deep %v", deg, tc.p, s, tc.deep)
			}
		}
	}
}

// TestThroughCorners: a line that enters exactly at a corner is cut there.
func TestThroughCorners(t *testing.T) {
	for deg := 0.0; deg < 360; deg += 0.5 {
		sn, cs := math.Sincos(deg * math.Pi / 180)
		turned := func(p r2.Vec) r2.Vec { return r2.Vec{X: 3 + p.X*cs - p.Y*sn, Y: 2 + p.X*sn + p.Y*cs} }
		ring := []r2.Vec{{X: 0, Y: 0}, {X: 3, Y: 3}, {X: 0, Y: 6}, {X: -3, Y: 3}}
		for i := range ring {
			ring[i] = turned(ring[i])
		}
		ix := New(layerOf([]drawn{{0, [][]r2.Vec{ring}}}))
		// Along the diagonal, 5 before it, 6 through it, 7 beyond.
		s := ix.Material(turned(r2.Vec{Y: -5}), turned(r2.Vec{Y: 13}), nil)
		if len(s) != 1 || math.Abs(s[0].From-5.0/18) > 1e-9 || math.Abs(s[0].To-11.0/18) > 1e-9 {
			t.Errorf("turned %v: spans %v, want %v to %v", deg, s, 5.0/18, 11.0/18)
		}
	}
}

// TestReach: no part with material in a box is denied, and none is affirmed
// that is far off; parts near a box are exactly those whose boxes are.
func TestReach(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		all := scene(t)
		l := layerOf(all)
		ix := New(l)
		for range 3 {
			p, q := place(t, l), place(t, l)
			if rapid.Bool().Draw(t, "small") {
				q = r2.Add(p, r2.Vec{X: rapid.Float64Range(0, 1).Draw(t, "w"), Y: rapid.Float64Range(0, 1).Draw(t, "h")})
			}
			b := r2.Box{Min: r2.Vec{X: min(p.X, q.X), Y: min(p.Y, q.Y)}, Max: r2.Vec{X: max(p.X, q.X), Y: max(p.Y, q.Y)}}
			r := shape.Rect(b.Min.X, b.Min.Y, b.Max.X, b.Max.Y)
			if b.Min.X == b.Max.X || b.Min.Y == b.Max.Y {
				continue
			}
			box := geom.NewPolygon([]geom.LineString{lineString(r)}).AsGeometry()
			within := rapid.SampledFrom([]float64{0, 0.5, 3}).Draw(t, "within")
			parts := ix.PartsNear(b, within, nil)
			if !slices.IsSorted(parts) || len(slices.Compact(slices.Clone(parts))) != len(parts) {
				t.Errorf("parts near %v: %v", b, parts)
			}
			for part := range int32(4) {
				reaches := false
				for _, d := range all {
					reaches = reaches || d.part == part && geom.Intersects(box, polygons([]drawn{d}, -1))
				}
				may := ix.MayReach(part, b)
				if reaches && !may {
					t.Errorf("part %d has material in %v, denied", part, b)
				}
				// A block is 8 segments of rings of radius 5 (a rectangle of 10
				// by 2 at most): it never lies 15 mm off.
				if d, ok := geom.Distance(box, lines(all, part)); (!ok || d > 15) && may {
					t.Errorf("part %d is %v from %v, affirmed", part, d, b)
				}
				var want, sure bool
				if pb, ok := partBox(l, part); ok {
					dx := math.Max(0, math.Max(pb.Min.X-b.Max.X, b.Min.X-pb.Max.X))
					dy := math.Max(0, math.Max(pb.Min.Y-b.Max.Y, b.Min.Y-pb.Max.Y))
					want, sure = math.Hypot(dx, dy) <= within, math.Abs(max(dx, dy)-within) > 1e-9
					if math.Max(dx, dy) <= within && math.Hypot(dx, dy) > within {
						sure = false // off a corner: may be listed
					}
				} else {
					sure = true
				}
				if got := slices.Contains(parts, part); sure && got != want {
					t.Errorf("part %d near %v within %v: %v, want %v", part, b, within, got, want)
				}
			}
		}
	})
}

func partBox(l *slice.Layer, part int32) (b r2.Box, ok bool) {
	for _, is := range l.Islands {
		if is.Part != part {
			continue
		}
		if !ok {
			b, ok = is.Box, true
			continue
		}
		b.Min = r2.Vec{X: min(b.Min.X, is.Box.Min.X), Y: min(b.Min.Y, is.Box.Min.Y)}
		b.Max = r2.Vec{X: max(b.Max.X, is.Box.Max.X), Y: max(b.Max.Y, is.Box.Max.Y)}
	}
	return b, ok
}

// TestReachInside: a box deep in material, far from any wall, is reached; one
// in a hole is not.
func TestReachInside(t *testing.T) {
	ring := shape.Divide(shape.Rect(0, 0, 30, 30), 0.3)
	hole := shape.Divide(shape.Rect(10, 10, 20, 20), 0.3)
	ix := New(layerOf([]drawn{{2, [][]r2.Vec{ring, hole}}}))
	at := func(x, y float64) r2.Box { return r2.Box{Min: r2.Vec{X: x, Y: y}, Max: r2.Vec{X: x + 1, Y: y + 1}} }
	if !ix.MayReach(2, at(5, 5)) || !ix.MayReach(2, at(24, 14)) {
		t.Error("material is denied")
	}
	if ix.MayReach(2, at(14, 14)) || ix.MayReach(2, at(40, 5)) || ix.MayReach(1, at(5, 5)) {
		t.Error("air is affirmed")
	}
}

// The distance to the nearest contour is that of the plain formula for its
// nearest segment, to the last bit.
func TestToContourToTheBit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := layerOf(rapid.SampledFrom([]func(*rapid.T) []drawn{scene, rectangles}).Draw(t, "kind")(t))
		ix := New(l)
		for range 20 {
			p := r2.Vec{X: rapid.Float64Range(-5, 25).Draw(t, "x"), Y: rapid.Float64Range(-5, 25).Draw(t, "y")}
			if rapid.Bool().Draw(t, "on a grid") {
				p = r2.Vec{X: math.Round(p.X), Y: math.Round(p.Y)}
			}
			for part := range int32(4) {
				least := math.Inf(1)
				for _, s := range segments(l, part) {
					least = min(least, pointSeg2(p, s[0], s[1]))
				}
				if d, ok := ix.ToContour(part, p, 40); ok != (least <= 1600) || ok && d != math.Sqrt(least) {
					t.Fatalf("part %d from %v: %v, %v; want %v", part, p, d, ok, math.Sqrt(least))
				}
			}
		}
	})
}

// TestInsideCountsAll: what is told of pieces of contours by their ends alone
// is what counting all crossings tells.
func TestInsideCountsAll(t *testing.T) {
	inside := 0
	rapid.Check(t, func(t *rapid.T) {
		draw := rapid.SampledFrom([]func(*rapid.T) []drawn{scene, rectangles}).Draw(t, "kind")
		l := layerOf(draw(t))
		ix := New(l)
		for range 20 {
			p := place(t, l)
			for part := range int32(4) {
				want := false
				for _, s := range segments(l, part) {
					a, c := s[0], s[1]
					if (a.Y > p.Y) != (c.Y > p.Y) && p.X < a.X+float64((c.X-a.X)*((p.Y-a.Y)/(c.Y-a.Y))) {
						want = !want
					}
				}
				if got := ix.Inside(part, p); got != want {
					t.Fatalf("part %d, %v: inside %v, want %v", part, p, got, want)
				}
				if want {
					inside++
				}
			}
		}
	})
	if inside < 100 {
		t.Errorf("only %d places inside", inside)
	}
}
