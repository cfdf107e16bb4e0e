package report

import (
	"image"
	"image/color"
	"strings"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// canvas is a picture that is drawn on with text, rectangles and areas.
type canvas struct{ surface }

// pen is a face of one size with the font it is cut from. It may not be used
// by two goroutines at once.
type pen struct {
	font *sfnt.Font
	face font.Face
	buf  sfnt.Buffer
}

// fonts are parsed once, and may be shared; pens may not.
var fonts = sync.OnceValues(func() (f struct{ regular, bold *sfnt.Font }, err error) {
	if f.regular, err = opentype.Parse(goregular.TTF); err != nil {
		return f, err
	}
	f.bold, err = opentype.Parse(gobold.TTF)
	return f, err
})

func newPen(f *sfnt.Font, pixels float64) (*pen, error) {
	// At 72 dots an inch a point is a pixel.
	face, err := opentype.NewFace(f, &opentype.FaceOptions{Size: pixels, DPI: 72, Hinting: font.HintingFull})
	return &pen{font: f, face: face}, err
}

// legible replaces what the font has no glyph for by a question mark, a run
// of them by one with an ellipsis.
func (p *pen) legible(s string) string {
	var b strings.Builder
	missing := 0
	for _, c := range s {
		if i, err := p.font.GlyphIndex(&p.buf, c); err == nil && i != 0 {
			missing = 0
			b.WriteRune(c)
			continue
		}
		switch missing++; missing {
		case 1:
			b.WriteByte('?')
		case 2:
			b.WriteRune('…')
		}
	}
	return b.String()
}

func (p *pen) width(s string) int { return font.MeasureString(p.face, s).Ceil() }

// longestName is as many characters as ever fit in a picture; more are cut
// before they are measured.
const longestName = 400

// fit cuts s in the middle, with an ellipsis, to at most so many pixels.
func (p *pen) fit(s string, pixels int) string {
	r := []rune(s)
	if len(r) <= longestName && p.width(s) <= pixels {
		return s
	}
	for keep := min(len(r), longestName) - 1; keep > 0; keep-- {
		s = string(r[:(keep+1)/2]) + "…" + string(r[len(r)-keep/2:])
		if p.width(s) <= pixels {
			return s
		}
	}
	return "…"
}

// text draws s with its left end and baseline at x, y.
func (c canvas) text(p *pen, x, y int, ink color.Color, s string) {
	if c.Bounds().Empty() {
		return // only how much room is needed is asked for
	}
	dot, last := fixed.P(x, y), rune(-1)
	for _, letter := range s {
		if last >= 0 {
			dot.X += p.face.Kern(last, letter)
		}
		r, mask, at, advance, _ := p.face.Glyph(dot, letter)
		if !r.Empty() {
			c.cover(r, mask.(*image.Alpha), at, ink)
		}
		dot.X, last = dot.X+advance, letter
	}
}

// textRight draws s with its right end at x, textMid with its middle there.
func (c canvas) textRight(p *pen, x, y int, ink color.Color, s string) {
	c.text(p, x-p.width(s), y, ink, s)
}

func (c canvas) textMid(p *pen, x, y int, ink color.Color, s string) {
	c.text(p, x-p.width(s)/2, y, ink, s)
}

// fill paints the rectangle from x0, y0 up to but without x1, y1.
func (c canvas) fill(x0, y0, x1, y1 int, ink color.Color) {
	c.paint(image.Rect(x0, y0, x1, y1), ink)
}

// paragraph writes s from the baseline y on, broken at spaces into lines of at
// most so many pixels, and returns the last baseline.
func (c canvas) paragraph(p *pen, x, y, pixels int, ink color.Color, s string) int {
	line := ""
	for word := range strings.FieldsSeq(s) {
		word = p.fit(word, pixels)
		longer := word
		if line != "" {
			longer = line + " " + word
		}
		if p.width(longer) > pixels {
			c.text(p, x, y, ink, line)
			y, longer = y+wordStep, word
		}
		line = longer
	}
	c.text(p, x, y, ink, line)
	return y
}
