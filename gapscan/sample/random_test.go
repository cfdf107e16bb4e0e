package sample

import (
	"errors"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"pgregory.net/rapid"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/mesh/shape"
)

// Whatever the joint, its place, its gap and the layers, there is a sample
// that keeps what it promises, or one line that says why not; and a joint
// that takes up little of its model has one.
func TestRandomJoints(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		gap := rapid.Float64Range(0.05, 0.7).Draw(rt, "gap")
		r := rapid.Float64Range(2, 6).Draw(rt, "radius")
		z := rapid.Float64Range(0, 9).Draw(rt, "z")
		top := z + rapid.Float64Range(4, 8).Draw(rt, "deep")
		x, y := rapid.Float64Range(-8, 8).Draw(rt, "x"), rapid.Float64Range(-8, 8).Draw(rt, "y")
		n := rapid.IntRange(5, 24).Draw(rt, "n")
		var s shape.Solid
		c := r2.Vec{X: x, Y: y}
		if rapid.Bool().Draw(rt, "through") {
			s = shape.Must(shape.Extrude(shape.Rect(-30, -30, 30, 30), [][]r2.Vec{shape.Circle(c, r+gap, n, 10)}, 0, top)).
				Append(shape.Cone(r, r*rapid.Float64Range(0.7, 1).Draw(rt, "taper"), top, n, 10).Move(x, y, 0))
		} else {
			s = shape.Must(shape.Bored(shape.Rect(-30, -30, 30, 30), 0, top+1, shape.Bore{Center: c, N: n, Phase: 10,
				Profile: []r2.Vec{{X: r + gap, Y: top + 1}, {X: r + gap, Y: z + 1}, {Y: z + 1}}})).
				Append(shape.Cylinder(r, top-z-gap, n, 10).Move(x, y, z+1+gap))
		}
		w, mc := gapscan.AsIs(), machine.BuiltIn()
		w.FirstMM = rapid.SampledFrom([]float64{0.15, 0.2, 0.3}).Draw(rt, "first")
		w.RestMM = rapid.SampledFrom([]float64{0.16, 0.2, 0.28}).Draw(rt, "rest")
		full := sliced(t, s.Soup(), w)
		got, err := Cut(full, w, mc, gapscan.JointName{})
		var why *Error
		if errors.As(err, &why) && why.Kind == NothingToJudge {
			return
		}
		if err != nil {
			rt.Fatal(err)
		}
		hold(rtb{t, rt}, got, full.Survey(w, mc), w, mc)
	})
}

// rtb lets a rapid check fail where a testing.TB is asked for.
type rtb struct {
	testing.TB
	r *rapid.T
}

func (t rtb) Fatal(args ...any)                 { t.r.Fatal(args...) }
func (t rtb) Error(args ...any)                 { t.r.Error(args...) }
func (t rtb) Errorf(format string, args ...any) { t.r.Errorf(format, args...) }
func (t rtb) Helper()                           {}
