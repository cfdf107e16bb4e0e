package gapscan

import (
	"math"
	"strings"
	"testing"

	"playgauge/mesh/shape"
)

// TestBottomOnly: upright walls 0.35 apart, without roofs, on a machine of
// side 0.3 and bottom 0.5 are short in layer 1 only.
func TestBottomOnly(t *testing.T) {
	s := box(0, 0, 0, 10, 20, 8).Append(box(10.35, 0, 0, 20, 20, 8))
	r := scan(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.5))
	for _, l := range r.Layers {
		if bad := short(*l.Outcome); bad != (l.Layer == 1) {
			t.Errorf("layer %d: %s, margin %v", l.Layer, *l.Outcome, *l.Margin)
		}
	}
	if j := r.Joints[0]; *j.Cause != CauseBottom || *j.WorstLayer != 1 || !near2(*j.Margin, 0.7, 1e-5) {
		t.Errorf("cause %s in layer %d, margin %v", *j.Cause, *j.WorstLayer, *j.Margin)
	}
	// Three bottom layers, and the outline trimmed by 0.05 on either side.
	mc := keeps(0.3, 0.4, 0.5)
	mc.BottomLayers, mc.TrimMM = 3, 0.05
	r = scan(t, s, 0.2, 0.2, mc)
	if r.Machine.BottomMM != 0.4 || r.Machine.BottomFrom != "tested" || r.Machine.TrimMM != 0.05 {
		t.Errorf("bottom need %v from %s", r.Machine.BottomMM, r.Machine.BottomFrom)
	}
	for _, l := range r.Layers {
		if want := l.Layer <= 3; (*l.Cause == CauseBottom) != want {
			t.Errorf("layer %d: %s", l.Layer, *l.Cause)
		}
	}
}

// clip is a bar on a foot with two legs that hang down from it and end 4 mm
// above the bed.
func clip() shape.Solid {
	foot := box(-3, 0, 0, 3, 6, 12)
	bar := box(-20, 0, 10, 20, 6, 14)
	return foot.Append(bar, box(-20, 0, 4, -16, 6, 10.5), box(16, 0, 4, 20, 6, 10.5))
}

// TestMidAirLegs: both legs are listed, once each, and one caution names
// them.
func TestMidAirLegs(t *testing.T) {
	r := scan(t, clip(), 0.2, 0.2, keeps(0.3, 0.4, 0.4))
	var starts []Overhang
	for _, o := range r.Overhangs {
		if o.Kind == "mid-air" {
			starts = append(starts, o)
		}
	}
	if len(starts) != 2 {
		t.Fatalf("%d starts in mid-air, want 2: %+v", len(starts), starts)
	}
	for _, o := range starts {
		if o.Part != 1 || o.Layers[0] != 21 || !near2(o.AreaMM2, 24, 0.5) || o.SpanMM != nil || o.LiesOnPart != nil || !near2(math.Abs(o.AtMM[0]), 18, 2) {
			t.Errorf("%+v at %v", o, *o.AtMM)
		}
	}
	n := 0
	for _, c := range r.Cautions {
		if c.Kind == "mid-air" {
			n++
			if !strings.HasPrefix(c.Text, "2 places ") || strings.Count(c.Text, "layer 21") != 2 || *c.Layer != 21 || *c.Part != 1 {
				t.Errorf("caution %q", c.Text)
			}
		}
	}
	if n != 1 {
		t.Errorf("%d cautions about mid-air, want 1", n)
	}
}

// TestLyingDownIsNoCallForSupport: a start two air layers above another part
// is a roof gap.
func TestLyingDownIsNoCallForSupport(t *testing.T) {
	s := box(0, 0, 0, 20, 20, 2).Append(box(5, 5, 2.4, 15, 15, 6))
	r := scan(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.4))
	for _, c := range r.Cautions {
		if c.Kind == "mid-air" {
			t.Errorf("caution %q", c.Text)
		}
	}
	if len(r.Overhangs) != 1 || r.Overhangs[0].LiesOnPart == nil || *r.Overhangs[0].LiesOnPart != 1 {
		t.Errorf("overhangs %+v", r.Overhangs)
	}
}

// bridgeOver is a deck on two posts, span apart, gap above a block.
func bridgeOver(span, gap float64) shape.Solid {
	h := 4 + gap
	deck := box(-5, 0, 0, 0, 8, h+0.2).Append(box(span, 0, 0, span+5, 8, h+0.2), box(-5, 0, h, span+5, 8, h+2))
	return deck.Append(box(3, 1, 0, span-3, 7, 4))
}

// TestSagTakesFromTheRoof: the margin under a bridge falls by what it sags
// beyond the tested roof, and nowhere else.
func TestSagTakesFromTheRoof(t *testing.T) {
	for _, c := range []struct {
		span, roofSpan float64
		table          [][2]float64
		gap            float64 // that is left of 0.8
	}{
		{30, 8, nil, 0.8},
		{30, 8, [][2]float64{{10, 0}, {30, 0.2}}, 0.6},
		{20, 8, [][2]float64{{10, 0}, {30, 0.2}}, 0.7},
		{40, 8, [][2]float64{{10, 0}, {30, 0.2}}, 0.6},  // held beyond the last
		{30, 20, [][2]float64{{10, 0}, {30, 0.2}}, 0.7}, // the tested roof sagged by 0.1
		{30, 30, [][2]float64{{10, 0}, {30, 0.2}}, 0.8},
		{30, 8, [][2]float64{{10, 0}, {30, 2}}, 0}, // it lies down
	} {
		mc := keeps(0.3, 0.4, 0.4)
		mc.Sag, mc.RoofSpanMM = c.table, c.roofSpan
		r := scan(t, bridgeOver(c.span, 0.8), 0.2, 0.2, mc)
		j := r.Joints[0]
		if *j.Cause != CauseRoof || !near2(*j.GapMM, c.gap, 0.01) || !near2(*j.Margin, c.gap/0.4, 0.02) {
			t.Errorf("span %v, table %v from %v: gap %v, margin %v (%s), want a gap of %v", c.span, c.table, c.roofSpan, *j.GapMM, *j.Margin, *j.Cause, c.gap)
		}
		// What is asked of a machine does not depend on one.
		if !near2(*r.Demands.RoofMM, 0.8, 1e-5) || !near2(*r.Demands.BridgeMM, c.span, 0.3) {
			t.Errorf("demands roof %v, bridge %v", *r.Demands.RoofMM, *r.Demands.BridgeMM)
		}
	}
}

// TestCautions of what hangs and of hold on the bed.
func TestCautions(t *testing.T) {
	mc := keeps(0.3, 0.4, 0.4)
	limit := 25.0
	mc.Tested.BridgeMM = &limit
	kinds := func(s shape.Solid) string {
		var k []string
		for _, c := range scan(t, s, 0.2, 0.2, mc).Cautions {
			k = append(k, c.Kind)
		}
		return strings.Join(k, ",")
	}
	for _, c := range []struct {
		name string
		s    shape.Solid
		want string
	}{
		{"a plate", box(0, 0, 0, 80, 80, 2), ""},
		{"a bridge of 24", bridgeOver(24, 0.8), "small part"},
		{"a bridge of 26", bridgeOver(26, 0.8), "bridge,small part"},
		{"a cantilever of 4.9", box(0, 0, 0, 40, 40, 3).Append(box(39, 0, 2, 44.9, 40, 3)), ""},
		{"a cantilever of 5.1", box(0, 0, 0, 40, 40, 3).Append(box(39, 0, 2, 45.1, 40, 3)), "cantilever"},
		{"a block 0.4 above a plate", box(0, 0, 0, 80, 80, 2).Append(box(10, 10, 2.4, 70, 70, 4)), "lies down"},
		{"a block that begins above its own part", box(0, 0, 0, 80, 80, 2).Append(box(60, 10, 1, 70, 70, 8), box(10, 10, 6, 70, 70, 8), box(20, 20, 2.4, 40, 40, 7)), "cantilever"}, // of the ledge, none of what begins
		{"a block 1 above a plate", box(0, 0, 0, 80, 80, 2).Append(box(10, 10, 3, 70, 70, 4)), "mid-air"},
		{"a tower of 70 on 8 x 8", box(0, 0, 0, 8, 8, 70), "bed"},
		{"a tower of 70 on 9 x 9", box(0, 0, 0, 9, 9, 70), ""},
	} {
		if got := kinds(c.s); got != c.want {
			t.Errorf("%s: cautions %q, want %q", c.name, got, c.want)
		}
	}
}

// TestJoinedBySlicing: two blocks 0.1 apart in height print in contact from
// the layer on that lies across the gap.
func TestJoinedBySlicing(t *testing.T) {
	s := box(0, 0, 0, 20, 20, 4.05).Append(box(0, 0, 4.09, 10, 10, 8), box(40, 0, 0, 50, 10, 3))
	r := scan(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.4))
	if len(r.Joined) != 1 || r.Joined[0] != (Joined{Parts: [2]int{1, 2}, Layer: 21}) {
		t.Errorf("joined %+v, want parts 1 and 2 in layer 21", r.Joined)
	}
	if r.PrintedParts != 2 {
		t.Errorf("%d printed parts, want 2", r.PrintedParts)
	}
}

// TestSlotsChangeNoOutcome: a comb has no joint, and its slots are listed.
func TestSlotsChangeNoOutcome(t *testing.T) {
	s := box(0, 0, 0, 3, 9.3, 2).Append(box(2, 0, 0, 20, 3, 2), box(2, 3.15, 0, 20, 6.15, 2), box(2, 6.3, 0, 20, 9.3, 2))
	r := scan(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.4))
	if r.Outcome != NoJoint || r.FirstBadLayer != nil || len(r.Joints) != 0 {
		t.Errorf("outcome %s", r.Outcome)
	}
	if len(r.Slots) != 2*10 {
		t.Fatalf("%d slots, want two in each of 10 layers", len(r.Slots))
	}
	for _, s := range r.Slots {
		need := 0.3
		if s.Layer == 1 {
			need = 0.4
		}
		if !near2(s.WidthMM, 0.15, 1e-5) || s.NeedMM != need || s.Part != 1 || !near2(s.Margin, 0.15/need, 1e-4) || !short(s.Outcome) {
			t.Errorf("%+v", s)
		}
	}
}
