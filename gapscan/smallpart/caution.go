package smallpart

import "fmt"

// Caution is the sentence for a person about a model of which n parts fit
// the gauge or are close to it; empty for none.
func Caution(n int) string {
	if n <= 0 {
		return ""
	}
	s := "1 part fits, or nearly, the small-parts gauge: if it comes loose"
	if n > 1 {
		s = fmt.Sprintf("%d parts fit, or nearly, the small-parts gauge: each, if it comes loose", n)
	}
	return s + ", a choking hazard to children under three (local law and accredited testing decide)"
}
