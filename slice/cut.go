package slice

import (
	"playgauge/mesh"
	"playgauge/mesh/parallel"
)

// Cut cuts a mesh into the layers of a plan. Every contour belongs to a part;
// where a mesh is open, ends are joined as closeOpen says and the repair is
// noted. Layers are cut in parallel; the result does not depend on it.
func Cut(m *mesh.Mesh, p Plan) *Stack {
	st := &Stack{Plan: p, Layers: make([]Layer, p.Layers), Parts: len(m.Parts)}
	if p.Layers == 0 {
		return st
	}
	lv := newLevels(m, p)
	parallel.EachWorker(p.Layers, func() func(int) {
		w := newWalker(m, lv)
		return func(i int) { st.Layers[i] = w.layer(i + 1) }
	})
	return st
}
