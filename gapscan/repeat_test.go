package gapscan

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"
)

// TestWallsRepeat: where the walls of a layer are said to be those of the layer
// below, each place on a wall of the one has the same margin in the other by the
// plain search, be there ledges and decks nearby or not. What counts as upright
// may shift both walls by a fifth of a micron, which is 0.004 of a need of 0.1 mm.
func TestWallsRepeat(t *testing.T) {
	steady, byLedges := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		mc := someMachine(t)
		hundredths := func(lo, hi int, name string) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, name)) / 100 }
		s := someModel(t).Scale(2, 2, 2)
		if rapid.Bool().Draw(t, "deck") {
			s = deckByWall(hundredths(160, 320, "deck"), hundredths(5, 90, "beside"), hundredths(-120, 140, "wall"), hundredths(0, 120, "block"))
			mc.Sag, mc.RoofSpanMM = [][2]float64{{3, 0}, {12, hundredths(0, 150, "sag")}}, 3
		}
		c := cutSolid(t, s, 0.2, 0.2, mc, Options{})
		sc, _ := scanLayers(c.mesh, c.stack, c.machine, Options{}) // now it is known what sags
		w := sc.waller(rapid.SampledFrom([]float64{closeFrom, tightUpTo}).Draw(t, "up to"))
		for j := range sc.pairs {
			for n := 2; n <= c.stack.Plan.Layers; n++ {
				if !w.repeats(int32(j), n) {
					continue
				}
				// The same outline may have other points in either.
				pieces := 0
				for _, at := range [2][2]int{{n - 1, n}, {n, n - 1}} {
					var in []wallPiece
					w.walls(int32(j), at[0], func(p *wallPiece) { in = append(in, *p) })
					for _, p := range in {
						if want := w.plainMargin(p.own, p.other, at[1], p.Mid); math.Abs(p.margin-want) > 0.004 {
							t.Fatalf("part %d at %v, margin %v in layer %d: %v in layer %d", p.own, p.Mid, p.margin, at[0], want, at[1])
						}
					}
					pieces += len(in)
				}
				if pieces == 0 {
					continue
				}
				p := sc.pairs[j]
				if sc.slabs[p.a].any(slabSlopes, n-w.depth, n+w.depth) || sc.slabs[p.b].any(slabSlopes, n-w.depth, n+w.depth) {
					byLedges++
				} else {
					steady++
				}
			}
		}
	})
	if steady == 0 || byLedges == 0 {
		t.Errorf("%d layers repeat amid others, %d near ledges", steady, byLedges)
	}
}

// TestLeaningWallsNearLedges: what leans is measured anew there, since a joint
// whose walls come nearer all the way up may have been measured far below.
func TestLeaningWallsNearLedges(t *testing.T) {
	for _, lean := range []float64{0, 1e-6, 0.0009} {
		post := box(0, 0, 0, 4, 4, 10).Append(box(-2, 1, 8, 3, 3, 9)).Bend(func(v r3.Vec) r3.Vec { v.X += lean * v.Z; return v })
		l := cutSolid(t, post.Append(box(4.3, 0, 0, 8, 4, 10)), 0.2, 0.2, keeps(0.4, 0.4, 0.4), Options{})
		w := l.scanner.waller(closeFrom)
		for n := 38; n <= 39; n++ { // the ledge begins in layer 41
			if got, want := w.repeats(0, n), lean < endsTan; got != want {
				t.Errorf("lean %v: layer %d repeats: %v", lean, n, got)
			}
		}
	}
}
