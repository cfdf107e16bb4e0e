package gapscan

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/slice/sweep"
)

// anywherePlain asks of one place after another, and measures each.
func (w *worker) anywherePlain(part int32, t *sweep.Trapezoid, hangs bool) (r2.Vec, bool) {
	g := w.hangFrom(w.n)
	var look func(u0, u1, v0, v1 float64) (r2.Vec, bool)
	look = func(u0, u1, v0, v1 float64) (r2.Vec, bool) {
		c, r := t.At((u0+u1)/2, (v0+v1)/2), 0.0
		for _, q := range [4]r2.Vec{t.At(u0, v0), t.At(u0, v1), t.At(u1, v0), t.At(u1, v1)} {
			r = max(r, r2.Norm(r2.Sub(q, c)))
		}
		d, ok := w.index.At(w.n-1).ToContour(part, c, g+r)
		if !ok {
			d = g + r + hangStep
		}
		if (d > g) == hangs {
			return c, true
		}
		if hangs && d+r <= g || !hangs && d-r > g || r <= hangStep/2 {
			return r2.Vec{}, false
		}
		um, vm := (u0+u1)/2, (v0+v1)/2
		halves := [2][4]float64{{u0, u1, v0, vm}, {u0, u1, vm, v1}}
		if r2.Norm(r2.Sub(t.At(u1, vm), t.At(u0, vm))) > r2.Norm(r2.Sub(t.At(um, v1), t.At(um, v0))) {
			halves = [2][4]float64{{u0, um, v0, v1}, {um, u1, v0, v1}}
		}
		for _, h := range halves {
			if p, ok := look(h[0], h[1], h[2], h[3]); ok {
				return p, true
			}
		}
		return r2.Vec{}, false
	}
	return look(0, 1, 0, 1)
}

// TestAnywhereMissesNothing: the place that is found, or that there is none, is
// what asking of every place gives, to the last bit.
func TestAnywhereMissesNothing(t *testing.T) {
	var found, none [2]int // of what stands, of what hangs
	rapid.Check(t, func(t *rapid.T) {
		c := cutSolid(t, someModel(t), 0.2, 0.2, someMachine(t), Options{Reach: 0.9})
		w := newWorker(c.scanner)
		for n := 2; n <= c.stack.Plan.Layers; n++ {
			w.n = n
			for part := range int32(len(c.mesh.Parts)) {
				var sw sweep.Sweep
				for set, m := range []int{n, n - 1} {
					l := w.index.At(m).Layer
					for i := range contoursOf(l, part) {
						k := l.Contours[i]
						sw.Add(l.Pts[k.Start:k.End], set)
					}
				}
				sw.Run(func(wind []int32, tr *sweep.Trapezoid) bool {
					if wind[0] <= 0 || len(wind) > 1 && wind[1] > 0 {
						return false
					}
					for k, hangs := range []bool{false, true} {
						p, ok := w.anywhere(part, tr, hangs)
						if q, want := w.anywherePlain(part, tr, hangs); ok != want || p != q {
							t.Fatalf("layer %d, part %d, hangs %v: %v at %v, of all places %v at %v", n, part, hangs, ok, p, want, q)
						}
						if ok {
							found[k]++
						} else {
							none[k]++
						}
					}
					return false
				})
			}
		}
	})
	if found[0] == 0 || found[1] == 0 || none[0] == 0 || none[1] == 0 {
		t.Errorf("found %v, not found %v", found, none)
	}
}
