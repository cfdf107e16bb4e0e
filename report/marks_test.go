package report

import (
	"image"
	"image/color"
	"slices"
	"testing"

	"playgauge/gapscan"
)

// The rows are those of what is there, each at its layers only.
func TestMarks(t *testing.T) {
	at := map[string][]int{}
	for _, row := range stripMarks(dovecote(60)) {
		for i, m := range row.marked {
			if m {
				at[row.label] = append(at[row.label], i+1)
			}
		}
	}
	want := map[string][]int{
		"parts join":    {18, 24, 30},
		"mid-air start": {45}, // not the one that lies down on a part
		"long bridge":   {42, 43},
		"slot closes":   {9, 10, 11, 12, 13, 14, 51}, // not the one that is met
	}
	for label, layers := range want {
		if !slices.Equal(at[label], layers) {
			t.Errorf("%s at %v, want %v", label, at[label], layers)
		}
		delete(at, label)
	}
	for label := range at {
		t.Errorf("%s is not there", label)
	}
	if rows := stripMarks(peaChain(shed, 0.4)); len(rows) > 0 {
		t.Errorf("%d rows of nothing", len(rows))
	}
	r := toy("rake.stl", shed, 3)
	r.Joined = []gapscan.Joined{{Parts: [2]int{1, 2}, Layer: 4}, {Parts: [2]int{1, 2}, Layer: 0}}
	if rows := stripMarks(r); len(rows) > 0 {
		t.Error("a layer that does not exist is marked")
	}
}

// A mark is under its layer's column and nowhere else, at few layers and at
// many.
func TestMarksStandUnderTheirLayers(t *testing.T) {
	for _, n := range []int{10, 30, 300, 3000} {
		r := toy("rake.stl", shed, n)
		layer := n * 2 / 3
		r.Joined = []gapscan.Joined{{Parts: [2]int{1, 2}, Layer: layer}}
		img := strip(t, r)
		width := min(plotRight-plotLeft, widestColumn*n)
		from, to := plotLeft+columnAt(layer-1, n, width), plotLeft+columnAt(layer, n, width)
		y := groundLine + markRow/2 + 3
		for x := plotLeft; x < plotRight; x++ {
			dark := img.RGBAAt(x, y) == ink
			if inside := x >= from && x < max(to, from+1); inside && !dark {
				t.Errorf("%d layers: no mark at %d, of %d to %d", n, x, from, to)
				break
			}
			if mid := (from + max(to, from+1)) / 2; dark && (x < min(from, mid-markHalf) || x > max(to, mid+markHalf)) {
				t.Errorf("%d layers: a mark at %d, beyond %d to %d", n, x, from, to)
				break
			}
		}
	}
}

// The shapes differ by much of their area, whatever their colour, and keep to
// their square.
func TestMarkShapesDiffer(t *testing.T) {
	const mid = 2 * markHalf
	draw := func(k markKind) *image.RGBA {
		img := image.NewRGBA(image.Rect(0, 0, 2*mid, 2*mid))
		c := canvas{fullColor{img}}
		c.fill(0, 0, 2*mid, 2*mid, paper)
		k.shape(c, mid, mid, ink)
		square := image.Rect(mid-markHalf, mid-markHalf, mid+markHalf, mid+markHalf)
		for y := range 2 * mid {
			for x := range 2 * mid {
				if img.RGBAAt(x, y) != paper && !image.Pt(x, y).In(square) {
					t.Fatalf("%s: ink at %d, %d", k.label, x, y)
				}
			}
		}
		return img
	}
	for i, a := range markKinds {
		for _, b := range markKinds[:i] {
			pa, pb, differ := draw(a), draw(b), 0
			for y := range 2 * mid {
				for x := range 2 * mid {
					if pa.RGBAAt(x, y) != pb.RGBAAt(x, y) {
						differ++
					}
				}
			}
			if differ < markHalf*markHalf*4/5 {
				t.Errorf("%s and %s differ by %d pixels only", a.label, b.label, differ)
			}
		}
	}
}

// A need that is met from a little below it on does not rise over the line.
func TestStripMet(t *testing.T) {
	layers := []gapscan.Layer{
		{Margin: ptr(0.998), Outcome: ptr(gapscan.Close)},
		{Margin: ptr(0.998), Outcome: ptr(gapscan.Sticks)},
	}
	got, err := stripColumns(layers, 2)
	if err != nil || got[0] != 1 || got[1] != 0.998 {
		t.Error(got, err)
	}
}

func TestMarginScale(t *testing.T) {
	last := -1
	for k := 0; k <= 250; k++ {
		m := float64(k) / 100
		y := marginLine(m)
		if y < last {
			t.Fatalf("margin %g is drawn above a lesser one", m)
		}
		if last = y; m <= roomy {
			if d := marginAt(y) - m; d < -0.01 || d > 0.01 {
				t.Errorf("margin %g at %d reads as %g", m, y, marginAt(y))
			}
		}
	}
	if short, rest := needLine-touchLine, groundLine-needLine; short*10 < rest*15 {
		t.Errorf("%d pixels for what is short, %d for the rest", short, rest)
	}
	if paleColor(0) == rampColor(0) || paleColor(0) == (color.RGBA{}) {
		t.Error("the pale colour is not pale")
	}
}
