package practice

import (
	"slices"
	"strings"
	"testing"

	"playgauge/gapscan"
)

// Every cause has advice of its own, told once and in one order, and none of
// another's; what helps against any weld comes last.
func TestAgainst(t *testing.T) {
	says := map[gapscan.Cause]string{
		gapscan.CauseBottom: "Level the bed", gapscan.CauseRoof: "The fan", gapscan.CauseSlope: "The fan", gapscan.CauseSide: "Lines as wide",
	}
	causes := []gapscan.Cause{gapscan.CauseBottom, gapscan.CauseRoof, gapscan.CauseSide, gapscan.CauseSlope}
	whole := Against(causes, "PLA")
	if len(whole) != len(all) {
		t.Errorf("%d entries for all causes, want all %d", len(whole), len(all))
	}
	for _, c := range causes {
		got := Against([]gapscan.Cause{c, c}, "PLA")
		at := -1
		for _, s := range got {
			i := slices.Index(whole, s)
			if i <= at {
				t.Errorf("%s: %q is out of order or told twice", c, s)
			}
			at = i
		}
		for other, s := range says {
			if has := slices.ContainsFunc(got, func(e string) bool { return strings.HasPrefix(e, s) }); has != (s == says[c]) {
				t.Errorf("%s: %q of %s: %v", c, s, other, has)
			}
		}
		if got[len(got)-1] != all[len(all)-1].text {
			t.Errorf("%s: ends with %q", c, got[len(got)-1])
		}
	}
	if got := Against(nil, "PLA"); got == nil || len(got) > 0 {
		t.Errorf("%#v for no cause, want an empty list", got)
	}
}

// Full fans are for PLA, which a machine prints that names nothing.
func TestFan(t *testing.T) {
	roof := []gapscan.Cause{gapscan.CauseRoof}
	full := func(material string) bool { return slices.Contains(Against(roof, material), fanPLA) }
	if !full("") || !full("PLA") || full("ABS") || !slices.Contains(Against(roof, "ABS"), fanOther) {
		t.Errorf("full fan: unnamed %v, PLA %v, ABS %v; want true, true, false", full(""), full("PLA"), full("ABS"))
	}
}
