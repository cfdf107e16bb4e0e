package gapscan

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/mesh/shape"
)

// TestRoofsStopWithoutLoss: what a layer shows of its roofs is what following
// every region through all layers within reach shows.
func TestRoofsStopWithoutLoss(t *testing.T) {
	roofs, sags := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		s := someModel(t).Scale(4, 4, 4)
		mc := someMachine(t)
		switch rapid.IntRange(0, 2).Draw(t, "kind") {
		case 1:
			tenths := func(lo, hi int, name string) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, name)) / 10 }
			post := func(name string) [2]float64 {
				return [2]float64{tenths(1, 20, name+" aside"), tenths(1, 20, name+" below")}
			}
			s = mushroom(tenths(3, 20, "stalk"), tenths(1, 30, "wall"), post("left"), post("right"))
		case 2:
			s = bridgeOver(12, float64(rapid.IntRange(1, 12).Draw(t, "under the bridge"))/10)
			mc.Sag, mc.RoofSpanMM = [][2]float64{{2, 0}, {12, 0.3}}, 2
		}
		c := cutSolid(t, s, 0.2, 0.2, mc, Options{Reach: 2, Tight: rapid.Bool().Draw(t, "tight")})
		for n := 1; n <= c.stack.Plan.Layers; n++ {
			w, all := newWorker(c.scanner), newWorker(c.scanner)
			for _, w := range []*worker{w, all} {
				w.n = n
				for _, j := range w.active[n-1] {
					w.found = append(w.found, w.sideGap(j))
				}
			}
			w.roofsOf()
			all.followAll()
			for i := range all.found {
				got, want := &w.found[i], &all.found[i]
				a, b := got.roof, want.roof
				if b.found {
					roofs++
				}
				if b.sags && b.sagged < b.hangAir {
					sags++
				}
				// Over as much air as beside it no standing place is looked for.
				if a.stands != b.stands && b.least >= got.side && n > w.bottomLayers {
					a.stands, a.least = b.stands, b.least
				}
				if a != b {
					t.Fatalf("layer %d: %+v, of all layers %+v", n, a, b)
				}
				if got.best.margin != want.best.margin || math.Abs(got.roofWeld.mm2-want.roofWeld.mm2) > 1e-9 || len(got.tight) != len(want.tight) {
					t.Fatalf("layer %d: %+v, of all layers %+v", n, got, want)
				}
			}
		}
	})
	if roofs == 0 || sags == 0 {
		t.Errorf("%d roofs, %d that sag", roofs, sags)
	}
}

// mushroom is a cap on a stalk, its underside at 4 mm, over two posts that rise
// from a plate on either side of the stalk, each so far from the stalk and so
// far below the cap, mm, and beside a wall that
// far from it.
func mushroom(stalk, wall float64, left, right [2]float64) shape.Solid {
	post := func(x float64, p [2]float64) shape.Solid { return box(x, 1, 0.5, x+1, 3, 4-p[1]) }
	top := box(-stalk/2, 0, 1, stalk/2, 4, 4.5).Append(box(-5, 0, 4, 5, 4, 5))
	return top.Append(box(-5, 0, 0, 6+wall, 4, 0.6), box(5+wall, 0, 0.5, 6+wall, 4, 5), post(-stalk/2-left[0]-1, left), post(stalk/2+right[0], right))
}

// TestRoofsOfTwoPosts: the post that is found later may be the nearer one.
func TestRoofsOfTwoPosts(t *testing.T) {
	for turn := range 2 {
		s := mushroom(1, 0.2, [2]float64{0.1, 1.6}, [2]float64{0.1, 0.4}).Turn(0, 0, 180*float64(turn))
		r := scan(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.4))
		if air := r.Layers[20].RoofAirMM; air == nil || !near2(*air, 0.4, 1e-6) {
			t.Errorf("turned by %d: %v mm of air under the cap, want 0.4", 180*turn, air)
		}
		if d := r.Demands.RoofMM; d == nil || !near2(*d, 0.4, 1e-6) {
			t.Errorf("turned by %d: demands %v mm of air, want 0.4", 180*turn, d)
		}
	}
}

// followAll is roofsOf of all that the layer has outside the one below, through
// all layers within reach, but for those in which nothing has moved.
func (w *worker) followAll() {
	everywhere := r2.Box{Min: r2.Vec{X: -1000, Y: -1000}, Max: r2.Vec{X: 1000, Y: 1000}}
	for _, r := range w.hang.Layer(w.n, func(int32) []r2.Box { return []r2.Box{everywhere} }) {
		for _, rings := range clusters(r.Rings) {
			box, met := ringsBox(rings), w.n
			for m := w.n - 1; m >= 1 && w.roofMatters(m) && len(rings) > 0; m-- {
				if w.goesOn(m, met, box) {
					continue
				}
				met = m
				rings = (&under{w: w, s: w.stagger(w.n, m), part: r.Part, m: m}).meet(rings)
			}
		}
	}
}
