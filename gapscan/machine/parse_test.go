package machine

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// everyKey is a machine file that uses every key there is.
const everyKey = `# the one in the shed
name = "shed"
nozzle_mm = 0.6
material = "PETG"
bottom_layers = 2
overhang_deg = 45
crack_mm2 = 3.5
sag = [[10, 0.0], [30, 0.2]]
roof_span_mm = 10
spread_mm = 0.05
trim_mm = 0.02
line_mm = 0.65
layer_heights_mm = [0.12, 0.2, 0.28]

[tested]
side_mm = 0.30
roof_mm = 0.40
bottom_mm = 0.45
bridge_mm = 30
`

func ptr[T any](v T) *T { return &v }

func TestParseEveryKey(t *testing.T) {
	got, err := Parse("folder/shed.toml", []byte(everyKey))
	if err != nil {
		t.Fatal(err)
	}
	want := Machine{
		Name: "shed", File: "folder/shed.toml", NozzleMM: 0.6, Material: "PETG", BottomLayers: 2, OverhangDeg: 45,
		CrackMM2: 3.5, Sag: [][2]float64{{10, 0}, {30, 0.2}}, RoofSpanMM: 10, SpreadMM: ptr(0.05), TrimMM: 0.02,
		LineMM: 0.65, LayerHeightsMM: []float64{0.12, 0.2, 0.28},
		Tested: Tested{SideMM: ptr(0.3), RoofMM: ptr(0.4), BottomMM: ptr(0.45), BridgeMM: ptr(30.0)},
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Error(d)
	}
	for _, k := range keySpecs() { // a key that is added must be added above
		last := k.name[strings.LastIndex(k.name, ".")+1:]
		if !strings.Contains(everyKey, "\n"+last+" =") {
			t.Errorf("the test's file lacks %s", k.name)
		}
	}
}

func TestParseLeavesTheRestAsBuiltIn(t *testing.T) {
	want := BuiltIn()
	want.Name, want.File = "shed", "shed.toml"
	for _, src := range []string{"", "\xef\xbb\xbfmaterial = \"PLA\"", "# nothing\r\n", "[tested]\n", "tested = {}"} {
		got, err := Parse("shed.toml", []byte(src))
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(want, got); d != "" {
			t.Errorf("%q: %s", src, d)
		}
	}
	got, err := Parse("shed.toml", []byte("nozzle_mm = 0.8"))
	if err != nil || got.LineMM != 0.8 {
		t.Errorf("line of a 0.8 nozzle: %v, %v", got.LineMM, err)
	}
	got, err = Parse("shed.toml", []byte("tested.side_mm = 1\nbottom_layers = 3.0"))
	if err != nil || *got.Tested.SideMM != 1 || got.BottomLayers != 3 {
		t.Errorf("whole numbers and dotted keys: %+v, %v", got, err)
	}
	got, err = Parse("shed.toml", []byte("tested = {roof_mm = 0.25, side_mm = 0.2}"))
	if err != nil || *got.Tested.RoofMM != 0.25 || *got.Tested.SideMM != 0.2 {
		t.Errorf("inline table: %+v, %v", got, err)
	}
}

func TestParseFaults(t *testing.T) {
	for src, want := range map[string]string{
		"a = ":                       "shed.toml:1: is no TOML: ",
		"name = \"a\"\nname = \"b\"": "shed.toml:2: is no TOML: ",
		"\xff":                       "shed.toml:1: is no TOML: ",
		"\n\nnozle_mm = 0.4":         "shed.toml:3: nozle_mm = 0.4: is not a key of a machine file",
		"name = \"a\"\n[tested]\n\n\nside_mm = -0.3 # x": "shed.toml:5: tested.side_mm = -0.3: must be a number from 0.01 to 5 mm",
		"[tested]\nside_mm = \"0.3\"":                    "shed.toml:2: tested.side_mm = \"0.3\": must be a number from 0.01 to 5 mm",
		"[tested]\r\nroof_mm = nan":                      "shed.toml:2: tested.roof_mm = nan: must be a number from 0.01 to 5 mm",
		"tested.bottom_mm = inf":                         "shed.toml:1: tested.bottom_mm = inf: must be a number",
		"tested = {\"bridge_mm\" = 0}":                   "shed.toml:1: tested.bridge_mm = 0: must be a number from 1 to 500 mm",
		"tested = 3":                                     "shed.toml:1: tested = 3: must be one table, headed [tested]",
		"[[tested]]":                                     "shed.toml:1: [[tested]]: must be one table, headed [tested]",
		"[tested.side_mm]":                               "shed.toml:1: [tested.side_mm]: must be a number",
		"[tested.more]":                                  "shed.toml:1: [tested.more]: is not a table of a machine file",
		"\"tested.side_mm\" = 0.3":                       "shed.toml:1: \"tested.side_mm\" = 0.3: is not a key of a machine file",
		"side_mm = 0.3":                                  "shed.toml:1: side_mm = 0.3: belongs under [tested]",
		"[tested]\ntrim_mm = 0.3":                        "shed.toml:2: tested.trim_mm = 0.3: belongs above [tested]",
		"[tested]\n[[trial]]\nside_mm = 3":               "shed.toml:3: trial.side_mm = 3: is not a key of a trial",
		"name = \"\"":                                    "shed.toml:1: name = \"\": must be a text of 1 to 100 printable characters in quotes",
		"name = \"a\\nb\"":                               "shed.toml:1: name = \"a\\nb\": must be a text",
		"name = 3":                                       "shed.toml:1: name = 3: must be a text",
		"name.first = 3":                                 "shed.toml:1: name.first = 3: is not a key of a machine file",
		"material = \"" + strings.Repeat("é", 101) + "\"": "shed.toml:1: material = \"" + strings.Repeat("é", 39) + "...: must be a text",
		"nozzle_mm = 0.04":                         "shed.toml:1: nozzle_mm = 0.04: must be a number from 0.1 to 2 mm",
		"nozzle_mm = 40":                           "shed.toml:1: nozzle_mm = 40: must be a number from 0.1 to 2 mm",
		"nozzle_mm = true":                         "shed.toml:1: nozzle_mm = true: must be a number",
		"bottom_layers = 1.5":                      "shed.toml:1: bottom_layers = 1.5: must be a whole number from 0 to 50",
		"bottom_layers = -1":                       "shed.toml:1: bottom_layers = -1: must be a whole number from 0 to 50",
		"overhang_deg = 90":                        "shed.toml:1: overhang_deg = 90: must be a number from 0 to 89 degrees",
		"crack_mm2 = -1":                           "shed.toml:1: crack_mm2 = -1: must be a number from 0 to 1000 mm2",
		"roof_span_mm = 0":                         "shed.toml:1: roof_span_mm = 0: must be a number from 1 to 500 mm",
		"spread_mm = 3":                            "shed.toml:1: spread_mm = 3: must be a number from 0 to 2 mm",
		"trim_mm = -0.1":                           "shed.toml:1: trim_mm = -0.1: must be a number from 0 to 2 mm",
		"line_mm = 0":                              "shed.toml:1: line_mm = 0: must be a number from 0.05 to 4 mm",
		"layer_heights_mm = []":                    "shed.toml:1: layer_heights_mm = []: must be a list of 1 to 50 numbers from 0.01 to 1.5 mm",
		"layer_heights_mm = [\n 0.2, # usual\n 2]": "shed.toml:1: layer_heights_mm = [ 0.2, # usual 2]: must be a list",
		"layer_heights_mm = 0.2":                   "shed.toml:1: layer_heights_mm = 0.2: must be a list",
		"sag = [[10, 0], [10, 0.1]]":               "shed.toml:1: sag = [[10, 0], [10, 0.1]]: must be a list of 1 to 100 pairs [span, sag], spans from 1 to 500 mm and ascending, sags from 0 to 50 mm",
		"sag = [[10]]":                             "shed.toml:1: sag = [[10]]: must be a list of",
		"sag = [10, 0.1]":                          "shed.toml:1: sag = [10, 0.1]: must be a list of",
		"sag = [[10, -0.1]]":                       "shed.toml:1: sag = [[10, -0.1]]: must be a list of",
		strings.Repeat("#", MaxFileBytes+1):        "shed.toml: is larger than 1048576 bytes and no machine file",
	} {
		m, err := Parse("shed.toml", []byte(src))
		var fe *FileError
		if !errors.As(err, &fe) {
			t.Errorf("%.60q: got %+v, %v", src, m, err)
			continue
		}
		if !strings.HasPrefix(err.Error(), want) {
			t.Errorf("%.60q:\n got %s\nwant %s", src, err, want)
		}
		if strings.ContainsAny(err.Error(), "\n\r") {
			t.Errorf("%.60q: more than one line: %q", src, err)
		}
	}
}

// The first fault in the file is the one that is told.
func TestParseTellsTheFirstFault(t *testing.T) {
	_, err := Parse("a.toml", []byte("[tested]\nroof_mm = 9\nside_mm = 9\nwidth = 3"))
	var fe *FileError
	if !errors.As(err, &fe) || fe.Line != 2 || fe.Key != "tested.roof_mm" || fe.Value != "9" || fe.Known != nil {
		t.Errorf("got %#v", err)
	}
	_, err = Parse("a.toml", []byte("wide = 3\n[tested]\nroof_mm = 9"))
	if !errors.As(err, &fe) || fe.Line != 1 || !slices.Contains(fe.Known, "tested.side_mm") {
		t.Errorf("got %#v", err)
	}
}

// Whatever the bytes, Parse returns a machine within the limits or one line.
func FuzzParse(f *testing.F) {
	f.Add([]byte(everyKey))
	f.Add([]byte("[tested]\nside_mm = -0.3"))
	f.Add([]byte("tested = {side_mm = 0.3, a = {b = {}}}\n[[trial]]"))
	f.Add([]byte("sag = [[1, 2], [3, 4]]\n\"\" = 'x'\na.\"b c\".d = 1979-05-27"))
	f.Add([]byte(trialText))
	f.Add([]byte("[[trial]]\nfamily = 'side'\ngap_mm = 0.4\nresult = 'welds'\n[[trial]]\n[trial.a]\n"))
	f.Add([]byte("name = '''\n\x7f'''"))
	f.Fuzz(func(t *testing.T, data []byte) {
		m, err := Parse("f.toml", data)
		if err != nil {
			var fe *FileError
			if !errors.As(err, &fe) || !strings.HasPrefix(err.Error(), "f.toml") || strings.ContainsAny(err.Error(), "\r\n") {
				t.Fatalf("%q: %q", data, err)
			}
			return
		}
		for i, trial := range m.Trials {
			if err := trial.Check(); err != nil {
				t.Fatalf("%q: trial %d: %v", data, i, err)
			}
		}
		n := m.Needs()
		for _, v := range []float64{n.Side, n.Roof, n.Bottom} {
			if !(v >= MinNeedMM && v <= MaxNeedMM+2*MaxSpreadMM) {
				t.Fatalf("%q: need %v", data, v)
			}
		}
		if !(n.Bridge >= MinBridgeMM) || n.Bottom < n.Side || m.Name == "" || !(m.NozzleMM > 0) || !(m.LineMM > 0) ||
			math.IsNaN(m.OverhangDeg+m.CrackMM2+m.RoofSpanMM+m.TrimMM) {
			t.Fatalf("%q: %+v", data, m)
		}
	})
}
