package report

import (
	"encoding/base64"
	"encoding/binary"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/gapscan"
	"playgauge/mesh/parallel"
	"playgauge/slice"
)

// How finely the page draws contours. Nothing is measured on the drawing.
const (
	// drawWithin is how far in mm a line drawn may lie from the contour.
	drawWithin = 0.01
	// drawGrid is the grid in mm on which points are drawn; rounding to it
	// moves them by up to 0.71 of it.
	drawGrid = 0.004
	// thinWithin is what is left of drawWithin for leaving out points.
	thinWithin = drawWithin - drawGrid*math.Sqrt2/2
)

// drawing is what the page draws, in pieces that are decoded when they are
// looked at. Layers that look alike share one.
//
// A piece is base64 (RFC 4648) of unsigned LEB128 numbers. Points are told in
// steps of drawGrid from the point before them, from 0, 0 for the first of
// the piece, with the sign in the lowest bit ("zigzag").
type drawing struct {
	// Islands holds pieces: the number of islands, and of each the id of its
	// part, the number of its contours, and of each contour the number of its
	// points and the points.
	Islands []string `json:"islands"`
	// Tight holds pieces: the number of walls, and of each 1 if it is short
	// of its need or 0 if it is close, the ids of its part and the other, and
	// its points as of a contour; then the number of roofs, and of each 1 or
	// 0, the ids of the upper and the lower part, the lower one's layer and
	// its rings as an island's contours.
	Tight []string `json:"tight"`
	// Box bounds all layers: least x and y, greatest x and y, mm.
	Box [4]float64 `json:"box"`
}

// pool keeps every piece once.
type pool struct {
	pieces []string
	at     map[string]int
}

func (p *pool) put(piece string) int {
	if i, ok := p.at[piece]; ok {
		return i
	}
	if p.at == nil {
		p.at = map[string]int{}
	}
	p.at[piece] = len(p.pieces)
	p.pieces = append(p.pieces, piece)
	return len(p.pieces) - 1
}

// drawLayers encodes the layers of a stack. islands and tight tell for each layer
// where its pieces are; tight is -1 where nothing is tight.
func drawLayers(r *gapscan.Result, st *slice.Stack) (d drawing, islands, tight []int) {
	var shapes, places pool
	drawn, heated := make([]string, len(st.Layers)), make([]string, len(st.Layers))
	parallel.EachWorker(len(st.Layers), func() func(int) {
		var w piece
		return func(i int) {
			drawn[i] = w.islands(r, &st.Layers[i])
			if i < len(r.Tight) && (i == 0 || !sameTight(&r.Tight[i], &r.Tight[i-1])) {
				heated[i] = w.tight(&r.Tight[i])
			}
		}
	})
	box := r2.Box{}
	for i := range st.Layers {
		l := &st.Layers[i]
		for k := range l.Islands {
			b := l.Islands[k].Box
			if box == (r2.Box{}) {
				box = b
			}
			box.Min.X, box.Min.Y = min(box.Min.X, b.Min.X), min(box.Min.Y, b.Min.Y)
			box.Max.X, box.Max.Y = max(box.Max.X, b.Max.X), max(box.Max.Y, b.Max.Y)
		}
		islands = append(islands, shapes.put(drawn[i]))
		t := -1
		if i < len(r.Tight) && len(r.Tight[i].Walls)+len(r.Tight[i].Roofs) > 0 {
			if heated[i] == "" {
				heated[i] = heated[i-1]
			}
			t = places.put(heated[i])
		}
		tight = append(tight, t)
	}
	d.Islands, d.Tight = list(shapes.pieces), list(places.pieces)
	for k, v := range [4]float64{box.Min.X, box.Min.Y, box.Max.X, box.Max.Y} {
		d.Box[k] = math.Round(v*100) / 100
	}
	return d, islands, tight
}

// sameTight says that two layers have the very walls in common, and no roofs.
func sameTight(a, b *gapscan.Tight) bool {
	return len(a.Roofs)+len(b.Roofs) == 0 && slices.EqualFunc(a.Walls, b.Walls, func(v, w gapscan.TightWall) bool {
		return v.Part == w.Part && v.Other == w.Other && v.Outcome == w.Outcome && len(v.Line) == len(w.Line) && (len(v.Line) == 0 || &v.Line[0] == &w.Line[0])
	})
}

func (w *piece) islands(r *gapscan.Result, l *slice.Layer) string {
	w.begin()
	w.number(len(l.Islands))
	for k := range l.Islands {
		is := &l.Islands[k]
		w.number(r.Parts[is.Part].ID)
		w.number(int(is.End - is.First))
		for _, c := range l.Contours[is.First:is.End] {
			w.line(w.thinner.closed(l.Pts[c.Start:c.End], thinWithin))
		}
	}
	return w.String()
}

func (w *piece) tight(t *gapscan.Tight) string {
	short := func(o gapscan.Outcome) int {
		if bad(o) {
			return 1
		}
		return 0
	}
	w.begin()
	w.number(len(t.Walls))
	for i := range t.Walls {
		wall := &t.Walls[i]
		w.number(short(wall.Outcome))
		w.number(wall.Part)
		w.number(wall.Other)
		w.line(w.thinner.line(wall.Line, thinWithin))
	}
	w.number(len(t.Roofs))
	for i := range t.Roofs {
		roof := &t.Roofs[i]
		w.number(short(roof.Outcome))
		w.number(roof.Part)
		w.number(roof.Over)
		w.number(roof.OverLayer)
		w.number(len(roof.Rings))
		for _, ring := range roof.Rings {
			w.line(w.thinner.closed(ring, thinWithin))
		}
	}
	return w.String()
}

// piece is one piece of a drawing as it is written, one after the other.
type piece struct {
	buf     []byte
	x, y    int64 // of the last point
	thinner thinner
}

func (w *piece) begin() { w.buf, w.x, w.y = w.buf[:0], 0, 0 }

func (w *piece) number(n int) { w.buf = binary.AppendUvarint(w.buf, uint64(n)) }

func (w *piece) line(pts []r2.Vec) {
	w.number(len(pts))
	for _, p := range pts {
		x, y := int64(math.Round(p.X/drawGrid)), int64(math.Round(p.Y/drawGrid))
		w.buf = binary.AppendVarint(w.buf, x-w.x)
		w.buf = binary.AppendVarint(w.buf, y-w.y)
		w.x, w.y = x, y
	}
}

func (w *piece) String() string { return base64.StdEncoding.EncodeToString(w.buf) }
