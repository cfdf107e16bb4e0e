package near

import (
	"math"
	"slices"

	"github.com/peterstace/simplefeatures/geom"
	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/mesh/shape"
	"playgauge/slice"
)

// drawn is an island as it is drawn: an outer ring and holes.
type drawn struct {
	part  int32
	rings [][]r2.Vec
}

// layerOf makes a layer of islands, which must be sorted by part.
func layerOf(islands []drawn) *slice.Layer {
	l := &slice.Layer{Number: 1}
	for i, d := range islands {
		is := slice.Island{Part: d.part, First: int32(len(l.Contours))}
		for k, r := range d.rings {
			r = slices.Clone(r)
			if (shape.Area(r) > 0) != (k == 0) {
				slices.Reverse(r)
			}
			c := slice.Contour{Start: int32(len(l.Pts)), Part: d.part, Island: int32(i), Area: shape.Area(r)}
			c.Box.Min, c.Box.Max = r[0], r[0]
			for _, p := range r {
				c.Box.Min = r2.Vec{X: min(c.Box.Min.X, p.X), Y: min(c.Box.Min.Y, p.Y)}
				c.Box.Max = r2.Vec{X: max(c.Box.Max.X, p.X), Y: max(c.Box.Max.Y, p.Y)}
			}
			l.Pts = append(l.Pts, r...)
			c.End = int32(len(l.Pts))
			l.Contours = append(l.Contours, c)
			is.Area += c.Area
			if k == 0 {
				is.Box = c.Box
			}
		}
		is.End = int32(len(l.Contours))
		l.Islands = append(l.Islands, is)
	}
	return l
}

// star draws a ring whose corners rise in angle, its radii from rMin to rMax.
func star(t *rapid.T, c r2.Vec, rMin, rMax float64) []r2.Vec {
	n := rapid.IntRange(3, 40).Draw(t, "corners")
	whole := rapid.Bool().Draw(t, "on a grid")
	pts := make([]r2.Vec, 0, n)
	for i := range n {
		r := rapid.Float64Range(rMin, rMax).Draw(t, "r")
		s, k := math.Sincos(2 * math.Pi * (float64(i) + 0.1) / float64(n))
		pts = append(pts, r2.Vec{X: c.X + r*k, Y: c.Y + r*s})
	}
	if whole && rMin > 1 { // few corners on round numbers: ties, touching, parallel walls
		w := math.Round(rMax)
		return shape.Rect(math.Round(c.X)-w, math.Round(c.Y)-1, math.Round(c.X)+w, math.Round(c.Y)+1)
	}
	return pts
}

// scene draws a layer of up to 4 parts in a grid of places 10 mm apart, one
// island a place: islands never overlap one another.
func scene(t *rapid.T) []drawn {
	var all []drawn
	for i := range 9 {
		if i > 0 && rapid.IntRange(0, 2).Draw(t, "empty") == 0 {
			continue
		}
		c := r2.Vec{X: 10 * float64(i%3), Y: 10 * float64(i/3)}
		d := drawn{part: int32(rapid.IntRange(0, 3).Draw(t, "part")), rings: [][]r2.Vec{star(t, c, 2.5, 4.9)}}
		if len(d.rings[0]) > 6 && rapid.Bool().Draw(t, "hole") {
			d.rings = append(d.rings, star(t, c, 0.3, 0.9))
		}
		all = append(all, d)
	}
	slices.SortStableFunc(all, func(a, b drawn) int { return int(a.part - b.part) })
	return all
}

func (d drawn) moved(by r2.Vec) drawn {
	m := drawn{part: d.part}
	for _, r := range d.rings {
		r = slices.Clone(r)
		for i := range r {
			r[i] = r2.Add(r[i], by)
		}
		m.rings = append(m.rings, r)
	}
	return m
}

func lineString(r []r2.Vec) geom.LineString {
	var f []float64
	for _, p := range append(r[:len(r):len(r)], r[0]) {
		f = append(f, p.X, p.Y)
	}
	return geom.NewLineString(geom.NewSequence(f, geom.DimXY))
}

// lines is all contours of a part, polygons its material, for the judge.
func lines(islands []drawn, part int32) geom.Geometry {
	var ls []geom.LineString
	for _, d := range islands {
		if d.part == part {
			for _, r := range d.rings {
				ls = append(ls, lineString(r))
			}
		}
	}
	return geom.NewMultiLineString(ls).AsGeometry()
}

// polygons is the material of a part, or of all parts for -1.
func polygons(islands []drawn, part int32) geom.Geometry {
	var ps []geom.Polygon
	for _, d := range islands {
		if d.part == part || part < 0 {
			var ls []geom.LineString
			for _, r := range d.rings {
				ls = append(ls, lineString(r))
			}
			ps = append(ps, geom.NewPolygon(ls))
		}
	}
	return geom.NewMultiPolygon(ps).AsGeometry()
}

func point(p r2.Vec) geom.Geometry { return geom.XY{X: p.X, Y: p.Y}.AsPoint().AsGeometry() }

// segments lists the segments of a part by their first point.
func segments(l *slice.Layer, part int32) map[int32][2]r2.Vec {
	out := map[int32][2]r2.Vec{}
	for _, c := range l.Contours {
		if c.Part != part {
			continue
		}
		for i := c.Start; i < c.End; i++ {
			j := i + 1
			if j == c.End {
				j = c.Start
			}
			out[i] = [2]r2.Vec{l.Pts[i], l.Pts[j]}
		}
	}
	return out
}

// toSegment is the distance of a point from a segment, by ternary search
// along it: the distance is convex there.
func toSegment(p, a, b r2.Vec) float64 {
	lo, hi := 0.0, 1.0
	at := func(t float64) float64 { return math.Hypot(a.X+t*(b.X-a.X)-p.X, a.Y+t*(b.Y-a.Y)-p.Y) }
	for range 200 {
		u, v := lo+(hi-lo)/3, hi-(hi-lo)/3
		if at(u) < at(v) {
			hi = v
		} else {
			lo = u
		}
	}
	return min(at(lo), at(0), at(1))
}
