package report

import (
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/gapscan"
)

// heatMap says how tight the place is that a point on a part's surface belongs
// to. It is made of the tight places of the layers, and so only as fine as
// the layers are high.
type heatMap struct {
	layers []gapscan.Layer
	// walls and roofs by layer, the lowest first; by the part they belong to.
	walls []map[int]*wallGrid
	roofs []map[int][]heatRoof
}

// heatNear is how far from a contour, in plan, the surface it was cut from may
// lie, mm: half a layer of a slope of 45 degrees, and the facets of a curve.
const heatNear = 0.25

// heatRoof is a tight place seen from above or below.
type heatRoof struct {
	rings  [][]r2.Vec
	box    planBox
	margin float64
	down   bool // the upper part's side of it
}

// planBox bounds places in plan.
type planBox struct{ min, max r2.Vec }

var nowhere = planBox{r2.Vec{X: math.Inf(1), Y: math.Inf(1)}, r2.Vec{X: math.Inf(-1), Y: math.Inf(-1)}}

func (b planBox) with(p r2.Vec) planBox {
	return planBox{
		r2.Vec{X: min(b.min.X, p.X), Y: min(b.min.Y, p.Y)},
		r2.Vec{X: max(b.max.X, p.X), Y: max(b.max.Y, p.Y)},
	}
}

func (b planBox) meets(c r3.Box) bool {
	return b.min.X <= c.Max.X+heatNear && b.max.X >= c.Min.X-heatNear &&
		b.min.Y <= c.Max.Y+heatNear && b.max.Y >= c.Min.Y-heatNear
}

func newHeatMap(r *gapscan.Result) *heatMap {
	n := len(r.Tight)
	h := &heatMap{layers: r.Layers, walls: make([]map[int]*wallGrid, n), roofs: make([]map[int][]heatRoof, n)}
	roof := func(layer, part int, one heatRoof) {
		if layer < 0 || layer >= n {
			return
		}
		if h.roofs[layer] == nil {
			h.roofs[layer] = map[int][]heatRoof{}
		}
		h.roofs[layer][part] = append(h.roofs[layer][part], one)
	}
	for i := range r.Tight {
		for _, w := range r.Tight[i].Walls {
			if h.walls[i] == nil {
				h.walls[i] = map[int]*wallGrid{}
			}
			g := h.walls[i][w.Part]
			if g == nil {
				g = &wallGrid{box: nowhere, cells: map[[2]int32][]int32{}}
				h.walls[i][w.Part] = g
			}
			g.add(w)
		}
		for _, f := range r.Tight[i].Roofs {
			box := nowhere
			for _, ring := range f.Rings {
				for _, p := range ring {
					box = box.with(p)
				}
			}
			roof(i, f.Part, heatRoof{f.Rings, box, f.Margin, true})
			roof(f.OverLayer-1, f.Over, heatRoof{f.Rings, box, f.Margin, false})
		}
	}
	return h
}

// at is the margin at a place p of a part's surface with the outward normal
// n; false where it is free.
func (h *heatMap) at(part int, p, n r3.Vec) (float64, bool) {
	k := layerOfZ(h.layers, p.Z)
	if k < 0 || k >= len(h.walls) {
		return 0, false
	}
	margin := math.Inf(1)
	if g := h.walls[k][part]; g != nil {
		margin = g.least(r2.Vec{X: p.X, Y: p.Y})
	}
	if math.Abs(n.Z) > 0.5 {
		// A level face lies on the border of two layers, or between.
		for i := max(0, k-1); i <= min(k+1, len(h.roofs)-1); i++ {
			for _, f := range h.roofs[i][part] {
				if f.down == (n.Z < 0) && f.margin < margin && insideRings(f.rings, r2.Vec{X: p.X, Y: p.Y}) {
					margin = f.margin
				}
			}
		}
	}
	return margin, !math.IsInf(margin, 1)
}

// layerOfZ is the index of the layer that has the height z, -1 without
// layers. What lies above the last belongs to it.
func layerOfZ(layers []gapscan.Layer, z float64) int {
	lo, hi := 0, len(layers)
	for lo < hi {
		if mid := (lo + hi) / 2; layers[mid].ZTopMM <= z {
			lo = mid + 1
		} else {
			hi = mid
		}
	}
	return min(lo, len(layers)-1)
}

// insideRings tells by the even-odd rule.
func insideRings(rings [][]r2.Vec, p r2.Vec) bool {
	in := false
	for _, ring := range rings {
		for i, a := range ring {
			b := ring[(i+1)%len(ring)]
			if (a.Y > p.Y) != (b.Y > p.Y) && p.X < a.X+float64((b.X-a.X)*((p.Y-a.Y)/(b.Y-a.Y))) {
				in = !in
			}
		}
	}
	return in
}

// wallGrid finds the stretches of wall near a place in one layer of one part.
type wallGrid struct {
	segs  []wallSeg
	box   planBox
	cells map[[2]int32][]int32
}

type wallSeg struct {
	a, b   r2.Vec
	margin float64
}

// wallCell is the width of a grid cell, mm.
const wallCell = 1.0

func wallCellOf(v float64) int32 { return int32(math.Floor(v / wallCell)) }

func (g *wallGrid) add(w gapscan.TightWall) {
	for i := 1; i < len(w.Line); i++ {
		s := wallSeg{w.Line[i-1], w.Line[i], w.Margin}
		n := int32(len(g.segs))
		g.segs = append(g.segs, s)
		g.box = g.box.with(s.a).with(s.b)
		x0, x1 := wallCellOf(min(s.a.X, s.b.X)-heatNear), wallCellOf(max(s.a.X, s.b.X)+heatNear)
		y0, y1 := wallCellOf(min(s.a.Y, s.b.Y)-heatNear), wallCellOf(max(s.a.Y, s.b.Y)+heatNear)
		for x := x0; x <= x1; x++ {
			for y := y0; y <= y1; y++ {
				g.cells[[2]int32{x, y}] = append(g.cells[[2]int32{x, y}], n)
			}
		}
	}
}

// least is the least margin of the stretches near p, +Inf if there are none.
func (g *wallGrid) least(p r2.Vec) float64 {
	best := math.Inf(1)
	for _, i := range g.cells[[2]int32{wallCellOf(p.X), wallCellOf(p.Y)}] {
		s := &g.segs[i]
		if s.margin < best && toSegment(p, s.a, s.b) <= heatNear {
			best = s.margin
		}
	}
	return best
}

// toSegment is the distance from a place to a segment.
func toSegment(p, a, b r2.Vec) float64 {
	d := r2.Sub(b, a)
	t := 0.0
	if l := r2.Norm2(d); l > 0 {
		t = min(max(r2.Dot(r2.Sub(p, a), d)/l, 0), 1)
	}
	return r2.Norm(r2.Sub(p, r2.Add(a, r2.Scale(t, d))))
}
