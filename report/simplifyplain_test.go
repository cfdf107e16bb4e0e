package report

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"
)

// straightPlainly is straight with the wedge reckoned at every point.
func straightPlainly(line []r2.Vec, from int, tol float64) int {
	var left, right r2.Vec
	farthest := 0.0
	for i := from + 1; i < len(line); i++ {
		v := r2.Sub(line[i], line[from])
		d2 := dot(v, v)
		if d2 <= tol*tol && farthest == 0 {
			continue
		}
		if d2 < farthest {
			return i - 1
		}
		l, r := tangents(v, d2, tol)
		if farthest > 0 {
			if cross(right, v) < 0 || cross(v, left) < 0 || dot(left, v) <= 0 {
				return i - 1
			}
			if cross(l, left) < 0 {
				l = left
			}
			if cross(right, r) < 0 {
				r = right
			}
		}
		left, right, farthest = l, r, d2
	}
	return len(line) - 1
}

// TestStraightAgainstPlain: on lines that turn by much, by about as much as is
// passed over, or hardly, and on some that go back.
func TestStraightAgainstPlain(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		tol := rapid.SampledFrom([]float64{1e-4, 4e-3, 0.1}).Draw(t, "tol")
		at, way := r2.Vec{X: rapid.SampledFrom([]float64{0, 100, -2000}).Draw(t, "x")}, 0.0
		line := []r2.Vec{at}
		for range rapid.IntRange(1, 30).Draw(t, "points") {
			step := rapid.SampledFrom([]float64{tol / 2, tol, 3 * tol, 0.3, 5}).Draw(t, "step")
			turn := rapid.SampledFrom([]float64{0, 0, tol / step, 1.000001 * tol / step, 0.1, math.Pi}).Draw(t, "turn")
			way += turn * rapid.SampledFrom([]float64{1, -1, 0.999999}).Draw(t, "sense")
			at = r2.Add(at, r2.Vec{X: step * math.Cos(way), Y: step * math.Sin(way)})
			line = append(line, at)
		}
		for from := range len(line) - 1 {
			if got, want := straight(line, from, tol), straightPlainly(line, from, tol); got != want {
				t.Fatalf("from point %d straight to %d, not to %d", from, got, want)
			}
		}
	})
}
