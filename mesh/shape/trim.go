package shape

import (
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/region"
)

// onPlane is how near a vertex may lie to the trimming plane to count as on
// it, in mm: far above float64 rounding, far below float32's.
const onPlane = 1e-9

// Trim returns what of s lies above the height z, closed by a flat bottom
// there: what gives a round body a foot to stand on. Each connected surface
// is trimmed by itself, with the hollows in it; one that lies below is gone.
// It is an *Error if the section of a surface is not made of simple rings
// apart from each other.
func Trim(s Solid, z float64) (Solid, error) {
	b := builder{op: "trim"}
	kept := make([]int32, len(s.V)) // index in b.V, plus 1
	keep := func(i int32) int32 {
		if kept[i] == 0 {
			v := s.V[i]
			if level(v, z) == 0 {
				v.Z = z
			}
			kept[i] = b.add(v.X, v.Y, v.Z) + 1
		}
		return kept[i] - 1
	}
	cut := map[[2]int32]int32{} // the vertex where an edge passes the plane
	cross := func(i, j int32) int32 {
		if i > j {
			i, j = j, i
		}
		k, ok := cut[[2]int32{i, j}]
		if !ok {
			p, q := s.V[i], s.V[j]
			f := (z - p.Z) / (q.Z - p.Z)
			k = b.add(p.X+float64(f*(q.X-p.X)), p.Y+float64(f*(q.Y-p.Y)), z)
			cut[[2]int32{i, j}] = k
		}
		return k
	}
	var own []int32 // the surface of each facet kept
	surface := s.surfaces()
	for f, t := range s.T {
		var face []int32
		above := false
		for e := range 3 {
			i, j := t[e], t[(e+1)%3]
			li, lj := level(s.V[i], z), level(s.V[j], z)
			if li >= 0 {
				face = append(face, keep(i))
			}
			if li*lj < 0 {
				face = append(face, cross(i, j))
			}
			above = above || li > 0
		}
		if !above {
			continue
		}
		for k := 1; k+1 < len(face); k++ {
			b.T = append(b.T, [3]int32{face[0], face[k], face[k+1]})
			own = append(own, surface[f])
		}
	}
	if err := b.closeBelow(own); err != nil {
		return Solid{}, err
	}
	return b.used(), nil
}

func level(v r3.Vec, z float64) int {
	switch d := v.Z - z; {
	case d > onPlane:
		return 1
	case d < -onPlane:
		return -1
	}
	return 0
}

// closeBelow closes the open rings of a trimmed solid, a surface at a time.
func (b *builder) closeBelow(own []int32) error {
	open := map[[2]int32]bool{}
	for _, t := range b.T {
		for e := range 3 {
			i, j := t[e], t[(e+1)%3]
			if open[[2]int32{j, i}] {
				delete(open, [2]int32{j, i})
			} else {
				open[[2]int32{i, j}] = true
			}
		}
	}
	// An open edge i to j is closed from j to i.
	after := map[int32]int32{}
	surfaceOf := map[int32]int32{}
	var starts []int32 // in the order of the facets
	for f, t := range b.T {
		for e := range 3 {
			if i, j := t[e], t[(e+1)%3]; open[[2]int32{i, j}] {
				if _, twice := after[j]; twice {
					v := b.V[j]
					return &Error{Op: b.op, Rule: "the section touches itself", At: r2.Vec{X: v.X, Y: v.Y}, Placed: true}
				}
				after[j] = i
				surfaceOf[j] = own[f]
				starts = append(starts, j)
			}
		}
	}
	// Seen from below, along a mirrored x, outlines run counter-clockwise.
	var rings []section
	for _, start := range starts {
		if _, ok := after[start]; !ok {
			continue
		}
		r := section{surface: surfaceOf[start]}
		for i, ok := start, true; ok; {
			v := b.V[i]
			r.at = append(r.at, i)
			r.pts = append(r.pts, r2.Vec{X: -v.X, Y: v.Y})
			next := after[i]
			delete(after, i)
			i = next
			_, ok = after[i]
		}
		r.area = Area(r.pts)
		rings = append(rings, r)
	}
	holes := make([][]ring, len(rings))
	for _, h := range rings {
		if h.area > 0 {
			continue
		}
		i := outline(rings, h)
		if i < 0 {
			return &Error{Op: b.op, Rule: "a hollow lies in no solid", At: r2.Vec{X: -h.pts[0].X, Y: h.pts[0].Y}, Placed: true}
		}
		holes[i] = append(holes[i], h.ring)
	}
	for i, r := range rings {
		if r.area <= 0 {
			continue
		}
		// Up, for the corners are mirrored already.
		if err := b.cover(r.ring, holes[i], true); err != nil {
			return err
		}
	}
	return nil
}

// section is a ring where a surface meets the trimming plane, seen from
// below.
type section struct {
	ring
	surface int32
	area    float64
}

// outline is the innermost outline round the hole h: of its own surface if
// there is one, else (a hollow is a surface by itself) of any. -1 if none.
func outline(rings []section, h section) int {
	best := -1
	for _, own := range []bool{true, false} {
		for i, r := range rings {
			if r.area <= 0 || own != (r.surface == h.surface) || !region.Contains(r.pts, h.pts[0]) {
				continue
			}
			if best < 0 || r.area < rings[best].area {
				best = i
			}
		}
		if best >= 0 {
			break
		}
	}
	return best
}

// surfaces numbers the connected surface of each facet.
func (s Solid) surfaces() []int32 {
	root := make([]int32, len(s.V))
	for i := range root {
		root[i] = int32(i)
	}
	find := func(i int32) int32 {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for _, t := range s.T {
		a, b, c := find(t[0]), find(t[1]), find(t[2])
		lo := min(a, b, c)
		root[a], root[b], root[c] = lo, lo, lo
	}
	out := make([]int32, len(s.T))
	for f, t := range s.T {
		out[f] = find(t[0])
	}
	return out
}

// used returns the solid without the vertices that no facet needs.
func (s Solid) used() Solid {
	at := make([]int32, len(s.V))
	r := Solid{T: make([][3]int32, len(s.T))}
	for f, t := range s.T {
		for e, i := range t {
			if at[i] == 0 {
				r.V = append(r.V, s.V[i])
				at[i] = int32(len(r.V))
			}
			r.T[f][e] = at[i] - 1
		}
	}
	return r
}
