package slot

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh"
	"playgauge/mesh/shape"
)

type outlined struct {
	name  string
	outer []r2.Vec
	holes [][]r2.Vec
	need  float64
	count int     // slots in each layer
	width float64 // of each
}

func shapes() []outlined {
	// A ring from radius 9 to 11, cut through with a gap of even width.
	ring := func(gap float64) []r2.Vec {
		arc := func(r float64) []r2.Vec {
			half := math.Asin(gap/2/r) * 180 / math.Pi
			return shape.Arc(r2.Vec{}, r, half, 360-half, 72)
		}
		return append(arc(11), reversed(arc(9))...)
	}
	// A plate of 30 x 20 cut in from both sides in turn, 9 times.
	serpentine := poly(0, 0)
	for i := 1; i <= 9; i += 2 {
		x := 3 * float64(i)
		serpentine = append(serpentine, poly(x, 0, x, 16, x+0.3, 16, x+0.3, 0)...)
	}
	serpentine = append(serpentine, poly(30, 0, 30, 20)...)
	for i := 8; i >= 2; i -= 2 {
		x := 3 * float64(i)
		serpentine = append(serpentine, poly(x+0.3, 20, x+0.3, 4, x, 4, x, 20)...)
	}
	serpentine = append(serpentine, poly(0, 20)...)
	var cuts [][]r2.Vec // the same as closed cuts, staggered
	for row := range 6 {
		x := 3 + 4*float64(row)
		cuts = append(cuts, shape.Rect(x, 1+float64(row%2), x+0.3, 9), shape.Rect(x, 11, x+0.3, 18+float64(row%2)))
	}
	// Grooves 0.3 wide and 0.6 deep along an edge.
	letters := poly(0, 0, 20, 0, 20, 10)
	for x := 19.0; x > 1; x-- {
		letters = append(letters, poly(x, 10, x, 9.4, x-0.3, 9.4, x-0.3, 10)...)
	}
	letters = append(letters, poly(0, 10)...)
	// Half circles of radius 1 along an edge.
	scales := poly(0, 0, 20, 0)
	for x := 19.0; x > 0; x -= 2 {
		scales = append(scales, shape.Arc(r2.Vec{X: x, Y: 5}, 1, 0, 180, 24)...)
	}
	scales = noTwice(scales)
	keyhole := append(poly(0.15, 8, 0.15, math.Sqrt(9-0.15*0.15)), reversed(shape.Arc(r2.Vec{}, 3, 93, 447, 64))...)
	keyhole = append(poly(-0.15, math.Sqrt(9-0.15*0.15), -0.15, 8, -8, 8, -8, -8, 8, -8, 8, 8), keyhole...)
	// Two hooked legs 3 apart, their hooks 0.25.
	neck := poly(-5, 0, 5, 0, 5, 12, 0.125, 12, 0.125, 10, 1.5, 10, 1.5, 2, -1.5, 2, -1.5, 10, -0.125, 10, -0.125, 12, -5, 12)
	return []outlined{
		{"square", shape.Rect(0, 0, 20, 20), nil, 0.3, 0, 0},
		{"small square", shape.Rect(0, 0, 0.2, 20), nil, 0.3, 0, 0},
		{"L", poly(0, 0, 20, 0, 20, 5, 5, 5, 5, 20, 0, 20), nil, 0.3, 0, 0},
		{"star of 5", star(5, 15, 6), nil, 0.3, 0, 0},
		{"star of 20", star(20, 15, 6), nil, 0.3, 0, 0},
		{"letters", letters, nil, 0.4, 0, 0},
		{"scales", scales, nil, 0.5, 0, 0},
		{"tube", shape.Circle(r2.Vec{}, 10, 96, 0), [][]r2.Vec{shape.Circle(r2.Vec{}, 9.8, 96, 0)}, 0.3, 0, 0},
		{"pipe of 0.4 bore", shape.Circle(r2.Vec{}, 3, 32, 0), [][]r2.Vec{shape.Circle(r2.Vec{}, 0.2, 32, 0)}, 0.5, 0, 0},
		{"comb", comb(20, 1, 0.3, 10), nil, 0.31, 19, 0.3},
		{"comb of thin teeth", comb(20, 0.2, 0.25, 10), nil, 0.5, 19, 0.25},
		{"comb of met gaps", comb(20, 1, 0.3, 10), nil, 0.3, 0, 0},
		{"clip neck", neck, nil, 0.3, 1, 0.25},
		{"serpentine hinge", serpentine, nil, 0.4, 9, 0.3},
		{"hinge of closed cuts", shape.Rect(0, 0, 27, 20), cuts, 0.4, 12, 0.3},
		{"spiral", strip(spiral(3, 1.5, 4), 1.2), nil, 0.4, 1, 0.3},
		{"square spiral", strip(squareSpiral(1.5, 14), 1.2), nil, 0.4, 1, 0.3},
		{"keyhole", keyhole, nil, 0.4, 1, 0.3},
		{"ring nearly closed", ring(0.2), nil, 0.4, 1, 0.2},
		{"closed narrow hole", shape.Rect(-5, -5, 5, 5), [][]r2.Vec{shape.Rect(-4, -0.15, 4, 0.15)}, 0.4, 1, 0.3},
		{"cross of cuts", shape.Rect(-9, -9, 9, 9), [][]r2.Vec{poly(-6, -.15, -.15, -.15, -.15, -6, .15, -6, .15, -.15, 6, -.15, 6, .15, .15, .15, .15, 6, -.15, 6, -.15, .15, -6, .15)}, 0.4, 1, 0.3},
		{"T of cuts", shape.Rect(-9, -9, 9, 9), [][]r2.Vec{poly(-6, -.15, -.15, -.15, -.15, -6, .15, -6, .15, -.15, 6, -.15, 6, .15, -6, .15)}, 0.4, 1, 0.3},
		// At the bound of each rule: depth d of a notch w wide gives a way of
		// 2d + w at its mouth.
		{"width below", notched(0.298, 0.298, 10), nil, 0.3, 1, 0.298},
		{"width met", notched(0.299, 0.299, 10), nil, 0.3, 0, 0},
		{"way 4.9", notched(0.3, 0.3, 2.3), nil, 0.4, 0, 0},
		{"way 5.1", notched(0.3, 0.3, 2.4), nil, 0.4, 1, 0.3},
		{"9.9 widths", notched(0.8, 0.8, 3.56), nil, 1, 0, 0},
		{"10.1 widths", notched(0.8, 0.8, 3.64), nil, 1, 1, 0.8},
		// A floor 6 tan(a) wider than the mouth on either side tilts the
		// walls by a; the mouth is narrowest.
		{"tilt 29", notched(0.2, 0.2+12*math.Tan(29*math.Pi/180), 6), nil, 0.4, 1, 0.2},
		{"tilt 31", notched(0.2, 0.2+12*math.Tan(31*math.Pi/180), 6), nil, 0.4, 0, 0},
		// A V of half angle a is 2 sin(a) times as wide as its way is half
		// long: 5 sin(a) where its way is 5 mm.
		{"V of 2 degrees", poly(-15, -3, 15, -3, 15, 6, 6*math.Tan(2*math.Pi/180), 6, 0, 0, -6*math.Tan(2*math.Pi/180), 6, -15, 6), nil, 0.3, 1, 5 * math.Sin(2*math.Pi/180)},
		{"V of 5 degrees", poly(-15, -3, 15, -3, 15, 6, 6*math.Tan(5*math.Pi/180), 6, 0, 0, -6*math.Tan(5*math.Pi/180), 6, -15, 6), nil, 0.4, 0, 0},
		// As wide as a tenth of its way all along: 2 sin(6 degrees) > 0.2.
		{"V of 6 degrees", poly(-15, -3, 15, -3, 15, 9, 9*math.Tan(6*math.Pi/180), 9, 0, 0, -9*math.Tan(6*math.Pi/180), 9, -15, 9), nil, 2, 0, 0},
	}
}

func noTwice(p []r2.Vec) []r2.Vec {
	var out []r2.Vec
	for i, q := range p {
		if r2.Norm(r2.Sub(q, p[(i+1)%len(p)])) > 1e-9 {
			out = append(out, q)
		}
	}
	return out
}

func reversed(p []r2.Vec) []r2.Vec {
	var out []r2.Vec
	for i := len(p) - 1; i >= 0; i-- {
		out = append(out, p[i])
	}
	return out
}

// TestShapes extrudes outlines 6 mm up, lays them in several positions and
// expects the same slots in every layer.
func TestShapes(t *testing.T) {
	for _, s := range shapes() {
		t.Run(s.name, func(t *testing.T) {
			solid, err := shape.Extrude(s.outer, s.holes, 0, 6)
			if err != nil {
				t.Fatal(err)
			}
			for _, turn := range []float64{0, 17, 90, 123.4, -45} {
				st := stackOfSoup(t, solid.Soup(), mesh.Placement{TurnDeg: [3]float64{0, 0, turn}})
				slots := find(st, s.need)
				for k, w := range widths(st, slots) {
					if len(w) != s.count {
						t.Fatalf("turned by %v: layer %d has slots %v, want %d", turn, k+1, w, s.count)
					}
					for _, v := range w {
						// The polygons come from float32 coordinates.
						if math.Abs(v-s.width) > 2e-5 && s.name != "spiral" || math.Abs(v-s.width) > 0.02 {
							t.Errorf("turned by %v: layer %d has a slot of %v, want %v", turn, k+1, v, s.width)
						}
					}
				}
				checkSlots(t, slots)
			}
		})
	}
}

// TestAt: the place of an evenly wide gap is the middle of the stretch that
// counts. Upright chords count from 2.35 above the floor, where the way round
// is 5 mm, slanting ones from half of 0.3 tan(30 degrees) lower on one wall.
func TestAt(t *testing.T) {
	slots := find(layerOf(region{0, [][]r2.Vec{notched(0.3, 0.3, 5)}}), 0.4)
	y := (5 + 2.35 - 0.15*math.Tan(math.Pi/6)) / 2
	want := Slot{Layer: 1, Width: 0.3, Need: 0.4, At: r2.Vec{Y: y}, Ends: [2]r2.Vec{{X: 0.15, Y: y}, {X: -0.15, Y: y}}}
	if len(slots) != 1 {
		t.Fatalf("slots %v", slots)
	}
	got := slots[0]
	if got.Ends[0].X < 0 {
		got.Ends[0], got.Ends[1] = got.Ends[1], got.Ends[0]
	}
	if diff := cmp.Diff(want, got, cmpopts.EquateApprox(0, 1e-9)); diff != "" {
		t.Errorf("(-want +got)\n%s", diff)
	}
}

// checkSlots checks what holds for every slot.
func checkSlots(t *testing.T, slots []Slot) {
	t.Helper()
	for i, s := range slots {
		d := r2.Norm(r2.Sub(s.Ends[1], s.Ends[0]))
		if d < s.Width-1e-9 || d > s.Width+evenly+1e-9 {
			t.Errorf("slot %d: ends are %v apart, width %v", i, d, s.Width)
		}
		if mid := r2.Scale(0.5, r2.Add(s.Ends[0], s.Ends[1])); r2.Norm(r2.Sub(mid, s.At)) > 1e-9 {
			t.Errorf("slot %d: at %v, its ends' middle is %v", i, s.At, mid)
		}
		if !(s.Width < s.Need*MetShare) {
			t.Errorf("slot %d: %v wide, need %v", i, s.Width, s.Need)
		}
		if i > 0 {
			o := slots[i-1]
			if s.Part < o.Part || s.Part == o.Part && (s.Layer < o.Layer || s.Layer == o.Layer && s.At.X < o.At.X) {
				t.Errorf("slot %d is out of order", i)
			}
		}
	}
}
