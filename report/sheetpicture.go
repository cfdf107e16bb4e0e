package report

import (
	"image"
	"io"
	"strings"

	"playgauge/gapscan"
)

// The sheet's layout, in pixels: A4 upright at about 200 dots an inch.
const (
	sheetWide   = 1654
	sheetTall   = 2339
	sheetBorder = 90
)

// sheetSizes are the sizes of text, in pixels, the first that fits on the page
// is taken; with the last the page grows longer. 22 pixels are 8 points.
var sheetSizes = []float64{28, 25, 22}

// sheetPens are the sizes of type on a sheet, with the lengths that go with
// them: from line to line, of a box to tick, and of text behind one.
type sheetPens struct {
	title, head, label, text *pen
	step, box, indent        int
}

func newSheetPens(pixels float64) (s sheetPens, err error) {
	f, err := fonts()
	if err != nil {
		return s, err
	}
	s.step, s.box, s.indent = int(pixels*1.43), int(pixels*0.86), int(pixels*1.57)
	if s.title, err = newPen(f.bold, pixels*1.5); err != nil {
		return s, err
	}
	if s.head, err = newPen(f.bold, pixels*1.15); err != nil {
		return s, err
	}
	if s.label, err = newPen(f.bold, pixels); err != nil {
		return s, err
	}
	s.text, err = newPen(f.regular, pixels)
	return s, err
}

// SheetPicture writes the same as Sheet as a PNG, to be printed on A4 upright.
func SheetPicture(w io.Writer, r *gapscan.Result) error {
	s := newSheet(r)
	var p sheetPens
	tall := 0
	for _, pixels := range sheetSizes {
		var err error
		if p, err = newSheetPens(pixels); err != nil {
			return err
		}
		// Without paper, to see how much is needed.
		tall = p.draw(canvas{newFewColors(image.Rectangle{})}, s) + sheetBorder/2
		if tall <= sheetTall {
			break
		}
	}
	tall = max(tall, sheetTall)
	pic := newFewColors(image.Rect(0, 0, sheetWide, tall))
	p.draw(canvas{pic}, s)
	return pic.encode(w)
}

// draw returns how far down it went.
func (p *sheetPens) draw(c canvas, s *sheet) int {
	const wide = sheetWide - 2*sheetBorder
	c.text(p.title, sheetBorder, 110, ink, p.title.fit(p.title.legible(s.title), wide))
	y := p.paragraph(c, p.label, sheetBorder, 112+p.step*4/3, wide, s.verdict)
	for _, sec := range s.sections {
		y += 24
		c.fill(sheetBorder, y-p.step+2, sheetWide-sheetBorder, y-p.step+3, hair)
		c.text(p.head, sheetBorder, y+4, ink, sec.head)
		y += p.step + 10
		labels := 0
		for _, row := range sec.rows {
			labels = max(labels, p.label.width(flat(row.label)))
		}
		if labels > 0 {
			labels += 24
		}
		for _, row := range sec.rows {
			x := sheetBorder
			switch {
			case sec.boxed:
				p.tick(c, x, y)
				x += p.indent
			case row.label == "":
				c.fill(x+p.box/3, y-p.box/2, x+p.box*2/3, y-p.box/6, faint)
				x += p.indent
			}
			if row.label != "" {
				c.text(p.label, x, y, ink, flat(row.label))
				x += labels
			}
			y = p.paragraph(c, p.text, x, y, sheetWide-sheetBorder-x, row.text)
		}
	}
	y += 24
	c.fill(sheetBorder, y-p.step+2, sheetWide-sheetBorder, y-p.step+3, hair)
	return p.paragraph(c, p.text, sheetBorder, y+4, wide, s.foot)
}

// tick draws a box to tick on the line that ends at y.
func (p *sheetPens) tick(c canvas, x, y int) {
	c.fill(x, y-p.box+2, x+p.box, y+2, faint)
	c.fill(x+2, y-p.box+4, x+p.box-2, y, paper)
}

// paragraph breaks text into lines and returns where the next one begins.
func (p *sheetPens) paragraph(c canvas, face *pen, x, y, wide int, text string) int {
	line := ""
	put := func() {
		c.text(face, x, y, ink, face.fit(face.legible(flat(line)), wide))
		y += p.step
	}
	for word := range strings.FieldsSeq(strings.ReplaceAll(text, nbsp, string(glue))) {
		longer := word
		if line != "" {
			longer = line + " " + word
		}
		if line != "" && face.width(flat(longer)) > wide {
			put()
			longer = word
		}
		line = longer
	}
	if line != "" {
		put()
	}
	return y
}

// flat writes the spaces that hold words together as plain ones, and leaves
// tints out.
func flat(s string) string {
	return strings.Map(func(c rune) rune {
		switch {
		case c == glue || string(c) == nbsp:
			return ' '
		case c < ' ':
			return -1
		}
		return c
	}, s)
}
