package report

import (
	"math"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

func TestTicks(t *testing.T) {
	for _, c := range []struct {
		lo, hi float64
		most   int
		least  float64
		want   []float64
	}{
		{0, 6, 7, 0.01, []float64{0, 1, 2, 3, 4, 5, 6}},
		{0, 6, 6, 0.01, []float64{0, 2, 4, 6}},
		{1, 30, 20, 1, []float64{2, 4, 6, 8, 10, 12, 14, 16, 18, 20, 22, 24, 26, 28, 30}},
		{1, 3, 9, 1, []float64{1, 2, 3}},
		{1, 1, 1, 1, []float64{1}},
		{0, 600, 5, 0.01, []float64{0, 200, 400, 600}},
		{1, 0, 5, 1, nil},
	} {
		got, _ := ticks(c.lo, c.hi, c.most, c.least)
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%v: %s", c, diff)
		}
	}
}

func TestTicksHold(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lo := rapid.Float64Range(-10, 1000).Draw(t, "lo")
		hi := lo + rapid.Float64Range(0, 5000).Draw(t, "span")
		most := rapid.IntRange(1, 30).Draw(t, "most")
		at, step := ticks(lo, hi, most, 0.01)
		if len(at) > most {
			t.Fatalf("%d ticks", len(at))
		}
		mantissa := step / math.Pow(10, math.Floor(math.Log10(step)*(1+1e-12)))
		if d := math.Round(mantissa); math.Abs(mantissa-d) > 1e-6 || d != 1 && d != 2 && d != 5 && d != 10 {
			t.Fatalf("step %g", step)
		}
		for i, x := range at {
			if x < lo-1e-6 || x > hi+1e-6 || i > 0 && math.Abs(x-at[i-1]-step) > 1e-6*step {
				t.Fatalf("%v from %g to %g", at, lo, hi)
			}
		}
		// Never far fewer than there is room for.
		if most >= 5 && hi-lo > 1 && len(at) < most/5 {
			t.Fatalf("only %d of %d: %v", len(at), most, at)
		}
	})
}
