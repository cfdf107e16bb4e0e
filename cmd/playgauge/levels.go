package main

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
)

// What a level that is recorded may be: wider than any test piece has it, to
// keep out slips of the pen. What is wider comes free anyhow.
const (
	minLevelMM, maxLevelMM = 0.05, 2.0
	maxLevelLayers         = 10
	maxLevelSpanMM         = 200.0
	maxLevelSagMM          = 20.0
)

// entries splits A=B,C=D at its commas and each at its last equals sign, in
// order.
// form shows what one is like.
func entries(s, form string, take func(key, value string) error) error {
	for entry := range strings.SplitSeq(s, ",") {
		entry = strings.TrimSpace(entry)
		at := strings.LastIndex(entry, "=")
		switch {
		case entry == "":
			return fmt.Errorf("an entry is empty; write %s, with commas between and no spaces", form)
		case at < 0:
			point := ""
			if strings.Trim(entry, "0123456789.") == "" { // what stands before a decimal comma, perhaps
				point = " with a decimal point,"
			}
			return fmt.Errorf("%q has no =; write %s,%s and commas between", entry, form, point)
		}
		if err := take(strings.TrimSpace(entry[:at]), strings.TrimSpace(entry[at+1:])); err != nil {
			if entry != s {
				err = fmt.Errorf("%q: %w", entry, err)
			}
			return err
		}
	}
	return nil
}

// resultWords are what may come of a joint.
var resultWords = []string{string(machine.CameFree), string(machine.Stuck), string(machine.Welded)}

// parseResult reads what came of a joint.
func parseResult(s string) (machine.Result, error) {
	for _, w := range resultWords {
		if strings.EqualFold(s, w) {
			return machine.Result(w), nil
		}
	}
	why := fmt.Sprintf("%q must be free, sticks or welds", s)
	if near := nearest(strings.ToLower(s), resultWords); near != "" {
		why += "; did you mean " + near + "?"
	}
	return "", errors.New(why)
}

// parseResults reads what came of one cell in full, or of several of one gap by
// their first letters, as in ffs.
func parseResults(s string) ([]machine.Result, error) {
	var out []machine.Result
	for _, c := range strings.ToLower(s) {
		i := slices.IndexFunc(resultWords, func(w string) bool { return rune(w[0]) == c })
		if i < 0 {
			out = nil
			break
		}
		out = append(out, machine.Result(resultWords[i]))
	}
	if len(out) > 0 {
		return out, nil
	}
	came, err := parseResult(s)
	if err != nil && nearest(strings.ToLower(s), resultWords) == "" {
		err = fmt.Errorf("%w, or f, s and w for one cell each", err)
	}
	return []machine.Result{came}, err
}

// levels reads gaps with what came of each, as trials of a family.
func levels(trials *[]machine.Trial, f machine.Family) func(string) error {
	return func(s string) error {
		return entries(s, "0.3=free", func(key, value string) error {
			gap, err := parseNumber(key, minLevelMM, maxLevelMM, " mm")
			if err != nil {
				return fmt.Errorf("%q, a gap, %w", key, err)
			}
			results, err := parseResults(value)
			if err != nil {
				return err
			}
			for _, came := range results {
				*trials = append(*trials, machine.Trial{Family: f, GapMM: gap, Result: came})
			}
			return nil
		})
	}
}

// roofLevels reads layers of air with what came of each.
func roofLevels(trials *[]machine.Trial) func(string) error {
	return func(s string) error {
		return entries(s, "2=free", func(key, value string) error {
			n, err := strconv.Atoi(key)
			if err != nil || n < 0 || n > maxLevelLayers {
				return fmt.Errorf("%q must be whole layers of air, from 0 to %d", key, maxLevelLayers)
			}
			results, err := parseResults(value)
			if err != nil {
				return err
			}
			for _, came := range results {
				*trials = append(*trials, machine.Trial{Family: machine.FamilyRoof, AirLayers: &n, Result: came})
			}
			return nil
		})
	}
}

// spanLevels reads spans of bridges with how far each sagged.
func spanLevels(trials *[]machine.Trial) func(string) error {
	return func(s string) error {
		return entries(s, "30=0.4", func(key, value string) error {
			span, err := parseNumber(key, machine.MinBridgeMM, maxLevelSpanMM, " mm")
			if err != nil {
				return fmt.Errorf("%q, a span, %w", key, err)
			}
			sag, err := parseNumber(value, 0, maxLevelSagMM, " mm (of one that came down, how far)")
			if err != nil {
				return fmt.Errorf("%q, how far it sagged, %w", value, err)
			}
			*trials = append(*trials, machine.Trial{Family: machine.FamilyBridge, SpanMM: span, SagMM: sag})
			return nil
		})
	}
}

// allJoints stands for every joint that is not named itself.
const allJoints = "all"

// jointResults is what came of the joints of a model; rest is that of the
// others, empty where nothing is said of them.
type jointResults struct {
	said []saidJoint
	rest machine.Result
}

// saidJoint is what came of one joint.
type saidJoint struct {
	joint gapscan.JointName
	came  machine.Result
}

// set reads joints with what came of each.
func (j *jointResults) set(s string) error {
	return entries(s, "1+2=free", func(key, value string) error {
		came, err := parseResult(value)
		if err != nil {
			return err
		}
		if key == allJoints {
			if j.rest != "" {
				return errors.New("all the joints are given twice; record each print by itself")
			}
			j.rest = came
			return nil
		}
		name, err := gapscan.ParseJointName(key)
		if err != nil {
			return fmt.Errorf("%w, or all", err)
		}
		j.said = append(j.said, saidJoint{name, came})
		return nil
	})
}

// empty says whether nothing was said.
func (j *jointResults) empty() bool { return len(j.said) == 0 && j.rest == "" }
