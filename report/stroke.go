package report

import (
	"image"
	"image/color"
	"math"

	"golang.org/x/image/vector"
	"gonum.org/v1/gonum/spatial/r2"
)

// area fills outlines, given in pixels, with smooth edges, by the non-zero
// rule: holes run the other way round.
func (c canvas) area(outlines [][]r2.Vec, ink color.Color) {
	lo, hi := r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}
	for _, o := range outlines {
		for _, p := range o {
			lo.X, lo.Y = min(lo.X, p.X), min(lo.Y, p.Y)
			hi.X, hi.Y = max(hi.X, p.X), max(hi.Y, p.Y)
		}
	}
	if !(hi.X >= lo.X) {
		return
	}
	box := image.Rect(int(math.Floor(lo.X)), int(math.Floor(lo.Y)), int(math.Ceil(hi.X))+1, int(math.Ceil(hi.Y))+1)
	box = box.Intersect(c.Bounds())
	if box.Empty() {
		return
	}
	z := vector.NewRasterizer(box.Dx(), box.Dy())
	at := func(p r2.Vec) (x, y float32) {
		return float32(p.X - float64(box.Min.X)), float32(p.Y - float64(box.Min.Y))
	}
	for _, o := range outlines {
		if len(o) < 3 {
			continue
		}
		z.MoveTo(at(o[0]))
		for _, p := range o[1:] {
			z.LineTo(at(p))
		}
		z.ClosePath()
	}
	c.raster(z, box, ink)
}

// stroke draws a straight line of a width in pixels.
func (c canvas) stroke(x0, y0, x1, y1, width float64, ink color.Color) {
	d := r2.Vec{X: x1 - x0, Y: y1 - y0}
	l := r2.Norm(d)
	if l == 0 {
		return
	}
	n := r2.Scale(width/2/l, r2.Vec{X: -d.Y, Y: d.X})
	a, b := r2.Vec{X: x0, Y: y0}, r2.Vec{X: x1, Y: y1}
	c.area([][]r2.Vec{{r2.Add(a, n), r2.Add(b, n), r2.Sub(b, n), r2.Sub(a, n)}}, ink)
}

// dashes draws a broken line.
func (c canvas) dashes(x0, y0, x1, y1, width float64, ink color.Color) {
	const dash, space = 9.0, 6.0
	l := math.Hypot(x1-x0, y1-y0)
	for s := 0.0; s < l; s += dash + space {
		f, g := s/l, min(s+dash, l)/l
		c.stroke(x0+(x1-x0)*f, y0+(y1-y0)*f, x0+(x1-x0)*g, y0+(y1-y0)*g, width, ink)
	}
}

// disc fills a circle.
func (c canvas) disc(x, y, radius float64, ink color.Color) {
	const sides = 48
	o := make([]r2.Vec, sides)
	for i := range o {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / sides)
		o[i] = r2.Vec{X: x + float64(radius*cos), Y: y + float64(radius*sin)}
	}
	c.area([][]r2.Vec{o}, ink)
}

// frame draws a hairline round a rectangle, inside it.
func (c canvas) frame(r image.Rectangle, ink color.Color) {
	c.fill(r.Min.X, r.Min.Y, r.Max.X, r.Min.Y+1, ink)
	c.fill(r.Min.X, r.Max.Y-1, r.Max.X, r.Max.Y, ink)
	c.fill(r.Min.X, r.Min.Y, r.Min.X+1, r.Max.Y, ink)
	c.fill(r.Max.X-1, r.Min.Y, r.Max.X, r.Max.Y, ink)
}

// line draws a line through places, closed or open, of a width in pixels. Its
// corners are round.
func (c canvas) line(pts []r2.Vec, closed bool, width float64, ink color.Color) {
	var outlines [][]r2.Vec
	n := len(pts)
	for i, a := range pts {
		if i == n-1 && !closed {
			break
		}
		b := pts[(i+1)%n]
		if o := capsule(a, b, width/2); o != nil {
			outlines = append(outlines, o)
		}
	}
	c.area(outlines, ink)
}

// capsule outlines a straight line with round ends.
func capsule(a, b r2.Vec, radius float64) []r2.Vec {
	d := r2.Sub(b, a)
	if d == (r2.Vec{}) {
		return nil
	}
	sides := 4
	if radius > 2 {
		sides = 10
	}
	turn := math.Atan2(d.Y, d.X)
	o := make([]r2.Vec, 0, 2*sides+2)
	for _, end := range []struct {
		at   r2.Vec
		from float64
	}{{b, turn - math.Pi/2}, {a, turn + math.Pi/2}} {
		for i := range sides + 1 {
			sin, cos := math.Sincos(end.from + math.Pi*float64(i)/float64(sides))
			o = append(o, r2.Vec{X: end.at.X + float64(radius*cos), Y: end.at.Y + float64(radius*sin)})
		}
	}
	return o
}
