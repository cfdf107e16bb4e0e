package sample

import (
	"gonum.org/v1/gonum/spatial/r3"

	"playgauge/mesh/clip"
)

// join adds the bar to a solid as a surface of its own; the two overlap, and
// so are one part.
func (b bar) join(s clip.Solid) clip.Solid {
	out := clip.Solid{V: append([]r3.Vec{}, s.V...), T: append([][3]int32{}, s.T...), Surface: append([]int32{}, s.Surface...)}
	own := int32(0)
	for _, k := range s.Surface {
		own = max(own, k+1)
	}
	base := int32(len(out.V))
	round := func(v float64) float64 { return float64(float32(v)) + 0 }
	for i := range 8 {
		v := b.lo
		if i&1 > 0 {
			v.X = b.hi.X
		}
		if i&2 > 0 {
			v.Y = b.hi.Y
		}
		if i&4 > 0 {
			v.Z = b.hi.Z
		}
		out.V = append(out.V, r3.Vec{X: round(v.X), Y: round(v.Y), Z: round(v.Z)})
	}
	for _, q := range [6][4]int32{{0, 2, 3, 1}, {4, 5, 7, 6}, {0, 1, 5, 4}, {2, 6, 7, 3}, {0, 4, 6, 2}, {1, 3, 7, 5}} {
		for _, t := range [2][3]int32{{q[0], q[1], q[2]}, {q[0], q[2], q[3]}} {
			out.T = append(out.T, [3]int32{base + t[0], base + t[1], base + t[2]})
			out.Surface = append(out.Surface, own)
		}
	}
	return out
}
