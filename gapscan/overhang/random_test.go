package overhang

import (
	"math"
	"reflect"
	"runtime"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"playgauge/mesh/shape"
)

// viaduct is a beam on piers as wide as itself; each gap is a bridge.
func viaduct(t *rapid.T) (s shape.Solid, gaps []float64, width float64) {
	width = rapid.Float64Range(1.2, 9).Draw(t, "width")
	x := 0.0
	s = box(0, -width/2, 0, 3, width/2, 4.05)
	for range rapid.IntRange(1, 4).Draw(t, "gaps") {
		gap := rapid.Float64Range(1.2, 40).Draw(t, "gap")
		gaps = append(gaps, gap)
		x += 3 + gap
		s = s.Append(box(x, -width/2, 0, x+3, width/2, 4.05))
		// A pier narrower than the beam, in the middle of the gap, shortens
		// only some of the runs.
		if gap > 6 && width > 4 && rapid.Bool().Draw(t, "post") {
			m := x - gap/2
			s = s.Append(box(m-1, -1, 0, m+1, 1, 4.05))
		}
	}
	s = s.Append(box(0, -width/2, 4, x+3, width/2, 6))
	return s, gaps, width
}

func TestViaducts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, gaps, _ := viaduct(t)
		turn := rapid.Float64Range(0, 360).Draw(t, "turn")
		dx, dy := rapid.Float64Range(-50, 50).Draw(t, "x"), rapid.Float64Range(-50, 50).Draw(t, "y")
		o := search(t, s.Turn(0, 0, turn).Move(dx, dy, 0))
		var spans []float64
		for _, r := range o.Regions {
			if r.Kind != Bridge || r.First != 21 || r.Last != 21 {
				t.Errorf("a %s in layers %d to %d", r.Kind, r.First, r.Last)
			}
			spans = append(spans, r.Span)
			if got, ok := o.BridgeSpan(21, r.Part, r.At); !ok || got != r.Span {
				t.Errorf("span %v, %v at %v, want %v", got, ok, r.At, r.Span)
			}
		}
		if len(spans) != len(gaps) {
			t.Fatalf("spans %v, want %v", spans, gaps)
		}
		slices.Sort(spans)
		slices.Sort(gaps)
		for i := range gaps {
			if math.Abs(spans[i]-gaps[i]) > 0.02 {
				t.Errorf("spans %v, want %v", spans, gaps)
			}
		}
	})
}

// table is a deck of any form on posts of any form anywhere under it.
func table(t *rapid.T) shape.Solid {
	across := rapid.Float64Range(4, 24)
	place := func(r float64) (x, y float64) {
		c := rapid.Float64Range(-r, r)
		return c.Draw(t, "x"), c.Draw(t, "y")
	}
	form := func(what string, size *rapid.Generator[float64], z0, z1 float64) shape.Solid {
		a := size.Draw(t, what)
		turn := rapid.Float64Range(0, 90).Draw(t, "turn")
		switch rapid.IntRange(0, 2).Draw(t, "form") {
		case 0:
			return shape.Cylinder(a/2, z1-z0, 24, turn).Move(0, 0, z0)
		case 1:
			return shape.Tube(a/4, a/2, z1-z0, 24, turn).Move(0, 0, z0)
		}
		b := size.Draw(t, what)
		return box(-a/2, -b/2, z0, a/2, b/2, z1).Turn(0, 0, turn)
	}
	s := form("deck", across, 4, 6)
	for range rapid.IntRange(1, 5).Draw(t, "posts") {
		x, y := place(10)
		s = s.Append(form("post", rapid.Float64Range(0.5, 8), 0, 4.05).Move(x, y, 0))
	}
	return s
}

func TestTablesAgainstTheRaster(t *testing.T) {
	const cell = 0.12
	kinds := map[Kind]int{}
	sure, all := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		st, ix := cut(t, build(t, table(t).Soup()))
		o := Find(st.Plan, ix, Options{TanHang: tan50})
		if len(st.Layers) < 21 || len(st.Layers[20].Islands) == 0 {
			t.Fatalf("no deck")
		}
		part := st.Layers[20].Islands[0].Part
		for _, is := range st.Layers[20].Islands {
			if is.Part != part {
				t.Skip("a post beside the deck, with a top of its own")
			}
		}
		j := newJudge(st, 21, part, cell)
		uncarried := j.flood(0)
		areaOf := func(c int) (island []int) {
			for _, u := range uncarried {
				if slices.Contains(u, c) {
					return u
				}
			}
			return nil
		}
		found := map[int]bool{}
		for k, cells := range j.flood(j.grow) {
			var mine []Region
			for i, r := range o.Regions {
				if c := j.cellOf(r.At); c >= 0 && slices.Contains(cells, c) {
					mine = append(mine, r)
					found[i] = true
				}
			}
			all++
			if !j.whole(cells) || float64(len(cells))*cell*cell < 4 { // or too coarse
				continue
			}
			sure++
			touches, reach := false, 0.0
			for _, c := range areaOf(cells[0]) {
				touches = touches || j.dist[c] <= j.grow
			}
			for _, c := range cells {
				reach = math.Max(reach, j.dist[c])
			}
			few := every(cells, 150)
			best, certain, possible := 0.0, math.Inf(1), math.Inf(1)
			for deg := 0.0; deg < 180; deg += 3 {
				share, run := j.runs(few, deg*math.Pi/180)
				best = math.Max(best, share)
				if share > 0.95 {
					certain = math.Min(certain, run)
				}
				if share > 0.84 {
					possible = math.Min(possible, run)
				}
			}
			var want []Kind
			switch {
			case !touches:
				want = []Kind{MidAir}
			case certain > 1.3 && !math.IsInf(certain, 1):
				want = []Kind{Bridge}
			case best < 0.75:
				want = []Kind{Cantilever}
			default:
				want = []Kind{Bridge, Cantilever}
			}
			news := !touches || reach > 1.2
			if len(mine) == 0 && news && !(want[0] == Bridge && certain < 1.5) {
				t.Errorf("raster region %d, %d cells, reach %.2f, is a %v and was not found: %v", k, len(cells), reach, want, o.Regions)
			}
			if len(mine) == 0 {
				continue
			}
			if len(mine) > 1 {
				t.Errorf("raster region %d is %d: %v", k, len(mine), mine)
			}
			r := mine[0]
			kinds[r.Kind]++
			if !slices.Contains(want, r.Kind) {
				t.Errorf("a %s, want one of %v (share %.2f)", r.Kind, want, best)
			}
			if r.Kind == Cantilever && math.Abs(r.Span-reach) > 2*cell {
				t.Errorf("reach %.3f, want %.3f", r.Span, reach)
			}
			if r.Kind == Bridge && !math.IsInf(possible, 1) && r.Span < possible*0.9-0.5 {
				t.Errorf("span %.3f, want at least %.3f", r.Span, possible)
			}
			area := float64(len(cells)) * cell * cell
			// Along its rim the raster may be off by half a cell.
			checkArea(t, r, area, 0.5*float64(j.rim(cells))*cell*cell+0.05)
		}
		for i, r := range o.Regions {
			// (A sliver may fall between the cells.)
			if r.First == 21 && r.Area > 1 && !found[i] {
				t.Errorf("the raster does not know %v", r)
			}
		}
	})
	if kinds[Bridge] == 0 || kinds[Cantilever] == 0 || 3*sure < all {
		t.Errorf("%v; %d of %d regions clear", kinds, sure, all)
	}
}

// A moved or turned table is the same, unless a kind or what is one region
// hangs by a thread, as it may in one of twenty random ones.
func TestMovedAndTurnedTables(t *testing.T) {
	agree, all := 0, 0
	rapid.Check(t, func(t *rapid.T) {
		s := table(t)
		a := search(t, s)
		turn := rapid.Float64Range(0, 360).Draw(t, "all turned")
		for _, b := range []*Overhangs{search(t, s.Turn(0, 0, turn)), search(t, s.Move(16, -8, 0))} {
			all++
			if same(a, b) {
				agree++
			}
		}
	})
	if 20*agree < 19*all {
		t.Errorf("%d of %d agree", agree, all)
	}
}

// same says whether every region has its like.
func same(a, b *Overhangs) bool {
	if len(a.Regions) != len(b.Regions) {
		return false
	}
	for _, r := range a.Regions {
		if !slices.ContainsFunc(b.Regions, func(s Region) bool {
			return s.Kind == r.Kind && s.First == r.First && s.Last == r.Last &&
				math.Abs(s.Span-r.Span) <= 0.3 && math.Abs(s.Area-r.Area) <= 0.02*r.Area+0.1
		}) {
			return false
		}
	}
	return true
}

func TestProcessorsMakeNoDifference(t *testing.T) {
	st, ix := cut(t, build(t, ballGrid(3, 2, 48)))
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	want := Find(st.Plan, ix, Options{TanHang: tan50})
	if len(want.Regions) == 0 {
		t.Fatalf("nothing hangs")
	}
	for _, n := range []int{2, 7} {
		runtime.GOMAXPROCS(n)
		if got := Find(st.Plan, ix, Options{TanHang: tan50}); !reflect.DeepEqual(got, want) {
			t.Errorf("%d processors: %v, want %v", n, got.Regions, want.Regions)
		}
	}
}
