package coupon

import (
	"errors"
	"math"
	"reflect"
	"slices"
	"testing"
)

// The coupon that is made unless somebody asks for another.
func TestDefaultCoupon(t *testing.T) {
	c, err := Design(Options{})
	if err != nil {
		t.Fatal(err)
	}
	if c.Minutes > 90 {
		t.Errorf("it takes %g minutes", c.Minutes)
	}
	type key struct {
		f    Family
		axis string
	}
	levels := map[key]map[float64]int{}
	for _, cell := range c.Cells {
		k := key{cell.Family, cell.Axis}
		if levels[k] == nil {
			levels[k] = map[float64]int{}
		}
		at := cell.GapMM
		switch cell.Family {
		case Roof:
			at = float64(cell.Layers)
		case Bridge:
			at = cell.SpanMM
		}
		levels[k][at]++
	}
	each := func(n int, at ...float64) map[float64]int {
		m := map[float64]int{}
		for _, v := range at {
			m[v] = n
		}
		return m
	}
	side := []float64{0.15, 0.2, 0.25, 0.3, 0.4, 0.6}
	bottom := []float64{0.3, 0.4, 0.5, 0.6, 0.7, 0.8}
	want := map[key]map[float64]int{
		{Side, Round}: each(2, side...), {Side, AlongX}: each(1, side...), {Side, AlongY}: each(1, side...),
		{Bottom, Round}: each(2, bottom...), {Bottom, AlongX}: each(1, bottom...), {Bottom, AlongY}: each(1, bottom...),
		{Roof, AlongX}:   each(2, 1, 2, 3, 4),
		{Slope, Round}:   each(2, 0.2, 0.3, 0.4, 0.5, 0.6),
		{Slope, AlongX}:  each(2, 0.4),
		{Bridge, AlongX}: each(2, 10, 20, 30, 40),
	}
	if !reflect.DeepEqual(levels, want) {
		t.Errorf("the levels are %v, want %v", levels, want)
	}
}

// No corner, edge or half of the plate speaks for a level.
func TestLevelsAreSpread(t *testing.T) {
	for name, opt := range variants {
		t.Run(name, func(t *testing.T) {
			c, err := Design(opt)
			if err != nil {
				t.Fatal(err)
			}
			for _, g := range groups(c) {
				upper, left, far := 0, 0, 0.0
				for _, a := range g.cells {
					if a.Center.Y > 0 {
						upper++
					}
					if a.Center.X < 0 {
						left++
					}
					for _, b := range g.cells {
						far = max(far, math.Hypot(a.Center.X-b.Center.X, a.Center.Y-b.Center.Y))
					}
				}
				if n := len(g.cells); 2*upper != n || left == 0 && g.cells[0].Center.X != 0 || left == n {
					t.Errorf("%s %s: of %d cells %d lie in the upper half, %d in the left", g.family, g.level, n, upper, left)
				}
				if far < c.Size.Y/2-2*border {
					t.Errorf("%s %s: the cells lie within %g mm", g.family, g.level, far)
				}
			}
		})
	}
}

// Cells lie on the plate, apart but for the walls they share, and are
// numbered in reading order.
func TestCellsLieOnThePlate(t *testing.T) {
	for name, opt := range variants {
		c, err := Design(opt)
		if err != nil {
			t.Fatal(err)
		}
		pad := newDrawing(c.Options).padDeep
		for i, a := range c.body {
			if a.Min.X < -c.Size.X/2+border-1e-3 || a.Max.X > c.Size.X/2-border+1e-3 ||
				a.Min.Y-pad < -c.Size.Y/2+border-1e-3 || a.Max.Y > c.Size.Y/2-border+1e-3 {
				t.Errorf("%s: cell %d leaves the plate: %v", name, i+1, a)
			}
			for j, b := range c.body[:i] {
				wide := min(a.Max.X, b.Max.X) - max(a.Min.X, b.Min.X)
				deep := min(a.Max.Y, b.Max.Y) - max(a.Min.Y, b.Min.Y)
				if wide > lap+2e-3 && deep > -pad+2e-3 || wide > 0 && wide < lap-2e-3 && deep > 0 {
					t.Errorf("%s: cells %d and %d overlap by %g x %g", name, j+1, i+1, wide, deep)
				}
			}
			if n := c.Cells[i].Number; n != i+1 {
				t.Errorf("%s: cell %d is numbered %d", name, i+1, n)
			}
			if i > 0 && a.Min.Y > c.body[i-1].Min.Y+2e-3 {
				t.Errorf("%s: cell %d lies above cell %d", name, i+1, i)
			}
		}
	}
}

func TestTestingOrder(t *testing.T) {
	c, err := Design(Options{})
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	seen := make([]bool, len(c.Cells)+1)
	for _, cell := range c.Cells {
		if cell.Order < 1 || cell.Order > len(c.Cells) || seen[cell.Order] {
			t.Fatalf("cell %d has the place %d, or shares it", cell.Number, cell.Order)
		}
		seen[cell.Order] = true
	}
	for _, g := range groups(c) {
		got = append(got, string(g.family)+" "+g.level)
	}
	want := []string{
		"side 0.6 mm", "side 0.4 mm", "side 0.3 mm", "side 0.25 mm", "side 0.2 mm", "side 0.15 mm",
		"bottom 0.8 mm", "bottom 0.7 mm", "bottom 0.6 mm", "bottom 0.5 mm", "bottom 0.4 mm", "bottom 0.3 mm",
		"roof 4 layers (0.8 mm)", "roof 3 layers (0.6 mm)", "roof 2 layers (0.4 mm)", "roof 1 layer (0.2 mm)",
		"slope 0.6 mm", "slope 0.5 mm", "slope 0.4 mm", "slope 0.3 mm", "slope 0.2 mm", "slope 0.4 mm, level pin",
		"bridge 10 mm", "bridge 20 mm", "bridge 30 mm", "bridge 40 mm",
	}
	if !slices.Equal(got, want) {
		t.Errorf("the order is %q, want %q", got, want)
	}
}

func TestSameSeedSameCoupon(t *testing.T) {
	a, _ := Design(Options{})
	b, _ := Design(Options{Seed: DefaultSeed, Families: []Family{Bridge, Slope, Side, Side, Roof, Bottom}})
	c, _ := Design(Options{Seed: DefaultSeed + 1})
	if !slices.Equal(a.Solid.Soup().XYZ, b.Solid.Soup().XYZ) || !slices.Equal(a.Cells, b.Cells) {
		t.Error("two coupons of one seed differ")
	}
	if slices.Equal(a.Cells, c.Cells) {
		t.Error("coupons of two seeds are the same")
	}
}

// The volume that the estimate rests on, against the sliced layers.
func TestVolumeIsThatOfTheLayers(t *testing.T) {
	for _, name := range []string{"default", "wide nozzle", "slope alone"} {
		s := prepare(t, name)
		layers := 0.0
		for i, l := range s.stack.Layers {
			for _, isle := range l.Islands {
				layers += isle.Area * s.stack.Plan.Height(i+1)
			}
		}
		d := newDrawing(s.Options)
		lay, err := arrange(d.pairs(), d.padDeep, s.Options.Seed)
		if err != nil {
			t.Fatal(err)
		}
		if err := d.build(&Coupon{}, lay); err != nil {
			t.Fatal(err)
		}
		if v := volume(s.Solid) - d.shared; v < layers || v > 1.06*layers {
			t.Errorf("%s: %g mm3, the layers hold %g", name, v, layers)
		}
		flow := s.Options.NozzleMM * s.Options.RestMM * lineSpeed
		if least := layers / flow / 60; s.Minutes < 1.2*least || s.Minutes > 2*least {
			t.Errorf("%s: %g minutes, laying lines alone takes %g", name, s.Minutes, least)
		}
	}
}

func TestWhatCannotBeMadeIsRefused(t *testing.T) {
	for _, c := range []struct {
		opt  Options
		want string
	}{
		{Options{NozzleMM: 2}, "nozzle"},
		{Options{NozzleMM: math.NaN()}, "nozzle"},
		{Options{RestMM: 0.5}, "layers"},
		{Options{FirstMM: -0.2}, "layers"},
		{Options{RestMM: math.Inf(1)}, "layers"},
		{Options{Families: []Family{"lid"}}, "families"},
		{Options{Ladders: Ladders{Side: []float64{0.3, 0.3}}}, "side"},
		{Options{Ladders: Ladders{Side: []float64{0.3, 0.2}}}, "side"},
		{Options{Ladders: Ladders{Bottom: []float64{0}}}, "bottom"},
		{Options{Ladders: Ladders{Slope: []float64{0.3, math.NaN()}}}, "slope"},
		{Options{Ladders: Ladders{Level: []float64{1.1}}}, "level"},
		{Options{Ladders: Ladders{Roof: []int{0, 1}}}, "roof"},
		{Options{Ladders: Ladders{Roof: []int{2, 1}}}, "roof"},
		{Options{Ladders: Ladders{Bridge: []float64{110}}}, "bridge"},
	} {
		_, err := Design(c.opt)
		var e *OptionError
		if !errors.As(err, &e) || e.Option != c.want {
			t.Errorf("%v: the error is %v, want one of %q", c.opt, err, c.want)
		}
	}
	_, err := Design(Options{NozzleMM: 0.8})
	var e *SizeError
	if !errors.As(err, &e) || e.Cells != 76 {
		t.Errorf("a coupon that is too large: %v", err)
	}
}
