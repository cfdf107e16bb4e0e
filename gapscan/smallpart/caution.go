package smallpart

import "fmt"

// Caution is the sentence for a person about a model of which n parts fit
// the gauge or are close to it; empty for none.
func Caution(n int) string {
	if n <= 0 {
		return ""
	}
	s := "1 part fits"
	if n > 1 {
		s = fmt.Sprintf("%d parts fit", n)
	}
	return s + ", or nearly, the small-parts gauge: if it comes loose, a choking hazard to children under three (a caution: local law and accredited testing decide)"
}
