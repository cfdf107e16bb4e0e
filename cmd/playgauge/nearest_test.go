package main

import (
	"testing"

	"pgregory.net/rapid"
)

func TestNearest(t *testing.T) {
	names := []string{"vet", "demo", "help", "version"}
	for word, want := range map[string]string{
		"vte": "vet", "ve": "vet", "vets": "vet", "Vet": "vet", "demmo": "demo", "versoin": "version", "hepl": "help",
		"": "", "x": "", "coupon": "", "gate-hinge.stl": "", "ét": "vet",
	} {
		if got := nearest(word, names); got != want {
			t.Errorf("%q: got %q, want %q", word, got, want)
		}
	}
}

// slipsByRule is the definition, written as the recursion it is.
func slipsByRule(a, b []rune) int {
	if len(a) == 0 || len(b) == 0 {
		return len(a) + len(b)
	}
	la, lb := len(a)-1, len(b)-1
	change := slipsByRule(a[:la], b[:lb])
	if a[la] != b[lb] {
		change++
	}
	n := min(change, slipsByRule(a[:la], b)+1, slipsByRule(a, b[:lb])+1)
	if la > 0 && lb > 0 && a[la] == b[lb-1] && a[la-1] == b[lb] {
		n = min(n, slipsByRule(a[:la-1], b[:lb-1])+1)
	}
	return n
}

func TestSlipsAsDefined(t *testing.T) {
	word := rapid.SliceOfN(rapid.SampledFrom([]rune("abc")), 0, 6)
	rapid.Check(t, func(t *rapid.T) {
		a, b := word.Draw(t, "a"), word.Draw(t, "b")
		if got, want := slips(a, b), slipsByRule(a, b); got != want {
			t.Fatalf("%q %q: got %d, want %d", string(a), string(b), got, want)
		}
	})
}
