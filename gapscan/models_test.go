package gapscan

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/slice"
)

// modelsEnv names the folder of real models that some tests run over.
const modelsEnv = "PLAYGAUGE_MODELS"

func modelFiles(t testing.TB) []string {
	t.Helper()
	dir := os.Getenv(modelsEnv)
	if dir == "" {
		t.Skip(modelsEnv + " names no folder of models")
	}
	files, err := filepath.Glob(filepath.Join(dir, "*.stl"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no models in %s", dir)
	}
	return files
}

// vetFile is the whole way from a file to its result.
func vetFile(t testing.TB, file string) *Result {
	t.Helper()
	data, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	return vetBytes(t, data)
}

func vetBytes(t testing.TB, data []byte) *Result {
	t.Helper()
	soup, err := mesh.ReadSTL(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	m, err := mesh.Build(soup, mesh.Placement{})
	if err != nil {
		t.Fatal(err)
	}
	plan, err := slice.NewPlan(0.2, 0.2, m.Box.Max.Z)
	if err != nil {
		t.Fatal(err)
	}
	return Scan(m, slice.Cut(m, plan), machine.BuiltIn(), Options{})
}

func TestRealModels(t *testing.T) {
	// What is known of them, from the notes that came with the models. Gaps
	// there were sampled; these are the surfaces' own.
	checks := map[string]func(t *testing.T, r *Result){
		"five-pins.stl": func(t *testing.T, r *Result) {
			if len(r.Parts) != 6 || len(r.Joints) != 5 {
				t.Fatalf("%d parts and %d joints, want a block and 5 pins", len(r.Parts), len(r.Joints))
			}
			var gaps []float64
			for _, j := range r.Joints {
				if j.Parts[0] != 1 {
					t.Errorf("a joint of parts %v, want the block in each", j.Parts)
				}
				gaps = append(gaps, j.TrueGapMM)
			}
			slices.Sort(gaps)
			for i, want := range []float64{0.186, 0.286, 0.386, 0.486, 0.586} {
				if !near2(gaps[i], want, 0.002) {
					t.Errorf("true gap %v, want %v", gaps[i], want)
				}
			}
		},
		"hinged-cubes-16.stl": func(t *testing.T, r *Result) {
			if len(r.Parts) != 8 {
				t.Errorf("%d parts, want 8", len(r.Parts))
			}
			wantLeastTrueGap(t, r, 0.0435, 0.001)
		},
		"overlapping-shells.stl": func(t *testing.T, r *Result) {
			if len(r.Parts) != 2 {
				t.Errorf("%d parts, want 2", len(r.Parts))
			}
			wantLeastTrueGap(t, r, 0.0897, 0.001)
		},
		"knot-on-plate-ascii.stl": func(t *testing.T, r *Result) {
			if len(r.Parts) != 1 || len(r.Joints) != 0 || r.Outcome != NoJoint || r.FirstBadLayer != nil {
				t.Errorf("%d parts, %d joints, %q; want one part and no joint", len(r.Parts), len(r.Joints), r.Outcome)
			}
		},
		"flexi-body-open-edges.stl": func(t *testing.T, r *Result) {
			if r.Mesh.OpenEdges != 16 || r.Mesh.Watertight {
				t.Errorf("%d open edges, want 16", r.Mesh.OpenEdges)
			}
			if !slices.ContainsFunc(r.Mesh.Warnings, func(w string) bool { return strings.Contains(w, "16") }) {
				t.Errorf("no warning tells of the 16 open edges: %q", r.Mesh.Warnings)
			}
		},
	}
	seen := 0
	for _, file := range modelFiles(t) {
		name := filepath.Base(file)
		if checks[name] != nil {
			seen++
		}
		t.Run(name, func(t *testing.T) {
			r := vetFile(t, file)
			wantSound(t, r)
			if check := checks[name]; check != nil {
				check(t, r)
			}
		})
	}
	if seen != len(checks) {
		t.Errorf("%d of the %d models that something is known of are there", seen, len(checks))
	}
}

func wantLeastTrueGap(t *testing.T, r *Result, want, tol float64) {
	t.Helper()
	if len(r.Joints) == 0 {
		t.Fatal("no joint")
	}
	least := r.Joints[0].TrueGapMM
	for _, j := range r.Joints {
		least = min(least, j.TrueGapMM)
	}
	if !near2(least, want, tol) {
		t.Errorf("the smallest true gap is %v, want %v", least, want)
	}
}

// wantSound checks what holds of every result.
func wantSound(t *testing.T, r *Result) {
	t.Helper()
	data, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	for _, list := range []string{"warnings", "defaults", "parts", "layers", "joints", "overhangs", "slots", "cautions"} {
		if bytes.Contains(data, []byte(`"`+list+`":null`)) {
			t.Errorf("the list %q is null", list)
		}
	}
	if len(r.Layers) != r.Plan.Layers {
		t.Errorf("%d layers are told of, %d planned", len(r.Layers), r.Plan.Layers)
	}
	bad := 0
	var least *float64
	for i, l := range r.Layers {
		if l.Layer != i+1 {
			t.Fatalf("layer %d stands in place %d", l.Layer, i+1)
		}
		all := l.Margin != nil
		if (l.Outcome != nil) != all || (l.Cause != nil) != all || (l.AtMM != nil) != all || (l.GapMM != nil) != all || (l.NeedMM != nil) != all || (l.EndsMM != nil) != all || (l.EndsLayers != nil) != all || (len(l.Parts) == 2) != all || (l.SideGapMM != nil) != (l.SideEndsMM != nil) {
			t.Errorf("layer %d is told of in part only: %+v", i+1, l)
		}
		if l.SideGapMM != nil && (*l.SideGapMM > r.ReachMM || *l.Margin > *l.SideGapMM/l.SideNeedMM+1e-5) {
			t.Errorf("layer %d: a side gap of %v, a margin of %v", i+1, *l.SideGapMM, *l.Margin)
		}
		if all {
			if short(*l.Outcome) && bad == 0 {
				bad = i + 1
			}
			if least == nil || *l.Margin < *least {
				least = l.Margin
			}
		}
	}
	if (r.FirstBadLayer != nil) != (bad > 0) || bad > 0 && *r.FirstBadLayer != bad {
		t.Errorf("first bad layer %v, want %d", deref(r.FirstBadLayer), bad)
	}
	ids := map[int]bool{}
	for i, j := range r.Joints {
		ids[j.ID] = true
		if j.Parts[0] >= j.Parts[1] || j.TrueGapMM > r.ReachMM {
			t.Errorf("joint %d: %+v", j.ID, j)
		}
		if j.SideGapMM != nil && *j.SideGapMM < j.TrueGapMM-1e-4 {
			t.Errorf("joint %d: a side gap of %v and a true gap of %v", j.ID, *j.SideGapMM, j.TrueGapMM)
		}
		if j.RoofGapMM != nil && *j.RoofGapMM < j.TrueGapMM-1e-5 {
			t.Errorf("joint %d: a roof gap of %v and a true gap of %v", j.ID, *j.RoofGapMM, j.TrueGapMM)
		}
		if i == 0 {
			continue
		}
		if before := r.Joints[i-1]; before.Margin == nil && j.Margin != nil || before.Margin != nil && j.Margin != nil && severity(before) == severity(j) && *before.Margin > *j.Margin+10*tie || before.Margin != nil && j.Margin != nil && severity(before) > severity(j) {
			t.Errorf("joint %d stands before %d", before.ID, j.ID)
		}
	}
	for id := 1; id <= len(r.Joints); id++ {
		if !ids[id] {
			t.Errorf("no joint %d of %d", id, len(r.Joints))
		}
	}
	want := NoJoint
	if len(r.Joints) > 0 && r.Joints[0].Outcome != nil {
		want = *r.Joints[0].Outcome
		if least == nil || !near2(*least, *r.Joints[0].Margin, 1e-6) {
			t.Errorf("the tightest layer has %v, the worst joint %v", deref(least), *r.Joints[0].Margin)
		}
	}
	if r.Outcome != want {
		t.Errorf("outcome %q, the worst joint's is %q", r.Outcome, want)
	}
}

func severity(j Joint) int { return j.Outcome.severity() }
