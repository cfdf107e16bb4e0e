package slice

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// TestCutHeights: by hand, z_1 = h1/2, z_n = h1 + (n-1.5)h.
func TestCutHeights(t *testing.T) {
	tests := []struct {
		first, rest float64
		n           int
		cut, bottom float64
	}{
		{0.2, 0.2, 1, 0.1, 0},
		{0.2, 0.2, 2, 0.3, 0.2},
		{0.2, 0.2, 41, 8.1, 8},
		{0.3, 0.2, 1, 0.15, 0},
		{0.3, 0.2, 2, 0.4, 0.3},
		{0.3, 0.2, 3, 0.6, 0.5},
		{0.24, 0.12, 10, 1.26, 1.2},
		{1, 1.0 / 3, 4, 1.833333, 1.666667}, // rounded to 1e-6
		{0.0000011, 0.2, 1, 0.000001, 0},
	}
	for _, tc := range tests {
		p := Plan{First: tc.first, Rest: tc.rest, Layers: 100}
		if got := p.Cut(tc.n); math.Abs(got-tc.cut) > 1e-12 {
			t.Errorf("%v/%v: layer %d is cut at %v, want %v", tc.first, tc.rest, tc.n, got, tc.cut)
		}
		if got := p.Bottom(tc.n); math.Abs(got-tc.bottom) > 1e-12 {
			t.Errorf("%v/%v: layer %d begins at %v, want %v", tc.first, tc.rest, tc.n, got, tc.bottom)
		}
		if p.Top(tc.n) != p.Bottom(tc.n+1) {
			t.Errorf("%v/%v: layer %d ends at %v, the next begins at %v", tc.first, tc.rest, tc.n, p.Top(tc.n), p.Bottom(tc.n+1))
		}
	}
	p := Plan{First: 0.3, Rest: 0.2}
	if p.Height(1) != 0.3 || p.Height(2) != 0.2 {
		t.Errorf("heights %v and %v, want 0.3 and 0.2", p.Height(1), p.Height(2))
	}
}

// TestCutIsTheNearestNumber: a cut is the float64 nearest to its decimal, so
// that printed and computed heights are the same number.
func TestCutIsTheNearestNumber(t *testing.T) {
	p := Plan{First: 0.2, Rest: 0.2}
	for n, want := range map[int]float64{2: 0.3, 4: 0.7, 9: 1.7, 150: 29.9, 1000: 199.9, 99999: 19999.7} {
		if p.Cut(n) != want {
			t.Errorf("layer %d is cut at %v, want exactly %v", n, p.Cut(n), want)
		}
	}
}

func TestLayerCount(t *testing.T) {
	tests := []struct {
		first, rest, top float64
		layers           int
	}{
		{0.2, 0.2, 0, 0},
		{0.2, 0.2, -5, 0},
		{0.2, 0.2, 0.1, 0},        // the cut at the very top
		{0.2, 0.2, 0.1 + 9e-6, 0}, // within the noise of it
		{0.2, 0.2, 0.1 + 1.1e-5, 1},
		{0.2, 0.2, 0.3, 1},
		{0.2, 0.2, 0.31, 2},
		{0.2, 0.2, 1, 5},
		{0.2, 0.2, float64(float32(1.1)), 5}, // 1.10000002: float32 noise adds no layer
		{0.2, 0.2, 1.1 + 2e-5, 6},
		{0.3, 0.2, 30, 149},
		{0.2, 0.2, 30, 150},
		{1e308, 1e308, 30, 0},
		{5e-324, 0.2, 1, 6},
	}
	for _, tc := range tests {
		p, err := NewPlan(tc.first, tc.rest, tc.top)
		if err != nil || p.Layers != tc.layers {
			t.Errorf("NewPlan(%v, %v, %v) has %d layers, error %v; want %d", tc.first, tc.rest, tc.top, p.Layers, err, tc.layers)
		}
	}
}

func TestNonsensePlans(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, x := range [][3]float64{
		{0, 0.2, 1}, {0.2, 0, 1}, {-0.2, 0.2, 1}, {0.2, -0.2, 1},
		{nan, 0.2, 1}, {0.2, nan, 1}, {0.2, 0.2, nan},
		{inf, 0.2, 1}, {0.2, inf, 1}, {0.2, 0.2, inf}, {0.2, 0.2, -inf},
		{0.2, 1e-300, 1}, {0.2, 0.2, 1e300}, {0.2, 0.2, 20001},
	} {
		if p, err := NewPlan(x[0], x[1], x[2]); err == nil {
			t.Errorf("NewPlan(%v) planned %d layers", x, p.Layers)
		}
	}
}

// TestMaxLayers: the greatest plan is allowed, one layer more is not.
func TestMaxLayers(t *testing.T) {
	top := 0.2 * MaxLayers
	p, err := NewPlan(0.2, 0.2, top)
	if err != nil || p.Layers != MaxLayers {
		t.Errorf("%d layers, error %v", p.Layers, err)
	}
	if p, err := NewPlan(0.2, 0.2, top+0.15); err == nil {
		t.Errorf("planned %d layers", p.Layers)
	}
}

// TestBelow: a look-up agrees with counting the cuts, wherever z lies.
func TestBelow(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		first, rest := rapid.Float64Range(0.02, 2).Draw(t, "first"), rapid.Float64Range(0.02, 0.5).Draw(t, "rest")
		p, err := NewPlan(first, rest, rapid.Float64Range(0, 20).Draw(t, "top"))
		if err != nil {
			t.Fatal(err)
		}
		var z float64
		n := rapid.IntRange(0, p.Layers+2).Draw(t, "n")
		switch rapid.IntRange(0, 3).Draw(t, "where") {
		case 0:
			z = rapid.Float64Range(-1, 25).Draw(t, "z")
		case 1:
			z = p.Cut(n)
		case 2: // at the edge of the noise, a hair below or above
			z = p.Cut(n) - CutNoise + rapid.SampledFrom([]float64{-1e-12, 1e-12}).Draw(t, "hair")
		case 3:
			z = float64(float32(p.Cut(n)))
		}
		want := 0
		for k := 1; k <= p.Layers; k++ {
			if z >= p.Cut(k)-CutNoise {
				want++
			}
		}
		if got := p.Below(z); got != want {
			t.Errorf("%v lies above %d cuts, want %d", z, got, want)
		}
	})
}

// TestCutNoise: a vertex on a cut, or less than CutNoise below it, counts as
// above; one lower does not.
func TestCutNoise(t *testing.T) {
	p := Plan{First: 0.2, Rest: 0.2, Layers: 10}
	for _, tc := range []struct {
		z     float64
		below int
	}{
		{0.3, 2}, {0.3 - 0.99e-5, 2}, {0.3 - 1.01e-5, 1}, {0.3 + 1e-9, 2},
		{0.1, 1}, {0.1 - 0.99e-5, 1}, {0.1 - 1.01e-5, 0},
		{1.9, 10}, {100, 10}, {-1, 0}, {math.Inf(1), 10}, {math.Inf(-1), 0},
		{float64(float32(0.7)), 4}, {float64(float32(1.1)), 6}, // just below and just above
	} {
		if got := p.Below(tc.z); got != tc.below {
			t.Errorf("%v lies above %d cuts, want %d", tc.z, got, tc.below)
		}
	}
}
