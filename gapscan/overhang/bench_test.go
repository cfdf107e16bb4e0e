package overhang

import (
	"fmt"
	"testing"

	"playgauge/mesh"
	"playgauge/mesh/shape"
)

// ballGrid is columns times rows of balls of radius 6 held in sockets, which
// hang a little in every layer up to their middle and again under the sockets'
// ceilings.
func ballGrid(columns, rows, segments int) *mesh.Soup {
	ball := shape.Must(shape.Lathe(shape.Arc(vec2(0, 7), 6, -90, 90, segments/2), segments, 0))
	// The socket is open below and closes in above the ball's middle.
	cavity := shape.Arc(vec2(0, 7), 6.4, -60, 60, segments/3)
	profile := append(poly(8, 0, 8, 13), reversed(cavity)...)
	socket := shape.Must(shape.Lathe(profile, segments, 0))
	joint := ball.Append(socket)
	var all shape.Solid
	for j := range rows {
		for i := range columns {
			all = all.Append(joint.Move(17*float64(i), 17*float64(j), 0))
		}
	}
	return all.Soup()
}

// waffle is one part: a plate on a lattice of walls that leaves n by n square
// holes, covered, each a bridge of 8.
func waffle(n int) *mesh.Soup {
	size := 10*float64(n) + 2
	s := box(0, 0, 4, size, size, 6)
	for i := range n + 1 {
		d := 10 * float64(i)
		s = s.Append(box(d, 0, 0, d+2, size, 4.05), box(0, d, 0, size, d+2, 4.05))
	}
	return s.Soup()
}

func BenchmarkFind(b *testing.B) {
	for _, m := range []struct {
		name string
		soup func() *mesh.Soup
	}{
		{"model=pins/triangles=100000", func() *mesh.Soup { return shape.PinGrid(10, 10, 100_000, false) }},
		{"model=pins/triangles=1000000", func() *mesh.Soup { return shape.PinGrid(20, 20, 1_000_000, false) }},
		{"model=balls/balls=64", func() *mesh.Soup { return ballGrid(8, 8, 64) }},
		{"model=balls/balls=256", func() *mesh.Soup { return ballGrid(16, 16, 64) }},
		{"model=waffle/holes=100", func() *mesh.Soup { return waffle(10) }},
		{"model=waffle/holes=900", func() *mesh.Soup { return waffle(30) }},
	} {
		built := build(b, m.soup())
		st, ix := cut(b, built)
		for _, told := range []bool{true, false} {
			b.Run(fmt.Sprintf("%s/told=%v", m.name, told), func(b *testing.B) {
				opt := Options{TanHang: tan50}
				if told {
					opt.MayHang = mayHang(built, st.Plan)
				}
				found := 0
				for b.Loop() {
					found = len(Find(st.Plan, ix, opt).Regions)
				}
				b.ReportMetric(float64(found), "regions")
			})
		}
	}
}
