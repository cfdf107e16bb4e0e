package report

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// luminance and contrast are those of the Web Content Accessibility
// Guidelines (WCAG 2.2, definitions of relative luminance and contrast ratio).
func luminance(t *testing.T, hex string) float64 {
	t.Helper()
	v, err := strconv.ParseUint(strings.TrimPrefix(hex, "#"), 16, 32)
	if err != nil || len(hex) != 7 {
		t.Fatalf("%q is no colour", hex)
	}
	l := 0.0
	for i, weight := range []float64{0.2126, 0.7152, 0.0722} {
		c := float64(v>>(16-8*i)&255) / 255
		if c <= 0.04045 {
			c /= 12.92
		} else {
			c = math.Pow((c+0.055)/1.055, 2.4)
		}
		l += weight * c
	}
	return l
}

func contrast(t *testing.T, a, b string) float64 {
	la, lb := luminance(t, a), luminance(t, b)
	return (max(la, lb) + 0.05) / (min(la, lb) + 0.05)
}

// Texts stand out from their ground by 4.5 to 1 and what is drawn by 3 to 1
// (WCAG 2.2, 1.4.3 and 1.4.11, level AA), in the light and in the dark.
func TestPageContrast(t *testing.T) {
	if c := contrast(t, "#000000", "#ffffff"); math.Abs(c-21) > 1e-9 {
		t.Fatalf("black on white is %v to 1, not 21", c)
	}
	css, err := pageFiles.ReadFile("page/page.css")
	if err != nil {
		t.Fatal(err)
	}
	roots := regexp.MustCompile(`(?s):root \{(.*?)\}`).FindAllSubmatch(css, -1)
	variable := regexp.MustCompile(`--([a-z0-9]+): (#[0-9a-f]{6})`)
	for i, scheme := range []string{"light", "dark"} {
		colors := map[string]string{}
		for _, m := range variable.FindAllSubmatch(roots[i][1], -1) {
			colors[string(m[1])] = string(m[2])
		}
		check := func(least float64, front, back []string) {
			for _, f := range front {
				for _, b := range back {
					if c := contrast(t, colors[f], colors[b]); c < least {
						t.Errorf("%s: %s on %s is %.2f to 1, want %v", scheme, f, b, c, least)
					}
				}
			}
		}
		var tints []string
		for k := range 6 {
			tints = append(tints, fmt.Sprint("t", k))
		}
		check(4.5, []string{"ink", "faint", "short", "close"}, []string{"paper", "sheet", "air"})
		check(4.5, []string{"ink"}, tints)
		check(3, []string{"short", "close"}, append(tints, "air"))
		check(3, []string{"edge", "focus"}, []string{"paper", "sheet", "air"})
	}
}
