package coupon

import (
	"image"
	"image/color"
	"image/draw"
	"strings"

	"golang.org/x/image/font"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"
	"golang.org/x/image/vector"
	"gonum.org/v1/gonum/spatial/r2"
)

// canvas is the picture of a sheet, in pixels, y down.
type canvas struct{ *image.RGBA }

// polygon fills a closed line.
func (c canvas) polygon(pts []r2.Vec, ink color.Color) {
	// The rasterizer is as large as the figure, not as the sheet.
	lo, hi := pts[0], pts[0]
	for _, p := range pts {
		lo = r2.Vec{X: min(lo.X, p.X), Y: min(lo.Y, p.Y)}
		hi = r2.Vec{X: max(hi.X, p.X), Y: max(hi.Y, p.Y)}
	}
	box := image.Rect(int(lo.X)-1, int(lo.Y)-1, int(hi.X)+2, int(hi.Y)+2)
	z := vector.NewRasterizer(box.Dx(), box.Dy())
	for i, p := range pts {
		x, y := float32(p.X-float64(box.Min.X)), float32(p.Y-float64(box.Min.Y))
		if i == 0 {
			z.MoveTo(x, y)
		} else {
			z.LineTo(x, y)
		}
	}
	z.ClosePath()
	z.Draw(c, box, image.NewUniform(ink), image.Point{})
}

// box fills the rectangle between two corners, frame outlines it inside.
func (c canvas) box(x0, y0, x1, y1 float64, ink color.Color) {
	draw.Draw(c, image.Rect(int(x0), int(y0), int(x1), int(y1)), image.NewUniform(ink), image.Point{}, draw.Src)
}

func (c canvas) frame(x0, y0, x1, y1, line float64, ink color.Color) {
	c.box(x0, y0, x1, y0+line, ink)
	c.box(x0, y1-line, x1, y1, ink)
	c.box(x0, y0, x0+line, y1, ink)
	c.box(x1-line, y0, x1, y1, ink)
}

// pens are the faces of a sheet.
type pens struct{ title, head, text, label font.Face }

func newPens() (p pens, err error) {
	regular, err := opentype.Parse(goregular.TTF)
	if err != nil {
		return p, err
	}
	bold, err := opentype.Parse(gobold.TTF)
	if err != nil {
		return p, err
	}
	for _, f := range []struct {
		face *font.Face
		font *opentype.Font
		size float64
	}{{&p.title, bold, 38}, {&p.head, bold, 24}, {&p.text, regular, 22}, {&p.label, bold, 26}} {
		// At 72 dots an inch a point is a pixel.
		if *f.face, err = opentype.NewFace(f.font, &opentype.FaceOptions{Size: f.size, DPI: 72, Hinting: font.HintingFull}); err != nil {
			return p, err
		}
	}
	return p, nil
}

// text draws s with its left end and baseline at x, y; it returns where it
// ends.
func (c canvas) text(face font.Face, x, y float64, ink color.Color, s string) float64 {
	d := font.Drawer{Dst: c, Src: image.NewUniform(ink), Face: face, Dot: fixed.P(int(x), int(y))}
	d.DrawString(s)
	return float64(d.Dot.X.Ceil())
}

func width(face font.Face, s string) float64 { return float64(font.MeasureString(face, s).Ceil()) }

// lines breaks a paragraph into lines of at most so many pixels.
func lines(face font.Face, s string, pixels float64) []string {
	var out []string
	line := ""
	for _, word := range strings.Fields(s) {
		switch longer := line + " " + word; {
		case line == "":
			line = word
		case width(face, longer) <= pixels:
			line = longer
		default:
			out = append(out, line)
			line = word
		}
	}
	return append(out, line)
}
