package main

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
)

// printTrials measures a printed model and turns what came of its joints into
// trials; the notes say for each joint what was made of it.
func (a *app) printTrials(o *recordOptions, mc machine.Machine, trim float64) (trials []machine.Trial, notes string, status int) {
	if err := checkReach(o.whatIf, mc); err != nil {
		a.message("machine record: --reach %s: %s", number(o.whatIf.ReachMM), err)
		return nil, "", statusUsage
	}
	soup, err := readModel(o.print, a.stdin)
	var r *gapscan.Result
	if err == nil {
		r, err = judge(o.print, soup, o.whatIf, mc)
	}
	if err != nil {
		a.message("machine record: nothing was recorded: %s: %s", shownName(o.print), oneLine(reason(err)))
		return nil, "", statusFile
	}
	joints, err := o.joints.named(r, shownName(o.print))
	if err != nil {
		a.message("machine record: nothing was recorded: %s", err)
		return nil, "", statusUsage
	}
	var b strings.Builder
	width := a.style().Width
	for _, j := range joints {
		t := gapscan.Teach(r, j.Joint, j.came, trim)
		for _, one := range t.Trials {
			one.Source = machine.SourceOf(strings.TrimSpace(shownModel(o.print)), j.ID)
			trials = append(trials, one)
		}
		if words := jointNote(j, t); words != "" {
			b.WriteString(hanging(words, width))
		}
	}
	return trials, b.String(), statusOK
}

// shownModel is what a trial calls the model that was printed.
func shownModel(file string) string {
	if file == stdinName {
		return shownName(file)
	}
	return modelName(file)
}

// printedJoint is a joint and what came of it.
type printedJoint struct {
	*gapscan.Joint
	came machine.Result
}

// named finds the joints of a model that something was said of, by number.
func (j *jointResults) named(r *gapscan.Result, model string) ([]printedJoint, error) {
	if len(r.Joints) == 0 {
		return nil, fmt.Errorf("%s has no joint: no two parts within %s mm of each other", model, number(r.ReachMM))
	}
	byID := slices.Clone(r.Joints)
	slices.SortFunc(byID, func(x, y gapscan.Joint) int { return x.ID - y.ID })
	if j.empty() {
		return nil, errors.New("--print needs --joint ID=RESULT,... or all=free; " + model + " has " + jointList(byID))
	}
	for _, id := range j.order {
		if id > len(byID) {
			return nil, fmt.Errorf("--joint %d=%s: there is no such joint; %s has %s", id, j.of[id], model, jointList(byID))
		}
	}
	var out []printedJoint
	for i := range byID {
		came, named := j.of[byID[i].ID]
		if !named {
			came = j.rest
		}
		if came != "" {
			out = append(out, printedJoint{&byID[i], came})
		}
	}
	return out, nil
}

// mostListed is how many joints a message lists.
const mostListed = 10

// jointList names joints with their parts.
func jointList(joints []gapscan.Joint) string {
	var names []string
	for i, j := range joints {
		if i == mostListed && len(joints) > mostListed+1 {
			names = append(names, fmt.Sprintf("and so on up to %d; playgauge vet --json lists them all", joints[len(joints)-1].ID))
			break
		}
		names = append(names, fmt.Sprintf("%d (parts %d and %d)", j.ID, j.Parts[0], j.Parts[1]))
	}
	if len(joints) == 1 {
		return "joint " + names[0]
	}
	return "joints " + strings.Join(names, ", ")
}

// jointNote says what a joint did not teach, and how to say more; "" where its
// trials say it all.
func jointNote(j printedJoint, t gapscan.Taught) string {
	head := fmt.Sprintf("Joint %d (parts %d and %d) %s: ", j.ID, j.Parts[0], j.Parts[1], cameWords[j.came])
	switch t.Why {
	case gapscan.WhyNoGap:
		return head + "nothing was recorded of it, since there is no gap to judge between its parts."
	case gapscan.WhyWide:
		return head + "nothing was recorded of it: its gaps are wider than any trial needs to be."
	case gapscan.WhySlope:
		if j.came == machine.CameFree {
			return head + "nothing was recorded of it, since its parts meet only along a slope, which is none of the gaps that limits are learned from."
		}
		return head + "nothing was recorded of it. It was tightest, or about so, along a slope, which is none of the gaps that limits are learned from."
	case gapscan.WhyRivals:
		return head + "nothing was recorded of it, since its " + rivalWords(t.Rivals) +
			" were about equally tight, and which of them held it cannot be told from here. If you can see it, record that gap by hand: " + rivalFlags(j.Joint, t.Rivals) + "."
	}
	if j.came == machine.CameFree {
		return ""
	}
	return head + "put down to its " + familyWords[t.Trials[0].Family] + ", which by vet's measure was the tightest."
}

var cameWords = map[machine.Result]string{
	machine.CameFree: "came out free", machine.Stuck: "stuck", machine.Welded: "welded",
}

var familyWords = map[machine.Family]string{
	machine.FamilySide: "side gap", machine.FamilyBottom: "bottom gap", machine.FamilyRoof: "roof gap (vertical)",
}

func rivalWords(rivals []machine.Family) string {
	words := make([]string, len(rivals))
	for i, f := range rivals {
		words[i] = familyWords[f]
	}
	last := len(words) - 1
	return strings.Join(words[:last], ", ") + " and " + words[last]
}

// rivalFlags are the flags that record one of several gaps of a joint by hand.
func rivalFlags(j *gapscan.Joint, rivals []machine.Family) string {
	var flags []string
	for _, f := range rivals {
		switch f {
		case machine.FamilySide:
			flags = append(flags, "--side "+number(tidy(*j.Asks.SideMM)))
		case machine.FamilyBottom:
			flags = append(flags, "--bottom "+number(tidy(*j.Asks.BottomMM)))
		case machine.FamilyRoof:
			flags = append(flags, fmt.Sprintf("--roof %d", *j.Asks.RoofAir))
		}
	}
	for i := range flags {
		flags[i] += "=RESULT"
	}
	return strings.Join(flags, " or ")
}

// hanging is a text wrapped, its second line and the next set in.
func hanging(text string, width int) string {
	const in = "  "
	first, rest, more := strings.Cut(wrap(text, width-len(in)), "\n")
	out := first + "\n"
	if more {
		for line := range strings.Lines(rest) {
			out += in + line
		}
	}
	return out
}
