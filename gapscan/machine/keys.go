package machine

import (
	"fmt"
	"math"
	"strconv"
	"sync"
	"unicode"
	"unicode/utf8"
)

// What a value in a machine file may be. The limits keep out slips of the
// pen (a lost decimal point, inches, a negative) and nothing a filament
// printer does.
const (
	MinNozzleMM, MaxNozzleMM           = 0.1, 2.0
	MinNeedMM, MaxNeedMM               = 0.01, 5.0
	MinBridgeMM, MaxBridgeMM           = 1.0, 500.0
	MinOverhangDeg, MaxOverhangDeg     = 0.0, 89.0 // at 90 the tangent has no end
	MinBottomLayers, MaxBottomLayers   = 0, 50
	MinCrackMM2, MaxCrackMM2           = 0.0, 1000.0
	MinSpreadMM, MaxSpreadMM           = 0.0, 2.0
	MinTrimMM, MaxTrimMM               = 0.0, 2.0
	MinLineMM, MaxLineMM               = 0.05, 4.0 // half the least nozzle to twice the largest
	MinLayerHeightMM, MaxLayerHeightMM = 0.01, 1.5
	MinSagMM, MaxSagMM                 = 0.0, 50.0
	MaxSagPairs                        = 100
	MaxLayerHeights                    = 50
	MaxTextLength                      = 100 // characters of a name, a material or a source
)

// keySpec is one key of the machine file.
type keySpec struct {
	// name is the dotted name.
	name string
	// set puts a decoded value into the machine, or says what is allowed.
	set func(m *Machine, v any) (allowed string)
}

// keySpecs lists all keys. Those in a table carry its name. It is made when it
// is first asked for, as most runs read no file.
var keySpecs = sync.OnceValue(func() []keySpec {
	return []keySpec{
		{"name", text(func(m *Machine) *string { return &m.Name })},
		{"nozzle_mm", number(MinNozzleMM, MaxNozzleMM, "mm", func(m *Machine, v float64) { m.NozzleMM = v })},
		{"material", text(func(m *Machine) *string { return &m.Material })},
		{"bottom_layers", setBottomLayers},
		{"overhang_deg", number(MinOverhangDeg, MaxOverhangDeg, "degrees", func(m *Machine, v float64) { m.OverhangDeg = v })},
		{"crack_mm2", number(MinCrackMM2, MaxCrackMM2, "mm2", func(m *Machine, v float64) { m.CrackMM2 = v })},
		{"sag", setSag},
		{"roof_span_mm", number(MinBridgeMM, MaxBridgeMM, "mm", func(m *Machine, v float64) { m.RoofSpanMM = v })},
		{"spread_mm", number(MinSpreadMM, MaxSpreadMM, "mm", func(m *Machine, v float64) { m.SpreadMM = &v })},
		{"trim_mm", number(MinTrimMM, MaxTrimMM, "mm", func(m *Machine, v float64) { m.TrimMM = v })},
		{"line_mm", number(MinLineMM, MaxLineMM, "mm", func(m *Machine, v float64) { m.LineMM = v })},
		{"layer_heights_mm", setLayerHeights},
		{"tested.side_mm", number(MinNeedMM, MaxNeedMM, "mm", func(m *Machine, v float64) { m.Tested.SideMM = &v })},
		{"tested.roof_mm", number(MinNeedMM, MaxNeedMM, "mm", func(m *Machine, v float64) { m.Tested.RoofMM = &v })},
		{"tested.bottom_mm", number(MinNeedMM, MaxNeedMM, "mm", func(m *Machine, v float64) { m.Tested.BottomMM = &v })},
		{"tested.bridge_mm", number(MinBridgeMM, MaxBridgeMM, "mm", func(m *Machine, v float64) { m.Tested.BridgeMM = &v })},
	}
})

// testedTable is the one table of limits written by hand.
const testedTable = "tested"

// keyNames lists the dotted names of all keys.
func keyNames() []string {
	names := make([]string, len(keySpecs()))
	for i, k := range keySpecs() {
		names[i] = k.name
	}
	return names
}

// specOf finds a key, nil where there is none of that name.
func specOf(name string) *keySpec {
	for i, k := range keySpecs() {
		if k.name == name {
			return &keySpecs()[i]
		}
	}
	return nil
}

// within says whether v is a number from lo to hi, inclusive.
func within(v any, lo, hi float64) (float64, bool) {
	var f float64
	switch v := v.(type) {
	case float64:
		f = v
	case int64:
		f = float64(v)
	default:
		return 0, false
	}
	return f, f >= lo && f <= hi // false for NaN
}

// shortNumber writes a limit as a person would.
func shortNumber(f float64) string { return strconv.FormatFloat(f, 'f', -1, 64) }

func number(lo, hi float64, unit string, put func(*Machine, float64)) func(*Machine, any) string {
	return func(m *Machine, v any) string {
		f, ok := within(v, lo, hi)
		if !ok {
			return fmt.Sprintf("must be a number from %s to %s %s", shortNumber(lo), shortNumber(hi), unit)
		}
		put(m, f)
		return ""
	}
}

func text(field func(*Machine) *string) func(*Machine, any) string {
	return func(m *Machine, v any) string {
		s, ok := v.(string)
		if !ok || !shortText(s) {
			return textAllowed()
		}
		*field(m) = s
		return ""
	}
}

// textAllowed says what a text may be.
func textAllowed() string {
	return fmt.Sprintf("must be a text of 1 to %d printable characters in quotes", MaxTextLength)
}

// shortText says whether s may stand where a text does.
func shortText(s string) bool {
	return s != "" && utf8.ValidString(s) && utf8.RuneCountInString(s) <= MaxTextLength && printable(s)
}

// printable keeps line breaks and control characters out of the one-line
// messages a name ends up in.
func printable(s string) bool {
	for _, r := range s {
		if !unicode.IsPrint(r) {
			return false
		}
	}
	return true
}

func setBottomLayers(m *Machine, v any) string {
	f, ok := within(v, MinBottomLayers, MaxBottomLayers)
	if !ok || f != math.Trunc(f) {
		return fmt.Sprintf("must be a whole number from %d to %d", MinBottomLayers, MaxBottomLayers)
	}
	m.BottomLayers = int(f)
	return ""
}

func setLayerHeights(m *Machine, v any) string {
	allowed := fmt.Sprintf("must be a list of 1 to %d numbers from %s to %s mm",
		MaxLayerHeights, shortNumber(MinLayerHeightMM), shortNumber(MaxLayerHeightMM))
	list, ok := v.([]any)
	if !ok || len(list) == 0 || len(list) > MaxLayerHeights {
		return allowed
	}
	heights := make([]float64, len(list))
	for i, e := range list {
		if heights[i], ok = within(e, MinLayerHeightMM, MaxLayerHeightMM); !ok {
			return allowed
		}
	}
	m.LayerHeightsMM = heights
	return ""
}

func setSag(m *Machine, v any) string {
	allowed := fmt.Sprintf("must be a list of 1 to %d pairs [span, sag], spans from %s to %s mm and ascending, sags from %s to %s mm",
		MaxSagPairs, shortNumber(MinBridgeMM), shortNumber(MaxBridgeMM), shortNumber(MinSagMM), shortNumber(MaxSagMM))
	list, ok := v.([]any)
	if !ok || len(list) == 0 || len(list) > MaxSagPairs {
		return allowed
	}
	sag := make([][2]float64, len(list))
	for i, e := range list {
		pair, ok := e.([]any)
		if !ok || len(pair) != 2 {
			return allowed
		}
		span, spanOK := within(pair[0], MinBridgeMM, MaxBridgeMM)
		depth, depthOK := within(pair[1], MinSagMM, MaxSagMM)
		if !spanOK || !depthOK || i > 0 && span <= sag[i-1][0] {
			return allowed
		}
		sag[i] = [2]float64{span, depth}
	}
	m.Sag = sag
	return ""
}
