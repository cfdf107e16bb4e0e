package machine

import (
	"bytes"
	"fmt"
	"strconv"
	"strings"
)

// TrialError says what is wrong with a trial that was to be recorded.
type TrialError struct {
	// Index counts the trials of the call from 0.
	Index int
	// Key is the key of the [[trial]] table, Problem what is wrong with it.
	Key, Problem string
}

// Error is one line: trial 2: gap_mm must be ...
func (e *TrialError) Error() string {
	s := fmt.Sprintf("trial %d: ", e.Index+1)
	if strings.HasPrefix(e.Problem, "lacks ") {
		return s + e.Problem
	}
	return s + e.Key + " " + e.Problem
}

// Check says what of a trial a machine file may not hold; nil where it may
// hold all. The error is a *TrialError.
func (t Trial) Check() error {
	for _, s := range trialSpecs() {
		if v := s.get(&t); v != nil {
			if allowed := s.set(new(Trial), v); allowed != "" {
				return &TrialError{Key: s.name, Problem: allowed}
			}
		}
	}
	// A number that must be there always is, so only the rest can be missing.
	has := func(key string) bool { return trialSpecOf(key).get(&t) != nil }
	if key, problem := t.fault(has); key != "" {
		return &TrialError{Key: key, Problem: problem}
	}
	return nil
}

// Append gives the text of a machine file with trials added at its end, in
// their order. All of the text stays as it is, comments and order too; only a
// last line without a line break gets one. The error is a *TrialError about
// the first trial that a machine file may not hold.
func Append(text []byte, trials []Trial) ([]byte, error) {
	var b bytes.Buffer
	b.Write(text)
	eol := lineBreak(text)
	if len(text) > 0 && text[len(text)-1] != '\n' {
		b.WriteString(eol)
	}
	for i, t := range trials {
		if err := t.Check(); err != nil {
			err.(*TrialError).Index = i
			return nil, err
		}
		if b.Len() > 0 {
			b.WriteString(eol)
		}
		b.WriteString("[[" + trialTable + "]]" + eol)
		for _, s := range trialSpecs() {
			if v := s.get(&t); v != nil {
				b.WriteString(s.name + " = " + tomlValue(s.name, v) + eol)
			}
		}
	}
	return b.Bytes(), nil
}

// lineBreak is how the first line of a text ends.
func lineBreak(text []byte) string {
	if i := bytes.IndexByte(text, '\n'); i > 0 && text[i-1] == '\r' {
		return "\r\n"
	}
	return "\n"
}

// tomlValue writes a value as TOML.
func tomlValue(key string, v any) string {
	switch v := v.(type) {
	case string:
		if key == "date" {
			return v
		}
		return tomlText(v)
	case int64:
		return strconv.FormatInt(v, 10)
	case float64:
		return shortNumber(v)
	}
	panic(fmt.Sprintf("machine: no TOML for a %T", v))
}

// tomlText puts a printable text in quotes.
func tomlText(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}
