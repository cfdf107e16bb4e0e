package report

import (
	"regexp"
	"strings"
	"testing"

	"playgauge/gapscan/machine"
)

// told is all that is told of a machine as text.
func told(t *testing.T, mc machine.Machine, s Style) string {
	t.Helper()
	var b strings.Builder
	for _, write := range []error{
		MachineHead(&b, mc, s), Limits(&b, mc, s), Trials(&b, mc.Trials, s), MachineLine(&b, "called", mc, s),
	} {
		if write != nil {
			t.Fatal(write)
		}
	}
	return b.String()
}

func TestMachineText(t *testing.T) {
	mc, err := machine.Parse("sheds/shed.toml", []byte(`name = "shed"
trim_mm = 0.05
overhang_deg = 55
sag = [[10, 0], [30, 0.2]]
layer_heights_mm = [0.12, 0.2]
[tested]
bottom_mm = 0.6
[[trial]]
date = 2026-05-31
family = "side"
gap_mm = 0.3
result = "free"
layer_height_mm = 0.2
first_height_mm = 0.28
flow = 0.95
[[trial]]
date = 2026-05-31
family = "roof"
air_layers = 2
result = "sticks"
layer_height_mm = 0.2
first_height_mm = 0.28
flow = 0.95
[[trial]]
date = 2026-05-31
family = "side"
gap_mm = 0.3
result = "free"
layer_height_mm = 0.2
first_height_mm = 0.28
flow = 0.95
[[trial]]
family = "side"
gap_mm = 0.2
result = "welds"
source = "snail.stl, joint 1"
[[trial]]
family = "side"
gap_mm = 0.2
result = "welds"
source = "snail.stl, joint 2"
[[trial]]
family = "bottom"
gap_mm = 0.4
result = "free"
source = "hinge.stl, joint 1"
[[trial]]
family = "bridge"
span_mm = 25
sag_mm = 0.1
layer_height_mm = 0.2
`))
	if err != nil {
		t.Fatal(err)
	}
	const want = `shed: 0.4 mm nozzle, PLA, 7 trials
file      sheds/shed.toml
set       trim 0.05 mm, overhang 55 degrees, sag of 2 spans, layers of 0.12 and
            0.2 mm
side      0.30 mm: the smallest that came out free in 4 trials, too few or too
            far apart to say more
bottom    0.60 mm: tested by hand, which wins over the trials: they say 0.40 mm,
            the smallest that came out free in 1 trial, too few or too far apart
            to say more; of what is drawn 0.50 mm is asked, less twice the trim
roof      0.50 mm (vertical): wider than anything tried: in 1 trial a gap of
            0.40 mm did not come out free and no wider one did
bridge    up to 25 mm: the longest of 1 bridge that sagged by at most one layer
2026-05-31, layers of 0.2 mm, the first 0.28, flow 0.95:
  side    0.30 free (2 times)
  roof    2 layers (0.40 mm) sticks
snail.stl:
  side    0.20 welds (2 times)
hinge.stl:
  bottom  0.40 free
layers of 0.2 mm:
  bridge  25 mm sags 0.1
called (shed): 0.4 mm nozzle, PLA, 7 trials; side 0.30 (trials), bottom 0.50
  (by hand), roof 0.50 (trials), bridge 25 mm (trials)
`
	if got := told(t, mc, Style{}); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// Of a machine that nothing is known of.
func TestMachineTextUntested(t *testing.T) {
	mc, err := machine.Parse("called.toml", []byte("nozzle_mm = 0.6\nmaterial = \"PETG\"\nspread_mm = 0.1\n"))
	if err != nil {
		t.Fatal(err)
	}
	const want = `called: 0.6 mm nozzle, PETG, 0 trials
file      called.toml
set       spread 0.1 mm
side      0.40 mm: built-in, not tested
bottom    0.60 mm: the side need and twice the spread
roof      0.40 mm (vertical): built-in, not tested
bridge    up to 10 mm: built-in, not tested
called: 0.6 mm nozzle, PETG, no trials; nothing is tested, so the built-in
  cautious limits hold
`
	if got := told(t, mc, Style{}); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	var b strings.Builder
	if err := Trials(&b, []machine.Trial{{Family: machine.FamilySide, GapMM: 0.3, Result: machine.CameFree}}, Style{}); err != nil {
		t.Fatal(err)
	}
	if want := "of no stated date:\n  side    0.30 free\n"; b.String() != want {
		t.Errorf("got %q, want %q", b.String(), want)
	}
}

// Lines keep to the width, tell the same with colour and without, and what
// comes from a file cannot steer a terminal.
func TestMachineTextLines(t *testing.T) {
	all := machines()
	sly := all["curve-few"]
	sly.Name, sly.Material, sly.File = "a\x1b[31m", "b\u202e", "c\nd.toml"
	sly.Trials = append(sly.Trials, machine.Trial{Family: machine.FamilySide, Result: machine.CameFree, GapMM: 0.3, Source: "e\x07"})
	all["sly"] = sly
	for name, mc := range all {
		for _, width := range []int{40, 80, 120} {
			s := told(t, mc, Style{Width: width})
			for line := range strings.Lines(s) {
				if line = strings.TrimRight(line, "\n"); shown(line) > width {
					t.Errorf("%s, %d columns: %q", name, width, line)
				}
			}
			if i := strings.IndexFunc(s, func(c rune) bool { return c < ' ' && c != '\n' || c == 0x202e }); i >= 0 {
				t.Errorf("%s: %q", name, s[i:])
			}
			colored := told(t, mc, Style{Width: width, Color: true})
			if got := regexp.MustCompile("\x1b\\[[0-9;]*m").ReplaceAllString(colored, ""); got != s || colored == s {
				t.Errorf("%s: with colour it says something else", name)
			}
		}
	}
}
