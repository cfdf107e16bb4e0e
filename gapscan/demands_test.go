package gapscan

import (
	"fmt"
	"testing"

	"playgauge/mesh/shape"
)

// TestDemandsAreEnough: what a model asks for is enough: on a machine that
// keeps just that open, nothing is short. (A hundredth of a micron is what
// the rounding of the demands may take away.)
func TestDemandsAreEnough(t *testing.T) {
	all := models()
	all["two walls"] = box(0, 0, 0, 10, 4, 6).Append(box(10.35, 0, 0, 20, 4, 6))
	all["ring on a plate"] = box(-8, -8, 0, 8, 8, 2).Append(shape.Tube(4, 6, 5, 64, 0).Move(0, 0, 2.4))
	for name, s := range all {
		for _, h := range []float64{0.12, 0.2, 0.3} {
			r := scan(t, s, h, h, keeps(0.3, 0.5, 0.4))
			const ample = 1.0 // where nothing is asked; within reach all the same
			side, roof := ample, ample
			for _, p := range []*float64{r.Demands.SideMM, r.Demands.SlopeMM} {
				if p != nil {
					side = min(side, *p)
				}
			}
			if r.Demands.RoofMM != nil {
				roof = *r.Demands.RoofMM
			}
			if r.Demands.SlopeMM != nil {
				roof = min(roof, *r.Demands.SlopeMM)
			}
			bottom := ample
			if r.Demands.BottomMM != nil {
				bottom = *r.Demands.BottomMM
			}
			side = min(side, bottom) // a bottom need is at least the side's
			if side == 0 || roof == 0 {
				continue // no machine keeps nothing open
			}
			r = scan(t, s, h, h, keeps(side, roof, bottom))
			if short(r.Outcome) {
				j := r.Joints[0]
				t.Errorf("%s in layers of %v, machine %v %v %v, asks %s; with that: %s, margin %v (%v, layer %v)", name, h, side, roof, bottom, asks(r.Demands), r.Outcome, *j.Margin, *j.Cause, *j.WorstLayer)
			}
		}
	}
}

func asks(d Demands) string {
	s := ""
	for _, p := range []struct {
		name string
		v    *float64
	}{{"side", d.SideMM}, {"slope", d.SlopeMM}, {"roof", d.RoofMM}, {"bottom", d.BottomMM}} {
		s += fmt.Sprint(p.name, " ", deref(p.v), " ")
	}
	return s
}
