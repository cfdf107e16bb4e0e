package coupon

import (
	"strconv"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
)

// bars says which bars of a seven-bar digit are lit, counted clockwise from
// the top, the middle one last: a public convention.
var bars = [10]string{"abcdef", "bc", "abdeg", "abcdg", "bcfg", "acdfg", "acdefg", "abc", "abcdefg", "abcdfg"}

// squares holds the squares of a digit's grid that a bar fills, x then y.
var squares = map[rune][][2]int{
	'a': {{0, 4}, {1, 4}, {2, 4}}, 'b': {{2, 4}, {2, 3}, {2, 2}}, 'c': {{2, 2}, {2, 1}, {2, 0}},
	'd': {{0, 0}, {1, 0}, {2, 0}}, 'e': {{0, 0}, {0, 1}, {0, 2}}, 'f': {{0, 2}, {0, 3}, {0, 4}}, 'g': {{0, 2}, {1, 2}, {2, 2}},
}

func TestDigitsAreSevenBars(t *testing.T) {
	for digit, rings := range glyphs {
		lit := map[[2]int]bool{}
		for _, bar := range bars[digit] {
			for _, s := range squares[bar] {
				lit[s] = true
			}
		}
		for x := range 3 {
			for y := range 5 {
				in := false
				for _, ring := range rings {
					for i, a := range ring { // upright sides to the right of the square's middle
						b := ring[(i+1)%len(ring)]
						if a[0] == b[0] && a[0] > x && min(a[1], b[1]) <= y && max(a[1], b[1]) > y {
							in = !in
						}
					}
				}
				if in != lit[[2]int{x, y}] {
					t.Errorf("digit %d: square %d, %d is filled: %v", digit, x, y, in)
				}
			}
		}
	}
}

// Each label is there in its place, in strokes of two lines at least, and
// clear of its cell.
func TestLabelsPrint(t *testing.T) {
	for _, name := range []string{"default", "wide nozzle", "widest nozzle", "fine layers"} {
		s := prepare(t, name)
		d := newDrawing(s.Options)
		if d.label.stroke < 2*s.Options.NozzleMM {
			t.Errorf("%s: strokes of %g mm", name, d.label.stroke)
		}
		layer := s.stack.Layers[s.stack.Plan.Below(d.plate+s.Options.RestMM)-1]
		for i, c := range s.Cells {
			digits, area := 0, 0.0
			low := s.body[i].Min
			pad := r2.Box{Min: r2.Vec{X: low.X, Y: low.Y - d.padDeep}, Max: r2.Vec{X: s.body[i].Max.X, Y: low.Y}}
			for _, isle := range layer.Islands {
				if b := isle.Box; isle.Part == 0 && b.Min.Y > pad.Min.Y+0.4 && b.Max.Y < pad.Max.Y-0.4 && b.Min.X > pad.Min.X && b.Max.X < pad.Max.X {
					digits++
					area += isle.Area
				}
			}
			text := strconv.Itoa(c.Number)
			want := 0.0
			for _, r := range text {
				for x := range 3 {
					for y := range 5 {
						if lit(int(r-'0'), x, y) {
							want += (d.label.at(x+1) - d.label.at(x)) * (d.label.at(y+1) - d.label.at(y))
						}
					}
				}
			}
			if digits != len(text) || area < want-1e-3 || area > want+1e-3 {
				t.Errorf("%s: label %s has %d islands of %g mm2, want %g", name, text, digits, area, want)
			}
		}
	}
}

func lit(digit, x, y int) bool {
	for _, bar := range bars[digit] {
		for _, s := range squares[bar] {
			if s == [2]int{x, y} {
				return true
			}
		}
	}
	return false
}
