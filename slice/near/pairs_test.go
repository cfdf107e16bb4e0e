package near

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/mesh"
	"playgauge/mesh/shape"
	"playgauge/slice"
)

// least finds the least distance by narrowing the limit to each that is found.
func least(a *Index, pa int32, b *Index, pb int32, limit float64) (d float64, i, j int32) {
	d, i, j = math.Inf(1), -1, -1
	Pairs(a, pa, b, pb, limit, func(si, sj int32, dist float64) float64 {
		if dist < d {
			d, i, j = dist, si, sj
		}
		return d
	})
	return d, i, j
}

// TestLeastDistance: within one layer and between two, crossing or touching
// or apart, the judge measures the same.
func TestLeastDistance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low := scene(t)
		high := scene(t)
		by := r2.Vec{X: rapid.Float64Range(-12, 12).Draw(t, "dx"), Y: rapid.Float64Range(-12, 12).Draw(t, "dy")}
		if rapid.Bool().Draw(t, "whole steps") {
			by = r2.Vec{X: math.Round(by.X), Y: math.Round(by.Y)}
		}
		for i := range high {
			high[i] = high[i].moved(by)
		}
		a, b := New(layerOf(low)), New(layerOf(high))
		for pa := range int32(4) {
			for pb := range int32(4) {
				for _, other := range []struct {
					ix    *Index
					drawn []drawn
				}{{a, low}, {b, high}} {
					if other.ix == a && pa == pb {
						continue
					}
					d, i, j := least(a, pa, other.ix, pb, 30)
					want, ok := geom.Distance(lines(low, pa), lines(other.drawn, pb))
					if !ok || want > 30 {
						if i >= 0 {
							t.Errorf("parts %d, %d: distance %v, there is none", pa, pb, d)
						}
						continue
					}
					if math.Abs(d-want) > 1e-9 {
						t.Errorf("parts %d, %d: distance %v, the judge says %v", pa, pb, d, want)
						continue
					}
					a0, a1 := a.Segment(i)
					b0, b1 := other.ix.Segment(j)
					p, q, e := Nearest(a0, a1, b0, b1)
					if math.Abs(e-d) > 1e-12 || math.Abs(math.Hypot(p.X-q.X, p.Y-q.Y)-d) > 1e-9 {
						t.Errorf("parts %d, %d: distance %v, nearest points %v and %v", pa, pb, d, p, q)
					}
					if toSegment(p, a0, a1) > 1e-9 || toSegment(q, b0, b1) > 1e-9 {
						t.Errorf("parts %d, %d: nearest points %v and %v are not on their segments", pa, pb, p, q)
					}
				}
			}
		}
	})
}

// TestPairsOfWildWalls: where a wall goes to and fro, not all segments of a block
// are near that lie between two that are.
func TestPairsOfWildWalls(t *testing.T) {
	for seed := range uint64(2000) {
		rng := rand.New(rand.NewPCG(seed, 1))
		ring := func(n int, size float64) []r2.Vec {
			pts := make([]r2.Vec, n)
			c := r2.Vec{X: 4 * rng.Float64(), Y: 4 * rng.Float64()}
			for i := range pts {
				pts[i] = r2.Vec{X: c.X + size*(rng.Float64()-0.5), Y: c.Y + size*(rng.Float64()-0.5)}
			}
			return pts
		}
		low := layerOf([]drawn{{0, [][]r2.Vec{ring(3+rng.IntN(6), 0.5)}}})
		high := layerOf([]drawn{{0, [][]r2.Vec{ring(4+rng.IntN(12), 8)}}})
		a, b := New(low), New(high)
		for _, limit := range []float64{0.01, 0.1, 0.5} {
			got := map[[2]int32]bool{}
			Pairs(a, 0, b, 0, limit, func(i, j int32, _ float64) float64 {
				got[[2]int32{i, j}] = true
				return limit
			})
			for i := range int32(len(low.Pts)) {
				for j := range int32(len(high.Pts)) {
					a0, a1 := a.Segment(i)
					b0, b1 := b.Segment(j)
					if d := math.Sqrt(segDist2(a0, a1, b0, b1)); got[[2]int32{i, j}] != (d <= limit) {
						t.Fatalf("seed %d: segments %d and %d, %v apart, limit %v: visited %v", seed, i, j, d, limit, d > limit)
					}
				}
			}
		}
	}
}

// TestAllPairsWithin: with a limit that stays, every pair of segments nearer
// than it is visited, once, and none beyond.
func TestAllPairsWithin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low, high := layerOf(scene(t)), layerOf(scene(t))
		limit := rapid.SampledFrom([]float64{0, 0.5, 1, 3}).Draw(t, "limit")
		a, b := New(low), New(high)
		for pa := range int32(4) {
			for pb := range int32(4) {
				got := map[[2]int32]bool{}
				Pairs(a, pa, b, pb, limit, func(i, j int32, d float64) float64 {
					if got[[2]int32{i, j}] {
						t.Errorf("pair %d, %d twice", i, j)
					}
					got[[2]int32{i, j}] = true
					return limit
				})
				for i, s := range segments(low, pa) {
					for j, u := range segments(high, pb) {
						d, _ := geom.Distance(segment(s), segment(u))
						if in := got[[2]int32{i, j}]; in != (d <= limit) && math.Abs(d-limit) > 1e-12 {
							t.Errorf("segments %v and %v, %v apart, limit %v: visited %v", s, u, d, limit, in)
						}
					}
				}
			}
		}
	})
}

// TestBound: no two parts are nearer than their bound, and boxes that are
// apart have one.
func TestBound(t *testing.T) {
	apart := 0
	rapid.Check(t, func(t *rapid.T) {
		a, b := New(layerOf(scene(t))), New(layerOf(scene(t)))
		for pa := range int32(4) {
			for pb := range int32(4) {
				bound, ok := Bound(a, pa, b, pb)
				if want := a.Has(pa) && b.Has(pb); ok != want {
					t.Errorf("parts %d, %d: a bound: %v, want %v", pa, pb, ok, want)
				}
				if d, _, _ := least(a, pa, b, pb, 1000); ok && d < bound {
					t.Errorf("parts %d, %d: %v apart, bound %v", pa, pb, d, bound)
				}
				if bound > 0 {
					apart++
				}
			}
		}
	})
	if apart < 20 {
		t.Errorf("only %d parts apart", apart)
	}
}

// Of a part with itself, the pairs are those of different contours.
func TestPairsOfOnePart(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := layerOf(scene(t))
		limit := rapid.SampledFrom([]float64{0, 0.5, 3}).Draw(t, "limit")
		ix := New(l)
		for part := range int32(4) {
			got := map[[2]int32]bool{}
			Pairs(ix, part, ix, part, limit, func(i, j int32, d float64) float64 {
				got[[2]int32{i, j}] = true
				return limit
			})
			for i, s := range segments(l, part) {
				for j, u := range segments(l, part) {
					d, _ := geom.Distance(segment(s), segment(u))
					want := d <= limit && contourOf(l.Contours, i) != contourOf(l.Contours, j)
					if in := got[[2]int32{i, j}]; in != want && math.Abs(d-limit) > 1e-12 {
						t.Errorf("segments %v and %v, %v apart, limit %v: visited %v", s, u, d, limit, in)
					}
				}
			}
		}
	})
}

func segment(s [2]r2.Vec) geom.Geometry {
	f := []float64{s[0].X, s[0].Y, s[1].X, s[1].Y}
	return geom.NewLineString(geom.NewSequence(f, geom.DimXY)).AsGeometry()
}

// TestExactLimit: a gap exactly at the limit is found: 0.3 on a 0.3 machine.
func TestExactLimit(t *testing.T) {
	for _, gap := range []float64{0, 0.1, 0.2, 0.3, 0.7, 1} {
		for k := range 40 {
			x := 3 + 0.1*float64(k)
			ix := New(layerOf([]drawn{{0, [][]r2.Vec{shape.Rect(0, 0, x, 2)}}, {1, [][]r2.Vec{shape.Rect(x+gap, 0, 9, 2)}}}))
			real := (x + gap) - x
			if d, _, _ := least(ix, 0, ix, 1, real); d != real {
				t.Errorf("a gap of %v with that limit: %v", real, d)
			}
			if d, _, _ := least(ix, 0, ix, 1, real*(1-1e-9)-1e-12); !math.IsInf(d, 1) {
				t.Errorf("a gap of %v under a smaller limit: %v", real, d)
			}
		}
	}
}

func TestPairsOfNothing(t *testing.T) {
	ix := New(layerOf([]drawn{{1, [][]r2.Vec{shape.Rect(0, 0, 1, 1)}}}))
	empty := New(&slice.Layer{})
	never := func(i, j int32, d float64) float64 {
		t.Errorf("visited %d, %d", i, j)
		return d
	}
	Pairs(ix, 1, ix, 0, 9, never)
	Pairs(ix, 1, empty, 1, 9, never)
	Pairs(empty, 0, empty, 1, 9, never)
	Pairs(ix, 1, ix, 1, math.NaN(), never)
	Pairs(ix, 1, ix, 1, -1, never)
	if empty.Has(0) || ix.Has(0) || !ix.Has(1) {
		t.Error("Has is wrong about an empty layer or part")
	}
}

// TestMeet: contours of two islands that touch or cross, told apart from
// others of the same parts, and from one inside the other.
func TestMeet(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		low, high := scene(t), scene(t)
		by := r2.Vec{X: float64(rapid.IntRange(-8, 8).Draw(t, "dx")), Y: float64(rapid.IntRange(-8, 8).Draw(t, "dy"))}
		for i := range high {
			high[i] = high[i].moved(by)
		}
		a, b := New(layerOf(low)), New(layerOf(high))
		for i := range low {
			for j := range high {
				ring := func(d drawn) geom.Geometry { return lines([]drawn{d}, d.part) }
				d, _ := geom.Distance(ring(low[i]), ring(high[j]))
				if got := Meet(a, int32(i), b, int32(j)); got != (d == 0) && (d == 0 || d > 1e-12) {
					t.Errorf("islands %d and %d, contours %v apart: meet %v", i, j, d, got)
				}
			}
		}
	})
	inner := New(layerOf([]drawn{{0, [][]r2.Vec{shape.Rect(2, 2, 3, 3)}}}))
	outer := New(layerOf([]drawn{{0, [][]r2.Vec{shape.Rect(0, 0, 9, 9)}}}))
	if Meet(inner, 0, outer, 0) || Meet(outer, 0, inner, 0) {
		t.Error("an island well inside another meets its contour")
	}
}

// TestSegmentsOnAGrid judges all pairs of segments of a 4 by 4 grid of
// points: crossing, touching, overlapping along a line, points.
func TestSegmentsOnAGrid(t *testing.T) {
	at := func(k int) r2.Vec { return r2.Vec{X: float64(k % 4), Y: float64(k / 4)} }
	for i := range 16 * 16 {
		a0, a1 := at(i%16), at(i/16)
		if a0 == a1 {
			continue
		}
		for j := range 16 * 16 {
			b0, b1 := at(j%16), at(j/16)
			if b0 == b1 {
				continue
			}
			// No two lattice points lie so near a third's line that rounding
			// could tell them apart wrongly: meeting is decided by signs.
			o := func(p, q, r r2.Vec) float64 { return (q.X-p.X)*(r.Y-p.Y) - (q.Y-p.Y)*(r.X-p.X) }
			on := func(p, q, r r2.Vec) bool {
				return o(p, q, r) == 0 && min(p.X, q.X) <= r.X && r.X <= max(p.X, q.X) && min(p.Y, q.Y) <= r.Y && r.Y <= max(p.Y, q.Y)
			}
			meet := on(a0, a1, b0) || on(a0, a1, b1) || on(b0, b1, a0) || on(b0, b1, a1) ||
				o(a0, a1, b0)*o(a0, a1, b1) < 0 && o(b0, b1, a0)*o(b0, b1, a1) < 0
			d2 := segDist2(a0, a1, b0, b1)
			if meet != (d2 < 1e-30) {
				t.Fatalf("%v-%v and %v-%v: squared distance %v, meet %v", a0, a1, b0, b1, d2, meet)
			}
			p, q, d := Nearest(a0, a1, b0, b1)
			if math.Abs(d*d-d2) > 1e-12 || toLine(p, a0, a1) > 1e-12 || toLine(q, b0, b1) > 1e-12 || math.Abs(math.Hypot(p.X-q.X, p.Y-q.Y)-d) > 1e-12 {
				t.Fatalf("%v-%v and %v-%v: nearest %v and %v, distance %v, want %v", a0, a1, b0, b1, p, q, d, math.Sqrt(d2))
			}
		}
	}
}

// toLine is how far p lies off the segment from a to b: by how much the way
// through p is longer would lose half the digits, so across and along.
func toLine(p, a, b r2.Vec) float64 {
	l := math.Hypot(b.X-a.X, b.Y-a.Y)
	across := math.Abs((b.X-a.X)*(p.Y-a.Y)-(b.Y-a.Y)*(p.X-a.X)) / l
	along := ((b.X-a.X)*(p.X-a.X) + (b.Y-a.Y)*(p.Y-a.Y)) / l
	return max(across, -along, along-l)
}

func pinGrid(b *testing.B, triangles int) []*Index {
	m, err := mesh.Build(shape.PinGrid(10, 10, triangles, false), mesh.Placement{})
	if err != nil {
		b.Fatal(err)
	}
	p, err := slice.NewPlan(0.2, 0.2, m.Box.Max.Z)
	if err != nil {
		b.Fatal(err)
	}
	st := slice.Cut(m, p)
	all := make([]*Index, len(st.Layers))
	for i := range all {
		all[i] = New(&st.Layers[i])
	}
	return all
}

// BenchmarkPairs finds the side gap of one pin in its sleeve in every layer.
func BenchmarkPairs(b *testing.B) {
	for _, n := range []int{100_000, 1_000_000} {
		b.Run(fmt.Sprintf("triangles=%d", n), func(b *testing.B) {
			all := pinGrid(b, n)
			parts := all[0].PartsNear(r2.Box{Min: r2.Vec{X: -8, Y: -8}, Max: r2.Vec{X: 8, Y: 8}}, 0, nil)
			if len(parts) < 2 {
				b.Fatalf("parts %v", parts)
			}
			found, points := 0, 0
			for b.Loop() {
				found, points = 0, 0
				for _, ix := range all {
					for _, q := range parts {
						if q == parts[0] {
							continue
						}
						if d, _, _ := least(ix, parts[0], ix, q, 1); d < 1 {
							found++
						}
					}
					for _, c := range ix.Layer.Contours {
						if c.Part == parts[0] {
							points += int(c.End - c.Start)
						}
					}
				}
			}
			if found < len(all)-1 {
				b.Fatalf("%d gaps in %d layers", found, len(all))
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(points), "ns/point")
		})
	}
}

// BenchmarkNew indexes every layer.
func BenchmarkNew(b *testing.B) {
	for _, n := range []int{100_000, 1_000_000} {
		b.Run(fmt.Sprintf("triangles=%d", n), func(b *testing.B) {
			all := pinGrid(b, n)
			points := 0
			for _, ix := range all {
				points += len(ix.Layer.Pts)
			}
			b.ReportAllocs()
			for b.Loop() {
				for _, ix := range all {
					New(ix.Layer)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/float64(points), "ns/point")
		})
	}
}

// TestInOneLine: segments one behind the other in one line are as far apart
// as their nearer ends, in whatever direction the line runs.
func TestInOneLine(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		num := rapid.Float64Range(-100, 100)
		at := r2.Vec{X: num.Draw(t, "x"), Y: num.Draw(t, "y")}
		sin, cos := math.Sincos(rapid.Float64Range(0, 2*math.Pi).Draw(t, "direction"))
		place := func(s float64) r2.Vec { return r2.Vec{X: at.X + s*cos, Y: at.Y + s*sin} }
		length := rapid.Float64Range(1e-3, 50)
		l, gap, m := length.Draw(t, "length"), rapid.Float64Range(1e-3, 3).Draw(t, "gap"), length.Draw(t, "other")
		a0, a1, b0, b1 := place(0), place(l), place(l+gap), place(l+gap+m)
		for range 2 {
			p, q, d := Nearest(a0, a1, b0, b1)
			if math.Abs(d-gap) > 1e-9 || math.Abs(math.Sqrt(segDist2(a0, a1, b0, b1))-gap) > 1e-9 {
				t.Fatalf("%v apart (%v), want %v", d, math.Sqrt(segDist2(a0, a1, b0, b1)), gap)
			}
			if math.Abs(r2.Norm(r2.Sub(p, q))-d) > 1e-9 {
				t.Fatalf("nearest at %v and %v, %v apart", p, q, d)
			}
			a0, a1, b0, b1 = b1, b0, a0, a1
		}
	})
}
