package report

import (
	"encoding/base64"
	"encoding/binary"
	"io"
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
// A piece is unsigned LEB128 numbers. Points are told in steps of drawGrid from
// the point before them, from 0, 0 for the first of the piece, with the sign in
// the lowest bit ("zigzag").
type drawing struct {
	// islands holds pieces: the number of islands, and of each the id of its
	// part, the number of its contours, and of each contour the number of its
	// points and the points.
	islands pool
	// tight holds pieces: the number of walls, and of each 1 if it is short
	// of its need or 0 if it is close, the ids of its part and the other, and
	// its points as of a contour; then the number of roofs, and of each 1 or
	// 0, the ids of the upper and the lower part, the lower one's layer and
	// its rings as an island's contours.
	tight pool
	// of says for each layer of the result where its pieces are.
	of []drawn
}

// drawn says where a layer's pieces are in their pools; -1 for none.
type drawn struct{ islands, tight int }

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

// newDrawing puts the layers in their order, and what is tight in them beside
// them.
func newDrawing(r *gapscan.Result, ls *Layers) *drawing {
	d := &drawing{of: make([]drawn, len(r.Layers))}
	tight := make([]string, min(len(r.Tight), len(r.Layers)))
	parallel.EachWorker(len(tight), func() func(int) {
		var p packer
		return func(i int) {
			if i == 0 || !sameTight(&r.Tight[i], &r.Tight[i-1]) {
				tight[i] = string(p.tight(&r.Tight[i]))
			}
		}
	})
	for i := range d.of {
		at := drawn{-1, -1}
		switch {
		case i >= len(ls.packed):
		case i > 0 && ls.alike[i]:
			at.islands = d.of[i-1].islands
		case ls.packed[i] != "":
			at.islands = d.islands.put(ls.packed[i])
		}
		switch {
		case i >= len(tight) || len(r.Tight[i].Walls)+len(r.Tight[i].Roofs) == 0:
		case tight[i] == "":
			at.tight = d.of[i-1].tight
		default:
			at.tight = d.tight.put(tight[i])
		}
		d.of[i] = at
	}
	return d
}

// sameTight says that two layers have the very walls in common, and no roofs.
func sameTight(a, b *gapscan.Tight) bool {
	return len(a.Roofs)+len(b.Roofs) == 0 && slices.EqualFunc(a.Walls, b.Walls, func(v, w gapscan.TightWall) bool {
		return v.Part == w.Part && v.Other == w.Other && v.Outcome == w.Outcome && len(v.Line) == len(w.Line) && (len(v.Line) == 0 || &v.Line[0] == &w.Line[0])
	})
}

// write writes the pieces for the script, in base64 (RFC 4648), one at a time:
// there may be megabytes of them.
func (d *drawing) write(w io.Writer) (err error) {
	var buf []byte
	put := func(s string) {
		if err == nil {
			_, err = io.WriteString(w, s)
		}
	}
	list := func(p *pool) {
		for i, piece := range p.pieces {
			if err != nil {
				return
			}
			if i > 0 {
				put(",")
			}
			buf = append(base64.StdEncoding.AppendEncode(append(buf[:0], '"'), []byte(piece)), '"')
			if err == nil {
				_, err = w.Write(buf)
			}
		}
	}
	put(`<script type="application/json" id="pieces">{"islands":[`)
	list(&d.islands)
	put(`],"tight":[`)
	list(&d.tight)
	put(`]}</script>`)
	return err
}

// packer writes pieces one after the other. It keeps its memory, and a piece is
// good until the next.
type packer struct {
	buf     []byte
	x, y    int64 // of the last point
	thinner thinner
}

func (p *packer) islands(l *slice.Layer, ids []int) []byte {
	p.begin()
	p.number(len(l.Islands))
	for k := range l.Islands {
		is := &l.Islands[k]
		p.number(ids[is.Part])
		p.number(int(is.End - is.First))
		for _, c := range l.Contours[is.First:is.End] {
			p.line(p.thinner.closed(l.Pts[c.Start:c.End], thinWithin))
		}
	}
	return p.buf
}

func (p *packer) tight(t *gapscan.Tight) []byte {
	short := func(o gapscan.Outcome) int {
		if bad(o) {
			return 1
		}
		return 0
	}
	p.begin()
	p.number(len(t.Walls))
	for i := range t.Walls {
		wall := &t.Walls[i]
		p.number(short(wall.Outcome))
		p.number(wall.Part)
		p.number(wall.Other)
		p.line(p.thinner.line(wall.Line, thinWithin))
	}
	p.number(len(t.Roofs))
	for i := range t.Roofs {
		roof := &t.Roofs[i]
		p.number(short(roof.Outcome))
		p.number(roof.Part)
		p.number(roof.Over)
		p.number(roof.OverLayer)
		p.number(len(roof.Rings))
		for _, ring := range roof.Rings {
			p.line(p.thinner.closed(ring, thinWithin))
		}
	}
	return p.buf
}

func (p *packer) begin() { p.buf, p.x, p.y = p.buf[:0], 0, 0 }

func (p *packer) number(n int) { p.buf = binary.AppendUvarint(p.buf, uint64(n)) }

// onGrid is the nearest step of drawGrid.
func onGrid(mm float64) int64 {
	steps := mm / drawGrid
	return int64(steps + math.Copysign(0.5, steps))
}

func (p *packer) line(pts []r2.Vec) {
	p.number(len(pts))
	for _, at := range pts {
		x, y := onGrid(at.X), onGrid(at.Y)
		p.buf = binary.AppendVarint(p.buf, x-p.x)
		p.buf = binary.AppendVarint(p.buf, y-p.y)
		p.x, p.y = x, y
	}
}
