package slice

import (
	"playgauge/mesh"
	"playgauge/mesh/parallel"
)

// Cut cuts a mesh into the layers of a plan. Every contour belongs to a part;
// where a mesh is open, ends are joined as closeOpen says and the repair is
// noted. Layers are cut in parallel; the result does not depend on it.
func Cut(m *mesh.Mesh, p Plan) *Stack { return CutSome(m, p, 1, p.Layers) }

// CutSome is Cut for layers from to to only; the others are left empty.
func CutSome(m *mesh.Mesh, p Plan, from, to int) *Stack {
	st := &Stack{Plan: p, Layers: make([]Layer, p.Layers), Parts: len(m.Parts)}
	from, to = max(from, 1), min(to, p.Layers)
	for i := range st.Layers {
		if n := i + 1; n < from || n > to {
			st.Layers[i] = Layer{Number: n, Z: p.Cut(n)}
		}
	}
	if from > to {
		return st
	}
	lv := newLevels(m, p, from, to)
	parallel.EachWorker(to-from+1, func() func(int) {
		w := newWalker(m, p, lv)
		return func(i int) { st.Layers[from-1+i] = w.layer(from + i) }
	})
	return st
}
