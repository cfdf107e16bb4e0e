package shape

import (
	"fmt"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh"
)

// The pin grid's sizes in mm.
const (
	pinPitch = 15.0
	pinTall  = 30.0
)

// pinGridSeed fixes the order of a shuffled grid.
const pinGridSeed = 15

// PinGrid returns columns times rows pins in sleeves, a model of any size
// for benchmarks: each pin (radius 3) carries a collar of radius 5 from z 12
// to 18, in a cavity of radius 5.3 from z 11.6 to 18.4; the bore's radius is
// 3.3, the sleeve's 7.2, the pitch 15, all 30 tall. Side gaps are 0.3, roof
// gaps 0.4; sleeves stand 0.6 apart. Pin i, j stands at
// 15i, 15j. Pins and sleeves have the same number of segments, aligned, and
// are divided evenly, so that the grid has the wanted number of triangles
// within 5 %; it panics where that is too few for round pins. Shuffled mixes
// the triangles up, always in the same way.
func PinGrid(columns, rows, triangles int, shuffled bool) *mesh.Soup {
	pair := pinInSleeve(triangles / (columns * rows))
	got := len(pair.T) * columns * rows
	if math.Abs(float64(got-triangles)) > 0.05*float64(triangles) {
		panic(fmt.Sprintf("shape: %d triangles are too few for %d pins", triangles, columns*rows))
	}
	p := &mesh.Soup{Format: "stl binary", XYZ: make([]float32, 0, 9*got)}
	for j := range rows {
		for i := range columns {
			x, y := pinPitch*float64(i), pinPitch*float64(j)
			for _, t := range pair.T {
				for _, k := range t {
					v := pair.V[k]
					p.XYZ = append(p.XYZ, float32(v.X+x)+0, float32(v.Y+y)+0, float32(v.Z)+0)
				}
			}
		}
	}
	if shuffled {
		r := rand.New(rand.NewPCG(pinGridSeed, pinGridSeed))
		r.Shuffle(got, func(i, j int) {
			a, b := p.XYZ[9*i:9*i+9], p.XYZ[9*j:9*j+9]
			for k := range a {
				a[k], b[k] = b[k], a[k]
			}
		})
	}
	return p
}

// pinInSleeve returns one pin in its sleeve in about the wanted number of
// triangles.
func pinInSleeve(triangles int) Solid {
	pin := []r2.Vec{{}, {X: 3}, {X: 3, Y: 12}, {X: 5, Y: 12}, {X: 5, Y: 18}, {X: 3, Y: 18}, {X: 3, Y: pinTall}, {Y: pinTall}}
	sleeve := []r2.Vec{{X: 3.3}, {X: 7.2}, {X: 7.2, Y: pinTall}, {X: 3.3, Y: pinTall},
		{X: 3.3, Y: 18.4}, {X: 5.3, Y: 18.4}, {X: 5.3, Y: 11.6}, {X: 3.3, Y: 11.6}}
	// Undivided, a pair has 28 facets a segment: 36 segments make 1008. Ten
	// times the facets have 64, so that they are finer round and up.
	n := 2 * int(math.Round(min(18*math.Sqrt(math.Sqrt(float64(triangles)/1000)), float64(triangles)/56)))
	n = max(8, n)
	// Finer steps never make fewer facets.
	lo, hi := 1e-3, pinTall
	build := func(step float64) Solid {
		return Must(Lathe(Divide(pin, step), n, 0)).Append(Must(Lathe(Divide(sleeve, step), n, 0)))
	}
	count := func(step float64) int {
		rings := -2 * pieces(pin[7], pin[0], step)
		for _, profile := range [][]r2.Vec{pin, sleeve} {
			for i, p := range profile {
				rings += 2 * pieces(p, profile[(i+1)%len(profile)], step)
			}
		}
		return (rings - 2) * n // the two ends at the axis have half as many
	}
	for range 50 {
		if step := (lo + hi) / 2; count(step) > triangles {
			lo = step
		} else {
			hi = step
		}
	}
	if math.Abs(float64(count(lo)-triangles)) < math.Abs(float64(count(hi)-triangles)) {
		return build(lo)
	}
	return build(hi)
}
