package report

import (
	"bytes"
	"errors"
	"image"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"playgauge/gapscan/machine"
)

// gapTrial is one trial of a coupon that was never printed.
func gapTrial(f machine.Family, mm float64, r machine.Result) machine.Trial {
	return machine.Trial{Family: f, GapMM: mm, Result: r, LayerHeightMM: 0.2}
}

// letters makes trials of one gap: f, s and w.
func letters(f machine.Family, mm float64, results string) []machine.Trial {
	var out []machine.Trial
	for _, c := range results {
		r := map[rune]machine.Result{'f': machine.CameFree, 's': machine.Stuck, 'w': machine.Welded}[c]
		out = append(out, gapTrial(f, mm, r))
	}
	return out
}

func bridge(mm, sag float64) machine.Trial {
	return machine.Trial{Family: machine.FamilyBridge, SpanMM: mm, SagMM: sag, LayerHeightMM: 0.2}
}

func tried(name string, trials ...[]machine.Trial) machine.Machine {
	mc := machine.BuiltIn()
	mc.Name = name
	for _, t := range trials {
		mc.Trials = append(mc.Trials, t...)
	}
	mc.Learned = machine.Learn(mc.Trials)
	return mc
}

// machines is what the golden pictures of curves and the checks over all of
// them show.
func machines() map[string]machine.Machine {
	side, bottom, roof := machine.FamilySide, machine.FamilyBottom, machine.FamilyRoof
	full := func() machine.Machine {
		return tried("shed",
			letters(side, 0.15, "wwww"), letters(side, 0.2, "wwss"), letters(side, 0.25, "sfff"), letters(side, 0.3, "ffff"), letters(side, 0.4, "ff"), letters(side, 0.6, "ff"),
			letters(bottom, 0.2, "ww"), letters(bottom, 0.3, "wf"), letters(bottom, 0.4, "sf"), letters(bottom, 0.5, "ff"), letters(bottom, 0.6, "ff"),
			letters(roof, 0.2, "sw"), letters(roof, 0.4, "ff"), letters(roof, 0.6, "ff"),
			[]machine.Trial{bridge(10, 0), bridge(20, 0.1), bridge(30, 0.2), bridge(40, 0.5)})
	}
	hand := full()
	hand.Tested.SideMM, hand.Tested.BottomMM, hand.TrimMM = ptr(0.25), ptr(0.6), 0.05
	many := tried("pot shed")
	for i := range 90 {
		mm := 0.12 + float64(i%45)*0.006
		r := "f"
		if i%45 < 10 || i%7 == 0 && i%45 < 25 {
			r = "ws"[i%2 : i%2+1]
		}
		many.Trials = append(many.Trials, letters(side, mm, r)...)
	}
	many.Trials = append(many.Trials, letters(side, 4, "ff")...)
	return map[string]machine.Machine{
		"curve-full":  full(),
		"curve-hand":  hand,
		"curve-many":  many,
		"curve-few":   tried("a very long name for the old printer behind the beans 花园的门", letters(side, 0.3, "f"), letters(roof, 0.6, "w")),
		"curve-none":  tried("new"),
		"curve-shut":  tried("barn", letters(side, 0.3, "ww"), letters(side, 0.4, "ww"), letters(side, 0.5, "ws")),
		"curve-decks": tried("decks", []machine.Trial{bridge(10, 0.3), bridge(20, 2)}),
	}
}

// goldenCurves are the ones kept as pictures, goldenCurveTexts as texts.
var (
	goldenCurves     = []string{"curve-hand", "curve-few"}
	goldenCurveTexts = []string{"curve-hand", "curve-many", "curve-few", "curve-shut", "curve-decks"}
)

func curve(t testing.TB, mc machine.Machine) *image.RGBA {
	t.Helper()
	var b bytes.Buffer
	if err := Curve(&b, mc); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	return rgba(img)
}

func curveText(t testing.TB, mc machine.Machine, s Style) string {
	t.Helper()
	var b strings.Builder
	if err := CurveText(&b, mc, s); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestCurveGolden(t *testing.T) {
	all := machines()
	for _, name := range goldenCurves {
		t.Run(name, func(t *testing.T) { goldenPicture(t, name, curve(t, all[name])) })
	}
}

func TestCurveTextGolden(t *testing.T) {
	all := machines()
	for _, name := range goldenCurveTexts {
		t.Run(name, func(t *testing.T) { goldenText(t, name, curveText(t, all[name], Style{})) })
	}
}

// One more trial is another picture and another text.
func TestCurveSeesOneTrial(t *testing.T) {
	a, b := machines()["curve-full"], machines()["curve-full"]
	b.Trials = append(b.Trials, letters(machine.FamilyRoof, 0.4, "s")...)
	if compare(curve(t, a), curve(t, b)) == "" {
		t.Error("a trial more goes unseen")
	}
	if curveText(t, a, Style{}) == curveText(t, b, Style{}) {
		t.Error("a trial more goes unseen in the text")
	}
}

func TestCurveRepeats(t *testing.T) {
	var a, b bytes.Buffer
	mc := machines()["curve-full"]
	if err := errors.Join(Curve(&a, mc), Curve(&b, mc)); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same machine made two pictures")
	}
}

// The order in which trials were recorded does not matter.
func TestCurveForgetsOrder(t *testing.T) {
	a, b := machines()["curve-full"], machines()["curve-full"]
	b.Trials = slices.Clone(b.Trials)
	slices.Reverse(b.Trials)
	if diff := compare(curve(t, a), curve(t, b)); diff != "" {
		t.Error(diff)
	}
	if curveText(t, a, Style{}) != curveText(t, b, Style{}) {
		t.Error("another order made another text")
	}
}

// Nothing is drawn in the border, so nothing is cut.
func TestCurveStaysInside(t *testing.T) {
	const clear = 8
pictures:
	for name, mc := range machines() {
		img := curve(t, mc)
		inside := img.Rect.Inset(clear)
		for y := range img.Rect.Dy() {
			for x := range img.Rect.Dx() {
				if !image.Pt(x, y).In(inside) && img.RGBAAt(x, y) != paper {
					t.Errorf("%s: ink at %d, %d", name, x, y)
					continue pictures
				}
			}
		}
	}
}

// The curve runs through the chances: the plot is found in the picture by its
// ground, and the dark line above each gap is at the height of its chance.
func TestCurveRunsThroughTheChances(t *testing.T) {
	mc := tried("bean", letters(machine.FamilySide, 0.2, "ww"), letters(machine.FamilySide, 0.3, "fwf"), letters(machine.FamilySide, 0.4, "ff"))
	img := curve(t, mc)
	c := curvesOf(mc).families[0]
	low := 0
	for y := range img.Rect.Dy() { // the first line that is ink throughout
		whole := true
		for x := plotLeft; x < plotRight && whole; x += 7 {
			whole = img.RGBAAt(x, y) == ink
		}
		if whole {
			low = y
			break
		}
	}
	if low == 0 {
		t.Fatal("no ground")
	}
	post, _ := mc.Posterior(machine.FamilySide)
	for _, g := range []float64{0.15, 0.25, 0.3} {
		x := int(math.Round(across(g, c.hi)))
		if math.Abs(g-c.found.MM)*1000 < 5 {
			t.Fatalf("%g is under the line of the need", g)
		}
		mean, _, _ := post.PFree(g)
		sum, n := 0, 0
		for y := low - panelPlot - 2; y < low-1; y++ {
			if img.RGBAAt(x, y) == ink {
				sum, n = sum+y, n+1
			}
		}
		if n == 0 {
			t.Errorf("no curve over %g", g)
			continue
		}
		if got := float64(low-sum/n) / panelPlot; math.Abs(got-mean) > 0.012 {
			t.Errorf("the curve over %g is at %.3f, want %.3f", g, got, mean)
		}
	}
}

// No trial hides another, none is lost, and each stands over its own gap.
func TestScatter(t *testing.T) {
	for name, mc := range machines() {
		for _, c := range curvesOf(mc).families {
			shown := c.beyond()
			for _, free := range []bool{true, false} {
				s := scatter(c.trials, c.hi, free)
				shown += len(s.at) + s.left
				for i, a := range s.at {
					if (a.trial.Result == machine.CameFree) != free || a.row >= s.rows {
						t.Errorf("%s: %+v", name, a)
					}
					for _, b := range s.at[:i] {
						if a.row == b.row && math.Abs(across(a.trial.Gap, c.hi)-across(b.trial.Gap, c.hi)) < 2*markHalf {
							t.Errorf("%s: %+v hides %+v", name, a, b)
						}
					}
				}
			}
			if shown != len(c.trials) {
				t.Errorf("%s, %s: %d of %d trials", name, c.name, shown, len(c.trials))
			}
		}
	}
	s := scatter(make([]machine.Outcome, mostRows+3), 1, false)
	if s.rows != mostRows || s.left != 3 {
		t.Errorf("of %d trials of one gap %d found no room", mostRows+3, s.left)
	}
}

// The shapes of trials differ by much of their area, whatever their colour.
func TestTrialShapesDiffer(t *testing.T) {
	const mid = 2 * markHalf
	draw := func(r machine.Result) *image.RGBA {
		img := image.NewRGBA(image.Rect(0, 0, 2*mid, 2*mid))
		c := canvas{fullColor{img}}
		c.fill(0, 0, 2*mid, 2*mid, paper)
		trialShape(r)(c, mid, mid, ink)
		return img
	}
	for _, pair := range [][2]machine.Result{{machine.CameFree, machine.Stuck}, {machine.CameFree, machine.Welded}, {machine.Stuck, machine.Welded}} {
		a, b, differ := draw(pair[0]), draw(pair[1]), 0
		for i := 0; i < len(a.Pix); i += 4 {
			if a.Pix[i] != b.Pix[i] {
				differ++
			}
		}
		if differ < markHalf*markHalf*4/5 {
			t.Errorf("%v differ by %d pixels only", pair, differ)
		}
	}
}

// Lines keep to the width, tell the same with colour and without, and are
// ASCII.
func TestCurveTextLines(t *testing.T) {
	for name, mc := range machines() {
		for _, width := range []int{0, 40, 52, 80, 120} {
			s := curveText(t, mc, Style{Width: width})
			most := width
			if most == 0 {
				most = defaultWidth
			}
			for line := range strings.Lines(s) {
				if line = strings.TrimRight(line, "\n"); shown(line) > most {
					t.Errorf("%s, %d columns: %q", name, width, line)
				}
				if line != strings.TrimRight(line, " ") {
					t.Errorf("%s: spaces at the end of %q", name, line)
				}
			}
			if i := strings.IndexFunc(s, func(c rune) bool { return c > '~' }); i >= 0 {
				t.Errorf("%s: not ASCII: %q", name, s[i:])
			}
			colored := curveText(t, mc, Style{Width: width, Color: true})
			if got := regexp.MustCompile("\x1b\\[[0-9;]*m").ReplaceAllString(colored, ""); got != s || colored == s && s != "" {
				t.Errorf("%s: with colour it says something else", name)
			}
		}
	}
}

// Each trial has its letter in the row of its gap.
func TestCurveTextRows(t *testing.T) {
	mc := tried("bean", letters(machine.FamilySide, 0.2, "ww"), letters(machine.FamilySide, 0.3, "sfw"), letters(machine.FamilySide, 0.404, "ff"))
	want := map[string]string{"0.20": "ww", "0.30": "fsw", "0.40": "ff"}
	for line := range strings.Lines(curveText(t, mc, Style{})) {
		f := strings.Fields(line)
		if len(f) < 3 || !strings.HasPrefix(f[0], "0.") {
			continue
		}
		last := f[len(f)-1]
		if strings.Trim(last, "fsw") != "" {
			last = ""
		}
		if last != want[f[0]] {
			t.Errorf("%q, want %q", line, want[f[0]])
		}
		delete(want, f[0])
	}
	if len(want) > 0 {
		t.Errorf("no row for %v", want)
	}
}

// A trial that a machine file could not hold is left out.
func TestCurveLeavesOutWhatCannotBe(t *testing.T) {
	mc := tried("bean", []machine.Trial{{Family: machine.FamilySide, GapMM: 0.2}, {Family: machine.FamilyBridge, SpanMM: 20, SagMM: 1}})
	if s := curveText(t, mc, Style{}); strings.Contains(s, "need") || strings.Contains(s, "span") {
		t.Error(s)
	}
	curve(t, mc)
}

// TestCurveGallery keeps every curve as a picture, to be looked at, in the
// folder that PLAYGAUGE_GALLERY names.
func TestCurveGallery(t *testing.T) {
	folder := os.Getenv("PLAYGAUGE_GALLERY")
	if folder == "" {
		t.Skip("PLAYGAUGE_GALLERY names no folder to draw into")
	}
	for name, mc := range machines() {
		var b bytes.Buffer
		if err := Curve(&b, mc); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(folder, name+".png"), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func BenchmarkCurve(b *testing.B) {
	for _, name := range []string{"curve-full", "curve-many"} {
		mc := machines()[name]
		b.Run("machine="+name, func(b *testing.B) {
			var out bytes.Buffer
			for b.Loop() {
				out.Reset()
				if err := Curve(&out, mc); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
