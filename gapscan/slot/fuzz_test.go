package slot

import (
	"math"
	"reflect"
	"runtime"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// FuzzFind: any lines at all, crossing, folded or without area, must neither
// stop the search nor give a slot that is none. A few corners make all that
// a search can meet: inputs of more are cut short.
func FuzzFind(f *testing.F) {
	f.Add([]byte{0, 0, 100, 0, 100, 90, 52, 90, 52, 4, 49, 4, 49, 90, 0, 90}, uint8(40), uint8(0))
	f.Add([]byte{0, 0, 9, 0, 9, 9, 0, 9, 255, 255, 12, 0, 20, 0, 20, 9, 12, 9}, uint8(60), uint8(1))
	f.Add([]byte{1, 1, 1, 1, 2, 1, 1, 1}, uint8(255), uint8(3))
	f.Fuzz(func(t *testing.T, b []byte, need, fine uint8) {
		scale := 0.1 / float64(1+fine)
		var regions []region
		var pts []r2.Vec
		flush := func() {
			if len(pts) >= 3 {
				regions = append(regions, region{0, [][]r2.Vec{pts}})
			}
			pts = nil
		}
		b = b[:min(len(b), 100)]
		for len(b) >= 2 {
			if b[0] == 255 {
				flush()
			} else {
				p := r2.Vec{X: scale * float64(b[0]), Y: scale * float64(b[1])}
				if len(pts) == 0 || pts[len(pts)-1] != p && pts[0] != p {
					pts = append(pts, p)
				}
			}
			b = b[2:]
		}
		flush()
		if len(regions) == 0 {
			return
		}
		st := layerOf(regions...)
		// The same again, shifted, in a second layer.
		l := st.Layers[0]
		l.Number, l.Z = 2, 0.3
		l.Pts = append([]r2.Vec(nil), l.Pts...)
		for i := range l.Pts {
			l.Pts[i].X += scale
		}
		st.Layers = append(st.Layers, l)
		st.Plan.Layers = 2
		slots, _ := Find(st.Plan, indexes(st), needs(float64(need)/100))
		for _, s := range slots {
			d := r2.Norm(r2.Sub(s.Ends[0], s.Ends[1]))
			if !(s.Width > 0) || !(s.Width < s.Need) || !(d >= s.Width-1e-9) || d > s.Width+evenly+1e-9 {
				t.Errorf("slot %+v, ends %v apart", s, d)
			}
		}
	})
}

// TestSameOnAnyProcessors: the number of processors changes nothing.
func TestSameOnAnyProcessors(t *testing.T) {
	s := shape.Must(shape.Extrude(comb(30, 1, 0.3, 10), nil, 0, 6))
	s = s.Append(shape.Must(shape.Extrude(strip(spiral(3, 1.5, 6), 1.2), nil, 0, 6)).Move(0, 40, 0))
	st := stackOf(t, s)
	ix := indexes(st)
	want := findOn(st, ix, needs(0.4))
	if len(want) != 30*30 {
		t.Errorf("%d slots, want 29 and 1 in each of 30 layers", len(want))
	}
	before := runtime.GOMAXPROCS(0)
	defer runtime.GOMAXPROCS(before)
	for _, n := range []int{1, 2, 7} {
		runtime.GOMAXPROCS(n)
		if got := findOn(st, ix, needs(0.4)); !reflect.DeepEqual(got, want) {
			t.Errorf("on %d processors the answer differs", n)
		}
	}
}

// TestNeedByLayer: each layer has its own need; none means no slots.
func TestNeedByLayer(t *testing.T) {
	st := stackOf(t, shape.Must(shape.Extrude(comb(4, 1, 0.35, 10), nil, 0, 2)))
	for _, none := range []float64{0, -1, math.NaN(), math.Inf(1)} {
		slots := findOn(st, indexes(st), Options{Need: func(layer int) float64 {
			switch {
			case layer <= 2:
				return 0.5
			case layer == 7:
				return none
			case layer > 8:
				return 0.4
			}
			return 0.3
		}})
		n := map[int]int{}
		for _, s := range slots {
			n[s.Layer]++
			if want := map[bool]float64{true: 0.5, false: 0.4}[s.Layer <= 2]; s.Need != want {
				t.Errorf("layer %d: need %v, want %v", s.Layer, s.Need, want)
			}
		}
		if want := map[int]int{1: 3, 2: 3, 9: 3, 10: 3}; !reflect.DeepEqual(n, want) {
			t.Errorf("slots by layer %v, want %v", n, want)
		}
	}
}

// TestOtherParts: what stands in the gap, and what fills it.
func TestOtherParts(t *testing.T) {
	block := func(part int32, x0, y0, x1, y1 float64) region {
		return region{part, [][]r2.Vec{shape.Rect(x0, y0, x1, y1)}}
	}
	for _, c := range []struct {
		name  string
		other []region
		count int
	}{
		{"nothing", nil, 1},
		{"another part, apart", []region{block(1, 0, 12, 5, 14)}, 1},
		// Air leads round the pin: one place.
		{"a pin", []region{block(1, 2.1, 4, 2.2, 6)}, 1},
		{"a bar all along", []region{block(1, 2.1, -1, 2.2, 11)}, 0},
		{"a bar that fills it", []region{block(1, 2, -1, 2.3, 11)}, 0},
		{"another part of its own", []region{block(1, 10, 0, 12, 10), block(1, 12.2, 0, 15, 10)}, 2},
	} {
		regions := append([]region{block(0, 0, 0, 2, 10), block(0, 2.3, 0, 4, 10)}, c.other...)
		slots := find(layerOf(regions...), 0.4)
		if len(slots) != c.count {
			t.Errorf("%s: slots %+v, want %d", c.name, slots, c.count)
		}
	}
}

// TestNothing: no layers, and layers without contours.
func TestNothing(t *testing.T) {
	if got := find(layerOf(), 0.4); len(got) != 0 {
		t.Errorf("slots %v of nothing", got)
	}
	st := layerOf()
	st.Layers = nil
	if got := find(st, 0.4); len(got) != 0 {
		t.Errorf("slots %v of no layers", got)
	}
}
