package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"playgauge/gapscan"
	"playgauge/gapscan/remedy"
	"playgauge/mesh/shape/garden"
)

// output runs the program and gives what it prints.
func output(t *testing.T, most int, args ...string) []byte {
	t.Helper()
	var out, errs bytes.Buffer
	if code := run(args, strings.NewReader(""), &out, &errs); code > most {
		t.Fatalf("%s exits %d: %s", args, code, &errs)
	}
	return out.Bytes()
}

// rowsHold asks for remedies, and vets every change by its flags, behind the
// flags of the call: what is told of it has to come out.
func rowsHold(t *testing.T, file string, flags ...string) int {
	t.Helper()
	var r remedy.Result
	if err := json.Unmarshal(output(t, statusBad, append([]string{"remedy", file, "--json"}, flags...)...), &r); err != nil {
		t.Fatal(err)
	}
	for _, c := range r.Changes {
		call := append(append([]string{"vet", file, "--json"}, flags...), c.Flags...)
		var v gapscan.Result
		if err := json.Unmarshal(output(t, statusBad, call...), &v); err != nil {
			t.Fatal(err)
		}
		if len(v.Joints) == 0 || v.Outcome != c.Outcome || v.Plan.Layers != c.Layers || v.Model.SizeMM != c.SizeMM || *v.Joints[0].Margin != c.Tightest.Margin {
			t.Errorf("%s: %q is told to come out %s, %d layers, %v, margin %v; %s says %s, %d layers, %v", file, c.Change, c.Outcome, c.Layers, c.SizeMM, c.Tightest.Margin, call, v.Outcome, v.Plan.Layers, v.Model.SizeMM)
		}
	}
	return len(r.Changes)
}

// Every row of the demo's models that fail is reproduced by its flags; of one
// of them always, of all and of the real models where long tests are asked for.
func TestRemedyRowsAreReproduced(t *testing.T) {
	dir := t.TempDir()
	always := []string{"gate-hinge-bottom-spreads.stl"}
	seen := 0
	for _, m := range garden.Models() {
		known := slices.Index(always, m.File) >= 0
		if !known && os.Getenv("PLAYGAUGE_LONG") == "" {
			continue
		}
		file := filepath.Join(dir, m.File)
		if err := writeModel(file, m.Build()); err != nil {
			t.Fatal(err)
		}
		if n := rowsHold(t, file); known {
			if seen++; n == 0 {
				t.Errorf("%s: nothing helps", m.File)
			}
		}
	}
	if seen != len(always) {
		t.Errorf("%d of %q are in the demo", seen, always)
	}
	if os.Getenv("PLAYGAUGE_LONG") == "" {
		return
	}
	files, err := filepath.Glob(filepath.Join(os.Getenv("PLAYGAUGE_MODELS"), "*.stl"))
	if err != nil {
		t.Fatal(err)
	}
	for _, file := range files {
		if os.Getenv("PLAYGAUGE_MODELS") != "" {
			rowsHold(t, file)
		}
	}
}

// The flags of a row hold behind others too, also where a row takes back what
// they say.
func TestRemedyRowsBehindOtherFlags(t *testing.T) {
	file := filepath.Join(t.TempDir(), "posts.stl")
	if err := writeModel(file, posts(0.3)); err != nil {
		t.Fatal(err)
	}
	for _, flags := range [][]string{
		{"--layers=0.28"}, {"--scale=1.1"}, {"--flow=0.95", "--trim=0.05"}, {"--inset=0.02", "--reach=1.5"}, {"--turn=180,0,0", "--lift=0.01"},
	} {
		if rowsHold(t, file, flags...) == 0 {
			t.Errorf("%s: nothing helps", flags)
		}
	}
	var r remedy.Result
	if err := json.Unmarshal(output(t, statusOK, "remedy", file, "--json", "--layers=0.28"), &r); err != nil {
		t.Fatal(err)
	}
	if r.Schema != remedy.Schema || r.Model.File != "posts.stl" || r.Changes == nil || r.Refused == nil || len(r.Practice) == 0 || r.StandsInTheWay != nil {
		t.Errorf("the answer is %+v", r)
	}
}
