package mesh

import "gonum.org/v1/gonum/spatial/r3"

// weldWhole is weld of triangles in the file's order by one table: of few it
// fits a cache, too, and nothing needs to be put together.
func weldWhole(xyz []float32) (v []r3.Vec, t [][3]int32, dropped int) {
	n := len(xyz) / 9
	t = make([][3]int32, 0, n)
	var table weldTable
	// A closed surface has half as many vertices as facets, and a few more.
	vertices := n/2 + n/16
	table.reset(vertices)
	table.keys = make([]key, 0, vertices)
	for i := range n {
		x := xyz[9*i : 9*i+9 : 9*i+9]
		a, b, c := keyOf(x), keyOf(x[3:]), keyOf(x[6:])
		if a == b || b == c || c == a {
			continue
		}
		t = append(t, [3]int32{table.find(a), table.find(b), table.find(c)})
	}
	v = make([]r3.Vec, len(table.keys))
	for i, k := range table.keys {
		v[i] = k.vec()
	}
	return v, t, n - len(t)
}
