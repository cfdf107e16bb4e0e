package gapscan

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// A 0.4 roof of two 0.2 layers on a machine that keeps 0.4 open is met at
// every height where it falls on the layers' bounds.
func TestRoofTieAtEveryHeight(t *testing.T) {
	for _, first := range []float64{0.2, 0.28, 0.3} {
		for k := 1; k <= 120; k++ {
			z := first + 0.2*float64(k)
			s := box(0, 0, 0, 3, 3, z).Append(box(0.5, 0.5, z+0.4, 2.5, 2.5, z+1))
			r := scan(t, s, first, 0.2, keeps(0.4, 0.4, 0.5))
			j := r.Joints[0]
			if *j.RoofAirLayers != 2 || *j.Outcome != Close || !near2(*j.Margin, 1, 1e-9) || r.FirstBadLayer != nil {
				t.Fatalf("first %v, roof from %v: %d layers of air, margin %v, %v", first, z, *j.RoofAirLayers, *j.Margin, *j.Outcome)
			}
		}
	}
}

// A 0.30 gap between flat walls on a 0.30 machine, anywhere on the bed.
func TestSideTieAnywhere(t *testing.T) {
	for k := range 200 {
		x := float64(k)*1.37 - 120
		s := box(x, 0, 0, x+5, 3, 1).Append(box(x+5.3, 0, 0, x+9, 3, 1))
		r := scan(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.3))
		for _, l := range r.Layers {
			if *l.Outcome != Close || !near2(*l.Margin, 1, 1e-4) {
				t.Fatalf("at %v, layer %d: margin %v, %v", x, l.Layer, *l.Margin, *l.Outcome)
			}
		}
		if r.Outcome != Close || r.FirstBadLayer != nil {
			t.Fatalf("at %v: %v", x, r.Outcome)
		}
	}
}

// A round pin of 64 sides drawn at 0.30 is met on a 0.30 machine, though its
// facets bring the gap to 0.3 cos(pi/64) = 0.29964.
func TestRoundPinTieAtEveryHeight(t *testing.T) {
	for k := range 20 {
		h := 1.5 + float64(k)*0.01
		s := shape.Tube(3.3, 5, h, 64, 0).Append(shape.Cylinder(3, h+0.5, 64, 0))
		for _, first := range []float64{0.2, 0.28} {
			r := scan(t, s, first, 0.2, keeps(0.3, 0.3, 0.3))
			want := math.Cos(math.Pi / 64)
			for _, l := range r.Layers {
				if l.Margin != nil && short(*l.Outcome) {
					t.Fatalf("height %v, layer %d: margin %v, %v", h, l.Layer, *l.Margin, *l.Outcome)
				}
			}
			if j := r.Joints[0]; *j.Outcome != Close || !near2(*j.Margin, want, 1e-5) {
				t.Fatalf("height %v: margin %v, %v; want %v", h, *j.Margin, *j.Outcome, want)
			}
		}
	}
}

// A level pin whose crown clears the bore by exactly two layers, on every
// height of the layers' grid.
func TestLevelPinTie(t *testing.T) {
	for k := range 15 {
		lift := 0.2 * float64(k)
		pin := box(-1, -1, 1, 1, 2, 2)
		hole := shape.Rect(-1.3, 0.6, 1.3, 2.4)
		body := shape.Must(shape.Extrude(shape.Rect(-2, 0, 2, 3), [][]r2.Vec{hole}, -1, 0)).Turn(90, 0, 0)
		s := body.Append(pin, box(3, 0, -lift-0.2, 4, 1, 1))
		r := scan(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.3))
		j := jointBetween(t, r, 1, 2)
		if short(*j.Outcome) || *j.RoofAirLayers != 2 {
			t.Errorf("lifted by %v: margin %v (%v in layer %d), %d layers of air", lift, *j.Margin, *j.Cause, *j.WorstLayer, *j.RoofAirLayers)
		}
	}
}

// A need counts as met from 0.995 of it, 1.25 likewise.
func TestOutcomeEdges(t *testing.T) {
	for _, tc := range []struct {
		margin float64
		want   Outcome
	}{
		{0, Welds}, {0.9949, Welds}, {0.994999999, Welds},
		{0.995, Close}, {1, Close}, {1.2, Close}, {1.2437, Close},
		{1.25 * 0.995, Free}, {1.25, Free}, {100, Free},
	} {
		if got := outcomeOf(tc.margin, 10, 5); got != tc.want {
			t.Errorf("margin %v is %s, want %s", tc.margin, got, tc.want)
		}
		want := tc.want
		if want == Welds {
			want = Sticks
		}
		if got := outcomeOf(tc.margin, 4.9, 5); got != want {
			t.Errorf("margin %v with a small weld is %s, want %s", tc.margin, got, want)
		}
	}
	// The same through a model: walls 0.995 and 0.99 of 0.4 apart.
	for _, tc := range []struct {
		gap  float64
		want Outcome
	}{{0.39801, Close}, {0.3979, Welds}, {0.49751, Free}, {0.4974, Close}} {
		r := scan(t, box(0, 0, 0, 2, 2, 1).Append(box(2+tc.gap, 0, 0, 4, 2, 1)), 0.2, 0.2, keeps(0.4, 0.4, 0.4))
		if r.Outcome != tc.want && !(short(r.Outcome) && short(tc.want)) {
			t.Errorf("a gap of %v on a 0.4 machine is %s (margin %v), want %s", tc.gap, r.Outcome, *r.Joints[0].Margin, tc.want)
		}
	}
}
