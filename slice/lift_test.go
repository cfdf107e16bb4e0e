package slice

import (
	"testing"

	"github.com/google/go-cmp/cmp"
	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/mesh/shape"
)

// A cone of radius 10 at the bed and 10 mm tall is 10 - z wide at z: lifted by
// d, the cut at z shows what lay at z - d [calc].
func TestLiftShiftsTheModel(t *testing.T) {
	const n = 16
	cone, err := shape.Lathe([]r2.Vec{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 0, Y: 10}}, n, 0)
	if err != nil {
		t.Fatal(err)
	}
	m := built(t, cone.Soup())
	for _, lift := range []float64{0, 0.03, -0.03, 0.25, -0.75} {
		p, err := NewLiftedPlan(0.3, 0.2, m.Box.Max.Z, lift)
		if err != nil {
			t.Fatal(err)
		}
		st := Cut(m, p)
		// The top stands at 10 + lift; the cuts lie at 0.15, 0.4, 0.6 ...
		if want := int((10+lift-0.3)/0.2 + 1.5 - 1e-9); p.Layers != want {
			t.Errorf("lift %v: %d layers, want %d", lift, p.Layers, want)
		}
		for i := range st.Layers {
			checkLayer(t, st, i+1)
			l := &st.Layers[i]
			z := l.Z - lift
			want := 0.0
			if z > 0 {
				want = latheArea([]r2.Vec{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 0, Y: 10}}, n, z)
			}
			if got := layerArea(l); got < want-1e-4 || got > want+1e-4 {
				t.Errorf("lift %v, layer %d at z %v: %v mm2, want %v", lift, l.Number, l.Z, got, want)
			}
		}
	}
}

// Some layers, cut by themselves, are those of the whole stack, the others
// empty.
func TestCutSome(t *testing.T) {
	m := built(t, shape.PinGrid(2, 1, 2000, true))
	p, err := NewPlan(0.2, 0.2, m.Box.Max.Z)
	if err != nil {
		t.Fatal(err)
	}
	whole := Cut(m, p)
	for _, r := range [][2]int{{1, p.Layers}, {1, 1}, {p.Layers, p.Layers}, {7, 12}, {-3, 2}, {p.Layers - 1, p.Layers + 5}, {9, 8}} {
		some := CutSome(m, p, r[0], r[1])
		for i := range whole.Layers {
			want := whole.Layers[i]
			if n := i + 1; n < r[0] || n > r[1] {
				want = Layer{Number: n, Z: p.Cut(n)}
			}
			if d := cmp.Diff(want, some.Layers[i]); d != "" {
				t.Fatalf("layers %v, layer %d: %s", r, i+1, d)
			}
		}
	}
}
