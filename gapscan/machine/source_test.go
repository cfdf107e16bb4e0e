package machine

import (
	"strings"
	"testing"
	"unicode/utf8"
)

// A source names the model and the joint, and may always be recorded.
func TestSourceOf(t *testing.T) {
	for model, want := range map[string]string{
		"gate-hinge.stl":              "gate-hinge.stl, joint 12",
		"Türchen, joint.stl":          "Türchen, joint.stl, joint 12",
		"a\nb\x1b.stl":                "a?b?.stl, joint 12",
		"bad\xff.stl":                 "bad?.stl, joint 12",
		strings.Repeat("ü", 200):      strings.Repeat("ü", 43) + "..." + strings.Repeat("ü", 43) + ", joint 12",
		strings.Repeat("x", 90):       strings.Repeat("x", 90) + ", joint 12",
		strings.Repeat("y", 90) + "z": strings.Repeat("y", 43) + "..." + strings.Repeat("y", 42) + "z, joint 12",
	} {
		got := SourceOf(model, 12)
		if got != want {
			t.Errorf("%q:\n got %q\nwant %q", model, got, want)
		}
		tr := Trial{Family: FamilySide, GapMM: 0.3, Result: CameFree, Source: got}
		if err := tr.Check(); err != nil || utf8.RuneCountInString(got) > MaxTextLength {
			t.Errorf("%q: %v", got, err)
		}
	}
}
