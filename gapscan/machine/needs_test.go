package machine

import (
	"testing"

	"github.com/google/go-cmp/cmp"
)

func TestNeeds(t *testing.T) {
	for name, c := range map[string]struct {
		m    Machine
		want Needs
	}{
		// The cautious machine: side 0.4, roof 0.4, bottom 0.5, bridge 10.
		"nothing": {Machine{}, Needs{0.4, 0.4, 0.5, 10, []string{"side_mm", "roof_mm", "bottom_mm", "bridge_mm"}, BottomBuiltIn, NeedsFrom{}}},
		"all tested": {Machine{Tested: Tested{ptr(0.3), ptr(0.35), ptr(0.45), ptr(30.0)}},
			Needs{0.3, 0.35, 0.45, 30, []string{}, BottomTested, NeedsFrom{}}},
		"tested bottom, trimmed": {Machine{TrimMM: 0.05, SpreadMM: ptr(0.5), Tested: Tested{SideMM: ptr(0.3), BottomMM: ptr(0.45)}},
			Needs{0.3, 0.4, 0.35, 10, []string{"roof_mm", "bridge_mm"}, BottomTested, NeedsFrom{}}},
		"never below the side": {Machine{TrimMM: 0.2, Tested: Tested{SideMM: ptr(0.3), BottomMM: ptr(0.45)}},
			Needs{0.3, 0.4, 0.3, 10, []string{"roof_mm", "bridge_mm"}, BottomSide, NeedsFrom{}}},
		"spread": {Machine{SpreadMM: ptr(0.1), TrimMM: 0.03, Tested: Tested{SideMM: ptr(0.2)}},
			Needs{0.2, 0.4, 0.34, 10, []string{"roof_mm", "bridge_mm"}, BottomSpread, NeedsFrom{}}},
		"spread on the cautious side": {Machine{SpreadMM: ptr(0.1), Tested: Tested{RoofMM: ptr(0.2)}},
			Needs{0.4, 0.2, 0.6, 10, []string{"side_mm", "bridge_mm"}, BottomSpread, NeedsFrom{}}},
		"no spread is known to be none": {Machine{SpreadMM: ptr(0.0), Tested: Tested{SideMM: ptr(0.2)}},
			Needs{0.2, 0.4, 0.2, 10, []string{"roof_mm", "bridge_mm"}, BottomSpread, NeedsFrom{}}},
		"trim off nothing known": {Machine{TrimMM: 0.05, Tested: Tested{SideMM: ptr(0.2)}},
			Needs{0.2, 0.4, 0.5, 10, []string{"roof_mm", "bottom_mm", "bridge_mm"}, BottomBuiltIn, NeedsFrom{}}},
		"wide side": {Machine{Tested: Tested{SideMM: ptr(0.7)}},
			Needs{0.7, 0.4, 0.7, 10, []string{"roof_mm", "bottom_mm", "bridge_mm"}, BottomSide, NeedsFrom{}}},
	} {
		got := c.m.Needs()
		got.From = NeedsFrom{} // see TestFound
		if d := cmp.Diff(c.want, got); d != "" {
			t.Errorf("%s: %s", name, d)
		}
	}
}

func TestIsTested(t *testing.T) {
	if BuiltIn().IsTested() {
		t.Error("the built-in machine is not tested")
	}
	for _, tested := range []Tested{{SideMM: ptr(1.0)}, {RoofMM: ptr(1.0)}, {BottomMM: ptr(1.0)}, {BridgeMM: ptr(1.0)}} {
		if !(Machine{Tested: tested}).IsTested() {
			t.Errorf("%+v is tested", tested)
		}
	}
}

// What is trimmed on top is taken off twice, off the built-in need too, but
// never below the side need.
func TestTrimmed(t *testing.T) {
	for name, c := range map[string]struct {
		m    Machine
		trim float64
		want float64
	}{
		"nothing":                   {Machine{}, 0, 0.5},
		"built-in":                  {Machine{}, 0.03, 0.44},
		"no more than the side":     {Machine{}, 0.2, 0.4},
		"its own trim stays":        {Machine{TrimMM: 0.05, Tested: Tested{SideMM: ptr(0.2)}}, 0.1, 0.3},
		"tested, on top of its own": {Machine{TrimMM: 0.02, Tested: Tested{SideMM: ptr(0.2), BottomMM: ptr(0.5)}}, 0.05, 0.36},
		"spread":                    {Machine{SpreadMM: ptr(0.1), Tested: Tested{SideMM: ptr(0.2)}}, 0.05, 0.3},
	} {
		if got := c.m.Trimmed(c.trim).Needs().Bottom; got != c.want {
			t.Errorf("%s: the bottom need is %v, want %v", name, got, c.want)
		}
	}
}
