package report

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"playgauge/gapscan"
)

// jsonFields is the design's list of fields: name, what it may be, and the
// fields inside; "..." says that there are more.
const jsonFields = `
schema
model           {file, format, triangles, units, scale, turn_deg, size_mm}
mesh            {watertight, open_edges, nonmanifold_edges, shells, unmeasured_contours, warnings}
machine         {name, tested, side_mm, roof_mm, bottom_mm, bridge_mm, bottom_from, trim_mm, defaults, from}
plan            {first_height_mm, layer_height_mm, layers}
demands         {side_mm, slope_mm, roof_mm, roof_air_layers, bottom_mm, bridge_mm}
parts           [{id, volume_mm3, size_mm, triangles, bed_contact_mm2, starts_at_layer, small_part}]
printed_parts
joined          [{parts, layer}]
layers          [{layer, z_bottom_mm, z_top_mm, islands, side_gap_mm, side_ends_mm, side_need_mm, roof_air_mm, margin, outcome, cause, parts, at_mm, gap_mm, need_mm, ends_mm, ends_layers}]
joints          [{id, parts, side_gap_mm, side_layer, roof_gap_mm, roof_air_layers, roof_layer, true_gap_mm, margin, outcome, cause, worst_layer, at_mm, weld_mm2, weld_form, weld_length_mm, weld_all_round, weld_places, p_free, gap_mm, need_mm, ends_mm, ends_layers}]
overhangs       [{layers, kind, span_mm, area_mm2, part, over_part, drop_mm, lies_on_part, at_mm}]
slots           [{part, layer, width_mm, need_mm, margin, outcome, at_mm}]
cautions        [{kind, text, part, layer}]
p_free
p_free_lacks
outcome
first_bad_layer
`

func object(t *testing.T, r *gapscan.Result) map[string]any {
	t.Helper()
	var b bytes.Buffer
	if err := JSON(&b, r); err != nil {
		t.Fatal(err)
	}
	if strings.Count(b.String(), "\n") != 1 || !strings.HasSuffix(b.String(), "}\n") {
		t.Fatalf("not one line: %q", b.String())
	}
	var o map[string]any
	if err := json.Unmarshal(b.Bytes(), &o); err != nil {
		t.Fatal(err)
	}
	return o
}

func TestJSONFields(t *testing.T) {
	o := object(t, dovecote(60))
	for line := range strings.Lines(strings.TrimSpace(jsonFields)) {
		name, inner, nested := strings.Cut(strings.TrimSpace(line), " ")
		v, ok := o[name]
		if !ok {
			t.Errorf("no %s", name)
			continue
		}
		if !nested {
			continue
		}
		inner = strings.TrimSpace(inner)
		if strings.HasPrefix(inner, "[") {
			list, ok := v.([]any)
			if !ok || len(list) == 0 {
				t.Errorf("%s is %T, of which the test needs one", name, v)
				continue
			}
			v = list[0]
		}
		fields, ok := v.(map[string]any)
		if !ok {
			t.Errorf("%s holds %T", name, v)
			continue
		}
		for field := range strings.SplitSeq(strings.Trim(inner, "[{}]"), ", ") {
			if _, ok := fields[field]; !ok {
				t.Errorf("no %s.%s", name, field)
			}
		}
	}
}

// Unknown is null, an empty list is [], also where the result holds nil.
func TestJSONEmpty(t *testing.T) {
	r := &gapscan.Result{Schema: gapscan.Schema, Layers: make([]gapscan.Layer, 1), Joints: make([]gapscan.Joint, 1), Outcome: gapscan.NoJoint}
	r.Overhangs = nil
	o := object(t, r)
	in := func(name string) map[string]any {
		if list, ok := o[name].([]any); ok {
			return list[0].(map[string]any)
		}
		return o[name].(map[string]any)
	}
	empty := []any{}
	for name, c := range map[string][2]any{
		"mesh.warnings":    {in("mesh")["warnings"], empty},
		"machine.defaults": {in("machine")["defaults"], empty},
		"parts":            {o["parts"], empty},
		"overhangs":        {o["overhangs"], empty},
		"joined":           {o["joined"], empty},
		"slots":            {o["slots"], empty},
		"cautions":         {o["cautions"], empty},
		"layers.parts":     {in("layers")["parts"], empty},
		"layers.margin":    {in("layers")["margin"], nil},
		"layers.outcome":   {in("layers")["outcome"], nil},
		"layers.ends":      {in("layers")["side_ends_mm"], nil},
		"layers.at":        {in("layers")["at_mm"], nil},
		"joints.cause":     {in("joints")["cause"], nil},
		"demands.side":     {in("demands")["side_mm"], nil},
		"p_free":           {o["p_free"], nil},
		"p_free_lacks":     {o["p_free_lacks"], empty},
		"machine.from":     {in("machine")["from"], empty},
		"first_bad_layer":  {o["first_bad_layer"], nil},
	} {
		if diff := cmp.Diff(c[1], c[0]); diff != "" {
			t.Errorf("%s: %s", name, diff)
		}
	}
	if r.Overhangs != nil || r.Layers[0].Parts != nil {
		t.Error("the result itself was changed")
	}
}

func TestJSONReadsBack(t *testing.T) {
	for name, r := range gallery() {
		var b bytes.Buffer
		if err := JSON(&b, r); err != nil {
			t.Fatal(err)
		}
		var back gapscan.Result
		if err := json.Unmarshal(b.Bytes(), &back); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(r, &back); diff != "" {
			t.Errorf("%s: -written +read\n%s", name, diff)
		}
	}
}

func TestJSONLines(t *testing.T) {
	var b bytes.Buffer
	r := trowel()
	r.Model.File = "peas & <beans>\n.stl"
	for range 3 {
		if err := JSON(&b, r); err != nil {
			t.Fatal(err)
		}
	}
	if n := strings.Count(b.String(), "\n"); n != 3 {
		t.Errorf("%d lines, want 3", n)
	}
	if !strings.Contains(b.String(), `"peas & <beans>\n.stl"`) {
		t.Errorf("the file's name is not as it is: %.200s", b.String())
	}
}

func TestJSONNotFinite(t *testing.T) {
	for field, spoil := range map[string]func(*gapscan.Result){
		"layers[41].margin":      func(r *gapscan.Result) { *r.Layers[41].Margin = math.NaN() },
		"joints[0].at_mm[2]":     func(r *gapscan.Result) { r.Joints[0].AtMM[2] = math.Inf(-1) },
		"reach_mm":               func(r *gapscan.Result) { r.ReachMM = math.Inf(1) },
		"parts[1].size_mm[0]":    func(r *gapscan.Result) { r.Parts[1].SizeMM[0] = math.NaN() },
		"machine.side_mm":        func(r *gapscan.Result) { r.Machine.SideMM = math.NaN() },
		"slots[2].width_mm":      func(r *gapscan.Result) { r.Slots[2].WidthMM = math.NaN() },
		"layers[78].roof_air_mm": func(r *gapscan.Result) { *r.Layers[78].RoofAirMM = math.NaN() },
		"model.turn_deg[1]":      func(r *gapscan.Result) { r.Model.TurnDeg[1] = math.NaN() },
		"layers[3].side_need_mm": func(r *gapscan.Result) { r.Layers[3].SideNeedMM = math.NaN() },
		"p_free":                 func(r *gapscan.Result) { r.PFree = ptr(math.NaN()) },
	} {
		r := snail()
		spoil(r)
		var b bytes.Buffer
		err := JSON(&b, r)
		var bad *NotFiniteError
		if !errors.As(err, &bad) || bad.Field != field {
			t.Errorf("%s: %v", field, err)
		}
		if b.Len() > 0 {
			t.Errorf("%s: %d bytes written all the same", field, b.Len())
		}
	}
}
