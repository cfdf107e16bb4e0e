package smallpart

import (
	"fmt"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// find judges a body and checks the position point by point.
func find(t testing.TB, ps []r3.Vec) Verdict {
	t.Helper()
	f := Find(ps)
	if (f.At != nil) != (f.Verdict == Fits) {
		t.Fatalf("%s with position %v", f.Verdict, f.At)
	}
	if f.At != nil {
		// The walls written out anew, apart from Slack.
		const rounding = 1e-9
		for i, p := range ps {
			v := r3.Add(f.At.Turn.Rotate(p), f.At.Move)
			depth := 25.40 + (v.X + 31.75/2)
			if v.Z > rounding || v.Z < -depth-rounding || math.Hypot(v.X, v.Y) > 31.75/2+rounding {
				t.Fatalf("point %d of %d is outside the gauge at %v", i, len(ps), v)
			}
		}
		q := f.At.Turn
		if n := q.Real*q.Real + q.Imag*q.Imag + q.Jmag*q.Jmag + q.Kmag*q.Kmag; math.Abs(n-1) > 1e-9 {
			t.Fatalf("turn of norm %v", n)
		}
	}
	return f.Verdict
}

// turns are two of no special place, and one by a right angle.
var turns = [][4]float64{{0.3, 0.5, -0.7, 0.2}, {-0.1, 0.9, 0.35, 0.6}, {1, 0, 1, 0}}

func TestVerdicts(t *testing.T) {
	for _, c := range []struct {
		name string
		body []r3.Vec
		want Verdict
	}{
		{"ball 31.7", ball(31.7, 200), Fits},
		{"ball 31.75", ball(31.75, 200), Close},
		{"ball 31.8", ball(31.8, 200), TooLarge},
		{"ball 31.8, coarser", ball(31.8, 100), TooLarge},
		{"ball 33", ball(33, 100), TooLarge},
		// A 1 mm square rod goes in up to 63.75 mm, one of no thickness up
		// to 65.377 (both calculated from the gauge's figures).
		{"rod 63", box(1, 1, 63), Fits},
		{"rod 63.75", box(1, 1, 63.75), Close},
		{"rod 64", box(1, 1, 64), TooLarge},
		{"rod 65", box(1, 1, 65), TooLarge},
		// Walls moved by s change the longest by (2 31.75 + (2 + sqrt 2) 57.15)
		// / 65.377 = 3.956 s: close is 65.298 to 65.456.
		{"line 65.29", []r3.Vec{{}, {X: 65.29}}, Fits},
		{"line 65.305", []r3.Vec{{}, {X: 65.305}}, Close},
		{"line 65.45", []r3.Vec{{}, {X: 65.45}}, Close},
		{"line 65.465", []r3.Vec{{}, {X: 65.465}}, TooLarge},
		{"disc 32 x 1", disc(32, 1, 200), TooLarge},
		{"disc 32 x 0.2", disc(32, 0.2, 200), TooLarge},
		{"disc 31.7 x 0.2", disc(31.7, 0.2, 200), Fits},
		{"cube 20", box(20, 20, 20), Fits},
		// Upright its slack is (31.75 - a sqrt 2)/2: 0.0225, 0.0013, -0.13.
		{"cube 22.419", box(22.419, 22.419, 22.419), Fits},
		{"cube 22.449", box(22.449, 22.449, 22.449), Close},
		{"cube 22.63", box(22.63, 22.63, 22.63), TooLarge},
		{"cube 40", box(40, 40, 40), TooLarge},
		{"its inside less 0.05", inside(-0.05, 360), Fits},
		{"its inside", inside(0, 360), Close},
		{"its inside and 0.05", inside(0.05, 360), TooLarge},
		{"plate 57.1 x 31.7 across", box(57.1, 31.7, 0.1), TooLarge},
		{"plate 40 x 31.6", box(40, 31.6, 0.1), Fits},
		// Round bodies, of which the first few points are not enough.
		{"egg 48 x 24 x 24", ellipsoid(24, 12, 12, 100), Fits},
		{"egg 44 x 31 x 10", ellipsoid(22, 15.5, 5, 100), Fits},
		{"egg 52 x 31 x 10", ellipsoid(26, 15.5, 5, 100), Fits},
		{"a point", []r3.Vec{{X: 7}}, Fits},
		{"long", box(1, 1, 1000), TooLarge},
	} {
		if got := find(t, c.body); got != c.want {
			t.Errorf("%s: %s, want %s", c.name, got, c.want)
		}
		for i, q := range turns {
			at := moved(turned(c.body, q), r3.Vec{X: 1000 * float64(i), Y: -200, Z: 31})
			if got := find(t, at); got != c.want {
				t.Errorf("%s turned %d: %s, want %s", c.name, i, got, c.want)
			}
		}
	}
}

func TestNumbersThatAreNone(t *testing.T) {
	inf := math.Inf(1)
	for _, c := range []struct {
		p    r3.Vec
		want Verdict
	}{
		{r3.Vec{X: math.NaN()}, Close},
		{r3.Vec{Y: inf}, Close},
		{r3.Vec{Z: -inf}, Close},
		{r3.Vec{X: inf, Y: -inf}, Close},
		{r3.Vec{X: math.MaxFloat64, Y: -math.MaxFloat64}, TooLarge},
		{r3.Vec{X: math.SmallestNonzeroFloat64}, Fits},
	} {
		if got := find(t, []r3.Vec{{}, c.p, {X: 1}}); got != c.want {
			t.Errorf("%v: %s, want %s", c.p, got, c.want)
		}
	}
	if got := find(t, nil); got != Fits {
		t.Errorf("no points: %s", got)
	}
	// So far out that a coordinate's last bit is worth more than the gauge:
	// the eight corners are one.
	if got := find(t, moved(box(1, 1, 1), r3.Vec{X: 1e19, Y: 1e19, Z: 1e19})); got == TooLarge {
		t.Errorf("far out: %s", got)
	}
}

func TestGaugeFigures(t *testing.T) {
	// 16 CFR 1501.4: 1.25 in wide, 1.00 to 2.25 in deep.
	if WidthMM != 1.25*25.4 || ShallowMM != 25.4 || math.Abs(DeepMM-2.25*25.4) > 1e-12 {
		t.Error(WidthMM, ShallowMM, DeepMM)
	}
	if got := longest(0); math.Abs(got-65.377) > 0.0005 {
		t.Errorf("longest rod %v, want 65.377", got)
	}
	still := Position{Turn: r3.Rotation{Real: 1}}
	for _, c := range []struct {
		p    r3.Vec
		want float64
	}{
		{r3.Vec{}, 0},      // on the rim
		{r3.Vec{Z: -3}, 3}, // below it
		{r3.Vec{Z: 3}, -3}, // above it
		{r3.Vec{X: 3, Y: 4, Z: -20}, 31.75/2 - 5},                     // by the wall
		{r3.Vec{X: -31.75 / 2, Z: -25.4}, 0},                          // the shallow side's corner
		{r3.Vec{X: 31.75 / 2, Z: -57.15}, 0},                          // the deep side's
		{r3.Vec{Z: -25.4 - 31.75/2 + 2}, math.Sqrt2},                  // 2 above the floor: its plane is 2 cos 45 away
		{r3.Vec{Y: 10, Z: -25.4 - 31.75/2}, 0},                        // on the floor
		{r3.Vec{X: 10, Z: -25.4 - 31.75/2 - 10 - 1}, -math.Sqrt2 / 2}, // under it
	} {
		if got := Slack([]r3.Vec{c.p}, still); math.Abs(got-c.want) > 1e-12 {
			t.Errorf("slack at %v: %v, want %v", c.p, got, c.want)
		}
	}
	if got := Slack(nil, still); !math.IsInf(got, 1) {
		t.Error("slack of nothing:", got)
	}
}

// The points inside and those repeated change nothing, in whatever order, and
// the answer is the same each time.
func TestOnlyTheHullCounts(t *testing.T) {
	for _, d := range []float64{31.7, 31.8} {
		hull := ball(d, 120)
		want := find(t, hull)
		var full []r3.Vec
		for i, p := range hull {
			full = append(full, r3.Scale(float64(i%7)/7, p), p, p)
		}
		if got := find(t, full); got != want {
			t.Errorf("ball %v: %s with its inside, %s without", d, got, want)
		}
		a, b := Find(full), Find(full)
		if a.Verdict != b.Verdict || (a.At != nil && *a.At != *b.At) {
			t.Errorf("ball %v: %v, then %v", d, a, b)
		}
	}
}

func TestManyPoints(t *testing.T) {
	for _, c := range []struct {
		d    float64
		want Verdict
	}{{31.7, Fits}, {31.75, Close}, {31.8, TooLarge}} {
		if got := find(t, ball(c.d, 700)); got != c.want {
			t.Errorf("ball %v of %d points: %s, want %s", c.d, 700*349, got, c.want)
		}
	}
}

func BenchmarkFind(b *testing.B) {
	for _, c := range []struct {
		name string
		body []r3.Vec
	}{
		{"link", ellipsoid(6, 4, 2, 40)},
		{"ball31.7", ball(31.7, 100)},
		{"ball31.75", ball(31.75, 200)},
		{"ball31.8", ball(31.8, 200)},
		{"leg50x20x10", ellipsoid(25, 10, 5, 100)},
		{"shell40x31x31", ellipsoid(20, 15.5, 15.5, 100)},
		{"box40x24x20", box(40, 24, 20)},
		{"cube23", box(23, 23, 23)},
		{"cube22.449", box(22.449, 22.449, 22.449)},
		{"rod65", box(1, 1, 65)},
		{"large", ball(100, 100)},
		{"link", ellipsoid(6, 4, 2, 1400)},
		{"ball31.8", ball(31.8, 1400)},
		{"large", ball(100, 1400)},
	} {
		b.Run(fmt.Sprintf("body=%s/points=%d", c.name, len(c.body)), func(b *testing.B) {
			for b.Loop() {
				Find(c.body)
			}
		})
	}
}
