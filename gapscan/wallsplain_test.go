package gapscan

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/mesh/shape"
	"playgauge/slice/near"
)

// plainMargin is pieceMargin, which asks the whole part for what is nearest, in
// every layer within depth.
func (w *waller) plainMargin(own, other int32, k int, p r2.Vec) float64 {
	best, far := w.most, 100.0
	if _, d, ok := w.index.At(k).NearestOn(other, p, far); ok {
		best = min(best, d/w.sideNeed(k))
	}
	v, sag := w.side, 0.0
	if w.hangsAt(k, own, p) {
		v, sag = w.roof, w.sagAt(k, own, p)
	}
	for m := k - 1; m >= max(1, k-w.depth); m-- {
		q, d, ok := w.index.At(m).NearestOn(other, p, far)
		if ok && !w.index.At(m).Inside(other, p) && w.clear(p, q, m+1, k-1, &w.spans) {
			best = min(best, w.stagger(k, m).lowered(sag).margin(d, v))
		}
	}
	for n := k + 1; n <= min(w.index.Len(), k+w.depth); n++ {
		q, d, ok := w.index.At(n).NearestOn(other, p, far)
		if !ok || w.index.At(n).Inside(other, p) || !w.clear(q, p, k+1, n-1, &w.spans) {
			continue
		}
		v, s := w.side, w.stagger(n, k)
		if w.hangsAt(n, other, q) {
			v, s = w.roof, s.lowered(w.sagAt(n, other, q))
		}
		best = min(best, s.margin(d, v))
	}
	return best
}

// deckByWall is a deck on two posts, with a low block from the one to the middle,
// and a wall beside it, all mm: how high the deck begins, the wall's distance from
// it, and how far below it the wall and the block end.
func deckByWall(deck, beside, wall, block float64) shape.Solid {
	s := box(-8, 0, 0, -6, 3, deck+1).Append(box(6, 0, 0, 8, 3, deck+1), box(-7, 0, deck, 7, 3, deck+1), box(1, 2, 0, 7, 3, deck-block))
	return s.Append(box(-1, 3+beside, 0, 2, 5, deck-wall))
}

// TestWallsAgainstPlain: the pieces of walls that are found, and their margins,
// are those of the plain search, also where what hangs over them sags.
func TestWallsAgainstPlain(t *testing.T) {
	pieces, sagging := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		mc := someMachine(t)
		hundredths := func(lo, hi int, name string) float64 { return float64(rapid.IntRange(lo, hi).Draw(t, name)) / 100 }
		s := someModel(t).Scale(2, 2, 2)
		if rapid.Bool().Draw(t, "deck") {
			s = deckByWall(hundredths(160, 320, "deck"), hundredths(5, 30, "beside"), hundredths(20, 140, "wall"), hundredths(0, 120, "block"))
			mc.Sag, mc.RoofSpanMM = [][2]float64{{3, 0}, {12, hundredths(0, 150, "sag")}}, 3
		}
		c := cutSolid(t, s, 0.2, 0.2, mc, Options{})
		sc, _ := scanLayers(c.mesh, c.stack, c.machine, Options{}) // now it is known what sags
		w := sc.waller(closeFrom)
		all := r2.Box{Min: r2.Vec{X: -99, Y: -99}, Max: r2.Vec{X: 99, Y: 99}}
		type at struct {
			own int32
			mid r2.Vec
		}
		for j, p := range sc.pairs {
			for k := 1; k <= c.stack.Plan.Layers; k++ {
				got := map[at]float64{}
				w.walls(int32(j), k, func(p *wallPiece) { got[at{p.own, p.Mid}] = p.margin })
				for _, side := range [2][2]int32{{p.a, p.b}, {p.b, p.a}} {
					own, other := side[0], side[1]
					sc.index.At(k).Runs(own, all, func(r *near.Run) {
						r.Stretches(weldStep, func(s *near.Stretch) {
							want := w.plainMargin(own, other, k, s.Mid)
							m, ok := got[at{own, s.Mid}]
							if ok != (want < w.most) || ok && m != want {
								t.Fatalf("layer %d, part %d at %v: %v, %v; want %v", k, own, s.Mid, m, ok, want)
							}
							if ok {
								pieces++
								if sc.sags(min(k+2, c.stack.Plan.Layers), other) {
									sagging++
								}
							}
						})
					})
				}
			}
		}
	})
	if pieces == 0 || sagging == 0 {
		t.Errorf("%d pieces, %d under what sags", pieces, sagging)
	}
}
