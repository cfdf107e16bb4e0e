package gapscan

import (
	"math"
	"testing"

	"playgauge/mesh/shape"
)

// TestSeamAllRound: a pin of radius 5 in a bore of 5.3, 8 mm tall, on a
// machine that needs 0.5: every wall stands 0.3 apart at a margin of 0.6, so
// the weld is the mean circumference times the height times (1-0.6) squared.
func TestSeamAllRound(t *testing.T) {
	const n = 256
	c := math.Cos(math.Pi / n)
	s := shape.Cylinder(5/c, 8, n, 0).Append(shape.Tube(5.3/c, 9, 8, n, 0))
	r := scan(t, s, 0.2, 0.2, keeps(0.5, 0.4, 0.5))
	j := jointBetween(t, r, 1, 2)
	want := 2 * math.Pi * 5.15 * 8 * 0.16
	if got := *j.WeldMM2; math.Abs(got-want) > 0.03*want {
		t.Errorf("the weld is %v mm2, want %v", got, want)
	}
	if *j.Outcome != Welds || *j.WeldForm != "seam" || !*j.WeldAllRound || *j.WeldPlaces != 1 {
		t.Errorf("outcome %s, a %s (all round %v) in %d places", *j.Outcome, *j.WeldForm, *j.WeldAllRound, *j.WeldPlaces)
	}
	// A layer has its own share, far below what cannot be cracked.
	if o := r.Layers[20].Outcome; *o != Sticks {
		t.Errorf("a layer of %v mm2 is %s", want/40, *o)
	}
}

// TestLevelPinSticksAlongLines: a level pin in a bore touches under the
// bore's ceiling and along the line it lies on, and nowhere else: that cracks
// on the first turn.
func TestLevelPinSticksAlongLines(t *testing.T) {
	const n = 96
	c := math.Cos(math.Pi / n)
	pin := shape.Cylinder(2.5/c, 8, n, 180/n).Turn(90, 0, 0)
	bore := shape.Tube(2.85/c, 6, 8, n, 180/n).Turn(90, 0, 0)
	r := scan(t, pin.Append(bore), 0.2, 0.2, keeps(0.3, 0.4, 0.3))
	j := jointBetween(t, r, 1, 2)
	if *j.Outcome != Sticks {
		t.Fatalf("outcome %s: margin %v, weld %v mm2", *j.Outcome, *j.Margin, *j.WeldMM2)
	}
	if *j.WeldForm != "line" || j.WeldLengthMM == nil || math.Abs(*j.WeldLengthMM-8) > 0.5 {
		t.Errorf("a %s of %v mm2, want a line of 8 mm", *j.WeldForm, *j.WeldMM2)
	}
	if *j.WeldPlaces != 2 {
		t.Errorf("%d places, want 2: under the ceiling and under the pin", *j.WeldPlaces)
	}
	for _, l := range r.Layers {
		if l.Margin == nil || *l.Margin >= 1*0.995 {
			continue
		}
		// The axis lies 6 mm up: short only near the bottom and the top of
		// the pin.
		if z := (l.ZBottomMM + l.ZTopMM) / 2; math.Abs(math.Abs(z-6)-2.6) > 1 {
			t.Errorf("layer %d at z %v is short (%v)", l.Layer, z, *l.Margin)
		}
	}
}

// TestUprightConeIsNotCondemned: a roof limit is learned under flat ceilings;
// a cone stands on its own part.
func TestUprightConeIsNotCondemned(t *testing.T) {
	const n, gap = 256, 0.4
	c := math.Cos(math.Pi / n)
	wide := gap * math.Sqrt2 // square to the wall, in the layer
	plug := shape.Cone(4/c, 12/c, 8, n, 0)
	seat := turned(n, 0, (4+wide)/c, 0, 16/c, 0, 16/c, 8, (12+wide)/c, 8)
	r := scan(t, plug.Append(seat), 0.2, 0.2, keeps(0.3, 0.4, 0.3))
	j := jointBetween(t, r, 1, 2)
	if *j.Margin < 1 {
		t.Errorf("margin %v (%s in layer %d), want at least 1", *j.Margin, *j.Cause, *j.WorstLayer)
	}
}

// TestRoofWeldArea: a plate of 10 x 6 mm one air layer over another, on a
// machine whose roof needs twice that: all of it counts a quarter, and the
// rims little beside it.
func TestRoofWeldArea(t *testing.T) {
	s := box(0, 0, 0, 10, 6, 2).Append(box(0, 0, 2.2, 10, 6, 4))
	r := scan(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.3))
	j := jointBetween(t, r, 1, 2)
	roof := 60 * 0.25
	rim := 32.0 * 0.2 // of a whole layer, unweighed
	if *j.WeldMM2 < roof || *j.WeldMM2 > roof+rim {
		t.Errorf("weld %v, want from %v to %v", *j.WeldMM2, roof, roof+rim)
	}
	if *j.Outcome != Welds || *j.WeldForm != "seam" || *j.WeldAllRound {
		t.Errorf("%s, %s, all round %v", *j.Outcome, *j.WeldForm, *j.WeldAllRound)
	}
}

// TestWorstIsWhatWelds: a spot with no gap at all is less than a seam.
func TestWorstIsWhatWelds(t *testing.T) {
	spot := box(0, 0, 0, 4, 4, 4).Append(box(4.05, 3.5, 1, 8, 8, 1.4)) // 0.05 apart over 0.5 x 0.4
	seam := box(20, 0, 0, 24, 20, 10).Append(box(24.15, 0, 0, 28, 20, 10))
	r := scan(t, spot.Append(seam), 0.2, 0.2, keeps(0.3, 0.4, 0.3))
	if r.Outcome != Welds || *r.Joints[0].Outcome != Welds || *r.Joints[1].Outcome != Sticks {
		t.Errorf("%s: %s, then %s", r.Outcome, *r.Joints[0].Outcome, *r.Joints[1].Outcome)
	}
	if *r.Joints[0].Margin <= *r.Joints[1].Margin {
		t.Errorf("the seam's margin %v should be above the spot's %v", *r.Joints[0].Margin, *r.Joints[1].Margin)
	}
	if *r.Joints[1].WeldForm != "spot" {
		t.Errorf("a %s", *r.Joints[1].WeldForm)
	}
}
