package coupon

import (
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/bvh"
	"playgauge/mesh/shape"
)

func tree(s shape.Solid) *bvh.Tree {
	facets := make([]int32, len(s.T))
	for i := range facets {
		facets[i] = int32(i)
	}
	return bvh.New(s.V, s.T, facets)
}

// Every piece has room to move as the sheet says, and roof sliders and level
// pins cannot leave their cells.
func TestPiecesMove(t *testing.T) {
	opt, err := Options{Ladders: Ladders{Side: []float64{0.1}, Bottom: []float64{0.1, 1}, Level: []float64{0.3, 0.7}}}.withDefaults()
	if err != nil {
		t.Fatal(err)
	}
	d := newDrawing(opt)
	for _, pair := range d.pairs() {
		for _, k := range pair {
			b, err := k.draw(k)
			if err != nil {
				t.Fatal(err)
			}
			if len(b.loose) == 0 {
				continue
			}
			// The plate round the window holds the piece too.
			big := shape.Rect(-30, -30, 30, 30)
			sheet := shape.Must(shape.Extrude(big, [][]r2.Vec{rect(b.window)}, 0, d.plate))
			still := tree(sheet.Append(b.fixed...))
			piece := shape.Solid{}.Append(b.loose...)
			meets := func(s shape.Solid) bool {
				pair, ok := bvh.Nearest(still, tree(s), 0.01)
				return ok && pair.Dist == 0
			}
			fail := func(what string) { t.Errorf("%s %s %g: %s", k.Family, k.Axis, k.GapMM, what) }
			if meets(piece) {
				fail("meets its frame")
			}
			for _, s := range []float64{-1, -0.5, 0.5, 1} {
				var moved shape.Solid
				switch {
				case k.Axis == Round:
					moved = piece.Turn(0, 0, 45*s)
				case k.Family == Slope:
					high := axleHigh(k.GapMM)
					moved = piece.Move(0, 0, -high).Turn(45*s, 0, 0).Move(0, 0, high)
				case k.Axis == AlongX:
					moved = piece.Move(0.9*s, 0, 0)
				default:
					moved = piece.Move(0, 0.9*s, 0)
				}
				if meets(moved) {
					fail("cannot move")
				}
			}
			if k.Family == Roof || k.Family == Slope && k.Axis != Round {
				for _, m := range [][3]float64{{1, 0, 0}, {-1, 0, 0}, {0, 1, 0}, {0, -1, 0}, {0, 0, 1}} {
					held := false
					for s := 0.25; s <= 12 && !held; s += 0.25 {
						held = meets(piece.Move(s*m[0], s*m[1], s*m[2]))
					}
					if !held {
						fail("can be taken out")
					}
				}
			}
		}
	}
}
