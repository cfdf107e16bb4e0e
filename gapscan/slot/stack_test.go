package slot

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
	"playgauge/slice"
)

// upright is a body of one section in x and z, between two values of y.
func upright(y0, y1 float64, xz ...float64) shape.Solid {
	return shape.Must(shape.Extrude(poly(xz...), nil, -y1, -y0)).Turn(90, 0, 0)
}

// TestWayThroughStack: gaps whose walls are joined above or below, and the
// layers, 0.2 high and cut at 0.1, 0.3 ..., in which they are slots.
func TestWayThroughStack(t *testing.T) {
	// legs is two legs with a gap of 0.3 between them, 8 wide, that stand to
	// a height and are joined from there on, for 3 mm.
	legs := func(tall float64) shape.Solid {
		return upright(0, 8, 0, 0, 4, 0, 4, tall, 4.3, tall, 4.3, 0, 8.3, 0, 8.3, tall+3, 0, tall+3)
	}
	// pocket is a groove in the upper face of a plate of 4 mm.
	pocket := func(deep float64) shape.Solid {
		return upright(0, 20, 0, 0, 10, 0, 10, 4, 5.3, 4, 5.3, 4-deep, 5, 4-deep, 5, 4, 0, 4)
	}
	closed := func(deep float64) shape.Solid { // the same, not open at its ends
		plate, cut := shape.Rect(0, 0, 10, 20), [][]r2.Vec{shape.Rect(5, 5, 5.3, 15)}
		// One solid of a plate and a plate with a hole upon it, sunk in by
		// 0.05 so that they are one part.
		return box(0, 0, 0, 10, 20, 4-deep).Append(shape.Must(shape.Extrude(plate, cut, 3.95-deep, 4)))
	}
	plate := box(0, 0, 0, 20, 10, 1)
	letters := func(tall float64) shape.Solid {
		return plate.Append(box(2, 2, 0.95, 4, 8, 1+tall), box(4.3, 2, 0.95, 7, 8, 1+tall))
	}
	bar := func(z0 float64) shape.Solid { // two rails, joined at one end by a bar
		return box(0, 0, 0, 2, 30, 10).Append(box(2.3, 0, 0, 5, 30, 10), box(0.5, -2, z0, 4.5, 1, 10))
	}
	for _, c := range []struct {
		name        string
		solid       shape.Solid
		first, last int // layers with one slot, 1 to 0 for none
	}{
		// The first joined layer is cut at 20.1: a way of 2*2.4 + 0.3 from
		// the cut at 17.7, layer 89, and of 2*2.2 + 0.3 from the next.
		{"legs joined at 20", legs(20), 1, 89},
		{"legs joined at 2", legs(2), 1, 0},
		// First joined in the cut at 2.7: 2*2.6 + 0.3 from that at 0.1, 2*2.4
		// + 0.3 from that at 0.3, 2*2.2 + 0.3 from the next.
		{"legs joined at 2.6", legs(2.6), 1, 2},
		{"groove of 0.6", pocket(0.6), 1, 0},
		// The floor's cut is at 0.9: 2*2.4 + 0.3 from the cut at 3.3.
		{"groove of 3", pocket(3), 17, 20},
		{"closed groove of 0.6", closed(0.6), 1, 0},
		{"closed groove of 3", closed(3), 17, 20},
		{"letters of 0.4", letters(0.4), 1, 0},
		// The plate is last cut at 0.9: 2*2.4 + 0.3 from the cut at 3.3.
		{"letters of 2.2", letters(2.2), 1, 0},
		{"letters of 4", letters(4), 17, 25},
		// Joined by the bar from z0 on: from there the gap ends at y = 1 in
		// one contour, and below it is as good as that.
		{"rails, bar from 0", bar(0), 1, 50},
		{"rails, bar from 0.6", bar(0.6), 1, 50},
	} {
		t.Run(c.name, func(t *testing.T) {
			st := stackOf(t, c.solid)
			if st.Parts != 1 {
				t.Fatalf("%d parts", st.Parts)
			}
			slots := find(st, 0.4)
			checkSlots(t, slots)
			for k, w := range widths(st, slots) {
				want := []float64(nil)
				if k+1 >= c.first && k+1 <= c.last {
					want = []float64{0.3}
				}
				if !slices.EqualFunc(w, want, func(a, b float64) bool { return math.Abs(a-b) < 1e-5 }) {
					t.Errorf("layer %d, cut at %.1f: slots %v, want %v", k+1, st.Layers[k].Z, w, want)
				}
			}
		})
	}
}

// TestWayByContourBelow: two blocks, 0.3 apart from layer 2 on, joined in
// layer 1 at the far end of the gap between them. From the middle of the gap,
// where the way is looked up, it leads down to layer 1, along the gap to 0.4
// before the blocks' ends, across and back again: in layer n 0.4 (n-1) + 2
// (long/2 - 0.4) + 0.3, at least 5 from layer 10 on for blocks of 2, from
// layer 8 on for blocks of 3. Blocks of 8 are looked up at 2 and 6.
func TestWayByContourBelow(t *testing.T) {
	for long, first := range map[float64]int{2: 10, 3: 8, 8: 2} {
		joined := layerOf(region{0, [][]r2.Vec{poly(0, 0, 2, 0, 2, long-0.4, 2.3, long-0.4, 2.3, 0, 4.5, 0, 4.5, long, 0, long)}})
		apart := layerOf(region{0, [][]r2.Vec{shape.Rect(0, 0, 2, long)}}, region{0, [][]r2.Vec{shape.Rect(2.3, 0, 4.5, long)}})
		st := stacked(16, func(k int) *slice.Stack {
			if k == 0 {
				return joined
			}
			return apart
		})
		for k, w := range widths(st, find(st, 0.4))[1:] {
			if layer := k + 2; (len(w) > 0) != (layer >= first) {
				t.Errorf("blocks of %v: layer %d has slots %v, want some from layer %d on", long, layer, w, first)
			}
		}
	}
}

// TestRibBelow: a rib of the part that ends below a gap, without touching its
// walls, joins nothing.
func TestRibBelow(t *testing.T) {
	walls := []region{{0, [][]r2.Vec{shape.Rect(0, 0, 2, 8)}}, {0, [][]r2.Vec{shape.Rect(2.3, 0, 4.5, 8)}}}
	open := layerOf(walls...)
	for _, c := range []struct {
		x0, x1 float64
		count  int
	}{{2.1, 2.2, 1}, {1.9, 2.4, 0}} {
		below := layerOf(region{0, [][]r2.Vec{shape.Rect(c.x0, -1, c.x1, 9)}})
		if c.count > 0 {
			below = layerOf(append(walls[:2:2], region{0, [][]r2.Vec{shape.Rect(c.x0, -1, c.x1, 9)}})...)
		}
		st := stacked(2, func(k int) *slice.Stack { return []*slice.Stack{below, open}[k] })
		if w := widths(st, find(st, 0.4)); len(w[1]) != c.count {
			t.Errorf("rib from %v to %v: slots %v above, want %d", c.x0, c.x1, w[1], c.count)
		}
	}
}

// TestTapered: a gap that opens downward beyond the need, and is joined there
// soon enough to be no slot.
func TestTapered(t *testing.T) {
	for _, c := range []struct {
		floor float64
		slots bool
	}{{2, true}, {8, false}} {
		// 0.2 wide at z = 10, 0.8 at its floor.
		s := upright(0, 8, 0, 0, 8, 0, 8, 10, 4.1, 10, 4.4, c.floor, 3.6, c.floor, 3.9, 10, 0, 10)
		st := stackOf(t, s)
		slots := find(st, 0.3)
		if got := len(slots) > 0; got != c.slots {
			t.Errorf("floor at %v: %d slots", c.floor, len(slots))
		}
		for _, s := range slots {
			if z := st.Layers[s.Layer-1].Z; 2*(z-c.floor)+1 < MinWay {
				t.Errorf("floor at %v: a slot at %v", c.floor, z)
			}
		}
	}
}

// TestLegsInMidAir: two legs that hang down to just above a plate of their own
// part are not joined by it, two that stand on it are.
func TestLegsInMidAir(t *testing.T) {
	legs := func(foot float64) shape.Solid {
		return upright(0, 8, 0, 0, 20, 0, 20, 30, 4, 30, 4, foot, 8, foot, 8, 27, 8.3, 27, 8.3, foot, 12, foot, 12, 28, 17, 28, 17, 1, 0, 1)
	}
	hanging := legs(1.401)
	standing := hanging.Append(box(3, 0, 0.5, 13, 8, 1.5))
	// Layer 10 is cut at 1.9, 0.5 above the feet; the way over the plate
	// would be 2 or less.
	for name, c := range map[string]struct {
		s    shape.Solid
		want int
	}{"hanging": {hanging, 1}, "standing": {standing, 0}} {
		st := stackOf(t, c.s)
		if w := widths(st, find(st, 0.35)); len(w[9]) != c.want {
			t.Errorf("%s: layer 10 has slots %v, want %d", name, w[9], c.want)
		}
	}
}

// TestNoWayThroughAir: what lies below beside a wall, across air or another
// leg, does not carry it.
func TestNoWayThroughAir(t *testing.T) {
	legs := layerOf(region{0, [][]r2.Vec{shape.Rect(0, 0, 1, 8)}}, region{0, [][]r2.Vec{shape.Rect(1.3, 0, 2.3, 8)}})
	below := layerOf(region{0, [][]r2.Vec{shape.Rect(2.9, 0, 3.9, 8)}})
	st := stacked(2, func(k int) *slice.Stack { return []*slice.Stack{below, legs}[k] })
	if w := widths(st, find(st, 0.4)); len(w[1]) != 1 {
		t.Errorf("slots %v between the legs, want 1", w[1])
	}
}

// TestPartialFloor: a long slot with a floor under half of it.
func TestPartialFloor(t *testing.T) {
	s := box(0, 0, 0, 5, 40, 2).Append(box(5.3, 0, 0, 10, 40, 2), box(1, 0, 0, 9, 3, 2), box(1, 18, 0, 9, 40, 1))
	st := stackOf(t, s)
	slots := find(st, 0.4)
	n := map[int]int{}
	for _, s := range slots {
		n[s.Layer]++
		if s.At.Y < 3 || s.At.Y > 18.1 {
			t.Errorf("a slot at %v in layer %d, above the floor", s.At, s.Layer)
		}
	}
	for layer := 1; layer <= 10; layer++ {
		if n[layer] != 1 {
			t.Errorf("layer %d has %d slots, want 1", layer, n[layer])
		}
	}
}
