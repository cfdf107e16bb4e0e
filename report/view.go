package report

import (
	"image"
	"image/draw"
	"image/png"
	"io"
	"path"
	"slices"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan"
	"playgauge/mesh"
)

// The view's layout, in pixels.
const (
	viewWidth   = 1500
	viewHeight  = 1040
	viewTop     = 142 // where the pictures begin
	viewFoot    = 236 // what is left below them for words
	viewLeft    = 860 // width of the picture of the whole model
	viewGutter  = 24  // between it and the close-up
	calloutSize = 15  // radius of a number's disc
	mostCalled  = 4   // joints called out by number
)

// View writes the model in three dimensions as a PNG of 1500 by 1040 pixels:
// the parts in quiet tints, what is tight in the colours of the heat-strip,
// the worst joints called out by number, with words; and beside it the worst
// of them from near, cut open along its gap, since joints hide inside. Without
// a joint the model stands alone. r must come of a scan with Options.Tight, of
// this mesh.
func View(w io.Writer, r *gapscan.Result, m *mesh.Mesh) error {
	img, err := drawView(r, m)
	if err != nil {
		return err
	}
	return (&png.Encoder{CompressionLevel: png.BestSpeed}).Encode(w, img)
}

func drawView(r *gapscan.Result, m *mesh.Mesh) (*image.RGBA, error) {
	p, err := newPens()
	if err != nil {
		return nil, err
	}
	img := image.NewRGBA(image.Rect(0, 0, viewWidth, viewHeight))
	c := canvas{fullColor{img}}
	c.fill(0, 0, viewWidth, viewHeight, paperLab.rgba())
	stripTitle(c, &p, r)
	called := calledOut(r)
	h := newHeatMap(r)
	whole := image.Rect(border, viewTop, viewWidth-border, viewHeight-viewFoot)
	if len(called) == 0 {
		az, el := viewpoint(m, h, nil)
		cam := newCamera(az, el, whole.Dx()*viewSamples, whole.Dy()*viewSamples)
		cam.seeAll(m.V)
		viewPicture(img, m, h, whole, cam, nil)
		viewWords(c, &p, r, called)
		return img, nil
	}
	worst := called[0].joint
	az, el := viewpoint(m, h, worst)
	left, right := whole, whole
	left.Max.X = left.Min.X + viewLeft
	right.Min.X = left.Max.X + viewGutter

	all := left.Inset(calloutSize * 2) // the numbers stand round it
	cam := newCamera(az, el, all.Dx()*viewSamples, all.Dy()*viewSamples)
	cam.seeAll(m.V)
	shown := viewPicture(img, m, h, all, cam, nil)
	marks := make([]callMark, len(called))
	for i, k := range called {
		marks[i] = newCallMark(&shown, all, k)
	}
	placeCalls(marks, left)
	for _, k := range marks {
		k.draw(c, &p)
	}

	cut, near := cutOpen(worst, az, right.Dx()*viewSamples, right.Dy()*viewSamples)
	near.seeAll(m.V)
	mm := closeUpMM(r, worst)
	near.closeUp(onModel(cut.At, mm, m.Box), mm)
	shown = viewPicture(img, m, h, right, near, &cut)
	mark := newCallMark(&shown, right, called[0])
	mark.hidden = false
	mark.atX, mark.atY = right.Max.X-calloutSize-10, right.Min.Y+calloutSize+10
	mark.draw(c, &p)
	c.frame(right, hair)
	c.text(p.label, right.Min.X, right.Max.Y+26, faint, "cut open at "+called[0].number+", "+span(float64(right.Dx()*viewSamples)/near.perMM)+" mm wide")
	viewWords(c, &p, r, called)
	return img, nil
}

// call is a joint called out by number.
type call struct {
	number string
	joint  *gapscan.Joint
	alike  int // how many joints it stands for
}

// calledOut are the worst joints that are not free, those that read alike as
// one; of a model without one, the tightest.
func calledOut(r *gapscan.Result) (calls []call) {
	n, _ := tally(r.Joints)
	for told := 0; told < n && len(calls) < mostCalled; {
		j := &r.Joints[told]
		alike := sameJoints(r, r.Joints[told:n])
		if j.AtMM == nil || *j.Outcome == gapscan.Free && told > 0 {
			break
		}
		calls = append(calls, call{strconv.Itoa(len(calls) + 1), j, alike})
		told += alike
		if *j.Outcome == gapscan.Free {
			break
		}
	}
	return calls
}

// viewPicture draws the model into a frame.
func viewPicture(img *image.RGBA, m *mesh.Mesh, h *heatMap, frame image.Rectangle, cam camera, cut *halfSpace) raster {
	r := rasterize(m, cam, cut)
	draw.Draw(img, frame, shade(m, &r, h, cut), image.Point{}, draw.Src)
	return r
}

func newCallMark(r *raster, frame image.Rectangle, k call) callMark {
	x, y, near := r.project(r3.Vec{X: k.joint.AtMM[0], Y: k.joint.AtMM[1], Z: k.joint.AtMM[2]})
	return callMark{
		number: k.number, hidden: r.hides(int(x), int(y), near),
		x: frame.Min.X + int(x/viewSamples), y: frame.Min.Y + int(y/viewSamples),
	}
}

// hides says that something stands well before a place.
func (r *raster) hides(x, y int, near float64) bool {
	const slackMM = 1.0
	if x < 0 || y < 0 || x >= r.width || y >= r.height {
		return false
	}
	return r.facet[y*r.width+x] >= 0 && (r.near[y*r.width+x]-near)*r.depth > slackMM
}

// callMark is a number beside the picture, with a line to its joint.
type callMark struct {
	number   string
	hidden   bool
	x, y     int // of the joint
	atX, atY int // of the number
}

// placeCalls sets the numbers at the nearer side of the frame, one under the
// other.
func placeCalls(marks []callMark, frame image.Rectangle) {
	mid := (frame.Min.X + frame.Max.X) / 2
	for _, left := range []bool{true, false} {
		var side []*callMark
		for i := range marks {
			if marks[i].x < mid == left {
				side = append(side, &marks[i])
			}
		}
		slices.SortStableFunc(side, func(a, b *callMark) int { return a.y - b.y })
		next := frame.Min.Y + calloutSize
		for _, k := range side {
			k.atX = frame.Max.X - calloutSize - 2
			if left {
				k.atX = frame.Min.X + calloutSize + 2
			}
			k.atY = min(max(k.y-40, next), frame.Max.Y-calloutSize)
			next = k.atY + 3*calloutSize
		}
	}
}

func (k *callMark) draw(c canvas, p *pens) {
	c.stroke(float64(k.atX), float64(k.atY), float64(k.x), float64(k.y), 4, paper)
	if k.hidden { // a broken line leads to what is behind
		c.dashes(float64(k.atX), float64(k.atY), float64(k.x), float64(k.y), 1.8, ink)
	} else {
		c.stroke(float64(k.atX), float64(k.atY), float64(k.x), float64(k.y), 1.8, ink)
	}
	c.disc(float64(k.x), float64(k.y), 6, paper)
	c.disc(float64(k.x), float64(k.y), 4.5, ink)
	if k.hidden {
		c.disc(float64(k.x), float64(k.y), 2.5, paper)
	}
	c.disc(float64(k.atX), float64(k.atY), calloutSize+1.5, paper)
	c.disc(float64(k.atX), float64(k.atY), calloutSize, ink)
	c.textMid(p.bold, k.atX, k.atY+7, paper, k.number)
}

// viewWords lists what the numbers stand for, and what the colours mean.
func viewWords(c canvas, p *pens, r *gapscan.Result, called []call) {
	const room = viewWidth - 2*border
	y := viewHeight - viewFoot + 62
	for _, k := range called {
		j := k.joint
		words := unglued(string(*j.Outcome) + " - " + pairOf(j, k.alike) + ": " + jointWords(r, j))
		if j.WorstLayer != nil {
			if at := words + unglued(", "+layerAt(r, *j.WorstLayer)); p.label.width(at) <= room-3*calloutSize {
				words = at
			}
		}
		c.disc(float64(border+calloutSize), float64(y-7), calloutSize-2, ink)
		c.textMid(p.bold, border+calloutSize, y, paper, k.number)
		c.text(p.label, border+3*calloutSize, y, ink, p.label.fit(words, room-3*calloutSize))
		y += 33
	}
	if len(called) == 0 {
		c.text(p.label, border, y, ink, p.label.fit(unglued(noJoint(r)), room))
	}
	y = viewHeight - 26
	x := border
	const step = 5
	for k := range 26 {
		c.fill(x+k*step, y-15, x+(k+1)*step, y+1, rampColor(freeMargin*float64(k)/25))
	}
	c.text(p.label, x+26*step+12, y, faint, "margin 0 to 1.25, on the walls that face each other; tinted: free. A broken line leads behind what shows.")
}

// pairOf names a joint's parts, and how many more read like it.
func pairOf(j *gapscan.Joint, alike int) string {
	s := "parts " + numbers(j.Parts[:])
	if alike > 1 {
		s += " (and " + count(alike-1, "more such pair", "more such pairs") + ")"
	}
	return s
}

// viewName is a model's file without its folder.
func viewName(file string) string {
	return path.Base(strings.ReplaceAll(file, `\`, "/"))
}
