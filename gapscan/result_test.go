package gapscan

import (
	"encoding/json"
	"math"
	"slices"
	"testing"

	"playgauge/mesh/shape"
)

// A model of one part has no joint, and says nothing that it does not know.
func TestResultOfOnePart(t *testing.T) {
	r := scan(t, box(0, 0, 0, 80, 30, 1), 0.2, 0.2, keeps(0.3, 0.4, 0.4))
	data, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	var got map[string]any
	if err := json.Unmarshal(data, &got); err != nil {
		t.Fatal(err)
	}
	for _, null := range []string{"p_free", "first_bad_layer"} {
		if v, ok := got[null]; !ok || v != nil {
			t.Errorf("%s is %v, want null", null, v)
		}
	}
	for _, empty := range []string{"joints", "joined", "overhangs", "slots", "cautions"} {
		if v, ok := got[empty].([]any); !ok || len(v) != 0 {
			t.Errorf("%s is %v, want []", empty, got[empty])
		}
	}
	if w, ok := got["mesh"].(map[string]any)["warnings"].([]any); !ok || len(w) != 0 {
		t.Errorf("the warnings are %v, want []", w)
	}
	for key, v := range got["demands"].(map[string]any) {
		if v != nil {
			t.Errorf("demands.%s is %v, want null", key, v)
		}
	}
	if got["schema"] != Schema || got["outcome"] != "no joint" || got["printed_parts"] != 1.0 {
		t.Errorf("schema %v, outcome %v, printed parts %v", got["schema"], got["outcome"], got["printed_parts"])
	}
	layers := got["layers"].([]any)
	if len(layers) != 5 {
		t.Fatalf("%d layers, want 5", len(layers))
	}
	for i, v := range layers {
		l := v.(map[string]any)
		for _, null := range []string{"side_gap_mm", "side_ends_mm", "roof_air_mm", "margin", "outcome", "cause", "at_mm", "gap_mm", "need_mm", "ends_mm", "ends_layers"} {
			if v, ok := l[null]; !ok || v != nil {
				t.Errorf("layer %d: %s is %v, want null", i+1, null, v)
			}
		}
		if p, ok := l["parts"].([]any); !ok || len(p) != 0 {
			t.Errorf("layer %d: parts %v, want []", i+1, l["parts"])
		}
		need := 0.3
		if i == 0 {
			need = 0.4
		}
		if l["layer"] != float64(i+1) || l["side_need_mm"] != need || l["islands"] != 1.0 || !near2(l["z_top_mm"].(float64), 0.2*float64(i+1), 1e-9) {
			t.Errorf("layer %d: %v", i+1, l)
		}
	}
	p := r.Parts[0]
	if p.ID != 1 || !near2(p.VolumeMM3, 2400, 1e-9) || p.SizeMM != [3]float64{80, 30, 1} || p.Triangles != 12 || !near2(*p.BedContactMM2, 2400, 1e-9) || *p.StartsAtLayer != 1 || *p.SmallPart != "too large" {
		t.Errorf("the part: %+v", p)
	}
}

// Parts out of reach of each other are no joint; reach is inclusive.
func TestReach(t *testing.T) {
	s := box(0, 0, 0, 2, 2, 1).Append(box(4.5, 0, 0, 6, 2, 1))
	mc := keeps(0.3, 0.4, 0.4)
	if r := scan(t, s, 0.2, 0.2, mc); r.ReachMM != 2 || len(r.Joints) != 0 || r.Outcome != NoJoint {
		t.Errorf("reach %v, %d joints", r.ReachMM, len(r.Joints))
	}
	if r := scan(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.7)); r.ReachMM != 2.8 || len(r.Joints) != 1 || !near2(*r.Joints[0].SideGapMM, 2.5, 1e-9) {
		t.Errorf("four times the largest need: reach %v, %+v", r.ReachMM, r.Joints)
	}
	for reach, want := range map[float64]int{2.5: 1, 2.499: 0} {
		r := cutSolid(t, s, 0.2, 0.2, mc, Options{Reach: reach}).result()
		if len(r.Joints) != want || (r.Layers[0].Margin != nil) != (want == 1) {
			t.Errorf("reach %v: %d joints, want %d", reach, len(r.Joints), want)
		}
	}
}

// A stair of gaps: the layer that is tightest, the first that welds, and what
// each layer is told by.
func TestFirstBadLayerAndDemands(t *testing.T) {
	// From the bottom: 0.5 in 5 layers, 0.35 in 5, 0.2 in 5, 0.6 in 5.
	post := prism(0, 2, 0, 0, 2, 0, 2, 1, 2.15, 1, 2.15, 2, 2.3, 2, 2.3, 3, 1.9, 3, 1.9, 4, 0, 4)
	r := scan(t, post.Append(box(2.5, 0, 0, 5, 2, 4)), 0.2, 0.2, keeps(0.3, 0.4, 0.45))
	if r.FirstBadLayer == nil || *r.FirstBadLayer != 11 || !short(r.Outcome) {
		t.Errorf("outcome %v, first bad layer %v; want layer 11", r.Outcome, deref(r.FirstBadLayer))
	}
	j := r.Joints[0]
	if *j.WorstLayer != 11 || *j.SideLayer != 11 || !near2(*j.SideGapMM, 0.2, floatNoise) || !near2(*j.Margin, 0.2/0.3, 1e-4) || *j.Cause != CauseSide {
		t.Errorf("joint: %+v", j)
	}
	if !near2(*j.GapMM, 0.2, floatNoise) || !near2(*j.NeedMM, 0.3, floatNoise) {
		t.Errorf("a gap of %v where %v is needed, want 0.2 and 0.3", *j.GapMM, *j.NeedMM)
	}
	if at := *j.AtMM; at[2] != 2.1 || at[0] < 2.29 || at[0] > 2.51 || at[1] < 0 || at[1] > 2 {
		t.Errorf("worst place %v", at)
	}
	d := r.Demands
	if d.SideMM == nil || !near2(*d.SideMM, 0.2, floatNoise) || d.BottomMM == nil || !near2(*d.BottomMM, 0.5, floatNoise) || d.BridgeMM != nil {
		t.Errorf("demands: side %v, bottom %v, bridge %v", deref(d.SideMM), deref(d.BottomMM), deref(d.BridgeMM))
	}
	if d.RoofMM != nil || d.RoofAir != nil {
		t.Errorf("no roof hangs over the other part, yet %v mm and %v layers are demanded", deref(d.RoofMM), deref(d.RoofAir))
	}
	want := []struct {
		from, to int
		outcome  Outcome
		cause    Cause
		margin   float64
	}{{1, 1, Close, CauseBottom, 0.5 / 0.45}, {2, 5, Free, CauseSide, 0.5 / 0.3}, {7, 10, Close, CauseSide, 0.35 / 0.3}, {11, 15, Welds, CauseSide, 0.2 / 0.3}}
	for _, w := range want {
		for n := w.from; n <= w.to; n++ {
			l := r.Layers[n-1]
			if *l.Outcome != w.outcome && !(short(w.outcome) && short(*l.Outcome)) || *l.Cause != w.cause || !near2(*l.Margin, w.margin, 1e-4) || !slices.Equal(l.Parts, []int{1, 2}) {
				t.Errorf("layer %d: %v by %v, margin %v; want %v by %v, %v", n, *l.Outcome, *l.Cause, *l.Margin, w.outcome, w.cause, w.margin)
			}
		}
	}
	// Above the narrow stretch the lower beads are nearer than the layer's own
	// gap of 0.6 says: layer 16 to 15 is 0.2 apart in plan, one layer down, and
	// to the same wall.
	l := r.Layers[15]
	gap := math.Hypot(0.2+0.2, 0.2) - 0.2
	if *l.Margin > 0.6/0.3 || *l.Cause != CauseSlope && *l.Cause != CauseSide || *l.Margin < gap/0.3-1e-4 {
		t.Errorf("layer 16: margin %v by %v", *l.Margin, *l.Cause)
	}
}

// Every cause once, with its need.
func TestCauses(t *testing.T) {
	mc := keeps(0.3, 0.4, 0.5)
	block := box(0, 0, 0, 3, 3, 1)
	for _, tc := range []struct {
		name  string
		solid shape.Solid
		cause Cause
		layer int
		need  float64
		gap   float64
	}{
		{"bottom", block.Append(box(3.2, 0, 0, 5, 3, 1)), CauseBottom, 1, 0.5, 0.2},
		{"side", block.Append(box(3.2, 0, 0.4, 5, 3, 1), box(9, 0, 0, 10, 1, 1)), CauseSide, 3, 0.3, 0.2},
		{"roof", block.Append(box(0.5, 0.5, 1.2, 2.5, 2.5, 2)), CauseRoof, 7, 0.4, 0.2},
		{"contact", block.Append(box(0.5, 0.5, 1.05, 2.5, 2.5, 2)), CauseRoof, 6, 0.4, 0},
	} {
		t.Run(tc.name, func(t *testing.T) {
			j := scan(t, tc.solid, 0.2, 0.2, mc).Joints[0]
			if *j.Cause != tc.cause || *j.WorstLayer != tc.layer || !near2(*j.NeedMM, tc.need, 1e-4) || !near2(*j.GapMM, tc.gap, 1e-4) || !short(*j.Outcome) {
				t.Errorf("%v in layer %d: %v of %v, %v", *j.Cause, *j.WorstLayer, *j.GapMM, *j.NeedMM, *j.Outcome)
			}
		})
	}
	// Side by side, a layer apart: the upper block begins over air beside the
	// lower one. Its beads hang.
	const d = 0.1
	j := scan(t, block.Append(box(3+d, 0, 1, 5, 3, 2)), 0.2, 0.2, mc).Joints[0]
	dx, dz := d+0.2, 0.2
	dist := math.Hypot(dx, dz)
	want := (dist - 0.2) * math.Hypot(dx/dist/0.3, dz/dist/0.4)
	if *j.Cause != CauseSlope || *j.WorstLayer != 6 || !near2(*j.Margin, want, 1e-5) || !near2(*j.GapMM, dist-0.2, 1e-5) || !near2(*j.NeedMM, (dist-0.2)/want, 1e-5) || j.SideGapMM != nil {
		t.Errorf("beside, above: %v in layer %d, margin %v, want %v; gap %v of %v", *j.Cause, *j.WorstLayer, *j.Margin, want, *j.GapMM, *j.NeedMM)
	}
}

// Joints stand worst first; their ids count by their parts.
func TestJointsWorstFirst(t *testing.T) {
	// The block is part 1, the posts 2, 3 and 4 by their volume.
	s := box(0, 0, 0, 10, 4, 1).Append(box(0, 4.35, 0, 3, 8, 1), box(4, 4.2, 0, 6, 8, 1), box(8, 4.25, 0, 9, 8, 1))
	r := scan(t, s, 0.2, 0.2, keeps(0.3, 0.4, 0.4))
	var ids []int
	for i, j := range r.Joints {
		ids = append(ids, j.ID)
		if want := []float64{0.2, 0.25, 0.35, 1, 2}[i]; !near2(*j.SideGapMM, want, floatNoise) {
			t.Errorf("place %d: a gap of %v, want %v", i, *j.SideGapMM, want)
		}
	}
	// The posts are 1 and 2 mm apart, within reach as well.
	if !slices.Equal(ids, []int{2, 3, 1, 4, 5}) {
		t.Errorf("joints stand as %v, want 2, 3, 1, 4, 5", ids)
	}
	if r.Outcome != *r.Joints[0].Outcome {
		t.Errorf("outcome %v, the worst joint's is %v", r.Outcome, *r.Joints[0].Outcome)
	}
}

// Equal margins go to the lower layer, nearly equal ones do not.
func TestWorstLayer(t *testing.T) {
	for _, tc := range []struct {
		upper float64
		want  int
	}{{0.2, 3}, {0.19, 13}, {0.199, 13}, {0.21, 3}} {
		post := prism(0, 2, 0, 0, 1, 0, 1, 0.4, 2, 0.4, 2, 1.4, 1, 1.4, 1, 2.4, 2.2-tc.upper, 2.4, 2.2-tc.upper, 3, 0, 3)
		r := scan(t, post.Append(box(2.2, 0, 0, 5, 2, 3)), 0.2, 0.2, keeps(0.3, 0.4, 0.4))
		if j := r.Joints[0]; *j.WorstLayer != tc.want || *j.SideLayer != tc.want {
			t.Errorf("0.2 below and %v above: worst layer %d, side layer %d; want %d", tc.upper, *j.WorstLayer, *j.SideLayer, tc.want)
		}
	}
}
