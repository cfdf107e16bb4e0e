package report

import (
	"bytes"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/gapscan/sample"
	"playgauge/mesh/shape"
)

// plugged is a block with a plug of a gap in the pocket of its top.
func plugged(gap float64) shape.Solid {
	block := shape.Must(shape.Bored(shape.Rect(-15, -15, 15, 15), 0, 38, shape.Bore{
		N: 48, Profile: []r2.Vec{{X: 6 + gap, Y: 38}, {X: 6 + gap, Y: 30.5}, {Y: 30.5}}}))
	return block.Append(shape.Cylinder(6, 7, 48, 0).Move(0, 0, 31))
}

func TestSampleText(t *testing.T) {
	w := gapscan.AsIs()
	w.FirstMM = 0.28
	p, err := gapscan.Place(plugged(0.2).Soup(), w)
	if err != nil {
		t.Fatal(err)
	}
	sliced, err := p.Slice(w)
	if err != nil {
		t.Fatal(err)
	}
	s, err := sample.Cut(sliced, w, machine.BuiltIn(), gapscan.JointName{})
	if err != nil {
		t.Fatal(err)
	}
	s.Model.Model.File = "plug.stl"
	var b bytes.Buffer
	if err := SampleText(&b, s, "try.stl", Style{}); err != nil {
		t.Fatal(err)
	}
	got := b.String()
	for _, want := range []string{
		"try.stl: joint 1 of plug.stl, parts 1 and 2, welds - side gap has 0.20, needs",
		" % of the model's plastic\n",
		"lowered by 1", "its layer 1 lies on the bed, well",
		"a piece of part 1\n", "part 2, whole\n",
		" of the model), the worst is layer ",
		"layers of 0.2 mm (the first 0.28)",
		"keep them from children under three",
	} {
		if !strings.Contains(strings.Join(strings.Fields(got), " "), strings.Join(strings.Fields(want), " ")) {
			t.Errorf("no %q in:\n%s", want, got)
		}
	}
	for line := range strings.Lines(got) {
		if len(line) > 81 {
			t.Errorf("%d characters: %s", len(line)-1, line)
		}
	}
}
