package report

import (
	"image"
	"image/color"
	"image/draw"
	"image/png"
	"io"

	"golang.org/x/image/vector"
)

// surface is what a canvas is drawn on. What lies outside of it is not drawn.
type surface interface {
	Bounds() image.Rectangle
	// paint fills a rectangle.
	paint(r image.Rectangle, ink color.Color)
	// cover lays ink on a rectangle as thick as the mask from at on says.
	cover(r image.Rectangle, mask *image.Alpha, at image.Point, ink color.Color)
	// raster lays ink on what z gathered; its origin is the least corner of box.
	raster(z *vector.Rasterizer, box image.Rectangle, ink color.Color)
}

// fullColor is for pictures with shades. What draws is handed the RGBA itself:
// for that, and not for what embeds it, the libraries have their fast ways.
type fullColor struct{ *image.RGBA }

func (s fullColor) paint(r image.Rectangle, ink color.Color) {
	draw.Draw(s.RGBA, r, image.NewUniform(ink), image.Point{}, draw.Src)
}

func (s fullColor) cover(r image.Rectangle, mask *image.Alpha, at image.Point, ink color.Color) {
	draw.DrawMask(s.RGBA, r, image.NewUniform(ink), image.Point{}, mask, at, draw.Over)
}

func (s fullColor) raster(z *vector.Rasterizer, box image.Rectangle, ink color.Color) {
	z.Draw(s.RGBA, box, image.NewUniform(ink), image.Point{})
}

// fewColors is for pictures of text and flat colours: a byte a pixel. Fresh
// memory and the filters of a PNG in full colour cost more than all drawing;
// this is a quarter of the one and does without the others. Colours are added
// as they are drawn; what is drawn beyond mostColors of them gets the nearest.
type fewColors struct {
	*image.Paletted
	index map[color.RGBA]uint8
	mixes map[[2]uint8]*mixes // by the index of what lies below and of the ink
}

const (
	mostColors = 256
	// Smooth edges have so many steps from what lies below to the ink; with
	// them text in two inks leaves most colours to the picture.
	mixSteps = 31
)

// mixes are the indices of the steps on the way from one colour to another,
// -1 where none was needed yet.
type mixes [mixSteps + 1]int16

// newFewColors is a sheet of paper. Its index is 0, so that what stays empty
// is memory never written to.
func newFewColors(r image.Rectangle) *fewColors {
	return &fewColors{image.NewPaletted(r, color.Palette{paper}), map[color.RGBA]uint8{paper: 0}, map[[2]uint8]*mixes{}}
}

// encode writes the picture as a PNG.
func (s *fewColors) encode(w io.Writer) error {
	return (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(w, s.Paletted)
}

// of is the index of a colour.
func (s *fewColors) of(ink color.Color) uint8 {
	c := color.RGBAModel.Convert(ink).(color.RGBA)
	i, ok := s.index[c]
	if !ok {
		if len(s.Palette) < mostColors {
			s.Palette = append(s.Palette, c)
			i = uint8(len(s.Palette) - 1)
		} else {
			i = uint8(s.Palette.Index(c))
		}
		s.index[c] = i
	}
	return i
}

func (s *fewColors) paint(r image.Rectangle, ink color.Color) {
	r = r.Intersect(s.Rect)
	if r.Empty() {
		return
	}
	i := s.of(ink)
	first := s.Pix[s.PixOffset(r.Min.X, r.Min.Y):][:r.Dx()]
	for x := range first {
		first[x] = i
	}
	for y := r.Min.Y + 1; y < r.Max.Y; y++ {
		copy(s.Pix[s.PixOffset(r.Min.X, y):], first)
	}
}

func (s *fewColors) cover(r image.Rectangle, mask *image.Alpha, at image.Point, ink color.Color) {
	in := r.Intersect(s.Rect)
	if in.Empty() {
		return
	}
	at = at.Add(in.Min.Sub(r.Min))
	top := s.of(ink)
	var below uint8
	var mix *mixes // of below and top
	for y := range in.Dy() {
		row := s.Pix[s.PixOffset(in.Min.X, in.Min.Y+y):][:in.Dx()]
		thick := mask.Pix[mask.PixOffset(at.X, at.Y+y):][:in.Dx()]
		for x, a := range thick {
			if a == 0 {
				continue
			}
			if mix == nil || row[x] != below {
				below = row[x]
				mix = s.mixesOf(below, top)
			}
			k := (int(a)*mixSteps + 127) / 255
			if mix[k] < 0 {
				mix[k] = int16(s.mix(below, top, k))
			}
			row[x] = uint8(mix[k])
		}
	}
}

func (s *fewColors) mixesOf(below, top uint8) *mixes {
	m := s.mixes[[2]uint8{below, top}]
	if m == nil {
		m = new(mixes)
		for k := range m {
			m[k] = -1
		}
		s.mixes[[2]uint8{below, top}] = m
	}
	return m
}

// mix is the index of the colour k steps above what lies below.
func (s *fewColors) mix(below, top uint8, k int) uint8 {
	p, q := s.Palette[below].(color.RGBA), s.Palette[top].(color.RGBA)
	at := func(p, q uint8) uint8 {
		return uint8((int(p)*(mixSteps-k) + int(q)*k + mixSteps/2) / mixSteps)
	}
	return s.of(color.RGBA{at(p.R, q.R), at(p.G, q.G), at(p.B, q.B), at(p.A, q.A)})
}

func (s *fewColors) raster(z *vector.Rasterizer, box image.Rectangle, ink color.Color) {
	mask := image.NewAlpha(image.Rectangle{Max: box.Size()})
	z.DrawOp = draw.Src
	z.Draw(mask, mask.Rect, image.Opaque, image.Point{})
	s.cover(box, mask, image.Point{}, ink)
}
