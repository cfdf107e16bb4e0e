package report

import (
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"strconv"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/gapscan"
	"playgauge/slice"
)

// The layer picture's layout, in pixels.
const (
	layerWidth  = 1500
	layerHeight = 1000
	layerTop    = 150
	layerFoot   = 92
	layerLeft   = 820 // width of the whole layer's frame
	layerGutter = 24
)

// lensMM bounds what the enlarged place shows, in mm across: wide enough for
// the walls on both sides of the gap, narrow enough for the gap to be seen.
const (
	lensLeastMM = 4.0
	lensMostMM  = 16.0
	lensGaps    = 12.0 // gaps across
)

// LayerError says that a model has no such layer.
type LayerError struct{ Layer, Layers int }

func (e *LayerError) Error() string {
	return "layer " + strconv.Itoa(e.Layer) + ": the model has " + unglued(count(e.Layers, "layer", "layers"))
}

// WorstLayer is the number of the layer to look at first: where the joint
// listed first is tightest. 0 where no two parts come near each other.
func WorstLayer(r *gapscan.Result) int { return worstLayer(r) + 1 }

// LayerPicture writes one layer, counted from 1, as a PNG of 1500 by 1000
// pixels: its islands in the parts' tints, what is tight in the colours of the
// heat-strip, the layer below in outline; beside it, enlarged, the place of its
// margin with the gap dimensioned; a scale bar below each. A layer the model does
// not have is a *LayerError. r must come of a scan of st with Options.Tight.
func LayerPicture(w io.Writer, r *gapscan.Result, st *slice.Stack, layer int) error {
	if layer < 1 || layer > len(r.Layers) || layer > len(st.Layers) {
		return &LayerError{layer, len(r.Layers)}
	}
	img, err := drawLayer(r, st, layer)
	if err != nil {
		return err
	}
	return (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(w, img)
}

func drawLayer(r *gapscan.Result, st *slice.Stack, layer int) (*image.RGBA, error) {
	p, err := newPens()
	if err != nil {
		return nil, err
	}
	img := image.NewRGBA(image.Rect(0, 0, layerWidth, layerHeight))
	c := canvas{fullColor{img}}
	c.fill(0, 0, layerWidth, layerHeight, paper)
	layerTitle(c, &p, r, layer)
	l := &r.Layers[layer-1]
	left := image.Rect(border, layerTop, border+layerLeft, layerHeight-layerFoot)
	right := image.Rect(left.Max.X+layerGutter, layerTop, layerWidth-border, layerHeight-layerFoot)
	d := layerDrawing{canvas: c, img: img, r: r, st: st, layer: layer, ids: partIDs(r)}
	if l.EndsMM == nil {
		whole := left
		whole.Max.X = right.Max.X
		d.into(whole, wholeModel(st), 2.5)
		scaleBar(c, &p, whole, d.perMM)
		c.frame(whole, hair)
		return img, nil
	}
	d.into(left, wholeModel(st), 2.5)
	scaleBar(c, &p, left, d.perMM)
	lens := lensOf(l, right)
	d.outline(lens, ink)
	c.frame(left, hair)
	d.into(right, lens, 6)
	d.dimension(&p, l)
	scaleBar(c, &p, right, d.perMM)
	c.frame(right, ink)
	return img, nil
}

// layerTitle says which layer it is and what becomes of it.
func layerTitle(c canvas, p *pens, r *gapscan.Result, layer int) {
	const room = layerWidth - 2*border
	l := &r.Layers[layer-1]
	at := unglued(": " + layerAt(r, layer))
	name := p.title.legible(plain(viewName(r.Model.File)))
	c.text(p.title, border, titleLine, ink, p.title.fit(name, room-p.title.width(at))+at)
	c.text(p.line, border, verdictLine, ink, p.line.fit(unglued(titleWords(r, l)), room))
	c.text(p.label, border, machineLine, faint, p.label.fit(unglued(machineWords(&r.Machine)), room))
	foot := "heavy lines: walls that are not free; filled: too little air below; dark red touches, pale blue is just free. Thin line: the layer below."
	c.text(p.label, border, layerHeight-26, faint, foot)
}

// titleWords says what a layer shows, for the head of its picture.
func titleWords(r *gapscan.Result, l *gapscan.Layer) string {
	if l.Outcome == nil {
		return "no two parts come near each other in this layer"
	}
	says := string(*l.Outcome) + ": " + causeWords(l.Cause)
	if l.GapMM != nil && l.NeedMM != nil {
		says += " " + hasNeeds(*l.GapMM, *l.NeedMM, "", *l.Outcome)
	}
	says += ", parts " + numbers(l.Parts)
	if e := l.EndsLayers; e != nil && e[0] != e[1] {
		says += ", to layer " + strconv.Itoa(e[1])
	}
	return says + overAll(r, l)
}

// partIDs maps the index of a part to its id.
func partIDs(r *gapscan.Result) []int {
	ids := make([]int, len(r.Parts))
	for i := range r.Parts {
		ids[i] = r.Parts[i].ID
	}
	return ids
}

// wholeModel bounds all layers, so that pictures of two layers can be laid
// upon each other.
func wholeModel(st *slice.Stack) r2.Box {
	b := r2.Box{Min: r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, Max: r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}
	for i := range st.Layers {
		for _, is := range st.Layers[i].Islands {
			b.Min = r2.Vec{X: min(b.Min.X, is.Box.Min.X), Y: min(b.Min.Y, is.Box.Min.Y)}
			b.Max = r2.Vec{X: max(b.Max.X, is.Box.Max.X), Y: max(b.Max.Y, is.Box.Max.Y)}
		}
	}
	return b
}

// lensOf is what the enlarged place shows.
func lensOf(l *gapscan.Layer, frame image.Rectangle) r2.Box {
	a, b := vec(l.EndsMM[0]), vec(l.EndsMM[1])
	across := min(max(lensGaps*r2.Norm(r2.Sub(a, b)), lensLeastMM), lensMostMM)
	mid := r2.Scale(0.5, r2.Add(a, b))
	half := r2.Vec{X: across / 2, Y: across / 2 * float64(frame.Dy()) / float64(frame.Dx())}
	return r2.Box{Min: r2.Sub(mid, half), Max: r2.Add(mid, half)}
}

func vec(p [2]float64) r2.Vec { return r2.Vec{X: p[0], Y: p[1]} }

// layerDrawing draws a layer into a frame.
type layerDrawing struct {
	canvas
	img   *image.RGBA // the whole picture
	r     *gapscan.Result
	st    *slice.Stack
	layer int
	ids   []int

	frame image.Rectangle
	mid   r2.Vec
	perMM float64
}

// at is the pixel of a place: y grows upward on the bed.
func (d *layerDrawing) at(p r2.Vec) r2.Vec {
	c := r2.Vec{X: float64(d.frame.Min.X+d.frame.Max.X) / 2, Y: float64(d.frame.Min.Y+d.frame.Max.Y) / 2}
	return r2.Vec{X: c.X + float64((p.X-d.mid.X)*d.perMM), Y: c.Y - float64((p.Y-d.mid.Y)*d.perMM)}
}

// into draws what of the layer lies in a box, as large as the frame allows;
// heavy is the width of what is tight, in pixels.
func (d *layerDrawing) into(frame image.Rectangle, box r2.Box, heavy float64) {
	const fill = 0.94
	whole := d.canvas
	d.frame = frame
	d.canvas = canvas{fullColor{d.img.SubImage(frame).(*image.RGBA)}}
	defer func() { d.canvas = whole }()
	size := r2.Sub(box.Max, box.Min)
	d.mid = r2.Scale(0.5, r2.Add(box.Min, box.Max))
	d.perMM = min(float64(frame.Dx())/max(size.X, 1e-3), float64(frame.Dy())/max(size.Y, 1e-3))
	if heavy < 5 {
		d.perMM *= fill
	}
	l := &d.st.Layers[d.layer-1]
	for _, is := range l.Islands {
		var rings [][]r2.Vec
		for i := is.First; i < is.End; i++ {
			rings = append(rings, d.ring(l, i))
		}
		d.area(rings, partTint(d.ids[is.Part]).rgba())
	}
	if d.layer > 1 {
		below := &d.st.Layers[d.layer-2]
		for i := range below.Contours {
			d.line(d.ring(below, int32(i)), true, 1, color.RGBA{150, 146, 150, 255})
		}
	}
	for i := range l.Contours {
		d.line(d.ring(l, int32(i)), true, 1.2, ink)
	}
	tight := &d.r.Tight[d.layer-1]
	for _, f := range tight.Roofs {
		rings := make([][]r2.Vec, len(f.Rings))
		for i, ring := range f.Rings {
			rings[i] = d.places(ring)
		}
		d.area(rings, rampColor(f.Margin))
	}
	for _, w := range tight.Walls {
		line := d.places(w.Line)
		d.line(line, false, heavy+2, paper)
		d.line(line, false, heavy, rampColor(w.Margin))
	}
}

func (d *layerDrawing) places(pts []r2.Vec) []r2.Vec {
	out := make([]r2.Vec, len(pts))
	for i, p := range pts {
		out[i] = d.at(p)
	}
	return out
}

func (d *layerDrawing) ring(l *slice.Layer, i int32) []r2.Vec {
	c := &l.Contours[i]
	return d.places(l.Pts[c.Start:c.End])
}

// outline marks a box.
func (d *layerDrawing) outline(b r2.Box, ink color.Color) {
	d.line(d.places([]r2.Vec{b.Min, {X: b.Max.X, Y: b.Min.Y}, b.Max, {X: b.Min.X, Y: b.Max.Y}}), true, 2, ink)
}

// dimension joins the two places of the layer's margin and writes the gap
// beside them.
func (d *layerDrawing) dimension(p *pens, l *gapscan.Layer) {
	a, b := d.at(vec(l.EndsMM[0])), d.at(vec(l.EndsMM[1]))
	d.stroke(a.X, a.Y, b.X, b.Y, 5, paper)
	d.stroke(a.X, a.Y, b.X, b.Y, 2.4, ink)
	for _, e := range []r2.Vec{a, b} {
		d.disc(e.X, e.Y, 6.5, paper)
		d.disc(e.X, e.Y, 4.5, ink)
	}
	if l.GapMM == nil {
		return
	}
	words := gap(*l.GapMM) + " mm"
	if e := l.EndsLayers; e != nil && e[0] != e[1] {
		words += ", from layer " + strconv.Itoa(e[0]) + " to " + strconv.Itoa(e[1])
	}
	mid := r2.Scale(0.5, r2.Add(a, b))
	w := p.words.width(words)
	x := min(max(int(mid.X)+22, d.frame.Min.X+8), d.frame.Max.X-w-16)
	y := min(max(int(mid.Y)-28, d.frame.Min.Y+32), d.frame.Max.Y-50)
	d.fill(x-6, y-24, x+w+6, y+8, paper)
	d.canvas.frame(image.Rect(x-6, y-24, x+w+6, y+8), ink)
	d.text(p.words, x, y, ink, words)
}

// scaleBar draws a round length below a frame, where it hides nothing.
func scaleBar(c canvas, p *pens, frame image.Rectangle, perMM float64) {
	const most = 0.28 // of the frame's width
	mm := roundDown(most * float64(frame.Dx()) / perMM)
	x, y := frame.Min.X, frame.Max.Y+22
	length := int(math.Round(mm * perMM))
	c.fill(x, y, x+length, y+3, ink)
	c.fill(x, y-5, x+2, y+8, ink)
	c.fill(x+length-2, y-5, x+length, y+8, ink)
	c.text(p.label, x+length+12, y+8, ink, size(mm)+" mm")
}

// roundDown is the largest of 1, 2 or 5 times a power of ten that is not
// above v.
func roundDown(v float64) float64 {
	power := math.Pow(10, math.Floor(math.Log10(v)))
	for _, k := range []float64{5, 2, 1} {
		if k*power <= v*(1+1e-9) {
			return k * power
		}
	}
	return power
}
