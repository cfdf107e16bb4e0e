package report

import (
	"strings"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
)

// chanceWords says how often something happens: "in 93 of 100". A chance is
// never rounded to certainty.
func chanceWords(p float64) string {
	s := rounded(100*p, 0)
	switch {
	case p < 0.01:
		s = "under 1"
	case p > 0.99:
		s = "over 99"
	}
	return strings.ReplaceAll("in "+s+" of 100", " ", nbsp)
}

// allFree says how often every joint comes out free or, on a machine on which
// something was tested, why that is not known; "" where there is nothing to
// say. Of one joint its own line says it.
func allFree(r *gapscan.Result) string {
	n, _ := tally(r.Joints)
	switch {
	case n == 0 || !r.Machine.Tested:
		return ""
	case r.PFree != nil && n == 1:
		return ""
	case r.PFree != nil:
		return "I" + chanceWords(*r.PFree)[1:] + " prints " + share(n, n) + " come out free, taken as independent of each other on this machine."
	case len(r.PFreeLacks) > 0:
		var gaps []string
		for _, f := range r.PFreeLacks {
			gaps = append(gaps, familyGap(machine.Family(f)))
		}
		return "How often it comes out free is not known: there are no trials of the " + orSeries(gaps) + " on this machine."
	}
	return "How often it comes out free is not known: no gaps were tried on this machine."
}

// familyGap names the gap of a family of trials.
func familyGap(f machine.Family) string {
	switch f {
	case machine.FamilySide:
		return "side gap"
	case machine.FamilyBottom:
		return "bottom gap"
	case machine.FamilyRoof:
		return "roof gap (vertical)"
	}
	return plain(string(f))
}

// trialWords says, for each need of which there are trials, how it was read
// off them, or that a limit written by hand wins.
func trialWords(m *gapscan.MachineUsed) []string {
	var lines []string
	for _, f := range m.From {
		if f.Trials == 0 {
			continue
		}
		name, mm := plain(strings.TrimSuffix(f.Need, "_mm")), gap(f.MM)
		switch f.Need {
		case "roof_mm":
			name += nbsp + "(vertical)"
		case "bridge_mm":
			mm = span(f.MM)
		}
		lines = append(lines, name+nbsp+mm+nbsp+"mm: "+plain(f.Words))
	}
	return lines
}
