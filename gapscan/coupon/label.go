package coupon

import (
	"strconv"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// Sizes of the labels, mm.
const (
	labelMargin = 0.5 // round a label
	labelBite   = 0.3 // into the plate
	labelTall   = 0.5 // at least, above it
	labelStroke = 0.8 // at least; twice the nozzle where that is more
	labelHollow = 0.8 // between strokes
)

// labelFont draws digits of seven bars.
type labelFont struct{ stroke, hollow float64 }

func newLabelFont(nozzle float64) labelFont {
	return labelFont{max(labelStroke, 2*nozzle), labelHollow}
}

// at is the place of a grid line: strokes lie between 0 and 1, 2 and 3 and so
// on, hollows between.
func (f labelFont) at(n int) float64 {
	return float64((n+1)/2)*f.stroke + float64(n/2)*f.hollow
}

func (f labelFont) tall() float64 { return f.at(5) }

// glyphs holds the outlines of the digits on the grid, x then y, and the
// hollows in them: each digit three lines wide and five tall.
var glyphs = [10][][][2]int{
	0: {{{0, 0}, {3, 0}, {3, 5}, {0, 5}}, {{1, 1}, {2, 1}, {2, 4}, {1, 4}}},
	1: {{{2, 0}, {3, 0}, {3, 5}, {2, 5}}},
	2: {{{0, 0}, {3, 0}, {3, 1}, {1, 1}, {1, 2}, {3, 2}, {3, 5}, {0, 5}, {0, 4}, {2, 4}, {2, 3}, {0, 3}}},
	3: {{{0, 0}, {3, 0}, {3, 5}, {0, 5}, {0, 4}, {2, 4}, {2, 3}, {0, 3}, {0, 2}, {2, 2}, {2, 1}, {0, 1}}},
	4: {{{2, 0}, {3, 0}, {3, 5}, {2, 5}, {2, 3}, {1, 3}, {1, 5}, {0, 5}, {0, 2}, {2, 2}}},
	5: {{{0, 0}, {3, 0}, {3, 3}, {1, 3}, {1, 4}, {3, 4}, {3, 5}, {0, 5}, {0, 2}, {2, 2}, {2, 1}, {0, 1}}},
	6: {{{0, 0}, {3, 0}, {3, 3}, {1, 3}, {1, 4}, {3, 4}, {3, 5}, {0, 5}}, {{1, 1}, {2, 1}, {2, 2}, {1, 2}}},
	7: {{{2, 0}, {3, 0}, {3, 5}, {0, 5}, {0, 4}, {2, 4}}},
	8: {{{0, 0}, {3, 0}, {3, 5}, {0, 5}}, {{1, 1}, {2, 1}, {2, 2}, {1, 2}}, {{1, 3}, {2, 3}, {2, 4}, {1, 4}}},
	9: {{{0, 0}, {3, 0}, {3, 5}, {0, 5}, {0, 2}, {2, 2}, {2, 1}, {0, 1}}, {{1, 3}, {2, 3}, {2, 4}, {1, 4}}},
}

// number returns the digits of n, centred above the point low, from z0 up to
// z1.
func (f labelFont) number(n int, low r2.Vec, z0, z1 float64) ([]shape.Solid, error) {
	text := strconv.Itoa(n)
	step := f.at(3) + f.hollow
	x := low.X - (float64(float64(len(text))*step)-f.hollow)/2
	var out []shape.Solid
	for _, c := range text {
		var rings [][]r2.Vec
		for _, ring := range glyphs[c-'0'] {
			pts := make([]r2.Vec, len(ring))
			for i, p := range ring {
				pts[i] = r2.Vec{X: x + f.at(p[0]), Y: low.Y + f.at(p[1])}
			}
			rings = append(rings, pts)
		}
		s, err := shape.Extrude(rings[0], rings[1:], z0, z1)
		if err != nil {
			return nil, err
		}
		out = append(out, s)
		x += step
	}
	return out, nil
}
