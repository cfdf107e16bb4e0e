package report

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"playgauge/gapscan"
	"playgauge/gapscan/batch"
)

func matrixText(t testing.TB, m *Matrix, s Style) string {
	t.Helper()
	var b bytes.Buffer
	if err := MatrixText(&b, m, s); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// cell is a model on a machine. A bad outcome is in layer 7.
func cell(o gapscan.Outcome, pFree float64, side float64) batch.Cell {
	c := batch.Cell{Outcome: o, Demands: gapscan.Demands{SideMM: ptr(side)}, Parts: []int{}, PartCount: 1, Layers: 40, SizeMM: [3]float64{60, 40, 8}}
	if o == gapscan.NoJoint {
		c.Demands = gapscan.Demands{}
		return c
	}
	c.Joints, c.PartCount, c.Margin, c.Cause, c.Parts = 1, 2, ptr(1.3), ptr(gapscan.CauseSide), []int{1, 2}
	if pFree >= 0 {
		c.PFree = &pFree
	}
	if bad(o) {
		c.Bad, c.FirstBadLayer, c.Margin = 1, ptr(7), ptr(0.5)
	}
	return c
}

// garden is a folder of downloads on three machines, two of them with trials.
func gardenMatrix() *Matrix {
	loft := shed
	loft.Name = "loft"
	attic := untested
	attic.Name = "attic, 0.6 nozzle"
	m := &Matrix{Machines: []gapscan.MachineUsed{shed, loft, attic}, WhatIf: gapscan.AsIs()}
	add := func(name string, cells ...batch.Cell) {
		m.Rows = append(m.Rows, batch.Row{Name: "downloads/" + name, Cells: cells})
	}
	m.Rows = []batch.Row{{Name: "downloads/half a snail.stl", Err: errors.New("the file ends within triangle 12")}}
	add("bee-hive.stl", cell(gapscan.Welds, 0.004, 0.1), cell(gapscan.Welds, 0.04, 0.1), cell(gapscan.Welds, -1, 0.1))
	add("a garden gate hinge that somebody named at length (final).stl", cell(gapscan.Welds, 0.2, 0.2), cell(gapscan.Sticks, 0.42, 0.2), cell(gapscan.Welds, -1, 0.2))
	add("more/pea-chain.stl", cell(gapscan.Close, 0.871, 0.35), cell(gapscan.Free, 0.97, 0.35), cell(gapscan.Sticks, -1, 0.35))
	add("snail.stl", cell(gapscan.Free, 0.999, 0.5), cell(gapscan.Free, 0.9999, 0.5), cell(gapscan.Free, -1, 0.5))
	add("trowel.stl", cell(gapscan.NoJoint, -1, 0), cell(gapscan.NoJoint, -1, 0), cell(gapscan.NoJoint, -1, 0))
	for k := range m.Machines {
		m.Rows[3].Cells[k].Demands.RoofMM, m.Rows[3].Cells[k].Demands.RoofAir = ptr(0.4), ptr(2)
		m.Rows[3].Cells[k].Demands.BridgeMM = ptr(12.3)
		m.Rows[4].Cells[k].SmallParts = 1
		m.Rows[4].Cells[k].Unmeasured = 3
	}
	return m
}

func TestMatrixGolden(t *testing.T) {
	goldenText(t, "matrix", matrixText(t, gardenMatrix(), Style{}))
	one := gardenMatrix()
	one.Machines = one.Machines[:1]
	for i := range one.Rows {
		one.Rows[i].Cells = one.Rows[i].Cells[:min(1, len(one.Rows[i].Cells))]
	}
	one.WhatIf.Scale, one.WhatIf.FirstMM = [3]float64{1.5, 1.5, 1.5}, 0.28
	goldenText(t, "matrix-one", matrixText(t, one, Style{}))
}

func TestMatrixSays(t *testing.T) {
	m := gardenMatrix()
	says(t, "all", matrixText(t, m, Style{}), []string{
		"6 models in downloads on 3 machines, worst first: 1 free or close on all 3, 1 on some, 2 on none, 1 without a joint, 1 not vetted.",
		"half a snail.stl not vetted: the file ends within triangle 12",
		"bee-hive.stl welds <1 7 welds 4 7 welds 7",
		"snail.stl free* >99 free* >99 free*",
		"more/pea-chain.stl 0.35 0.40 2 12.3",
		"shed 1 free, 1 close, 2 welds, 1 no joint",
		"* as far as it could be measured",
		"1 model has a part that fits, or nearly, the small-parts gauge",
		"Rests on machine attic, 0.6 nozzle, untested: the built-in cautious limits",
		"A calculation, not a promise.",
	}, []string{"differs by machine", "slope"})
	m.Rows[1].Cells[2].Demands.SideMM = ptr(0.3)
	says(t, "demands", matrixText(t, m, Style{}), []string{"What a model asks differs by machine (bottom layers, overhang, trim); it is told of shed."}, nil)
	// Without chances and bad layers there are no columns for them.
	plain := &Matrix{Machines: m.Machines[:2], WhatIf: m.WhatIf, Rows: []batch.Row{{Name: "a/snail.stl", Cells: []batch.Cell{cell(gapscan.Free, -1, 0.6), cell(gapscan.Free, -1, 0.6)}}}}
	says(t, "plain", matrixText(t, plain, Style{}), []string{"1 model in a on 2 machines: 1 free or close on both.", "model outcome outcome side snail.stl free free 0.60"}, []string{"/100", "layer:", "worst first", "differs"})
	plain.WhatIf.Units, plain.WhatIf.TurnDeg, plain.WhatIf.Flow, plain.WhatIf.TrimMM = "inch", [3]float64{90, 0, 0}, 0.95, 0.1
	says(t, "what-if", matrixText(t, plain, Style{}), []string{"; files read as inch; turned by 90,0,0 degrees; bottom layers trimmed by 0.1 mm a side; flow 0.95. A"}, nil)
}

// However wide and whatever the names: lines fit, each model and each machine
// is told of once in each block, and colour adds nothing but colour.
func TestMatrixFits(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		m := &Matrix{WhatIf: gapscan.AsIs()}
		machines := rapid.IntRange(1, 7).Draw(rt, "machines")
		for k := range machines {
			used := shed
			used.Name = fmt.Sprintf("machine%d", k)
			m.Machines = append(m.Machines, used)
		}
		models := rapid.IntRange(1, 9).Draw(rt, "models")
		for i := range models {
			r := batch.Row{Name: fmt.Sprintf("f/%dé%s.stl", i, strings.Repeat("n", rapid.IntRange(0, 30).Draw(rt, "length")))}
			if rapid.IntRange(0, 5).Draw(rt, "broken") == 0 {
				r.Err = errors.New("broken")
			} else {
				for range machines {
					o := rapid.SampledFrom([]gapscan.Outcome{gapscan.Free, gapscan.Close, gapscan.Sticks, gapscan.Welds, gapscan.NoJoint}).Draw(rt, "outcome")
					r.Cells = append(r.Cells, cell(o, rapid.SampledFrom([]float64{-1, 0.5}).Draw(rt, "p"), 0.3))
				}
			}
			m.Rows = append(m.Rows, r)
		}
		width := rapid.IntRange(60, 110).Draw(rt, "width")
		got := matrixText(t, m, Style{Width: width})
		blocks := 0
		for line := range strings.Lines(got) {
			line = strings.TrimSuffix(line, "\n")
			if n := utf8.RuneCountInString(line); n > width {
				rt.Fatalf("%d characters of %d: %s\n%s", n, width, line, got)
			}
			if strings.HasSuffix(line, " ") || strings.ContainsRune(line, '\u00a0') {
				rt.Fatalf("%q", line)
			}
			if strings.HasPrefix(line, "model ") {
				blocks++
			}
		}
		table, _, _ := strings.Cut(got, "Rests on")
		table, _, _ = strings.Cut(table, "What a model asks differs")
		for i := range m.Rows {
			want := blocks
			if m.Rows[i].Err != nil {
				want = 1
			}
			if n := strings.Count(table, fmt.Sprintf("\n%dé", i)); n != want {
				rt.Fatalf("model %d is told of %d times in %d blocks\n%s", i, n, blocks, got)
			}
		}
		head := 1 // once over its column; where there are several, once in the tally
		if machines > 1 && strings.Contains(table, "outcome") && slices.ContainsFunc(m.Rows, func(r batch.Row) bool { return r.Err == nil }) {
			head = 2
		}
		for k := range machines {
			if n := strings.Count(table[strings.Index(table, "\n\n"):], fmt.Sprintf("machine%d", k)); n != head {
				rt.Fatalf("machine %d is named %d times\n%s", k, n, got)
			}
		}
		colored := matrixText(t, m, Style{Width: width, Color: true})
		if escapes.ReplaceAllString(colored, "") != got {
			rt.Fatalf("colour changes the text\n%s", colored)
		}
	})
}

// What is written as CSV is read back as it was, whatever a file is called.
func TestMatrixCSV(t *testing.T) {
	m := gardenMatrix()
	m.Rows[1].Name = "downloads/a \"bee\", and\r\na hive.stl"
	m.Rows[0].Err = errors.New("broken, \"wholly\"")
	var b bytes.Buffer
	if err := MatrixCSV(&b, m); err != nil {
		t.Fatal(err)
	}
	if n := strings.Count(b.String(), "\n"); n != strings.Count(b.String(), "\r\n") {
		t.Error("RFC 4180, 2.1: records end with CRLF")
	}
	records, err := csv.NewReader(&b).ReadAll()
	if err != nil || len(records) != 1+1+5*3 {
		t.Fatalf("%d records, %v", len(records), err)
	}
	at := func(record int, name string) string { return records[record][slices.Index(records[0], name)] }
	if !slices.Equal(records[0], matrixColumns) || at(1, "model") != "downloads/half a snail.stl" || at(1, "machine") != "" || at(1, "error") != "broken, \"wholly\"" {
		t.Errorf("%q", records[:2])
	}
	for i, r := range m.Rows[1:] {
		for k := range r.Cells {
			c, n := &r.Cells[k], 2+3*i+k
			number := func(name string, want *float64) {
				t.Helper()
				if want == nil && at(n, name) == "" {
					return
				}
				if f, err := strconv.ParseFloat(at(n, name), 64); err != nil || want == nil || f != *want {
					t.Errorf("record %d: %s is %q", n, name, at(n, name))
				}
			}
			// The reader makes one line break of another (encoding/csv).
			if at(n, "model") != strings.ReplaceAll(r.Name, "\r\n", "\n") || at(n, "machine") != m.Machines[k].Name || at(n, "outcome") != string(c.Outcome) ||
				at(n, "first_bad_layer") != whole(c.FirstBadLayer) || at(n, "parts") != strconv.Itoa(c.PartCount) || at(n, "machine_tested") != fmt.Sprint(m.Machines[k].Tested) || at(n, "error") != "" {
				t.Errorf("record %d: %q", n, records[n])
			}
			number("p_free", c.PFree)
			number("margin", c.Margin)
			number("asks_side_mm", c.Demands.SideMM)
			number("asks_bridge_mm", c.Demands.BridgeMM)
			number("size_y_mm", &c.SizeMM[1])
		}
	}
}
