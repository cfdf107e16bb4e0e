package report

import (
	"fmt"
	"image"
	"image/color"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/gapscan"
)

// fewMargins has a layer for each colour of the strip.
func fewMargins(n int) *gapscan.Result {
	r := toy("trellis.stl", shed, n)
	part(r, 9, 9, 2)
	for i := range n {
		near(r, i, 2.1*float64(i)/float64(n)*r.Layers[i].SideNeedMM, 1, 2)
	}
	return r
}

// No strip has more colours than a byte counts, also one with every margin.
func TestStripColors(t *testing.T) {
	all := strips()
	all["every margin"] = fewMargins(3000)
	for name, r := range all {
		pic, err := drawStrip(r)
		if err != nil {
			t.Fatal(err)
		}
		if n := len(pic.Palette); n >= mostColors {
			t.Errorf("%s has %d colours: some may be others than meant", name, n)
		}
	}
	pic, err := drawStrip(fewMargins(3000))
	if err != nil {
		t.Fatal(err)
	}
	if n := len(pic.Palette); n < 2*colorSteps {
		t.Errorf("every margin makes but %d colours: the check sees too little", n)
	}
}

// Every margin's colour on the strip is that of the ramp, but for a step.
func TestStripColorSteps(t *testing.T) {
	for k := range 3001 {
		m := float64(k) / 1000
		if got, want := stripColor(m), rampColor(m); !alike(got, want) {
			t.Errorf("margin %g is %v, want %v", m, got, want)
		}
		if got, want := stripPale(m), paleColor(m); m < needMargin && !alike(got, want) {
			t.Errorf("margin %g is %v pale, want %v", m, got, want)
		}
	}
}

// What is drawn in few colours is what is drawn in full, but for the steps of
// its edges, also where it hangs over the side.
func TestFewColorsAsFull(t *testing.T) {
	p, err := newPens()
	if err != nil {
		t.Fatal(err)
	}
	size := image.Rect(0, 0, 300, 120)
	full, few := image.NewRGBA(size), newFewColors(size)
	canvas{fullColor{full}}.paint(size, paper)
	for _, c := range []canvas{{fullColor{full}}, {few}} {
		c.fill(20, 30, 120, 140, hair)
		c.fill(-5, -5, 15, 9, ink)
		c.fill(400, 400, 500, 500, ink)
		c.area([][]r2.Vec{{{X: 90, Y: 10.4}, {X: 330, Y: 50}, {X: 130.5, Y: 125}}}, bandInk)
		c.line([]r2.Vec{{X: -20, Y: 100}, {X: 100, Y: 20}, {X: 290, Y: 118}}, false, 3.5, faint)
		c.text(p.words, -8, 60, ink, "gate and hinge")
		c.text(p.label, 230, 12, faint, "fence, shed")
	}
	const step = 255/mixSteps + 1
	worst := ""
	for y := range size.Dy() {
		for x := range size.Dx() {
			a, b := full.RGBAAt(x, y), color.RGBAModel.Convert(few.At(x, y)).(color.RGBA)
			for _, d := range []int{int(a.R) - int(b.R), int(a.G) - int(b.G), int(a.B) - int(b.B), int(a.A) - int(b.A)} {
				if d > step || d < -step {
					worst = fmt.Sprintf("%v at %d, %d, not %v", b, x, y, a)
				}
			}
		}
	}
	if worst != "" {
		t.Error(worst)
	}
}

// Where the colours run out, the nearest is taken.
func TestFewColorsRunOut(t *testing.T) {
	s := newFewColors(image.Rect(0, 0, 16, 32))
	for i := range 500 {
		s.paint(image.Rect(i%16, i/16, i%16+1, i/16+1), color.RGBA{uint8(i / 2), 0, uint8(i % 2), 255})
	}
	if len(s.Palette) != mostColors {
		t.Fatalf("%d colours", len(s.Palette))
	}
	if got, want := s.At(0, 0), (color.RGBA{0, 0, 0, 255}); got != want {
		t.Errorf("the first colour became %v", got)
	}
	last := s.At(499%16, 499/16).(color.RGBA)
	if last.R < 120 || last.G != 0 {
		t.Errorf("a colour beyond the last is %v", last)
	}
}
