package main

import (
	"strings"
	"testing"
)

// The screen is what is left of what was written when each line end that goes
// back to the start is obeyed.
func screen(written string) string {
	var line []byte
	at := 0
	for _, c := range []byte(written) {
		switch {
		case c == '\r':
			at = 0
		case at < len(line):
			line[at] = c
			at++
		default:
			line = append(line, c)
			at++
		}
	}
	return strings.TrimRight(string(line), " ")
}

func TestProgress(t *testing.T) {
	var w strings.Builder
	p := progress{w: &w, of: 4, columns: 34}
	for i, want := range []string{
		"models [#####               ] 1/4",
		"models [##########          ] 2/4",
		"models [###############     ] 3/4",
		"",
	} {
		p.step()
		if got := screen(w.String()); got != want {
			t.Errorf("%d done: %q, not %q", i+1, got, want)
		}
		if i == 1 {
			p.clear()
			if got := screen(w.String()); got != "" {
				t.Errorf("cleared: %q", got)
			}
			written := w.Len()
			p.clear()
			if w.Len() != written {
				t.Error("what is cleared was cleared again")
			}
		}
	}
}

// The bar does not fit on a narrow screen; the numbers do.
func TestProgressOnANarrowScreen(t *testing.T) {
	var w strings.Builder
	p := progress{w: &w, of: 4, columns: len("models [#####               ] 1/4")}
	p.step()
	if got := screen(w.String()); got != "1/4" {
		t.Errorf("%q", got)
	}
}

// Nobody watches a file: nothing is drawn there.
func TestProgressForNobody(t *testing.T) {
	var w strings.Builder
	var p progress
	p.show(&w, 3)
	p.step()
	p.clear()
	if w.Len() > 0 {
		t.Errorf("%q", w.String())
	}
}
