package smallpart

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// A body said to be wide is wider than the cylinder along every axis: seen
// along axes all over the sphere some two of its points lie farther apart.
func TestWideIsWide(t *testing.T) {
	rnd := rand.New(rand.NewPCG(2, 8))
	var yes, no int
	for i := range 300 {
		// Cubes, plates, balls and others, about as large as can be told.
		size := 30 + 5*rnd.Float64()
		var ps []r3.Vec
		switch i % 4 {
		case 0:
			ps = box(size, size*(1-0.3*rnd.Float64()), size*(1-0.3*rnd.Float64()))
		case 1:
			ps = disc(size, rnd.Float64(), 24)
		case 2:
			ps = ball(size, 12)
		case 3:
			for range 14 {
				v := r3.Unit(r3.Vec{X: rnd.NormFloat64(), Y: rnd.NormFloat64(), Z: rnd.NormFloat64()})
				ps = append(ps, r3.Scale(size/1.8, v), r3.Scale(-size/1.8, v))
			}
		}
		b := bodyOf(turned(ps, randomTurn(rnd)))
		b.makeShell()
		if !b.wide(0, budget) {
			no++
			continue
		}
		yes++
		for range 400 {
			m := randomTurn(rnd).matrix()
			var most float64
			for i, p := range b.all {
				for _, q := range b.all[:i] {
					d := m.mul(r3.Sub(p, q))
					most = max(most, math.Hypot(d.X, d.Y))
				}
			}
			if most <= 31.75 {
				t.Fatalf("said to be wide, but %v along %v: %v", most, m[2], b.all)
			}
		}
	}
	t.Logf("%d wide, %d not seen to be", yes, no)
	if yes < 50 || no < 50 {
		t.Errorf("one-sided bodies: %d wide, %d not seen to be", yes, no)
	}
}
