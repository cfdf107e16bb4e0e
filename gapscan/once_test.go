package gapscan

import (
	"math"
	"os"
	"runtime"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"

	"playgauge/gapscan/machine"
	"playgauge/mesh"
	"playgauge/mesh/shape"
	"playgauge/mesh/shape/garden"
	"playgauge/slice"
)

// A model of which no more layers are kept than must be comes out as one of
// which all are, whatever is asked and however many work at it.
func TestJudgedOnceIsJudged(t *testing.T) {
	sagging := machine.BuiltIn()
	sagging.Sag = [][2]float64{{2, 0}, {6, 0.3}}
	receding := AsIs()
	receding.InsetMM = 0.05
	soups := map[string]*mesh.Soup{"grid": shape.PinGrid(3, 3, 9000, true)}
	for name, s := range models() {
		soups[name] = s.Soup()
	}
	for _, m := range garden.Models() {
		if m.File == "plant-clip-slots-close.stl" || os.Getenv("PLAYGAUGE_LONG") != "" {
			soups[m.Name] = m.Build().Soup()
		}
	}
	least := window{points: 0, behind: -1000} // no layer but the last
	for name, soup := range soups {
		for _, c := range []struct {
			w       WhatIf
			mc      machine.Machine
			tight   bool
			workers int
		}{{AsIs(), machine.BuiltIn(), false, 1}, {receding, sagging, true, 3}} {
			placed, err := Place(soup, c.w)
			if err != nil {
				t.Fatal(err)
			}
			sliced, err := placed.Slice(c.w)
			if err != nil {
				t.Fatal(err)
			}
			want := sliced.Judge(c.w, c.mc)
			if c.tight {
				want = sliced.JudgeTight(c.w, c.mc)
			}
			before := runtime.GOMAXPROCS(c.workers)
			got, err := placed.judge(c.w, c.mc, Options{Tight: c.tight}, least, nil)
			runtime.GOMAXPROCS(before)
			if err != nil {
				t.Fatal(err)
			}
			if d := cmp.Diff(want, got); d != "" {
				t.Errorf("%s, tight %v, %d workers: %s", name, c.tight, c.workers, d)
			}
		}
	}
}

// Layers that are shown as alike have contours of the same areas and boxes as
// the layer below; those of walls that lean are never alike, and of the others
// most are.
func TestAlikeLayersAreAlike(t *testing.T) {
	receding := AsIs()
	receding.InsetMM = 0.05
	for _, c := range []struct {
		name  string
		soup  *mesh.Soup
		w     WhatIf
		alike int // at least
		lean  bool
	}{
		{"pins", shape.PinGrid(2, 1, 8000, false), AsIs(), 130, false},
		{"pins that recede", shape.PinGrid(2, 1, 8000, true), receding, 130, false},
		{"a cone in a box", shape.Cone(4, 3.99, 10, 40, 0).Append(box(-9, -9, 0, -8, 9, 10)).Soup(), AsIs(), 0, true},
		{"a hinge", shape.Must(garden.GateHinge(0.4)).Soup(), AsIs(), 0, false},
	} {
		placed, err := Place(c.soup, c.w)
		if err != nil {
			t.Fatal(err)
		}
		var mu sync.Mutex
		alike := map[int]bool{}
		_, err = placed.JudgeTight(c.w, machine.BuiltIn(), func(l *slice.Layer, same bool) {
			mu.Lock()
			defer mu.Unlock()
			if same {
				alike[l.Number] = true
			}
		})
		if err != nil {
			t.Fatal(err)
		}
		sliced, err := placed.Slice(c.w)
		if err != nil {
			t.Fatal(err)
		}
		printed := sliced.Printed(c.w, machine.BuiltIn())
		if len(alike) < c.alike || c.lean && len(alike) > 0 {
			t.Errorf("%s: %d of %d layers are alike", c.name, len(alike), len(printed.Layers))
		}
		for n := range alike {
			a, b := &printed.Layers[n-2], &printed.Layers[n-1]
			if len(a.Contours) != len(b.Contours) || len(a.Islands) != len(b.Islands) {
				t.Fatalf("%s: layer %d has %d contours, the one below %d", c.name, n, len(b.Contours), len(a.Contours))
			}
			for i := range a.Contours {
				ca, cb := &a.Contours[i], &b.Contours[i]
				off := math.Abs(area(a, ca) - area(b, cb))
				for _, d := range []float64{ca.Box.Min.X - cb.Box.Min.X, ca.Box.Min.Y - cb.Box.Min.Y, ca.Box.Max.X - cb.Box.Max.X, ca.Box.Max.Y - cb.Box.Max.Y} {
					off = max(off, math.Abs(d))
				}
				if off > 1e-4 {
					t.Fatalf("%s: contour %d of layer %d differs by %v from that of the one below", c.name, i, n, off)
				}
			}
		}
	}
}

// area is that of a contour, in mm2.
func area(l *slice.Layer, c *slice.Contour) (sum float64) {
	pts := l.Pts[c.Start:c.End]
	for i, a := range pts {
		b := pts[(i+1)%len(pts)]
		sum += (a.X*b.Y - a.Y*b.X) / 2
	}
	return sum
}
