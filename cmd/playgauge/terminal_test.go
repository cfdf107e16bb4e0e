package main

import (
	"io"
	"testing"
)

func TestTextWidth(t *testing.T) {
	for columns, want := range map[string]int{
		"": plainWidth, "50": 50, "100": widestText, "250": widestText,
		"0": plainWidth, "-50": plainWidth, "wide": plainWidth, "50.5": plainWidth,
	} {
		getenv := func(k string) string { return map[string]string{"COLUMNS": columns}[k] }
		if got := textWidth(io.Discard, getenv); got != want {
			t.Errorf("COLUMNS=%s: got %d, want %d", columns, got, want)
		}
	}
}
