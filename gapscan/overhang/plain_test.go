package overhang

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/slice"
	"playgauge/slice/near"
	"playgauge/slice/sweep"
)

// patchesOf readies the search in layer n of the only part that has it, and
// visits the patches of what hangs there that is held somewhere.
func patchesOf(w *worker, n int, visit func(p *patch)) {
	w.n, w.grow = n, growth(w.plan, n, w.opt.TanHang)
	part := w.upper().Layer.Islands[0].Part
	rings, _ := w.uncarried(part, true, nil, max(w.grow, MinBridge/2))
	if len(rings) == 0 {
		return
	}
	w.outline(part, rings)
	sc := &w.scan
	sc.chords(w.edges, len(rings))
	sc.hang(w.lower().Layer, part, w.grow)
	sc.join()
	for g := range sc.groups {
		w.local = w.local[:0]
		for _, r := range sc.groups[g].rings {
			w.local = append(w.local, w.edges[sc.ringStart[r]:sc.ringStart[r+1]]...)
		}
		for _, c := range sc.groups[g].patches {
			visit(w.patch(part, c, len(sc.groups[g].patches) == 1))
		}
	}
}

// plainSpan tries every direction to its end.
func plainSpan(w *worker, p *patch) (float64, bool) {
	some := false
	for i := range w.local {
		some = some || w.local[i].held
	}
	if !some {
		return 0, false
	}
	best, cover, at := math.Inf(1), 0.0, 0.0
	try := func(angle float64) bool {
		share, run := plainRuns(w, p, angle, best)
		switch {
		case share >= HeldShare && run < best:
			best, cover, at = run, share, angle
			return true
		case cover < HeldShare && share > cover:
			cover, at = share, angle
			return true
		}
		return false
	}
	for _, d := range w.directions() {
		try(d)
	}
	if cover >= hopeless {
		for turn := sweepTurn / 2; turn >= finestTurn; turn /= 2 {
			if from := at; !try(from + turn) {
				try(from - turn)
			}
		}
	}
	return best, cover >= HeldShare
}

// plainRuns measures a direction without giving up.
func plainRuns(w *worker, p *patch, angle, limit float64) (share, longest float64) {
	r, f := &w.across, turned(angle)
	r.turnEdges(w.local, f)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, s := range p.rows {
		for _, u := range [2]float64{s.u0, s.u1} {
			_, v := f.to(scanFrame.from(u, s.v))
			lo, hi = min(lo, v), max(hi, v)
		}
	}
	r.lay(lo, hi, 0, runLines)
	held := func(row []crossing, i int) bool {
		return w.local[row[i].edge].held && w.local[row[i+1].edge].held
	}
	long := run{}
	seen, covered := 0, 0
	for _, s := range p.sample() {
		u, v := f.to(s)
		k := int(min(max((v-r.v0)/r.step, 0), float64(r.n-1)))
		row := r.row(k)
		if i := chordAt(row, u); i >= 0 {
			seen++
			if held(row, i) {
				covered++
				long.longer(run{k, row[i].u, row[i+1].u})
			}
		}
	}
	if seen == 0 {
		return 0, 0
	}
	for k := range r.n {
		row := r.row(k)
		for i := 0; p.alone && i+1 < len(row); i += 2 {
			if row[i+1].u-row[i].u > 2*w.grow && held(row, i) {
				long.longer(run{k, row[i].u, row[i+1].u})
			}
		}
	}
	share, longest = float64(covered)/float64(seen), long.to-long.from
	if share >= HeldShare && longest < limit {
		longest = w.longest(long)
	}
	return share, longest
}

// plainReach asks at every place how far it lies from the layer below.
func plainReach(w *worker, p *patch) float64 {
	best := 0.0
	try := func(q r2.Vec) float64 {
		d, ok := w.lower().ToPart(p.part, q, math.Inf(1))
		if !ok {
			d = math.Inf(1)
		}
		if d > best && (p.alone || p.holds(w.scan.step, q)) {
			best = d
		}
		return d
	}
	var along func(a, b r2.Vec)
	along = func(a, b r2.Vec) {
		mid, half := near.Along(a, b, 0.5), r2.Norm(r2.Sub(b, a))/2
		if d := try(mid); half > reachTo && d+half > best+reachTo {
			along(a, mid)
			along(mid, b)
		}
	}
	for i := range w.local {
		if e := &w.local[i]; !e.held {
			try(e.a)
			try(e.b)
		}
	}
	for i := range w.local {
		if e := &w.local[i]; !e.held {
			along(e.a, e.b)
		}
	}
	for _, r := range p.rows {
		along(scanFrame.from(r.u0, r.v), scanFrame.from(r.u1, r.v))
	}
	return best
}

// TestWhatIsPassedOverChangesNothing: spans and reaches are, to the last bit,
// those found by looking everywhere.
func TestWhatIsPassedOverChangesNothing(t *testing.T) {
	spans, reaches := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		s := table(t)
		if rapid.Bool().Draw(t, "viaduct") {
			s, _, _ = viaduct(t)
		}
		st, ix := cut(t, build(t, s.Turn(0, 0, rapid.Float64Range(0, 360).Draw(t, "all turned")).Soup()))
		if len(st.Layers) < 21 || len(st.Layers[20].Islands) == 0 {
			t.Fatalf("no deck")
		}
		w := &worker{plan: st.Plan, ix: ix, opt: Options{TanHang: tan50}}
		patchesOf(w, 21, func(p *patch) {
			span, ok := w.span(p)
			if want, bridge := plainSpan(w, p); ok != bridge || ok && span != want {
				t.Errorf("span %v, %v, want %v, %v", span, ok, want, bridge)
			}
			if ok {
				spans++
			}
			if got, want := w.reach(p), plainReach(w, p); got != want {
				t.Errorf("reach %v, want %v", got, want)
			}
			reaches++
		})
	})
	if spans == 0 || spans == reaches {
		t.Errorf("%d of %d hang as bridges", spans, reaches)
	}
}

// deepPlain asks of one place after another, and measures each.
func (d *deepest) deepPlain(t *sweep.Trapezoid, u0, u1, v0, v1 float64) bool {
	um, vm := (u0+u1)/2, (v0+v1)/2
	c, r := t.At(um, vm), 0.0
	for _, q := range [4]r2.Vec{t.At(u0, v0), t.At(u0, v1), t.At(u1, v0), t.At(u1, v1)} {
		r = max(r, r2.Norm(r2.Sub(q, c)))
	}
	dist, ok := d.ix.ToContour(d.part, c, d.limit+r)
	switch {
	case !ok || dist > d.limit:
		return true
	case dist+r <= d.limit || r <= deepStep:
		return false
	}
	if r2.Norm(r2.Sub(t.At(u1, vm), t.At(u0, vm))) > r2.Norm(r2.Sub(t.At(um, v1), t.At(um, v0))) {
		return d.deepPlain(t, u0, um, v0, v1) || d.deepPlain(t, um, u1, v0, v1)
	}
	return d.deepPlain(t, u0, u1, v0, vm) || d.deepPlain(t, u0, u1, vm, v1)
}

// TestDeepestMissesNothing: whether a trapezoid has a place deep enough is what
// asking of every place says.
func TestDeepestMissesNothing(t *testing.T) {
	deep, none := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		s := table(t).Turn(rapid.Float64Range(0, 90).Draw(t, "tilted"), 0, 0)
		_, ix := cut(t, build(t, s.Move(0, 0, -s.Bounds().Min.Z).Soup()))
		limit := rapid.Float64Range(0.05, 1).Draw(t, "limit")
		for n := 2; n <= ix.Len(); n++ {
			up, d := ix.At(n).Layer, deepest{ix: ix.At(n - 1), limit: limit}
			var sw sweep.Sweep
			for set, l := range []*slice.Layer{up, d.ix.Layer} {
				for _, c := range contoursOf(l, 0) {
					sw.Add(l.Pts[c.Start:c.End], set)
				}
			}
			sw.Run(func(wind []int32, tr *sweep.Trapezoid) bool {
				if wind[0] <= 0 || len(wind) > 1 && wind[1] > 0 {
					return false
				}
				got := d.look(tr, 0, 1, 0, 1)
				if want := d.deepPlain(tr, 0, 1, 0, 1); got != want {
					t.Errorf("layer %d: a place deeper than %v in %+v: %v, want %v", n, limit, tr, got, want)
				}
				if got {
					deep++
				} else {
					none++
				}
				return false
			})
		}
	})
	if deep == 0 || none == 0 {
		t.Errorf("%d deep, %d not", deep, none)
	}
}
