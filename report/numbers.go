package report

import (
	"math"
	"strconv"
	"strings"
)

// nbsp holds a number and its word together when lines are wrapped. It is
// written as a plain space.
const nbsp = "\u00a0"

// rounded writes x with so many decimals and never as -0.
func rounded(x float64, decimals int) string {
	s := strconv.FormatFloat(x, 'f', decimals, 64)
	if strings.HasPrefix(s, "-") && strings.Trim(s, "-0.") == "" {
		return s[1:]
	}
	return s
}

// gap writes a gap in mm: two decimals, three below 0.1, where two would
// tell too little.
func gap(mm float64) string {
	if a := math.Abs(mm); a > 0 && a < 0.1 {
		return rounded(mm, 3)
	}
	return rounded(mm, 2)
}

// sameGap says whether two gaps count as one: they differ by less than a micron,
// which no one prints, and by less than what makes a need count as not met.
func sameGap(a, b float64) bool { return math.Abs(a-b) < min(0.001, 0.004*max(a, b)) }

// gapPair writes two gaps that are to be compared: with more decimals, up to
// four, where they would else read the same and are not.
func gapPair(a, b float64) (string, string) {
	sa, sb := gap(a), gap(b)
	for d := 3; sa == sb && !sameGap(a, b) && d <= 4; d++ {
		sa, sb = rounded(a, d), rounded(b, d)
	}
	return sa, sb
}

// size writes a large length or a factor: at most two decimals, none that
// are 0.
func size(mm float64) string {
	s := rounded(mm, 2)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

// span writes a bridge or a cantilever in mm: they are measured to some
// tenths of one.
func span(mm float64) string { return strings.TrimSuffix(rounded(mm, 1), ".0") }

// height writes a z in mm as a printer shows it: two decimals at most, one
// at least.
func height(mm float64) string {
	return strings.TrimSuffix(rounded(mm, 2), "0")
}

func box(mm [3]float64) string {
	return size(mm[0]) + nbsp + "x" + nbsp + size(mm[1]) + nbsp + "x" + nbsp + size(mm[2])
}

func axes(v [3]float64) string {
	return size(v[0]) + "," + size(v[1]) + "," + size(v[2])
}

// scale writes one factor where the three are equal.
func scale(v [3]float64) string {
	if v[0] == v[1] && v[1] == v[2] {
		return size(v[0])
	}
	return axes(v)
}

// count writes a number of things: "1 joint", "3 joints".
func count(n int, one, many string) string {
	if n == 1 {
		return "1" + nbsp + one
	}
	return strconv.Itoa(n) + nbsp + many
}

// series joins words as a sentence does: "1", "1 and 2", "1, 2 and 3".
func series(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

func numbers(ids []int) string {
	words := make([]string, len(ids))
	for i, id := range ids {
		words[i] = strconv.Itoa(id)
	}
	return series(words)
}

// exact is a number a person gave, as short as it can be written.
func exact(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }
