package machine

import (
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// A new file says what it was told, and nothing in it is tested.
func TestNewText(t *testing.T) {
	for _, name := range []string{"shed", `a "b" \c`, "Werkstatt ü"} {
		m, err := Parse("x.toml", NewText(name, 0.6, "PETG"))
		if err != nil {
			t.Fatal(err)
		}
		want := BuiltIn()
		want.Name, want.File, want.NozzleMM, want.LineMM, want.Material = name, "x.toml", 0.6, 0.6, "PETG"
		if d := cmp.Diff(want, m); d != "" {
			t.Error(d)
		}
		if m.IsTested() {
			t.Error("nothing is tested yet")
		}
	}
}

// What it shows as comments counts once the # is gone, has every key but
// those of trials, and where it stands for what is taken anyway it says so
// rightly.
func TestNewTextTeachesWhatParses(t *testing.T) {
	plain, err := Parse("x.toml", NewText("x", 0.4, "PLA"))
	if err != nil {
		t.Fatal(err)
	}
	var all strings.Builder
	set := map[string]bool{}
	same := 0
	for line := range strings.Lines(string(NewText("x", 0.4, "PLA"))) {
		line, shown := strings.CutPrefix(line, "#")
		if shown && strings.HasPrefix(line, " ") {
			continue
		}
		all.WriteString(line)
		key, _, isKey := strings.Cut(line, " =")
		if isKey {
			set[key] = true
		}
		if shown && isKey && same < 6 {
			same++
			m, err := Parse("x.toml", []byte("name = \"x\"\n"+line))
			if err != nil || !reflect.DeepEqual(m, plain) {
				t.Errorf("%q changes something: %v", line, err)
			}
		}
	}
	m, err := Parse("x.toml", []byte(all.String()))
	if err != nil {
		t.Fatalf("%v\n%s", err, all.String())
	}
	if m.Tested.SideMM == nil || m.Tested.RoofMM == nil || m.Tested.BottomMM == nil || m.Tested.BridgeMM == nil {
		t.Errorf("%+v", m.Tested)
	}
	for _, k := range keySpecs() {
		if _, last, ok := strings.Cut(k.name, "."); !set[k.name] && !(ok && set[last]) {
			t.Errorf("%s is not told of", k.name)
		}
	}
}

// What a key may not be is refused when the file is made.
func TestNewTextRefused(t *testing.T) {
	for _, text := range [][]byte{NewText("", 0.4, "PLA"), NewText("a\nb", 0.4, "PLA"), NewText("x", 4, "PLA"), NewText("x", 0.4, strings.Repeat("x", MaxTextLength+1))} {
		if _, err := Parse("x.toml", text); err == nil {
			t.Errorf("taken: %s", text)
		}
	}
}
