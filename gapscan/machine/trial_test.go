package machine

import (
	"errors"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// someTrials has each family, each result and every key.
var someTrials = []Trial{
	{Date: "2026-05-31", Family: FamilySide, GapMM: 0.25, Result: Stuck, LayerHeightMM: 0.2, FirstHeightMM: 0.28, Flow: 0.95, Source: `pea "chain" \ joint 2`},
	{Family: FamilySide, GapMM: 0, Result: Welded},
	{Family: FamilyRoof, AirLayers: ptr(2), LayerHeightMM: 0.28, Result: CameFree},
	{Family: FamilyRoof, AirLayers: ptr(0), LayerHeightMM: 0.2, Result: Welded},
	{Family: FamilyRoof, GapMM: 0.3, Result: CameFree},
	{Family: FamilyBottom, GapMM: 0.45, Result: CameFree, Source: "été"},
	{Family: FamilyBridge, SpanMM: 30, SagMM: 0.15, LayerHeightMM: 0.2},
	{Family: FamilyBridge, SpanMM: 20, SagMM: 0, LayerHeightMM: 0.2},
}

const trialText = `# by hand
[[trial]]
date = 2026-05-31
family = "side"
gap_mm = 0.25 # cracked
result = "sticks"
layer_height_mm = 0.2
first_height_mm = 0.28
flow = 0.95
source = "pea \"chain\" \\ joint 2"

[tested]
side_mm = 0.3

[[trial]]
result = "free"
air_layers = 2
layer_height_mm = 0.28
"family" = "roof"
date = "2026-05-31"

[[ trial ]]
family = "bridge"
span_mm = 30
sag_mm = 0
layer_height_mm = 0.2
date = 2026-05-31T10:00:00Z
`

func TestParseTrials(t *testing.T) {
	m, err := Parse("shed.toml", []byte(trialText))
	if err != nil {
		t.Fatal(err)
	}
	want := []Trial{
		someTrials[0],
		{Date: "2026-05-31", Family: FamilyRoof, AirLayers: ptr(2), LayerHeightMM: 0.28, Result: CameFree},
		{Date: "2026-05-31", Family: FamilyBridge, SpanMM: 30, LayerHeightMM: 0.2},
	}
	if d := cmp.Diff(want, m.Trials); d != "" {
		t.Error(d)
	}
	if d := cmp.Diff(Learn(want), m.Learned); d != "" {
		t.Error(d)
	}
	if *m.Tested.SideMM != 0.3 || m.Trials[1].Gap() != 0.56 || m.Trials[0].Gap() != 0.25 || m.Trials[2].Gap() != 0 {
		t.Errorf("%+v", m)
	}
}

// A gap recorded twice with different results is data.
func TestParseKeepsContraryTrials(t *testing.T) {
	one := "[[trial]]\nfamily=\"side\"\ngap_mm=0.3\nresult="
	m, err := Parse("shed.toml", []byte(one+"\"free\"\n"+one+"\"welds\"\n"))
	if err != nil || len(m.Trials) != 2 || m.Learned.Side.Free != 1 || m.Learned.Side.Welds != 1 {
		t.Errorf("%+v, %v", m.Trials, err)
	}
	if n := m.Needs(); n.Side != CautiousSideMM || n.From.Side.Source != SourceBuiltIn {
		t.Errorf("0.3 came free and welded, so it is no limit: %+v", n)
	}
}

func TestParseTrialFaults(t *testing.T) {
	side := "\n[[trial]]\nfamily = \"side\"\ngap_mm = 0.3\nresult = \"free\"\n"
	for src, want := range map[string]string{
		"[[trial]]":                                                       "a.toml:1: [[trial]]: lacks family",
		"[[trial]]\nfamily = \"slide\"":                                   "a.toml:2: trial.family = \"slide\": must be \"side\", \"bottom\", \"roof\" or \"bridge\"",
		"[[trial]]\nfamily = 3":                                           "a.toml:2: trial.family = 3: must be \"side\"",
		"[[trial]]\nfamily = \"side\"":                                    "a.toml:1: [[trial]]: lacks gap_mm",
		"[[trial]]\nfamily = \"roof\"":                                    "a.toml:1: [[trial]]: lacks gap_mm or air_layers",
		"[[trial]]\ngap_mm = 0.3":                                         "a.toml:1: [[trial]]: lacks family",
		"[[trial]]\ngap_mm = \"0.3\"":                                     "a.toml:2: trial.gap_mm = \"0.3\": must be a number from 0 to 5 mm",
		"[[trial]]\ngap_mm = -0.3":                                        "a.toml:2: trial.gap_mm = -0.3: must be a number from 0 to 5 mm",
		"[[trial]]\ngap_mm = nan":                                         "a.toml:2: trial.gap_mm = nan: must be a number",
		"[[trial]]\nresult = \"loose\"":                                   "a.toml:2: trial.result = \"loose\": must be \"free\", \"sticks\" or \"welds\"",
		"[[trial]]\nresult = true":                                        "a.toml:2: trial.result = true: must be \"free\"",
		"[[trial]]\nflow = 95":                                            "a.toml:2: trial.flow = 95: must be a number from 0.5 to 1.5",
		"[[trial]]\ndate = \"yesterday\"":                                 "a.toml:2: trial.date = \"yesterday\": must be a date such as 2026-05-31",
		"[[trial]]\ndate = 10:00:00":                                      "a.toml:2: trial.date = 10:00:00: must be a date",
		"[[trial]]\nair_layers = 1.5":                                     "a.toml:2: trial.air_layers = 1.5: must be a whole number from 0 to 50",
		"[[trial]]\nsource = \"a\\nb\"":                                   "a.toml:2: trial.source = \"a\\nb\": must be a text",
		"[[trial]]\nlayer_height_mm = 0":                                  "a.toml:2: trial.layer_height_mm = 0: must be a number from 0.01 to 1.5 mm",
		"[[trial]]\nwidth = 3":                                            "a.toml:2: trial.width = 3: is not a key of a trial",
		"[[trial]]\nnozzle_mm = 0.4":                                      "a.toml:2: trial.nozzle_mm = 0.4: belongs above the first [[trial]]",
		"[[trial]]\n[trial.source]\na = 1":                                "a.toml:2: [trial.source]: must be a text",
		"[[trial]]\nsource.a = 1":                                         "a.toml:2: trial.source.a = 1: is not a key of a trial",
		"[[trial]]\n[[trial.trial]]":                                      "a.toml:2: [[trial.trial]]: is not a key of a trial",
		"[trial]\nfamily = \"side\"":                                      "a.toml:1: [trial]: must be tables, each headed [[trial]]",
		"trial = [{side_mm = 3}]":                                         "a.toml:1: trial = [{side_mm = 3}]: must be tables",
		"trial.gap_mm = 3":                                                "a.toml:1: trial.gap_mm = 3: must be tables",
		"gap_mm = 3":                                                      "a.toml:1: gap_mm = 3: belongs in a table headed [[trial]]",
		side + "span_mm = 3":                                              "a.toml:6: trial.span_mm = 3: does not belong to a trial of the family \"side\"",
		side + "air_layers = 2":                                           "a.toml:6: trial.air_layers = 2: does not belong to a trial of the family \"side\"",
		side + side + "[tested]\nroof = 1":                                "a.toml:12: tested.roof = 1: is not a key",
		side + "[[trial]]\n" + side:                                       "a.toml:6: [[trial]]: lacks family",
		"[[trial]]\nfamily = \"bridge\"":                                  "a.toml:1: [[trial]]: lacks span_mm",
		side + "[[trial]]\nfamily = \"si":                                 "a.toml:7: is no TOML: ", // cut off
		side + "[[trial]]\nfamily = \"side":                               "a.toml:7: is no TOML: ",
		side + "[[trial]]\nfamily = \"side\"\ngap_mm = 0.":                "a.toml:8: is no TOML: ",
		side + "[[trial]]\nfamily = \"side\"\ngap_mm = 0":                 "a.toml:6: [[trial]]: lacks result",
		"[[trial]]\nfamily = \"roof\"\nresult = \"free\"\nair_layers = 2": "a.toml:1: [[trial]]: lacks layer_height_mm, without which air_layers is no gap",
		"[[trial]]\nfamily = \"roof\"\nresult = \"free\"\nair_layers = 2\nlayer_height_mm = 0.2\ngap_mm = 0.4":       "a.toml:6: trial.gap_mm = 0.4: stands beside air_layers",
		"[[trial]]\nfamily = \"roof\"\nresult = \"free\"\nair_layers = 50\nlayer_height_mm = 0.2":                    "a.toml:4: trial.air_layers = 50: is 10 mm of air, more than 5 mm",
		"[[trial]]\nfamily = \"bridge\"\nspan_mm = 10\nsag_mm = 0\nlayer_height_mm = 0.2\nresult = \"free\"":         "a.toml:6: trial.result = \"free\": does not belong to a bridge",
		"[[trial]]\nfamily = \"bridge\"\nspan_mm = 10\nsag_mm = 0":                                                   "a.toml:1: [[trial]]: lacks layer_height_mm, without which nothing can be said of the sag",
		"[[trial]]\nfamily = \"bridge\"\nspan_mm = 10\nsag_mm = 0\nlayer_height_mm = 0.2\ngap_mm = 0.3\n[[trial]]\n": "a.toml:6: trial.gap_mm = 0.3: does not belong to a trial of the family \"bridge\"",
	} {
		m, err := Parse("a.toml", []byte(src))
		var fe *FileError
		if !errors.As(err, &fe) {
			t.Errorf("%q: got %+v, %v", src, m.Trials, err)
			continue
		}
		if !strings.HasPrefix(err.Error(), want) || strings.ContainsAny(err.Error(), "\r\n") {
			t.Errorf("%q:\n got %s\nwant %s", src, err, want)
		}
	}
}

func TestAppend(t *testing.T) {
	for name, text := range map[string]string{
		"empty":         "",
		"by hand":       trialText,
		"no last break": "name = \"shed\" # mine",
		"windows":       "# mine\r\nname = \"shed\"\r\n[tested]\r\nside_mm = 0.3",
		"byte mark":     "\xef\xbb\xbfname = \"shed\"\n",
		"in a table":    "[tested]\nside_mm = 0.3\n\n\n# the end",
	} {
		before, err := Parse("a.toml", []byte(text))
		if err != nil {
			t.Fatal(err)
		}
		got, err := Append([]byte(text), someTrials)
		if err != nil {
			t.Fatal(err)
		}
		if !strings.HasPrefix(string(got), text) {
			t.Errorf("%s: the text did not stay as it was:\n%s", name, got)
		}
		if bare := strings.Count(string(got), "\n") - strings.Count(string(got), "\r\n"); strings.Contains(text, "\r") && bare > 0 {
			t.Errorf("%s: %d line breaks of another kind", name, bare)
		}
		after, err := Parse("a.toml", got)
		if err != nil {
			t.Fatal(err)
		}
		if d := cmp.Diff(append(before.Trials, someTrials...), after.Trials); d != "" {
			t.Errorf("%s: %s", name, d)
		}
		if d := cmp.Diff(before, after, cmpopts.IgnoreFields(Machine{}, "Trials", "Learned")); d != "" {
			t.Errorf("%s: more than the trials changed: %s", name, d)
		}
	}
}

func TestAppendWrites(t *testing.T) {
	got, err := Append([]byte("# mine"), someTrials[:1])
	const want = `# mine

[[trial]]
date = 2026-05-31
family = "side"
gap_mm = 0.25
result = "sticks"
layer_height_mm = 0.2
first_height_mm = 0.28
flow = 0.95
source = "pea \"chain\" \\ joint 2"
`
	if d := cmp.Diff(want, string(got)); d != "" || err != nil {
		t.Error(d, err)
	}
}

func TestAppendRefuses(t *testing.T) {
	for want, bad := range map[string]Trial{
		"trial 2: lacks family":                                                        {GapMM: 0.3, Result: CameFree},
		"trial 2: lacks result":                                                        {Family: FamilySide, GapMM: 0.3},
		`trial 2: result must be "free", "sticks" or "welds"`:                          {Family: FamilySide, GapMM: 0.3, Result: "loose"},
		"trial 2: gap_mm must be a number from 0 to 5 mm":                              {Family: FamilySide, GapMM: -1, Result: CameFree},
		"trial 2: span_mm must be a number from 1 to 500 mm":                           {Family: FamilyBridge},
		"trial 2: span_mm does not belong to a trial of the family \"roof\"":           {Family: FamilyRoof, SpanMM: 3, Result: CameFree},
		"trial 2: gap_mm stands beside air_layers: one of the two says the gap":        {Family: FamilyRoof, GapMM: 0.2, AirLayers: ptr(1), LayerHeightMM: 0.2, Result: CameFree},
		"trial 2: layer_height_mm must be a number from 0.01 to 1.5 mm":                {Family: FamilyRoof, AirLayers: ptr(1), Result: CameFree},
		"trial 2: source must be a text of 1 to 100 printable characters in quotes":    {Family: FamilySide, Result: CameFree, Source: "a\nb"},
		"trial 2: source must be a text of 1 to 100 printable characters in quotes ":   {Family: FamilySide, Result: CameFree, Source: "\xff"},
		"trial 2: date must be a date such as 2026-05-31":                              {Family: FamilySide, Result: CameFree, Date: "2026-02-31"},
		"trial 2: result does not belong to a bridge: its sag_mm says what came of it": {Family: FamilyBridge, SpanMM: 10, LayerHeightMM: 0.2, Result: CameFree},
		"trial 2: air_layers does not belong to a trial of the family \"side\"":        {Family: FamilySide, AirLayers: ptr(1), LayerHeightMM: 0.2, Result: CameFree},
		"trial 2: air_layers is 10 mm of air, more than 5 mm":                          {Family: FamilyRoof, AirLayers: ptr(50), LayerHeightMM: 0.2, Result: CameFree},
		"trial 2: family must be \"side\", \"bottom\", \"roof\" or \"bridge\"":         {Family: "slope", GapMM: 0.3, Result: CameFree},
		"trial 2: sag_mm must be a number from 0 to 50 mm":                             {Family: FamilyBridge, SpanMM: 10, SagMM: -1, LayerHeightMM: 0.2},
		"trial 2: flow must be a number from 0.5 to 1.5":                               {Family: FamilySide, Flow: 95, Result: CameFree},
		"trial 2: first_height_mm must be a number from 0.01 to 1.5 mm":                {Family: FamilySide, FirstHeightMM: 3, Result: CameFree},
		"trial 2: air_layers must be a whole number from 0 to 50":                      {Family: FamilyRoof, AirLayers: ptr(-1), LayerHeightMM: 0.2, Result: CameFree},
	} {
		_, err := Append(nil, []Trial{someTrials[0], bad})
		var te *TrialError
		if !errors.As(err, &te) || err.Error() != strings.TrimSpace(want) || te.Index != 1 {
			t.Errorf("%+v:\n got %v\nwant %s", bad, err, want)
		}
	}
}

// Whatever a trial, either it is refused or it is read back as it was.
func FuzzAppend(f *testing.F) {
	f.Add("side", "free", "2026-05-31", "a \"b\" \\", 0.3, 0.0, 0.0, 0.2, 0.0, 1.0, -1)
	f.Add("roof", "sticks", "", "", 0.0, 0.0, 0.0, 0.2, 0.3, 0.0, 2)
	f.Add("bridge", "", "", "\x7f", 0.0, 30.0, 0.2, 0.2, 0.0, 0.0, -1)
	f.Fuzz(func(t *testing.T, family, result, date, source string, gap, span, sag, height, first, flow float64, air int) {
		trial := Trial{Date: date, Family: Family(family), GapMM: gap, SpanMM: span, SagMM: sag, Result: Result(result),
			LayerHeightMM: height, FirstHeightMM: first, Flow: flow, Source: source}
		if air >= 0 {
			trial.AirLayers = &air
		}
		text, err := Append(nil, []Trial{trial})
		if err != nil {
			return
		}
		m, err := Parse("f.toml", text)
		if err != nil {
			t.Fatalf("%+v: %s: %v", trial, text, err)
		}
		if d := cmp.Diff([]Trial{trial}, m.Trials, cmp.Transformer("zero", func(f float64) float64 { return f + 0 })); d != "" {
			t.Fatalf("%s: %s", text, d)
		}
	})
}
