package gapscan

import (
	"archive/zip"
	"bufio"
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/shape/garden"
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
// in another order, written as text and as a 3MF file of two items, the models keep their outcome, their
// joints and their gaps.
func TestRealModelsStoredOtherwise(t *testing.T) {
	if os.Getenv("PLAYGAUGE_LONG") == "" {
		t.Skip("PLAYGAUGE_LONG is not set: every model six times takes long")
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
			sameStoredOtherwise(t, soup)
		})
	}
}

// TestToysStoredOtherwise does the same with two small models.
func TestToysStoredOtherwise(t *testing.T) {
	for _, md := range garden.Models() {
		if md.File == "gate-hinge-bottom-spreads.stl" || md.File == "snail.stl" {
			t.Run(md.File, func(t *testing.T) { sameStoredOtherwise(t, md.Build().Soup()) })
		}
	}
}

func sameStoredOtherwise(t *testing.T, soup *mesh.Soup) {
	t.Helper()
	want := vetSoup(t, soup, AsIs())
	turned := AsIs()
	turned.TurnDeg[2] = 37
	sameAnswer(t, "turned", want, vetSoup(t, soup, turned))
	sameAnswer(t, "moved", want, vetSoup(t, moved(soup, 13.7, -5.3, 2.9), AsIs()))
	sameAnswer(t, "shuffled", want, vetSoup(t, inOtherOrder(soup), AsIs()))
	items := vetSoup(t, readBack(t, asTwoItems(t, soup)), AsIs())
	if items.Model.Format != "3mf" {
		t.Errorf("read as %q, want 3mf", items.Model.Format)
	}
	sameAnswer(t, "as a 3MF file of two items", want, items)
	got := vetSoup(t, readBack(t, asText(soup)), AsIs())
	got.Model.Format = want.Model.Format
	if a, b := asJSON(t, want), asJSON(t, got); !bytes.Equal(a, b) {
		t.Error("written as text and read back, the answer has other bytes")
	}
}

// readBack reads the one model in a file.
func readBack(t *testing.T, data []byte) *mesh.Soup {
	t.Helper()
	found, err := mesh.Open(bytes.NewReader(data), int64(len(data)))
	if err != nil || len(found) != 1 {
		t.Fatalf("%d models, error %v", len(found), err)
	}
	s, err := found[0].Read()
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// asTwoItems is a 3MF file whose first item has the triangles of every second
// thousand, and whose second has the others, drawn half a turn about z away
// and turned back by its transform: all numbers stay exact.
func asTwoItems(t *testing.T, s *mesh.Soup) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	entry := func(name string) io.Writer {
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		return w
	}
	fmt.Fprint(entry("_rels/.rels"), `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">`+
		`<Relationship Target="/3D/3dmodel.model" Id="r0" Type="http://schemas.microsoft.com/3dmanufacturing/2013/01/3dmodel"/></Relationships>`)
	w := bufio.NewWriter(entry("3D/3dmodel.model"))
	fmt.Fprint(w, `<model unit="millimeter" xmlns="http://schemas.microsoft.com/3dmanufacturing/core/2015/02"><resources>`)
	for item := range 2 {
		var triangles strings.Builder
		fmt.Fprintf(w, `<object id="%d" type="model"><mesh><vertices>`, item+1)
		n, sign := 0, 1-2*float32(item)
		for i := range s.Triangles() {
			if i/1000%2 != item {
				continue
			}
			for k := 9 * i; k < 9*i+9; k += 3 {
				fmt.Fprintf(w, `<vertex x="%v" y="%v" z="%v"/>`, sign*s.XYZ[k], sign*s.XYZ[k+1], s.XYZ[k+2])
			}
			fmt.Fprintf(&triangles, `<triangle v1="%d" v2="%d" v3="%d"/>`, n, n+1, n+2)
			n += 3
		}
		fmt.Fprintf(w, `</vertices><triangles>%s</triangles></mesh></object>`, triangles.String())
	}
	fmt.Fprint(w, `</resources><build><item objectid="1"/><item objectid="2" transform="-1 0 0 0 -1 0 0 0 1 0 0 0"/></build></model>`)
	if err := errors.Join(w.Flush(), z.Close()); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
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
