package report

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"playgauge/gapscan"
)

func strip(t testing.TB, r *gapscan.Result) *image.RGBA {
	t.Helper()
	var b bytes.Buffer
	if err := Strip(&b, r); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	if img.Bounds() != image.Rect(0, 0, stripWidth, stripHeight+len(stripMarks(r))*markRow) {
		t.Fatalf("the picture is %v", img.Bounds())
	}
	return rgba(img)
}

func rgba(img image.Image) *image.RGBA {
	c := image.NewRGBA(img.Bounds())
	draw.Draw(c, c.Rect, img, c.Rect.Min, draw.Src)
	return c
}

// strips is what the golden pictures and the checks over all pictures show.
func strips() map[string]*gapscan.Result {
	touching := gateHinge(300, shed, 0)
	for i := 130; i < 150; i++ {
		near(touching, i, 0, 1, 2)
	}
	touching.Joints[0].GapMM, touching.Joints[0].WorstLayer = ptr(0.0), ptr(131)
	foreign := gateHinge(30, shed, 0.3)
	foreign.Model.File = "toys/" + strings.Repeat("very long gate hinge ", 20) + "花园的门.stl"
	foreign.Machine.Name = strings.Repeat("the printer in the shed behind the beans ", 3)
	foreign.Machine.Defaults = []string{"roof_mm", "bottom_mm"}
	last := toy("sundial.stl", untested, 300)
	part(last, 9, 9, 9)
	near(last, 299, 0.1, 1, 2)
	joint(last, 1, 2, 300, gapscan.CauseSide, 0.1, 0.4)
	firstBad(last)
	barn := gateHinge(120, shed, 0.25)
	barn.Machine.TrimMM, barn.Machine.BottomMM = 0.05, 0.35
	barn.Machine.Defaults = []string{"roof_mm"}
	return map[string]*gapscan.Result{
		"layers-30":     gateHinge(30, shed, 0.21),
		"layers-300":    gateHinge(300, untested, 0.12),
		"layers-3000":   gateHinge(3000, shed, 0.1),
		"layers-1":      gateHinge(1, shed, 0.1),
		"roof":          snail(),
		"touching":      touching,
		"long-names":    foreign,
		"last-layer":    last,
		"one-part":      trowel(),
		"parts-apart":   bees(),
		"no-layers":     gallery()["nothing"],
		"layers-100000": toy("vine.stl", shed, 100_000),
		"marks-30":      dovecote(30),
		"marks-3000":    dovecote(3000),
		"barn":          barn,
	}
}

// goldenStrips are the ones kept as pictures.
var goldenStrips = []string{"layers-30", "layers-300", "layers-3000", "long-names", "parts-apart", "marks-30", "marks-3000"}

// How far a picture may be from the one kept: processors may round a colour
// apart by a step, but no letter may move.
const (
	sameColor   = 6  // steps of 255 that count as the same
	otherPixels = 20 // pixels that may differ by more
)

// compare says in what two pictures differ, "" if in nothing that matters.
func compare(got, want *image.RGBA) string {
	if got.Rect != want.Rect {
		return fmt.Sprintf("%v, not %v", got.Rect, want.Rect)
	}
	other, first := 0, image.Point{}
	for i := 0; i < len(got.Pix); i += 4 {
		for k := range 4 {
			if d := int(got.Pix[i+k]) - int(want.Pix[i+k]); d > sameColor || d < -sameColor {
				if other == 0 {
					first = image.Pt(i%got.Stride/4, i/got.Stride)
				}
				other++
				break
			}
		}
	}
	if other > otherPixels {
		return fmt.Sprintf("%d pixels differ, the first at %v", other, first)
	}
	return ""
}

func TestStripGolden(t *testing.T) {
	all := strips()
	for _, name := range goldenStrips {
		t.Run(name, func(t *testing.T) { goldenPicture(t, name, strip(t, all[name])) })
	}
}

// goldenPicture holds a picture against the one that is kept.
func goldenPicture(t *testing.T, name string, got *image.RGBA) {
	t.Helper()
	file := filepath.Join("testdata", name+".png")
	if *update {
		var b bytes.Buffer
		if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&b, got); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	if diff := compare(got, rgba(img)); diff != "" {
		t.Errorf("%s; -update draws it anew", diff)
	}
}

// One layer that is a little wider is another picture.
func TestStripCompareSees(t *testing.T) {
	a, b := gateHinge(30, shed, 0.21), gateHinge(30, shed, 0.21)
	*b.Layers[20].Margin += 0.05
	if compare(strip(t, a), strip(t, b)) == "" {
		t.Error("a column that changed goes unseen")
	}
	b = gateHinge(30, shed, 0.21)
	b.Model.File = "garden/gate-binge.stl"
	if compare(strip(t, a), strip(t, b)) == "" {
		t.Error("a letter that changed goes unseen")
	}
}

// Nothing is drawn in the border, so nothing is cut.
func TestStripStaysInside(t *testing.T) {
	const clear = 8
pictures:
	for name, r := range strips() {
		img := strip(t, r)
		inside := img.Rect.Inset(clear)
		for y := range img.Rect.Dy() {
			for x := range stripWidth {
				if !image.Pt(x, y).In(inside) && img.RGBAAt(x, y) != paper {
					t.Errorf("%s: ink at %d, %d", name, x, y)
					continue pictures
				}
			}
		}
	}
}

// A pixel shows the tightest of the layers that fall on it: against a count
// of its own, over all layers for each pixel, by exact fractions.
func TestStripShowsTheTightest(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 2))
	for _, n := range []int{1, 2, 29, 400, 1209, 1210, 1211, 3000, 9999} {
		width := min(plotRight-plotLeft, widestColumn*n)
		layers := make([]gapscan.Layer, n)
		for i := range layers {
			if rng.IntN(3) > 0 {
				layers[i].Margin = ptr(3 * rng.Float64())
			}
		}
		got, err := stripColumns(layers, width)
		if err != nil {
			t.Fatal(err)
		}
		for x := range got {
			want := math.NaN()
			for i, l := range layers {
				// Layer i begins at pixel i*width/n: on x where x <= i*width/n < x+1,
				// and it covers x where it began before and the next begins after.
				begins := i*width >= x*n && i*width < (x+1)*n
				covers := i*width < (x+1)*n && (i+1)*width >= (x+1)*n
				if l.Margin != nil && (begins || covers) && !(want <= *l.Margin) {
					want = *l.Margin
				}
			}
			if got[x] != want && !(math.IsNaN(got[x]) && math.IsNaN(want)) {
				t.Fatalf("%d layers, pixel %d: %v, want %v", n, x, got[x], want)
			}
		}
	}
}

// The height tells the margin without the colour, and blank is paper.
func TestStripColumns(t *testing.T) {
	r := toy("rake.stl", shed, 10)
	part(r, 9, 9, 2)
	margins := []float64{0, 0.5, 0.99, 1.1, 1.3, 1.9, 2, 7}
	for i, m := range margins {
		near(r, i+1, m*r.Layers[i+1].SideNeedMM, 1, 2)
	}
	img := strip(t, r)
	width := widestColumn * len(r.Layers)
	at := func(i int) int { return plotLeft + columnAt(i, 10, width) + widestColumn/4 }
	for i, m := range margins {
		x, y := at(i+1), groundLine-1
		if got := img.RGBAAt(x, marginLine(m)+1); !alike(got, rampColor(m)) && m != 0.99 { // that is under the need's line
			t.Errorf("margin %g is %v, want %v", m, got, rampColor(m))
		}
		foot := rampColor(m)
		if m < 1 {
			foot = paleColor(m)
		}
		if got := img.RGBAAt(x, y); !alike(got, foot) {
			t.Errorf("margin %g stands on %v, want %v", m, got, foot)
		}
		for y > wordsLine && img.RGBAAt(x, y-1) != paper || isLine(y-1) {
			y--
		}
		if d := y - marginLine(m); d < -3 || d > 3 {
			t.Errorf("margin %g reaches up to %d, want %d", m, y, marginLine(m))
		}
	}
	for _, blank := range []int{0, 9} {
		for y := touchLine; y < groundLine; y++ {
			if c := img.RGBAAt(at(blank), y); c != paper && !isLine(y) {
				t.Errorf("the blank layer %d has %v at %d", blank+1, c, y)
				break
			}
		}
	}
	if a, b := marginLine(0.999), marginLine(needMargin); a > b {
		t.Errorf("a margin short of the need ends at %d, below the need at %d", a, b)
	}
}

// alike says that two colours differ by no more than the strip's steps, which
// no eye tells apart.
func alike(a, b color.RGBA) bool {
	const step = 3 // of 255
	for _, d := range []int{int(a.R) - int(b.R), int(a.G) - int(b.G), int(a.B) - int(b.B)} {
		if d > step || d < -step {
			return false
		}
	}
	return true
}

// isLine tells the rows that the need's lines run over.
func isLine(y int) bool {
	n := marginLine(needMargin)
	return y >= n-2 && y < n+2 || y == marginLine(freeMargin)
}

func TestStripWords(t *testing.T) {
	for name, want := range map[string]string{
		"layers-300": "layer 2, z 0.4 mm, the worst: side gap 0.14 of 0.40 mm, parts 1 and 2",
		"roof":       "layer 79, z 15.8 mm, the worst: roof gap (vertical) 0.20 of 0.40 mm, parts 1 and 2",
		"touching":   "layer 131, z 26.2 mm, the worst: side gap 0.00 of 0.30 mm, parts 1 and 2",
		"long-names": "layer 1, z 0.2 mm, the worst: bottom gap 0.42 of 0.45 mm, parts 1 and 2",
	} {
		r := strips()[name]
		if got := unglued(worstWords(r, worstLayer(r))); got != want {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
	r := snail()
	r.Joints = nil
	if got := unglued(worstWords(r, 78)); !strings.Contains(got, "0.20 of 0.40") {
		t.Errorf("without the joint: %q", got)
	}
	r.Layers[78].Cause = ptr(gapscan.CauseSlope)
	if got := unglued(worstWords(r, 78)); !strings.Contains(got, "slope 0.50 of its need") {
		t.Errorf("without any gap: %q", got)
	}
}

func TestStripRepeats(t *testing.T) {
	var a, b bytes.Buffer
	r := gateHinge(300, shed, 0.2)
	if err := errors.Join(Strip(&a, r), Strip(&b, r)); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same result made two pictures")
	}
}

func TestStripNotFinite(t *testing.T) {
	r := snail()
	*r.Layers[50].Margin = math.NaN()
	var b bytes.Buffer
	var bad *NotFiniteError
	if err := Strip(&b, r); !errors.As(err, &bad) || bad.Field != "layers[50].margin" || b.Len() > 0 {
		t.Errorf("%v, %d bytes", err, b.Len())
	}
}

func TestFit(t *testing.T) {
	p, err := newPens()
	if err != nil {
		t.Fatal(err)
	}
	if got := p.label.fit("gate.stl", 500); got != "gate.stl" {
		t.Error(got)
	}
	got := p.label.fit(strings.Repeat("bean ", 5000)+"pole.stl", 300)
	if !strings.HasPrefix(got, "bean ") || !strings.Contains(got, "…") || !strings.HasSuffix(got, "pole.stl") || p.label.width(got) > 300 || p.label.width(got) < 270 {
		t.Errorf("%q is %d pixels", got, p.label.width(got))
	}
	for in, want := range map[string]string{"Gießkanne": "Gießkanne", "забор": "забор", "花.stl": "?.stl", "花园的门.stl": "?….stl"} {
		if got := p.label.legible(in); got != want {
			t.Errorf("%q is shown as %q, want %q", in, got, want)
		}
	}
}

// A label's ink must be readable on the paper: a contrast of 4.5 is what
// WCAG 2 asks of body text (success criterion 1.4.3).
func TestInkContrast(t *testing.T) {
	luminance := func(c color.RGBA) float64 {
		return 0.2126*decode(c.R) + 0.7152*decode(c.G) + 0.0722*decode(c.B)
	}
	for _, c := range []color.RGBA{ink, faint} {
		if r := (luminance(paper) + 0.05) / (luminance(c) + 0.05); r < 4.5 {
			t.Errorf("%v: %.1f", c, r)
		}
	}
}

func BenchmarkStrip(b *testing.B) {
	for _, n := range []int{30, 300, 3000} {
		r := gateHinge(n, shed, 0.2)
		b.Run(fmt.Sprintf("layers=%d", n), func(b *testing.B) {
			var out bytes.Buffer
			for b.Loop() {
				out.Reset()
				if err := Strip(&out, r); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(out.Len()), "bytes/png")
		})
	}
}

func BenchmarkJSON(b *testing.B) {
	for _, n := range []int{300, 3000} {
		r := gateHinge(n, shed, 0.2)
		b.Run(fmt.Sprintf("layers=%d", n), func(b *testing.B) {
			var out bytes.Buffer
			for b.Loop() {
				out.Reset()
				if err := JSON(&out, r); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// TestGallery keeps every strip as a picture, to be looked at, in the folder
// that PLAYGAUGE_GALLERY names.
func TestGallery(t *testing.T) {
	folder := os.Getenv("PLAYGAUGE_GALLERY")
	if folder == "" {
		t.Skip("PLAYGAUGE_GALLERY names no folder to draw into")
	}
	for name, r := range strips() {
		var b bytes.Buffer
		if err := Strip(&b, r); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(folder, name+".png"), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
