package report

import (
	"strconv"
	"strings"

	"playgauge/gapscan"
)

// weldWords says what a weld looks like: "weld: a spot", "weld: a line of
// 18 mm", "weld: a seam all round, 56 mm2", "weld: in 3 places, the largest a
// spot"; "" where a joint does not weld or nothing is known. The area is told
// of what is lost. Of what should crack free a bound is, and only of a seam,
// which sounds worse than it is.
func weldWords(j *gapscan.Joint) string {
	if j.Outcome == nil || !bad(*j.Outcome) {
		return ""
	}
	var s string
	if j.WeldForm != nil {
		s = "a" + nbsp + plain(*j.WeldForm)
		if j.WeldLengthMM != nil {
			s += " of" + nbsp + weldNumber(*j.WeldLengthMM) + nbsp + "mm"
		}
		if j.WeldAllRound != nil && *j.WeldAllRound {
			s += " all" + nbsp + "round"
		}
	}
	area := ""
	switch {
	case j.WeldMM2 == nil:
	case *j.Outcome == gapscan.Welds:
		area = weldNumber(*j.WeldMM2) + nbsp + "mm2"
	case j.WeldForm != nil && *j.WeldForm == "seam":
		area = "under" + nbsp + strconv.Itoa(int(*j.WeldMM2)+1) + nbsp + "mm2"
	}
	switch many := j.WeldPlaces != nil && *j.WeldPlaces > 1; {
	case s == "":
		s = area
	case many:
		s = area + " in" + nbsp + strconv.Itoa(*j.WeldPlaces) + nbsp + "places, the largest " + s
	case area != "":
		s += ", " + area
	}
	if s == "" {
		return ""
	}
	return "weld: " + strings.TrimSpace(s)
}

// weldNumber writes a length or an area of a weld as finely as it is known:
// without decimals from 10 on.
func weldNumber(v float64) string {
	if v >= 9.95 {
		return rounded(v, 0)
	}
	return rounded(v, 1)
}
