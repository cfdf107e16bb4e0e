package report

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"playgauge/gapscan"
)

var update = flag.Bool("update", false, "write the golden files anew")

func text(t testing.TB, r *gapscan.Result, s Style) string {
	t.Helper()
	var b bytes.Buffer
	if err := Text(&b, r, s); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// gallery is what the golden texts and the checks over all texts look at.
func gallery() map[string]*gapscan.Result {
	nothing := toy("empty.stl", shed, 0)
	nothing.Parts, nothing.PrintedParts = []gapscan.Part{}, 0
	return map[string]*gapscan.Result{
		"gate-hinge": gateHinge(48, shed, 0.21),
		"pea-chain":  peaChain(untested, 0.3, 0.32, 0.34, 0.45, 0.45, 0.45, 0.6, 0.6, 0.6, 0.6, 0.6, 0.6),
		"easy-chain": peaChain(shed, 0.4, 0.5, 0.5),
		"near-chain": peaChain(shed, 0.3, 0.31, 0.5),
		"snail":      snail(),
		"trowel":     trowel(),
		"bees":       bees(),
		"fused":      fused(),
		"nothing":    nothing,
		"dovecote":   dovecote(60),
		"try-chain":  tryChain(),
	}
}

func TestTextGolden(t *testing.T) {
	for name, r := range gallery() {
		t.Run(name, func(t *testing.T) { goldenText(t, name, text(t, r, Style{})) })
	}
}

// goldenText holds a text against the one that is kept.
func goldenText(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name+".txt")
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(strings.ReplaceAll(string(want), "\r\n", "\n"), got); diff != "" {
		t.Errorf("-golden +got; -update writes it anew\n%s", diff)
	}
}

// joined undoes the wrapping, for checks on words.
func joined(s string) string { return strings.Join(strings.Fields(s), " ") }

func TestTextSays(t *testing.T) {
	unwarned := fused()
	unwarned.Mesh.Warnings = nil
	lacking := tryChain()
	lacking.PFree, lacking.PFreeLacks = nil, []string{"side", "roof"}
	for _, c := range []struct {
		about string
		r     *gapscan.Result
		want  []string
		not   []string
	}{
		{"a welded joint", peaChain(shed, 0.21, 0.5), []string{
			"^pea-chain.stl: welds - 1 of 2 joints will weld, first at layer 17 ",
			"has 0.21, needs 0.30 mm: 0.09 short",
			"watch layer 17, z 3.4 mm: the first of 9 bad layers layer 21, z 4.2 mm: the worst",
			"layer 21, z 4.2 mm, at x 12.30, y 4.00 mm",
			"model 60 x 24 x 12.2 mm, file read as mm",
			"tested: side 0.30",
		}, []string{"untested", "asks of"}},
		{"an untested machine", peaChain(untested, 0.3), []string{
			"^pea-chain.stl asks of a machine: side gap 0.30 mm, roof gap (vertical) 0.40 mm = 2 air layers, bottom gap 0.30 mm ",
			"On the built-in cautious machine (nothing was tested): welds - its one joint will weld",
		}, nil},
		{"one part", trowel(), []string{"^trowel.stl: no joint; no slot will close - it prints as one part", "untested"}, []string{"free", "joints", "watch"}},
		{"parts apart", bees(), []string{"^bees.stl: no joint; no slot will close - 3 parts, none within 2 mm of another"}, []string{"free", "watch"}},
		{"parts in one piece", fused(), []string{
			"pieces 3 parts print as 2 pieces: parts 1 and 2 are joined from layer 16 on",
			"mesh the mesh is not closed: 16 edges are open", "surface 3 was inside out",
			"file read as inch, scaled by 0.5, turned by 90,0,0 degrees",
			"has 0.449, needs 0.450 mm: just met",
		}, []string{"21 contours"}},
		{"a mesh of which only counts are known", unwarned, []string{
			"mesh 16 open edges: the surface is not closed 1 edge of more than two triangles layers 4 to 44: 21 contours closed across a gap",
		}, nil},
		{"what later measures add", snail(), []string{
			"sticks - its one joint will stick, first at layer 79; expect to crack it free by hand",
			"roof gap (vertical) has 0.20, needs 0.40 mm: 0.20 short, 1 air layer",
			"weld: a spot ", "1 air layer; free in 40 of 100 layer 79",
			"slots part 2: 1 slot will close, from layer 11, z 2.2 mm on, in 2 layers; the narrowest has 0.20, needs 0.30 mm",
			"caution part 2 starts in mid-air",
		}, []string{"overhangs", "pieces", "measured", "mm2", "of 100 prints", "not known"}},
		{"a machine with trials", tryChain(), []string{
			"0.02 short; free in 62 of 100", "0.10 to spare; free in 98 of 100",
			"limits side 0.30 mm: free with 95 % by 20 trials roof (vertical) 0.40 mm: the smallest that came out free in 1 trial bottom 0.45 mm: tested by hand, which wins over the trials: they say 0.50 mm, the smallest",
			"In 60 of 100 prints all 3 joints come out free, taken as independent of each other on this machine.",
		}, []string{"not known", "bridge"}},
		{"limits without trials", peaChain(shed, 0.4, 0.5), []string{"How often it comes out free is not known: no gaps were tried on this machine."}, []string{"of 100", "limits"}},
		{"trials of some gaps", lacking, []string{"not known: there are no trials of the side gap or roof gap (vertical) on this machine."}, []string{"of 100 prints", "were tried"}},
		{"joints beyond the fifth", gallery()["pea-chain"], []string{"and 7 more, 1 close and 6 free"}, nil},
		{"close joints", gallery()["near-chain"], []string{"close - all 3 joints should move, 2 with little to spare", "watch layer 21, z 4.2 mm: the tightest"}, []string{"bad"}},
		{"joints that all weld", peaChain(shed, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1, 0.1), []string{"and 2 more, all welding", "all 7 joints will weld"}, nil},
		{"only free ones beyond", peaChain(shed, 0.2, 0.31, 0.5, 0.5, 0.5), []string{"and 2 more, all free"}, nil},
	} {
		got := joined(text(t, c.r, Style{}))
		for _, want := range c.want {
			if start, ok := strings.CutPrefix(want, "^"); ok {
				if !strings.HasPrefix(got, start) {
					t.Errorf("%s: does not begin %q:\n%s", c.about, start, got)
				}
			} else if !strings.Contains(got, want) {
				t.Errorf("%s: does not say %q:\n%s", c.about, want, got)
			}
		}
		for _, not := range c.not {
			if strings.Contains(got, not) {
				t.Errorf("%s: says %q:\n%s", c.about, not, got)
			}
		}
	}
}

var escapes = regexp.MustCompile("\x1b\\[[0-9;]*m")

func TestTextColor(t *testing.T) {
	for name, r := range gallery() {
		with := text(t, r, Style{Color: true})
		if escapes.ReplaceAllString(with, "") != text(t, r, Style{}) {
			t.Errorf("%s: colour changes the words", name)
		}
		if !strings.Contains(with, "\x1b[") {
			t.Errorf("%s: no colour", name)
		}
		if opened := strings.Count(with, "\x1b[") - strings.Count(with, "\x1b[0m"); opened != strings.Count(with, "\x1b[0m") {
			t.Errorf("%s: a colour is left on", name)
		}
	}
}

func TestTextWidth(t *testing.T) {
	for name, r := range gallery() {
		for _, width := range []int{0, 1, 40, 57, 80, 200} {
			limit := width
			switch {
			case width == 0:
				limit = 80
			case width < 40:
				limit = 40
			}
			for line := range strings.Lines(text(t, r, Style{Width: width})) {
				line = strings.TrimSuffix(line, "\n")
				if utf8.RuneCountInString(line) > limit {
					t.Errorf("%s at %d: %q", name, width, line)
				}
				if strings.TrimRight(line, " ") != line {
					t.Errorf("%s at %d: spaces at the end of %q", name, width, line)
				}
			}
		}
	}
}

// Whatever a file calls itself, a terminal gets nothing but printable
// characters, line ends and our own colours.
func TestTextHostile(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		any := rapid.OneOf(rapid.String(), rapid.Custom(func(t *rapid.T) string {
			return string(rapid.SliceOfN(rapid.Byte(), 0, 20).Draw(t, "bytes"))
		}))
		r := snail()
		r.Model.File = any.Draw(t, "file")
		r.Model.Units = any.Draw(t, "units")
		r.Machine.Name = any.Draw(t, "machine")
		r.Mesh.Warnings = []string{any.Draw(t, "warning")}
		r.Cautions[0].Text = any.Draw(t, "caution")
		r.Joints[0].WeldForm = ptr(any.Draw(t, "form"))
		r.Joints[0].Cause = ptr(gapscan.Cause(any.Draw(t, "cause")))
		r.Outcome = gapscan.Outcome(any.Draw(t, "outcome"))
		var b bytes.Buffer
		if err := Text(&b, r, Style{Color: true}); err != nil {
			t.Fatal(err)
		}
		if !utf8.Valid(b.Bytes()) {
			t.Fatalf("not UTF-8: %q", b.String())
		}
		for _, c := range escapes.ReplaceAllString(b.String(), "") {
			if c != '\n' && !unicode.IsPrint(c) {
				t.Fatalf("%q in %q", c, b.String())
			}
		}
	})
	for in, want := range map[string]string{
		"a\x1b[2Jb":         `a\x1b[2Jb`,
		"a\nb\tc\x00":       `a\nb\tc\x00`,
		"gate\u202elts.stl": `gate\u202elts.stl`,
		"\xff\ufffd":        "\\xff\ufffd",
		"Gießkanne 花.stl":   "Gießkanne 花.stl",
		`C:\toys\gate.stl`:  `C:\toys\gate.stl`,
	} {
		if got := plain(in); got != want {
			t.Errorf("plain(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestNumbers(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{gap(0.3), "0.30"}, {gap(0), "0.00"}, {gap(0.0435), "0.043"}, {gap(0.099), "0.099"}, {gap(12.3), "12.30"},
		{rounded(-0.0001, 2), "0.00"}, {rounded(-0.01, 2), "-0.01"},
		{height(8.2), "8.2"}, {height(8), "8.0"}, {height(0.28), "0.28"}, {height(10), "10.0"},
		{size(40), "40"}, {size(9.6), "9.6"}, {size(12.345), "12.35"}, {size(100), "100"}, {size(0), "0"},
		{difference(0.1), "0.10"}, {difference(0.0012), "0.001"}, {difference(1e-6), "under" + nbsp + "0.0001"},
		{series([]string{"1"}), "1"}, {numbers([]int{1, 2}), "1 and 2"}, {numbers([]int{1, 2, 5}), "1, 2 and 5"},
		{unglued(chanceWords(0.999)), "in over 99 of 100"}, {unglued(chanceWords(0.001)), "in under 1 of 100"}, {unglued(chanceWords(0.5)), "in 50 of 100"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
	if a, b := gapPair(0.2985, 0.3); a != "0.298" && a != "0.299" || b != "0.300" {
		t.Error(a, b)
	}
	if a, b := gapPair(0.3, 0.3); a != "0.30" || b != "0.30" {
		t.Error(a, b)
	}
}
