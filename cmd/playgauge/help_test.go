package main

import (
	"strings"
	"testing"
	"unicode/utf8"
)

// Help fits a plain terminal; only the path of a folder may be longer, and
// it stands alone.
func TestHelpFits(t *testing.T) {
	texts := map[string]string{"help": helpText, "vet": vetHelp(), "sample": sampleHelp(), "coupon": couponHelp(), "demo": demoHelp}
	for name, help := range machineHelps() {
		texts["machine "+name] = help()
	}
	texts["machine"] = machineHelp()
	for name, text := range texts {
		for line := range strings.Lines(text) {
			line = strings.TrimRight(line, "\n")
			if utf8.RuneCountInString(line) > plainWidth && strings.TrimSpace(line) != machinesFolder() {
				t.Errorf("%s: a line of %d characters: %s", name, utf8.RuneCountInString(line), line)
			}
		}
	}
}

func TestWrap(t *testing.T) {
	for _, c := range []struct {
		text  string
		width int
		want  string
	}{
		{"", 10, "\n"},
		{"one two", 7, "one two\n"},
		{"one two", 6, "one\ntwo\n"},
		{"one  two\nthree é", 11, "one two\nthree é\n"},
		{"a longerthanthat b", 5, "a\nlongerthanthat\nb\n"},
	} {
		if got := wrap(c.text, c.width); got != c.want {
			t.Errorf("%q at %d: got %q, want %q", c.text, c.width, got, c.want)
		}
	}
}
