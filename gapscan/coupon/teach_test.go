package coupon

import (
	"testing"

	"github.com/google/go-cmp/cmp"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
)

// A coupon recorded as any print is gives back the trials that are typed in
// from its sheet: every cell is large enough to teach, and held by its own
// family, though nothing is known of the machine.
func TestTeachOfACoupon(t *testing.T) {
	for _, c := range []struct {
		family  Family
		ladders Ladders
		level   func(machine.Trial) float64
		want    map[float64]int // cells by level
	}{
		{Side, Ladders{Side: []float64{0.15, 0.3}}, machine.Trial.Gap, map[float64]int{0.15: 4, 0.3: 4}},
		{Bottom, Ladders{Bottom: []float64{0.3, 0.45}}, machine.Trial.Gap, map[float64]int{0.3: 4, 0.45: 4}},
		{Roof, Ladders{Roof: []int{1, 2}}, func(t machine.Trial) float64 { return float64(*t.AirLayers) }, map[float64]int{1: 2, 2: 2}},
	} {
		design, err := Design(Options{Families: []Family{c.family}, Ladders: c.ladders})
		if err != nil {
			t.Fatal(err)
		}
		placed, err := gapscan.Place(design.Solid.Soup(), gapscan.AsIs())
		if err != nil {
			t.Fatal(err)
		}
		sliced, err := placed.Slice(gapscan.AsIs())
		if err != nil {
			t.Fatal(err)
		}
		teacher := gapscan.NewTeacher(sliced, gapscan.AsIs(), machine.BuiltIn(), 0)
		for _, came := range []machine.Result{machine.CameFree, machine.Welded} {
			got := map[float64]int{}
			for i := range teacher.Result.Joints {
				for _, tr := range teacher.Teach(&teacher.Result.Joints[i], came).Trials {
					if tr.Family == c.family {
						got[float64(int(c.level(tr)*1000+0.5))/1000]++
					}
				}
			}
			if d := cmp.Diff(c.want, got); d != "" {
				t.Errorf("%s cells that %s: %s", c.family, came, d)
			}
		}
	}
}
