package slot

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh"
	"playgauge/mesh/shape"
	"playgauge/slice"
	"playgauge/slice/near"
)

// poly is a polygon from x, y, x, y ...
func poly(xy ...float64) []r2.Vec {
	var p []r2.Vec
	for i := 0; i < len(xy); i += 2 {
		p = append(p, r2.Vec{X: xy[i], Y: xy[i+1]})
	}
	return p
}

// stackOf is the layers of a solid, 0.2 high.
func stackOf(t testing.TB, s shape.Solid) *slice.Stack {
	t.Helper()
	return stackOfSoup(t, s.Soup(), mesh.Placement{})
}

func stackOfSoup(t testing.TB, s *mesh.Soup, p mesh.Placement) *slice.Stack {
	t.Helper()
	m, err := mesh.Build(s, p)
	if err != nil {
		t.Fatalf("building the mesh: %v", err)
	}
	plan, err := slice.NewPlan(0.2, 0.2, m.Box.Max.Z)
	if err != nil {
		t.Fatalf("planning the layers: %v", err)
	}
	return slice.Cut(m, plan)
}

func indexes(st *slice.Stack) *near.Layers { return near.IndexAll(st) }

func needs(mm float64) Options { return Options{Need: func(int) float64 { return mm }} }

func find(st *slice.Stack, need float64) []Slot { return findOn(st, indexes(st), needs(need)) }

// findOn is Find in layers that are not crowded.
func findOn(st *slice.Stack, ix *near.Layers, opt Options) []Slot {
	slots, crowded := Find(st.Plan, ix, opt)
	if len(crowded) > 0 {
		panic("crowded layers")
	}
	return slots
}

// widths lists the widths of the slots of each layer.
func widths(st *slice.Stack, slots []Slot) [][]float64 {
	out := make([][]float64, len(st.Layers))
	for _, s := range slots {
		out[s.Layer-1] = append(out[s.Layer-1], s.Width)
	}
	return out
}

// region is an island: its outer contour and its holes, either way round.
type region struct {
	part int32
	pts  [][]r2.Vec
}

// layerOf is a layer of regions, sorted by part.
func layerOf(regions ...region) *slice.Stack {
	l := slice.Layer{Number: 1, Z: 0.1}
	parts := 0
	for i, r := range regions {
		is := slice.Island{Part: r.part, First: int32(len(l.Contours))}
		for k, pts := range r.pts {
			c := slice.Contour{Start: int32(len(l.Pts)), Part: r.part, Island: int32(i)}
			if (shape.Area(pts) > 0) != (k == 0) {
				for n := len(pts) - 1; n >= 0; n-- {
					l.Pts = append(l.Pts, pts[n])
				}
			} else {
				l.Pts = append(l.Pts, pts...)
			}
			c.End = int32(len(l.Pts))
			c.Area = shape.Area(l.Pts[c.Start:c.End])
			c.Box = boxOf(pts)
			is.Area += c.Area
			if k == 0 {
				is.Box = c.Box
			}
			l.Contours = append(l.Contours, c)
		}
		is.End = int32(len(l.Contours))
		l.Islands = append(l.Islands, is)
		parts = max(parts, int(r.part)+1)
	}
	return &slice.Stack{Plan: slice.Plan{First: 0.2, Rest: 0.2, Layers: 1}, Layers: []slice.Layer{l}, Parts: parts}
}

// stacked is n layers, each as the first of the stack given for it.
func stacked(n int, layer func(k int) *slice.Stack) *slice.Stack {
	st := &slice.Stack{Plan: slice.Plan{First: 0.2, Rest: 0.2, Layers: n}, Parts: 1}
	for k := range n {
		l := layer(k).Layers[0]
		l.Number, l.Z = k+1, st.Plan.Cut(k+1)
		st.Layers = append(st.Layers, l)
	}
	return st
}

func boxOf(pts []r2.Vec) r2.Box {
	b := r2.Box{Min: pts[0], Max: pts[0]}
	for _, p := range pts {
		b.Min = r2.Vec{X: min(b.Min.X, p.X), Y: min(b.Min.Y, p.Y)}
		b.Max = r2.Vec{X: max(b.Max.X, p.X), Y: max(b.Max.Y, p.Y)}
	}
	return b
}

// notched is a block with one notch in its upper side: from x 0 to a mouth of
// a width, deep, its floor as wide as given.
func notched(mouth, floor, deep float64) []r2.Vec {
	return poly(-15, -3, 15, -3, 15, deep, mouth/2, deep, floor/2, 0, -floor/2, 0, -mouth/2, deep, -15, deep)
}

// comb is a bar of n teeth with gaps between; all deep as given.
func comb(n int, tooth, gap, deep float64) []r2.Vec {
	end := float64(n)*(tooth+gap) - gap
	p := poly(0, -3, end, -3)
	for i := n - 1; i >= 0; i-- {
		x := float64(i) * (tooth + gap)
		p = append(p, poly(x+tooth, deep, x, deep)...)
		if i > 0 {
			p = append(p, poly(x, 0, x-gap, 0)...)
		}
	}
	return p
}

// star has n points.
func star(n int, r, s float64) []r2.Vec {
	var p []r2.Vec
	for i := range 2 * n {
		sin, cos := math.Sincos(math.Pi * float64(i) / float64(n))
		d := r
		if i%2 == 1 {
			d = s
		}
		p = append(p, r2.Vec{X: d * cos, Y: d * sin})
	}
	return p
}

// strip is a band of a width along a line, each corner mitred.
func strip(line []r2.Vec, width float64) []r2.Vec {
	side := func(sign float64) []r2.Vec {
		out := make([]r2.Vec, len(line))
		for i := range line {
			a, b := line[max(i-1, 0)], line[min(i+1, len(line)-1)]
			u := r2.Unit(r2.Sub(line[i], a))
			v := r2.Unit(r2.Sub(b, line[i]))
			if i == 0 {
				u = v
			}
			if i == len(line)-1 {
				v = u
			}
			n := r2.Unit(r2.Vec{X: u.Y + v.Y, Y: -u.X - v.X})
			cos := r2.Dot(n, r2.Vec{X: u.Y, Y: -u.X})
			out[i] = r2.Add(line[i], r2.Scale(sign*width/2/cos, n))
		}
		return out
	}
	right, left := side(1), side(-1)
	for i := len(left) - 1; i >= 0; i-- {
		right = append(right, left[i])
	}
	return right
}

// spiral is a line of turns a pitch apart, of 48 chords each.
func spiral(r, pitch float64, turns int) []r2.Vec {
	var p []r2.Vec
	for i := 0; i <= 48*turns; i++ {
		a := 2 * math.Pi * float64(i) / 48
		sin, cos := math.Sincos(a)
		d := r + pitch*a/(2*math.Pi)
		p = append(p, r2.Vec{X: d * cos, Y: d * sin})
	}
	return p
}

// squareSpiral is a line that turns at right angles, a pitch apart.
func squareSpiral(pitch float64, legs int) []r2.Vec {
	p := []r2.Vec{{}}
	at := r2.Vec{}
	dir := r2.Vec{X: 1}
	for i := range legs {
		at = r2.Add(at, r2.Scale(pitch*float64(i/2+2), dir))
		p = append(p, at)
		dir = r2.Vec{X: -dir.Y, Y: dir.X}
	}
	return p
}

func box(x0, y0, z0, x1, y1, z1 float64) shape.Solid {
	return shape.Must(shape.Extrude(shape.Rect(x0, y0, x1, y1), nil, z0, z1))
}
