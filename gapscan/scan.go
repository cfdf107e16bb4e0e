package gapscan

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/gapscan/machine"
	"playgauge/gapscan/overhang"
	"playgauge/gapscan/slot"
	"playgauge/mesh"
	"playgauge/mesh/parallel"
	"playgauge/slice"
	"playgauge/slice/near"
)

// Options of a scan.
type Options struct {
	// Reach is how far apart two parts may be and still be looked at, mm,
	// inclusive; 0 stands for 2 mm or four times the machine's largest need,
	// whichever is more.
	Reach float64
	// Tight asks for Result.Tight, which costs about half of what measuring the
	// welds does.
	Tight bool
	// kept is what earlier scans of the same stack found; nil where there is none.
	kept *kept
	// once is what is known of a model that is judged but once; nil where the
	// layers are kept.
	once *once
}

// once is what has been found before the layers of a stack are cut.
type once struct {
	pairs  []pair
	index  *near.Layers
	recede bool // the layers' walls recede from the mesh's
	// alike says that the outline of a layer is that of the one below; nil while
	// that is not known.
	alike func(n int) bool
}

// Scan measures and judges a sliced mesh on a machine. All of the result but
// Model is filled in (of Model, what the mesh knows). Joints are found on the
// triangles, then the layers are measured in parallel; the result does not
// depend on how many processors there are.
func Scan(m *mesh.Mesh, s *slice.Stack, mc machine.Machine, opt Options) *Result {
	sc, layers := scanLayers(m, s, mc, opt)
	return assemble(m, sc, mc, mc.Needs(), layers)
}

// scanLayers measures every layer.
func scanLayers(m *mesh.Mesh, s *slice.Stack, mc machine.Machine, opt Options) (*scanner, []layerScan) {
	sc := newScanner(m, s, mc, mc.Needs(), opt)
	layers := make([]layerScan, len(s.Layers))
	sc.walls = newWallWelds(sc, layers)
	behind := sc.walls.depth
	if opt.Tight {
		sc.tight = newTightWalls(sc, m, layers)
		behind = max(behind, sc.tight.depth)
	}
	follow := newFollower(len(layers), behind)
	parallel.EachWorker(len(layers), func() func(int) {
		w, slots, walls := newWorker(sc), sc.slots.Worker(), sc.wallSearch()
		return func(i int) {
			layers[i] = w.scan(i + 1)
			// And what else there is to see, now that the layer is at hand.
			slots.Layer(i + 1)
			follow.done(i + 1)
			for n, ok := follow.ready(); ok; n, ok = follow.ready() {
				walls(n)
			}
		}
	})
	from := follow.rest()
	parallel.EachWorker(len(layers)-from+1, func() func(int) {
		walls := sc.wallSearch()
		return func(i int) { walls(from + i) }
	})
	if sc.search != nil {
		sc.search.Follow()
		if opt.kept != nil {
			opt.kept.keep(sc.reach, sc.tanHang, hanging{sc.slabs, sc.over, sc.outlines})
		}
	}
	return sc, layers
}

// newScanner finds the joints and readies everything the layers' scans share.
func newScanner(m *mesh.Mesh, s *slice.Stack, mc machine.Machine, needs machine.Needs, opt Options) *scanner {
	reach := opt.Reach
	if reach == 0 {
		reach = reachFor(needs)
	}
	sc := plainScanner(s, mc, needs, reach)
	k := opt.kept
	if k == nil {
		k = new(kept)
	}
	recede := k.recede
	if opt.once != nil {
		sc.pairs, sc.index, recede = opt.once.pairs, opt.once.index, opt.once.recede
	} else {
		sc.pairs, sc.index = k.joints(m, s.Plan, reach), k.indexes(s)
	}
	sc.slots = slot.NewSearch(s.Plan, sc.index, slot.Options{Need: sc.sideNeed})
	if h, ok := k.hanging(reach, sc.tanHang); ok {
		sc.slabs, sc.over, sc.outlines = h.slabs, h.over, h.outlines
	} else {
		sc.slabs = partSlabs(m, s.Plan, sc.tanHang, recede)
		sc.seekHanging(func(part int32, n int) bool { return sc.slabs[part].any(slabReaches, n, n) }, mayEnd(m, sc.slabs))
		if opt.kept != nil {
			sc.outlines = make([][]overhang.Outline, len(s.Layers))
		}
	}
	if opt.once != nil && m.Closed() {
		opt.once.alike = sc.alike
	}
	sc.heed(m)
	return sc
}

// alike says that nothing leans between a layer and the one below it: their
// outlines are the same but for some nanometres.
func (sc *scanner) alike(n int) bool {
	return n > 1 && !slices.ContainsFunc(sc.slabs, func(s slabs) bool { return s.any(slabLeans, n, n) })
}

// seekHanging readies the search for what hangs: the scan of a layer finds
// what hangs there and, of the same sweep, the regions that roofs begin with.
func (sc *scanner) seekHanging(mayHang func(part int32, n int) bool, mayEnd func(r2.Box) func(int) bool) {
	sc.search = overhang.NewSearch(sc.stack.Plan, sc.index, overhang.Options{TanHang: sc.tanHang, MayHang: mayHang, MayEnd: mayEnd})
	sc.over = sc.search.Found()
}

// plainScanner knows the machine and the plan, and no joint yet.
func plainScanner(s *slice.Stack, mc machine.Machine, needs machine.Needs, reach float64) *scanner {
	sc := &scanner{
		stack: s, reach: reach, enough: math.Inf(1),
		side: needs.Side, roof: needs.Roof, bottom: needs.Bottom, bottomLayers: mc.BottomLayers,
		crack: mc.CrackMM2, sag: sagTable(mc.Sag), roofSpan: mc.RoofSpanMM,
		tanHang: math.Tan(mc.OverhangDeg * math.Pi / 180),
	}
	sc.sagMost = max(sc.sag.most()-sc.sag.at(sc.roofSpan), 0)
	return sc
}

// heed readies what the layers' scans look up of the joints.
func (sc *scanner) heed(m *mesh.Mesh) {
	sc.roofs = make([][]int32, len(m.Parts))
	for j, p := range sc.pairs {
		if p.over[0] {
			sc.roofs[p.a] = append(sc.roofs[p.a], int32(j))
		}
		if p.over[1] {
			sc.roofs[p.b] = append(sc.roofs[p.b], int32(j))
		}
	}
	sc.active = activeJoints(m, sc.stack.Plan, sc.pairs, sc.reach)
}

// activeJoints lists for each layer the joints of which one part has the layer
// and the other that or one within reach below.
func activeJoints(m *mesh.Mesh, p slice.Plan, pairs []pair, reach float64) [][]int32 {
	out := make([][]int32, p.Layers)
	for j, pr := range pairs {
		a, b := m.Parts[pr.a].Box, m.Parts[pr.b].Box
		from := p.Below(max(a.Min.Z, b.Min.Z)) + 1
		slack := reach + slackOf(p)
		to := min(p.Below(max(a.Max.Z, b.Max.Z)), p.Below(min(a.Max.Z, b.Max.Z)+slack))
		for n := from; n <= to; n++ {
			out[n-1] = append(out[n-1], int32(j))
		}
	}
	return out
}
