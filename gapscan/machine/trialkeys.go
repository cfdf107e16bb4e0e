package machine

import (
	"fmt"
	"math"
	"sync"
	"time"

	"github.com/pelletier/go-toml/v2"
)

// What a value of a trial may be; the limits keep out slips of the pen.
const (
	MinTrialGapMM, MaxTrialGapMM = 0.0, MaxNeedMM
	MinAirLayers, MaxAirLayers   = 0, 50
	MinFlow, MaxFlow             = 0.5, 1.5
)

// trialTable is the heading of the tables that hold trials.
const trialTable = "trial"

// trialSpec is one key of a [[trial]] table, in the order they are written.
type trialSpec struct {
	name string
	// set puts a decoded value into the trial, or says what is allowed.
	set func(t *Trial, v any) (allowed string)
	// get is the value as set takes it, nil where the trial has none.
	get func(t *Trial) any
	// use says which families have the key, and which of these must.
	use func(t *Trial) keyUse
}

// keyUse says what a key is to a trial.
type keyUse int

const (
	optional keyUse = iota
	required
	excluded
)

func always(use keyUse) func(*Trial) keyUse { return func(*Trial) keyUse { return use } }

// trialSpecs lists all keys of a trial. The family stands before those that
// depend on it.
var trialSpecs = sync.OnceValue(func() []trialSpec {
	return []trialSpec{
		{"date", setDate, func(t *Trial) any { return orNil(t.Date) }, always(optional)},
		{"family", setFamily, func(t *Trial) any { return orNil(string(t.Family)) }, always(required)},
		trialNumber("gap_mm", MinTrialGapMM, MaxTrialGapMM, " mm", func(t *Trial) *float64 { return &t.GapMM }, gapUse),
		{"air_layers", setAirLayers, getAirLayers, airLayersUse},
		trialNumber("span_mm", MinBridgeMM, MaxBridgeMM, " mm", func(t *Trial) *float64 { return &t.SpanMM }, bridgeUse),
		trialNumber("sag_mm", MinSagMM, MaxSagMM, " mm", func(t *Trial) *float64 { return &t.SagMM }, bridgeUse),
		{"result", setResult, func(t *Trial) any { return orNil(string(t.Result)) }, resultUse},
		trialNumber("layer_height_mm", MinLayerHeightMM, MaxLayerHeightMM, " mm", func(t *Trial) *float64 { return &t.LayerHeightMM }, layerHeightUse),
		trialNumber("first_height_mm", MinLayerHeightMM, MaxLayerHeightMM, " mm", func(t *Trial) *float64 { return &t.FirstHeightMM }, always(optional)),
		trialNumber("flow", MinFlow, MaxFlow, "", func(t *Trial) *float64 { return &t.Flow }, always(optional)),
		{"source", setSource, func(t *Trial) any { return orNil(t.Source) }, always(optional)},
	}
})

func gapUse(t *Trial) keyUse {
	if t.Family == FamilyBridge || t.Family == FamilyRoof && t.AirLayers != nil {
		return excluded
	}
	return required
}

func airLayersUse(t *Trial) keyUse {
	if t.Family == FamilyRoof {
		return optional
	}
	return excluded
}

func bridgeUse(t *Trial) keyUse {
	if t.Family == FamilyBridge {
		return required
	}
	return excluded
}

func resultUse(t *Trial) keyUse {
	if t.Family == FamilyBridge {
		return excluded
	}
	return required
}

func layerHeightUse(t *Trial) keyUse {
	if t.Family == FamilyBridge || t.AirLayers != nil {
		return required
	}
	return optional
}

// trialSpecOf finds a key of a trial, nil where there is none of that name.
func trialSpecOf(name string) *trialSpec {
	for i, s := range trialSpecs() {
		if s.name == name {
			return &trialSpecs()[i]
		}
	}
	return nil
}

// trialKeyNames lists the keys of a trial.
func trialKeyNames() []string {
	names := make([]string, len(trialSpecs()))
	for i, s := range trialSpecs() {
		names[i] = s.name
	}
	return names
}

func orNil(s string) any {
	if s == "" {
		return nil
	}
	return s
}

// trialNumber is a key that is a number. Its zero is no value where the key
// is optional or excluded: no gap, span, height or flow there is 0.
func trialNumber(name string, lo, hi float64, unit string, field func(*Trial) *float64, use func(*Trial) keyUse) trialSpec {
	return trialSpec{
		name: name,
		set: func(t *Trial, v any) string {
			f, ok := within(v, lo, hi)
			if !ok {
				return fmt.Sprintf("must be a number from %s to %s%s", shortNumber(lo), shortNumber(hi), unit)
			}
			*field(t) = f + 0 // no negative zero
			return ""
		},
		get: func(t *Trial) any {
			if f := *field(t); f != 0 || use(t) == required {
				return f
			}
			return nil
		},
		use: use,
	}
}

// dateForm is how a day is written.
const dateForm = time.DateOnly

func setDate(t *Trial, v any) string {
	switch v := v.(type) {
	case toml.LocalDate:
		t.Date = v.String()
		return ""
	case toml.LocalDateTime:
		t.Date = v.LocalDate.String()
		return ""
	case time.Time:
		t.Date = v.Format(dateForm)
		return ""
	case string:
		if d, err := time.Parse(dateForm, v); err == nil {
			t.Date = d.Format(dateForm)
			return ""
		}
	}
	return "must be a date such as 2026-05-31"
}

func setFamily(t *Trial, v any) string {
	s, _ := v.(string)
	switch f := Family(s); f {
	case FamilySide, FamilyBottom, FamilyRoof, FamilyBridge:
		t.Family = f
		return ""
	}
	return fmt.Sprintf("must be %q, %q, %q or %q", FamilySide, FamilyBottom, FamilyRoof, FamilyBridge)
}

func setResult(t *Trial, v any) string {
	s, _ := v.(string)
	switch r := Result(s); r {
	case CameFree, Stuck, Welded:
		t.Result = r
		return ""
	}
	return fmt.Sprintf("must be %q, %q or %q", CameFree, Stuck, Welded)
}

func setAirLayers(t *Trial, v any) string {
	f, ok := within(v, MinAirLayers, MaxAirLayers)
	if !ok || f != math.Trunc(f) {
		return fmt.Sprintf("must be a whole number from %d to %d", MinAirLayers, MaxAirLayers)
	}
	n := int(f)
	t.AirLayers = &n
	return ""
}

func getAirLayers(t *Trial) any {
	if t.AirLayers == nil {
		return nil
	}
	return int64(*t.AirLayers)
}

func setSource(t *Trial, v any) string {
	s, ok := v.(string)
	if !ok || !shortText(s) {
		return textAllowed()
	}
	t.Source = s
	return ""
}

// fault finds the first key of a trial that is wrong: has says which keys are
// given. The key is empty where nothing is.
func (t *Trial) fault(has func(key string) bool) (key, problem string) {
	for _, s := range trialSpecs() {
		switch use := s.use(t); {
		case use == required && !has(s.name):
			return s.name, missing(t, s.name)
		case use == excluded && has(s.name):
			return s.name, t.misplaced(s.name)
		}
	}
	// Air that fits no gap: a slip in one of two numbers that each pass.
	if g := t.Gap(); g > MaxTrialGapMM {
		return "air_layers", fmt.Sprintf("is %s mm of air, more than %s mm", shortNumber(g), shortNumber(MaxTrialGapMM))
	}
	return "", ""
}

// missing says that a trial lacks a key.
func missing(t *Trial, key string) string {
	switch {
	case key == "gap_mm" && t.Family == FamilyRoof:
		return "lacks gap_mm or air_layers"
	case key == "layer_height_mm" && t.AirLayers != nil:
		return "lacks layer_height_mm, without which air_layers is no gap"
	case key == "layer_height_mm":
		return "lacks layer_height_mm, without which nothing can be said of the sag"
	}
	return "lacks " + key
}

// misplaced says why a trial may not have a key.
func (t *Trial) misplaced(key string) string {
	switch {
	case key == "gap_mm" && t.AirLayers != nil:
		return "stands beside air_layers: one of the two says the gap"
	case key == "result":
		return "does not belong to a bridge: its sag_mm says what came of it"
	}
	return fmt.Sprintf("does not belong to a trial of the family %q", t.Family)
}
