package gapscan

import (
	"bytes"
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"testing"

	"playgauge/gapscan/machine"
	"playgauge/mesh"
)

// How far what is the same model, stored in another way, may differ, mm and
// margin. A move rounds float32 coordinates anew, by 4e-6 mm at 50 mm from the
// origin; a turn moves the pieces that a weld is summed over, and lets another
// of equally long facets decide what is nearest.
const (
	gapKept    = 2e-5
	marginKept = 2e-4
)

// TestRealModelsStoredOtherwise: turned about z, moved, with their triangles
// in another order and written as text, the models keep their outcome, their
// joints and their gaps.
func TestRealModelsStoredOtherwise(t *testing.T) {
	if os.Getenv("PLAYGAUGE_LONG") == "" {
		t.Skip("PLAYGAUGE_LONG is not set: every model five times takes long")
	}
	for _, file := range modelFiles(t) {
		t.Run(filepath.Base(file), func(t *testing.T) {
			data, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			soup, err := mesh.ReadSTL(bytes.NewReader(data))
			if err != nil {
				t.Fatal(err)
			}
			want := vetSoup(t, soup, AsIs())
			turned := AsIs()
			turned.TurnDeg[2] = 37
			sameAnswer(t, "turned", want, vetSoup(t, soup, turned))
			sameAnswer(t, "moved", want, vetSoup(t, moved(soup, 13.7, -5.3, 2.9), AsIs()))
			sameAnswer(t, "shuffled", want, vetSoup(t, inOtherOrder(soup), AsIs()))
			text, err := mesh.ReadSTL(bytes.NewReader(asText(soup)))
			if err != nil {
				t.Fatal(err)
			}
			got := vetSoup(t, text, AsIs())
			got.Model.Format = want.Model.Format
			if a, b := asJSON(t, want), asJSON(t, got); !bytes.Equal(a, b) {
				t.Error("written as text and read back, the answer has other bytes")
			}
		})
	}
}

func vetSoup(t *testing.T, s *mesh.Soup, w WhatIf) *Result {
	t.Helper()
	r, err := Vet(s, w, machine.BuiltIn())
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func moved(s *mesh.Soup, by ...float32) *mesh.Soup {
	out := &mesh.Soup{Format: s.Format, XYZ: slices.Clone(s.XYZ)}
	for i := range out.XYZ {
		out.XYZ[i] += by[i%3]
	}
	return out
}

func inOtherOrder(s *mesh.Soup) *mesh.Soup {
	out := &mesh.Soup{Format: s.Format}
	for _, i := range rand.New(rand.NewPCG(1, 2)).Perm(s.Triangles()) {
		out.XYZ = append(out.XYZ, s.XYZ[9*i:9*i+9]...)
	}
	return out
}

func asText(s *mesh.Soup) []byte {
	var b bytes.Buffer
	b.WriteString("solid model\n")
	for i := 0; i < len(s.XYZ); i += 9 {
		b.WriteString("facet normal 0 0 0\nouter loop\n")
		for k := i; k < i+9; k += 3 {
			fmt.Fprintf(&b, "vertex %v %v %v\n", s.XYZ[k], s.XYZ[k+1], s.XYZ[k+2])
		}
		b.WriteString("endloop\nendfacet\n")
	}
	b.WriteString("endsolid model\n")
	return b.Bytes()
}

func asJSON(t *testing.T, r *Result) []byte {
	t.Helper()
	b, err := json.Marshal(r)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// sameAnswer compares what does not hang on names: parts of equal volume may
// change their ids when they change places.
func sameAnswer(t *testing.T, how string, want, got *Result) {
	t.Helper()
	if got.Outcome != want.Outcome || len(got.Parts) != len(want.Parts) || len(got.Joints) != len(want.Joints) || got.PrintedParts != want.PrintedParts || len(got.Layers) != len(want.Layers) {
		t.Errorf("%s: %s, %d parts, %d joints, %d pieces, %d layers; want %s, %d, %d, %d, %d", how,
			got.Outcome, len(got.Parts), len(got.Joints), got.PrintedParts, len(got.Layers),
			want.Outcome, len(want.Parts), len(want.Joints), want.PrintedParts, len(want.Layers))
		return
	}
	by := func(a, b Joint) int { return cmp.Compare(a.TrueGapMM, b.TrueGapMM) }
	a, b := slices.SortedFunc(slices.Values(want.Joints), by), slices.SortedFunc(slices.Values(got.Joints), by)
	for i := range a {
		if !near2(a[i].TrueGapMM, b[i].TrueGapMM, gapKept) {
			t.Errorf("%s: true gap %v, want %v", how, b[i].TrueGapMM, a[i].TrueGapMM)
		}
	}
	outcomes := map[Outcome]int{}
	for i := range a {
		if a[i].Outcome != nil {
			outcomes[*a[i].Outcome]++
		}
		if b[i].Outcome != nil {
			outcomes[*b[i].Outcome]--
		}
	}
	for o, n := range outcomes {
		if n != 0 {
			t.Errorf("%s: %d more joints that come out %s", how, -n, o)
		}
	}
	for i := range want.Layers {
		v, w := &want.Layers[i], &got.Layers[i]
		atReach := func(p *float64) bool { return p == nil || near2(*p, want.ReachMM, gapKept) }
		if !nearOrNil(v.SideGapMM, w.SideGapMM, gapKept) && !(atReach(v.SideGapMM) && atReach(w.SideGapMM)) {
			t.Errorf("%s: layer %d: side gap %v, want %v", how, i+1, deref(w.SideGapMM), deref(v.SideGapMM))
		}
		if !nearOrNil(v.Margin, w.Margin, marginKept) {
			t.Errorf("%s: layer %d: margin %v, want %v", how, i+1, deref(w.Margin), deref(v.Margin))
		}
	}
	if !nearOrNil(want.Demands.SideMM, got.Demands.SideMM, gapKept) || !nearOrNil(want.Demands.RoofMM, got.Demands.RoofMM, gapKept) || !nearOrNil(want.Demands.BottomMM, got.Demands.BottomMM, gapKept) {
		t.Errorf("%s: demands %+v, want %+v", how, got.Demands, want.Demands)
	}
}

func nearOrNil(a, b *float64, tol float64) bool {
	return a == nil && b == nil || a != nil && b != nil && math.Abs(*a-*b) <= tol
}
