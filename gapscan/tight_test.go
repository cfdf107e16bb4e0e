package gapscan

import (
	"math"
	"reflect"
	"slices"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"pgregory.net/rapid"

	"playgauge/mesh/shape"
	"playgauge/slice/near"
)

func lineLength(pts []r2.Vec) (l float64) {
	for i := 1; i < len(pts); i++ {
		l += r2.Norm(r2.Sub(pts[i], pts[i-1]))
	}
	return l
}

// Two blocks 0.3 mm apart where 0.4 is needed: the walls that face each other
// are short, 5 mm each, and so is each end wall up to 0.398 mm from the other
// block; from there to 0.4975 mm it is close.
func TestTightWallsOfTwoBlocks(t *testing.T) {
	block := shape.Box(r3.Vec{}, r3.Vec{X: 4, Y: 5, Z: 1})
	s := block.Append(block.Move(4.3, 0, 0))
	r := cutSolid(t, s, 0.2, 0.2, keeps(0.4, 0.4, 0.4), Options{Tight: true}).result()
	if len(r.Tight) != len(r.Layers) {
		t.Fatalf("tight places of %d layers, want %d", len(r.Tight), len(r.Layers))
	}
	for i, tight := range r.Tight {
		if len(tight.Roofs) != 0 {
			t.Errorf("layer %d: %d roofs", i+1, len(tight.Roofs))
		}
		length := map[Outcome]float64{}
		for _, w := range tight.Walls {
			length[w.Outcome] += lineLength(w.Line)
			if w.Part+w.Other != 3 || w.Outcome == Sticks && math.Abs(w.Margin-0.75) > 1e-6 {
				t.Errorf("layer %d: parts %d and %d, margin %v", i+1, w.Part, w.Other, w.Margin)
			}
			for _, p := range w.Line {
				if p.X < 4-0.3 || p.X > 4.3+0.3 {
					t.Errorf("layer %d: %v is far from the gap", i+1, p)
				}
			}
		}
		// Each of the eight ends of a run is off by up to a piece.
		if want := 2 * (5 + 2*0.098); math.Abs(length[Sticks]-want) > 4*weldStep {
			t.Errorf("layer %d: %.3f mm are short, want %.3f", i+1, length[Sticks], want)
		}
		if want := 4 * (0.4975 - 0.398); math.Abs(length[Close]-want) > 4*weldStep {
			t.Errorf("layer %d: %.3f mm are close, want %.3f", i+1, length[Close], want)
		}
	}
}

// A plate 0.4 mm over another: the hanging layer's place over the other part
// is the overlap in plan, 6 by 5 mm, with two layers of air less the beads'.
func TestTightRoofOverAPlate(t *testing.T) {
	low := shape.Box(r3.Vec{}, r3.Vec{X: 10, Y: 5, Z: 1})
	post := shape.Box(r3.Vec{X: 12}, r3.Vec{X: 14, Y: 5, Z: 2.4})
	arm := shape.Box(r3.Vec{X: 4, Z: 1.4}, r3.Vec{X: 14, Y: 5, Z: 2.4})
	r := cutSolid(t, low.Append(post).Append(arm), 0.2, 0.2, keeps(0.4, 0.5, 0.4), Options{Tight: true}).result()
	found := 0
	for i, tight := range r.Tight {
		for _, roof := range tight.Roofs {
			found++
			area := 0.0
			for _, ring := range roof.Rings {
				for k, p := range ring {
					q := ring[(k+1)%len(ring)]
					area += (p.X*q.Y - q.X*p.Y) / 2
				}
			}
			if i+1 != 8 || roof.OverLayer != 5 || roof.Outcome != Sticks || math.Abs(roof.Margin-0.4/0.5) > 1e-6 || math.Abs(area-30) > 0.05 {
				t.Errorf("layer %d over layer %d: %s, margin %v, %.3f mm2", i+1, roof.OverLayer, roof.Outcome, roof.Margin, area)
			}
		}
	}
	if found != 1 {
		t.Errorf("%d roofs, want 1", found)
	}
}

// An arm that begins one layer above a plate, beside it: the plate's wall is
// tight in its own last layer, which by itself is free.
func TestTightWallBelow(t *testing.T) {
	low := shape.Box(r3.Vec{}, r3.Vec{X: 10, Y: 5, Z: 1})
	post := shape.Box(r3.Vec{X: 16}, r3.Vec{X: 18, Y: 5, Z: 2})
	arm := shape.Box(r3.Vec{X: 10.1, Z: 1}, r3.Vec{X: 18, Y: 5, Z: 2})
	r := cutSolid(t, low.Append(post).Append(arm), 0.2, 0.2, keeps(0.4, 0.4, 0.4), Options{Tight: true}).result()
	if l := r.Layers[5]; l.Margin == nil || *l.Cause != CauseSlope || *l.EndsLayers != [2]int{6, 5} {
		t.Fatalf("layer 6 is %+v, meant to lean on layer 5", l)
	}
	long := 0.0
	for _, w := range r.Tight[4].Walls {
		if w.Outcome == Sticks && w.Line[0].X <= 10 {
			long += lineLength(w.Line)
		}
	}
	if long < 5-2*weldStep {
		t.Errorf("%.3f mm of the plate's wall are short, want the 5 mm that face the arm", long)
	}
}

// In every layer that is not free a tight place shows the layer's margin, to
// the nearest piece of contour; and none in the model shows less than the
// model's least margin.
func TestTightPlacesShowTheMargin(t *testing.T) {
	shown := 0
	for name, s := range models() {
		r := cutSolid(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.4), Options{Tight: true}).result()
		least, leastShown := math.Inf(1), math.Inf(1)
		for i := range r.Layers {
			here := math.Inf(1)
			for _, w := range r.Tight[i].Walls {
				here = min(here, w.Margin)
			}
			for _, roof := range r.Tight[i].Roofs {
				here = min(here, roof.Margin)
			}
			leastShown = min(leastShown, here)
			l := &r.Layers[i]
			if l.Margin == nil {
				continue
			}
			least = min(least, *l.Margin)
			if *l.Outcome == Free {
				continue
			}
			shown++
			if here > *l.Margin+0.15 {
				t.Errorf("%s, layer %d: margin %v, but the tightest place shows %v", name, i+1, *l.Margin, here)
			}
		}
		if leastShown < least-1e-6 {
			t.Errorf("%s: a place shows a margin of %v, the least is %v", name, leastShown, least)
		}
	}
	if shown < 20 {
		t.Errorf("only %d layers were not free", shown)
	}
}

// Without being asked for, nothing is gathered; asking changes nothing else.
func TestTightIsOnlyOnRequest(t *testing.T) {
	for name, s := range models() {
		with := cutSolid(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.4), Options{Tight: true}).result()
		without := cutSolid(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.4), Options{}).result()
		if without.Tight != nil {
			t.Errorf("%s: tight places nobody asked for", name)
		}
		with.Tight = nil
		if !reflect.DeepEqual(with, without) {
			t.Errorf("%s: asking for tight places changes the answer", name)
		}
	}
}

// A closed line is cut where the outcome changes, and only there.
func TestTightRuns(t *testing.T) {
	m := shape.Box(r3.Vec{}, r3.Vec{X: 4, Y: 4, Z: 0.2})
	ix := cutSolid(t, m, 0.2, 0.2, keeps(0.4, 0.4, 0.4), Options{}).scanner.index.At(1)
	all := r2.Box{Min: r2.Vec{X: -9, Y: -9}, Max: r2.Vec{X: 9, Y: 9}}
	for _, c := range []struct {
		name   string
		margin func(r2.Vec) float64
		want   []float64 // lengths
	}{
		{"free", func(r2.Vec) float64 { return 2 }, nil},
		{"all round", func(r2.Vec) float64 { return 0.5 }, []float64{16}},
		{"left half", func(p r2.Vec) float64 { return 0.5 + math.Round(p.X/4) }, []float64{8}},
		{"round a corner", func(p r2.Vec) float64 {
			if p.X < 1 && p.Y < 1 {
				return 1.1
			}
			return 2
		}, []float64{2}},
		{"round another", func(p r2.Vec) float64 {
			if p.X > 3 && p.Y > 3 {
				return 1.1
			}
			return 2
		}, []float64{2}},
		{"two sides", func(p r2.Vec) float64 {
			if p.X == 0 || p.X == 4 {
				return 0.1
			}
			return 2
		}, []float64{4, 4}},
		{"one side closer", func(p r2.Vec) float64 {
			if p.X == 0 {
				return 0.1
			}
			return 1.1
		}, []float64{4, 12}},
	} {
		var runs tightRuns
		ix.Runs(0, all, func(r *near.Run) {
			r.Stretches(weldStep, func(s *near.Stretch) {
				if m := c.margin(s.Mid); m < tightUpTo {
					runs.add(&wallPiece{Stretch: *s, margin: m})
				}
			})
		})
		var got []float64
		for _, r := range runs.close() {
			got = append(got, lineLength(ix.Line(&r.from.Stretch, &r.to.Stretch)))
		}
		slices.Sort(got)
		if !slices.EqualFunc(got, c.want, func(a, b float64) bool { return near2(a, b, 1e-9) }) {
			t.Errorf("%s: %v, want %v", c.name, got, c.want)
		}
	}
}

// TestTightRoofsOfRandomSolids: where a roof makes a layer's margin, be it one
// that hangs, sags or stands, a tight roof shows just that.
func TestTightRoofsOfRandomSolids(t *testing.T) {
	var hanging, sagging, standing int
	rapid.Check(t, func(t *rapid.T) {
		mc := someMachine(t)
		s := someModel(t).Scale(2, 2, 2)
		if rapid.Bool().Draw(t, "bridge") {
			s = bridgeOver(12, float64(rapid.IntRange(1, 12).Draw(t, "under it"))/10)
			mc.Sag, mc.RoofSpanMM = [][2]float64{{2, 0}, {12, 0.3}}, 2
		}
		c := cutSolid(t, s, 0.2, 0.2, mc, Options{})
		sc, layers := scanLayers(c.mesh, c.stack, c.machine, Options{Tight: true})
		for i, l := range layers {
			for k := range l.joints {
				f := &l.joints[k]
				if f.best.cause != CauseRoof || f.best.margin >= tightUpTo {
					continue
				}
				least := math.Inf(1)
				for _, r := range f.tight {
					least = min(least, r.Margin)
				}
				if least != f.best.margin {
					t.Errorf("layer %d, joint %d: roofs show %v, the margin is %v", i+1, f.joint, least, f.best.margin)
				}
				switch gap := sc.stagger(i+1, f.best.low).roofGap(); {
				case f.best.margin == gap/sc.side:
					standing++
				case f.best.margin == gap/sc.roof:
					hanging++
				default:
					sagging++
				}
			}
		}
	})
	if hanging == 0 || sagging == 0 || standing == 0 {
		t.Errorf("%d roofs hang, %d sag, %d stand", hanging, sagging, standing)
	}
}
