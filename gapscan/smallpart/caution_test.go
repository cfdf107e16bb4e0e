package smallpart

import (
	"strings"
	"testing"
)

func TestCaution(t *testing.T) {
	if got := Caution(0); got != "" {
		t.Errorf("nothing to say: %q", got)
	}
	for n, begin := range map[int]string{1: "1 part fits", 27: "27 parts fit"} {
		got := Caution(n)
		if !strings.HasPrefix(got, begin) {
			t.Errorf("%q begins otherwise than %q", got, begin)
		}
		for _, word := range []string{"if it comes loose", "children under three", "local law", "accredited testing", "decide", "small-parts gauge"} {
			if !strings.Contains(got, word) {
				t.Errorf("%q does not say %q", got, word)
			}
		}
		if len(got) > 170 || strings.Contains(got, "\n") {
			t.Errorf("%q is more than a line", got)
		}
	}
}
