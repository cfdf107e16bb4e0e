package near

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// TestAround: for every stretch of every run, what is nearest is that of the
// whole part, to the last bit, also where several are equally near.
func TestAround(t *testing.T) {
	found := 0
	rapid.Check(t, func(t *rapid.T) {
		draw := rapid.SampledFrom([]func(*rapid.T) []drawn{scene, rectangles}).Draw(t, "kind")
		own, other := New(layerOf(draw(t))), New(layerOf(draw(t)))
		within := rapid.SampledFrom([]float64{0, 0.4, 2, 20}).Draw(t, "within")
		limit := within * rapid.SampledFrom([]float64{1, 0.7}).Draw(t, "limit")
		length := rapid.SampledFrom([]float64{0.1, 0.5, 3}).Draw(t, "length")
		all := r2.Box{Min: r2.Vec{X: -99, Y: -99}, Max: r2.Vec{X: 99, Y: 99}}
		var ar Around
		for a := range int32(4) {
			for b := range int32(4) {
				own.Runs(a, all, func(r *Run) {
					near := ar.Set(other, b, r, within)
					r.Stretches(length, func(s *Stretch) {
						q, d, ok := other.NearestOn(b, s.Mid, limit)
						if !near {
							if ok {
								t.Fatalf("parts %d and %d: nothing near the run of %v, but %v", a, b, s.Mid, q)
							}
							return
						}
						if gd, gok := ar.Distance(s.Mid, limit); gok != ok || ok && gd != d {
							t.Fatalf("parts %d and %d, %v: %v away, %v; want %v, %v", a, b, s.Mid, gd, gok, d, ok)
						}
						if gq, gd, gok := ar.NearestOn(s.Mid, limit); gok != ok || ok && (gd != d || gq != q) {
							t.Fatalf("parts %d and %d, %v: %v, %v away, %v; want %v, %v, %v", a, b, s.Mid, gq, gd, gok, q, d, ok)
						}
						if ok {
							found++
						}
					})
				})
			}
		}
	})
	if found < 300 {
		t.Errorf("only %d stretches near something", found)
	}
}

// TestThreeTied: of three pieces of contour that are equally near, two share the
// nearest point: there are two such points all the same, whichever comes first.
func TestThreeTied(t *testing.T) {
	// The corner at (1, 0) is where the first block begins and the last ends.
	right := []r2.Vec{{X: 1}}
	for i := range 9 {
		right = append(right, r2.Vec{X: 3 + 0.1*float64(i*(8-i)), Y: -2 + 0.5*float64(i)})
	}
	left := make([]r2.Vec, len(right))
	for i, p := range right {
		left[i] = r2.Scale(-1, p)
	}
	for _, rings := range [][2][]r2.Vec{{left, right}, {right, left}} {
		ix := New(layerOf([]drawn{{part: 1, rings: rings[:1]}, {part: 1, rings: rings[1:]}}))
		var ar Around
		New(layerOf([]drawn{{part: 0, rings: [][]r2.Vec{{{}, {X: 0.1, Y: 0.1}, {X: -0.1, Y: 0.1}}}}})).Runs(0, r2.Box{Max: r2.Vec{X: 1, Y: 1}}, func(r *Run) { ar.Set(ix, 1, r, 3) })
		if len(ar.blocks) != 4 {
			t.Fatalf("%d blocks", len(ar.blocks))
		}
		for first := range ar.blocks {
			ar.last = first
			if d2, _, tied := ar.nearest(r2.Vec{}, 3); d2 != 1 || !tied {
				t.Errorf("from block %d on: %v away, several: %v", first, math.Sqrt(d2), tied)
			}
		}
	}
}
