package report

import (
	"bytes"
	"image/png"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/gapscan/practice"
	"playgauge/mesh/shape/garden"
)

func sheetText(t testing.TB, r *gapscan.Result) string {
	t.Helper()
	var b bytes.Buffer
	if err := Sheet(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// words is a text without its line breaks.
func words(s string) string { return strings.Join(strings.Fields(s), " ") }

func TestSheet(t *testing.T) {
	for _, m := range garden.Models() {
		w := gapscan.AsIs()
		w.FirstMM, w.Scale = 0.28, [3]float64{0.8, 0.8, 0.8}
		w.InsetMM, w.TrimMM, w.LiftMM = 0.02, 0.1, -0.05
		r, err := gapscan.Vet(m.Build().Soup(), w, machine.BuiltIn())
		if err != nil {
			t.Fatal(err)
		}
		r.Model.File = m.File
		got := sheetText(t, r)
		if !strings.HasPrefix(got, SheetHead+m.File+"\n"+string(r.Outcome)) {
			t.Errorf("%s begins with %q", m.File, got[:60])
		}
		for line := range strings.Lines(got) {
			if n := utf8.RuneCountInString(strings.TrimRight(line, "\n")); n > defaultWidth {
				t.Errorf("%s: %d characters: %s", m.File, n, line)
			}
		}
		if strings.Contains(got, nbsp) {
			t.Errorf("%s: a space that is none in:\n%s", m.File, got)
		}
		flat := words(got)
		for _, want := range []string{
			"layers of 0.2 mm, the first 0.28", "scaled by 0.8", "as in the file", "side 0.40, roof (vertical) 0.40 mm; reckoned: bottom 0.40 mm (the side need, being more); bridge 10 mm, nozzle 0.4 mm, PLA",
			"trim 0.1 mm off each side of the bottom layer ", "printed shifted down by 0.05 mm against the layers, walls inset by 0.02 mm",
			"No support, brim or raft in a gap", "Let it cool on the bed first", "Never lever by a thin part", "Wear eye protection", "A calculation, not a promise.", "playgauge coupon",
		} {
			if !strings.Contains(flat, want) {
				t.Errorf("%s: no %q in:\n%s", m.File, want, got)
			}
		}
		if n := r.FirstBadLayer; n != nil && !strings.Contains(flat, words(layerAt(r, *n))+" the first bad layer") {
			t.Errorf("%s: the first bad layer, %d, is not there:\n%s", m.File, *n, got)
		}
		if w := r.Joints[0].WorstLayer; !strings.Contains(flat, words(layerAt(r, *w))) {
			t.Errorf("%s: the worst layer, %d, is not there:\n%s", m.File, *w, got)
		}
	}
}

// The joints are freed from the loosest to the worst.
func TestFreeingOrder(t *testing.T) {
	r := &gapscan.Result{Parts: make([]gapscan.Part, 5)}
	for i, o := range []gapscan.Outcome{gapscan.Welds, gapscan.Sticks, gapscan.Close, gapscan.Free} {
		r.Joints = append(r.Joints, gapscan.Joint{ID: i + 1, Parts: [2]int{i + 1, i + 2}, Outcome: &o})
	}
	r.Joints = append(r.Joints, gapscan.Joint{ID: 5, Parts: [2]int{1, 5}}) // nothing to judge
	var got []string
	for _, row := range sheetFreeing(r) {
		got = append(got, words(row.label+": "+row.text))
	}
	want := []string{"parts 4 and 5: should move by finger", "parts 3 and 4: should move; work it gently",
		"parts 2 and 3: cracks free by hand", "parts 1 and 2: welded, most likely: last, or not at all"}
	if !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
}

// Of many joints the tightest are listed, and the looser ones are told before.
func TestFreeingOrderOfMany(t *testing.T) {
	free, welds := gapscan.Free, gapscan.Welds
	r := &gapscan.Result{Parts: make([]gapscan.Part, 41)}
	for i := range 40 {
		r.Joints = append(r.Joints, gapscan.Joint{ID: i + 1, Parts: [2]int{i + 1, i + 2}, Outcome: &free})
	}
	r.Joints[0].Outcome = &welds
	rows := sheetFreeing(r)
	if first := words(rows[0].label + ": " + rows[0].text); first != "28 others: looser ones, before these" {
		t.Errorf("first %q", first)
	}
	if first, last := words(rows[1].label), words(rows[len(rows)-1].label); len(rows) != 13 || first != "parts 12 and 13" || last != "parts 1 and 2" {
		t.Errorf("%d rows, from %q to %q, want the 12 tightest, the worst last", len(rows), first, last)
	}
}

// What to heed is that of the model's own risks, and of its cautions, each
// once; what was done already is not advised.
func TestSheetPractice(t *testing.T) {
	joint := func(o gapscan.Outcome, c gapscan.Cause) gapscan.Joint {
		return gapscan.Joint{Outcome: &o, Cause: &c}
	}
	told := []string{sheetAsItLies, sheetKeepLayers, sheetLessFlow, sheetTrim, sheetBridge, sheetMidAir, sheetLiesDown, sheetFilament, sheetBed}
	for _, tc := range []struct {
		name string
		r    gapscan.Result
		want []string
		by   []gapscan.Cause
	}{
		{"roof", gapscan.Result{Joints: []gapscan.Joint{joint(gapscan.Welds, gapscan.CauseRoof), joint(gapscan.Free, gapscan.CauseSide)}},
			[]string{sheetAsItLies, sheetKeepLayers}, []gapscan.Cause{gapscan.CauseRoof}},
		{"free", gapscan.Result{Joints: []gapscan.Joint{joint(gapscan.Free, gapscan.CauseBottom)}},
			[]string{sheetAsItLies, sheetTrim}, []gapscan.Cause{gapscan.CauseBottom}},
		{"two", gapscan.Result{Joints: []gapscan.Joint{joint(gapscan.Sticks, gapscan.CauseSide), joint(gapscan.Sticks, gapscan.CauseBottom), joint(gapscan.Close, gapscan.CauseSide)}},
			[]string{sheetAsItLies, sheetLessFlow, sheetTrim}, []gapscan.Cause{gapscan.CauseSide, gapscan.CauseBottom}},
		{"done", gapscan.Result{Joints: []gapscan.Joint{joint(gapscan.Sticks, gapscan.CauseSide), joint(gapscan.Sticks, gapscan.CauseBottom)},
			Adjusted: &gapscan.Adjusted{Flow: 0.95}, Machine: gapscan.MachineUsed{TrimMM: 0.1, Material: "ABS"}},
			[]string{sheetAsItLies}, []gapscan.Cause{gapscan.CauseSide, gapscan.CauseBottom}},
		{"none", gapscan.Result{Cautions: []gapscan.Caution{{Kind: "mid-air"}, {Kind: "bridge"}, {Kind: "bed"}, {Kind: "bed"}}},
			[]string{sheetAsItLies, sheetMidAir, sheetBridge, sheetBed}, nil},
		{"tested", gapscan.Result{Machine: gapscan.MachineUsed{Tested: true}, Cautions: []gapscan.Caution{{Kind: "lies down"}, {Kind: "cantilever"}}},
			[]string{sheetFilament, sheetLiesDown, sheetBridge}, nil},
	} {
		got := sheetPractice(&tc.r)
		for _, s := range told {
			if slices.Contains(got, s) != slices.Contains(tc.want, s) {
				t.Errorf("%s: %q is told: %v", tc.name, s, slices.Contains(got, s))
			}
		}
		rest := slices.DeleteFunc(slices.Clone(got), func(s string) bool { return slices.Contains(told, s) })
		if want := practice.Against(tc.by, tc.r.Machine.Material); !slices.Equal(rest, want) {
			t.Errorf("%s: practice %q, want %q", tc.name, rest, want)
		}
		if n := len(got); len(slices.Compact(slices.Sorted(slices.Values(got)))) != n {
			t.Errorf("%s: something is told twice in %q", tc.name, got)
		}
	}
}

// The picture is A4 upright and holds ink to its last line; a name that
// steers or never ends does no harm, and where there is more to say it grows.
func TestSheetPicture(t *testing.T) {
	r, err := gapscan.Vet(garden.Models()[1].Build().Soup(), gapscan.AsIs(), machine.BuiltIn())
	if err != nil {
		t.Fatal(err)
	}
	size := func(r *gapscan.Result) (int, int) {
		var b bytes.Buffer
		if err := SheetPicture(&b, r); err != nil {
			t.Fatal(err)
		}
		img, err := png.Decode(&b)
		if err != nil {
			t.Fatal(err)
		}
		return img.Bounds().Dx(), img.Bounds().Dy()
	}
	// 210 x 297 mm, ISO 216.
	if w, h := size(r); w != 1654 || h != 2339 || w*297/210 != h {
		t.Errorf("%d x %d pixels", w, h)
	}
	r.Model.File = "\x1b[31m" + strings.Repeat("ä long name ", 200)
	for range 60 {
		r.Cautions = append(r.Cautions, gapscan.Caution{Kind: "other", Text: strings.Repeat("word ", 400)})
	}
	if _, h := size(r); h <= 2339 {
		t.Errorf("%d pixels tall with more to say", h)
	}
	if strings.Contains(sheetText(t, r), "\x1b") {
		t.Error("a name steers the terminal")
	}
}

// Joints of which the same is to be said at the same layer stand in one row,
// whatever their welds look like; another layer is another row.
func TestSheetTightestPlaces(t *testing.T) {
	r := trowel()
	layer := func(n int) *int { return &n }
	joint := func(a, b, n int, form string) gapscan.Joint {
		return gapscan.Joint{Parts: [2]int{a, b}, Outcome: ptr(gapscan.Sticks), Cause: ptr(gapscan.CauseSide),
			GapMM: ptr(0.2), NeedMM: ptr(0.3), WorstLayer: layer(n), WeldForm: &form, WeldMM2: ptr(1.0)}
	}
	r.Joints = []gapscan.Joint{joint(1, 2, 5, "line"), joint(1, 3, 5, "spot"), joint(2, 3, 5, "line"), joint(3, 4, 6, "line")}
	var got [][]int
	for _, g := range tightestPlaces(r) {
		var parts []int
		for _, j := range g {
			parts = append(parts, j.Parts[0], j.Parts[1])
		}
		got = append(got, parts)
	}
	if want := [][]int{{1, 2, 1, 3, 2, 3}, {3, 4}}; !slices.EqualFunc(got, want, slices.Equal) {
		t.Errorf("rows of parts %v, want %v", got, want)
	}
}

// A layer is named once however much there is to see at it, and parts of which
// the same is to be said stand together.
func TestSheetLayersOnce(t *testing.T) {
	seven := 7
	var lies []gapscan.Overhang
	for _, part := range []int{2, 1} {
		lies = append(lies, gapscan.Overhang{Part: part, Kind: midAirKind, Layers: [2]int{7, 8}})
	}
	r := gapscan.Result{Outcome: gapscan.Sticks, FirstBadLayer: &seven, Overhangs: lies, Layers: make([]gapscan.Layer, 9)}
	rows := sheetWatch(&r)
	if len(rows) != 2 || !strings.Contains(rows[0].text, "first bad layer") || flat(rows[1].text) != "parts 1 and 2 begin in mid-air" {
		t.Fatalf("rows are %q", rows)
	}
	if rows[0].label == "" || strings.TrimSpace(flat(rows[1].label)) != "" {
		t.Errorf("the layer is named %q, then %q", rows[0].label, rows[1].label)
	}
}

// What is most likely to weld is not printed before a change was looked for,
// and what sticks is told of where something is expected to.
func TestSheetBeginsWithTheVerdict(t *testing.T) {
	for _, tc := range []struct {
		outcome gapscan.Outcome
		not     bool
		head    string
	}{
		{gapscan.Free, false, "Should one stick"},
		{gapscan.Close, false, "Should one stick"},
		{gapscan.Sticks, false, "What sticks"},
		{gapscan.Welds, true, "What sticks"},
	} {
		out := tc.outcome
		s := newSheet(&gapscan.Result{Outcome: out, Joints: []gapscan.Joint{{Parts: [2]int{1, 2}, Outcome: &out}}})
		var before string
		var heads []string
		for _, sec := range s.sections {
			heads = append(heads, sec.head)
			if sec.head == "Before you start" {
				before = sec.rows[0].text
			}
		}
		if got := strings.HasPrefix(before, "Not yet"); got != tc.not {
			t.Errorf("%s: the sheet begins %q", out, before)
		}
		if !slices.Contains(heads, tc.head) {
			t.Errorf("%s: headings %q, want %q among them", out, heads, tc.head)
		}
	}
}

// Of many parts, which would fill the sheet, it is told how many they are.
func TestSheetNamesFewParts(t *testing.T) {
	var few []int
	for part := range mostNamed {
		few = append(few, part+1)
	}
	if got, want := partsDo(few, "begins", "begin"), "parts"+nbsp+numbers(few)+" begin"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	if got, want := flat(partsDo(append(few, 99), "begins", "begin")), "13 parts begin"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
