package slice

import (
	"runtime"
	"sync"
	"sync/atomic"

	"playgauge/mesh"
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
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), p.Layers) {
		wg.Go(func() {
			w := newWalker(m, lv)
			for {
				n := int(next.Add(1))
				if n > p.Layers {
					return
				}
				st.Layers[n-1] = w.layer(n)
			}
		})
	}
	wg.Wait()
	return st
}
