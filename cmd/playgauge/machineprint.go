package main

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
)

// printed is a model that was printed.
type printed struct {
	file string
	// pick finds the joints of which something is said, and adds for each what
	// is to be said of the choice.
	pick func(r *gapscan.Result, model string) (joints []printedJoint, why string, err error)
	// sample says that it is a sample: then each joint is told of.
	sample bool
}

// prints lists what was printed.
func (o *recordOptions) prints() []printed {
	var out []printed
	if o.print != "" {
		out = append(out, printed{file: o.print, pick: func(r *gapscan.Result, model string) ([]printedJoint, string, error) {
			joints, err := o.joints.named(r, model)
			return joints, "", err
		}})
	}
	for _, s := range o.samples {
		out = append(out, printed{s.file, s.tried, true})
	}
	return out
}

// printTrials measures what was printed and turns what came of its joints into
// trials; the notes say for each joint what was made of it.
func (a *app) printTrials(o *recordOptions, mc machine.Machine, trim float64) (trials []machine.Trial, notes string, status int) {
	if err := checkWhatIf(o.whatIf, mc); err != nil {
		a.message("machine record: %s", err)
		return nil, "", statusUsage
	}
	for _, p := range o.prints() {
		sliced, err := a.slicePrint(p.file, o.whatIf)
		if err != nil {
			a.message("machine record: nothing was recorded: %s: %s", shownName(p.file), oneLine(reason(err)))
			return nil, "", statusFile
		}
		teacher := gapscan.NewTeacher(sliced, o.whatIf, mc, trim)
		joints, why, err := p.pick(teacher.Result, shownName(p.file))
		if err != nil {
			a.message("machine record: nothing was recorded: %s", err)
			return nil, "", statusUsage
		}
		var said jointNotes
		for _, j := range joints {
			t := teacher.Teach(j.Joint, j.came)
			for _, one := range t.Trials {
				one.Source = machine.SourceOf(shownModel(p.file), j.ID)
				trials = append(trials, one)
			}
			said.add(j, jointNote(j, t)+why)
		}
		of := ""
		if p.sample {
			of = " of " + shownModel(p.file)
		}
		notes += said.text(of, a.style().Width)
	}
	return trials, notes, statusOK
}

// slicePrint reads, places and slices a model that was printed.
func (a *app) slicePrint(file string, w gapscan.WhatIf) (*gapscan.Sliced, error) {
	soup, err := readModel(file, a.stdin)
	if err != nil {
		return nil, err
	}
	return place(soup, w)
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
		return nil, noJointIn(r, model)
	}
	byID := slices.Clone(r.Joints)
	slices.SortFunc(byID, func(x, y gapscan.Joint) int { return x.ID - y.ID })
	if j.empty() {
		return nil, errors.New("--print needs --joint A+B=RESULT,... or all=free; " + model + " has " + jointList(byID))
	}
	came := make([]machine.Result, len(byID))
	for _, said := range j.said {
		i := said.joint.In(byID)
		if i < 0 {
			return nil, fmt.Errorf("--joint %s=%s: there is no such joint; %s has %s", said.joint, said.came, model, jointList(byID))
		}
		if came[i] != "" {
			return nil, fmt.Errorf("--joint: %s is given twice; record each print by itself", jointList(byID[i:i+1]))
		}
		came[i] = said.came
	}
	var out []printedJoint
	for i := range byID {
		if came[i] == "" {
			came[i] = j.rest
		}
		if came[i] != "" {
			out = append(out, printedJoint{&byID[i], came[i]})
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

// jointNotes gathers what there is to say of joints; those of which the same
// is to be said share it.
type jointNotes []struct {
	joints []printedJoint
	note   string
}

func (n *jointNotes) add(j printedJoint, note string) {
	for i := range *n {
		if one := &(*n)[i]; one.note == note && one.joints[0].came == j.came {
			one.joints = append(one.joints, j)
			return
		}
	}
	*n = append(*n, struct {
		joints []printedJoint
		note   string
	}{[]printedJoint{j}, note})
}

// text says of which file the joints are, where there may be several.
func (n jointNotes) text(of string, width int) string {
	var b strings.Builder
	for _, one := range n {
		var ids []string
		for _, j := range one.joints {
			ids = append(ids, fmt.Sprintf("%d (parts %d and %d)", j.ID, j.Parts[0], j.Parts[1]))
		}
		if more := len(ids) - mostListed; more > 1 {
			ids = append(ids[:mostListed], fmt.Sprintf("%d more", more))
		}
		head := "Joint "
		if len(ids) > 1 {
			head = "Joints "
		}
		b.WriteString(hanging(head+andList(ids)+of+" "+cameWords[one.joints[0].came]+": "+one.note, width))
	}
	return b.String()
}

// jointNote says what a joint taught or did not, and how to say more.
func jointNote(j printedJoint, t gapscan.Taught) string {
	switch t.Why {
	case gapscan.WhyNoGap:
		return "nothing was recorded, since there is no gap to judge between the parts."
	case gapscan.WhyWide:
		return "nothing was recorded, since the gaps are wider than any trial may be."
	case gapscan.WhyAmple:
		return "nothing was recorded. Its gaps are twice what the machine needs, or more, so something else held it: or was it printed in other layers, at another scale, or is it another joint?"
	case gapscan.WhySlope:
		if j.came == machine.CameFree {
			return "nothing was recorded, since the parts meet only along a slope, which is none of the gaps that limits are learned from."
		}
		return "nothing was recorded. It is tightest, or about so, along a slope, which is none of the gaps that limits are learned from."
	case gapscan.WhyRivals:
		return "nothing was recorded, since " + familyList(t.Rivals) + " are about equally tight, and which of them held it cannot be told from here. " +
			"If you can see it, record that gap by hand: " + rivalFlags(j.Joint, t.Rivals) + "."
	case gapscan.WhySmall:
		return "nothing was recorded, since it is narrow only in small places (" + familyList(t.Small) + "), and a small weld may crack unnoticed."
	}
	if j.came == machine.CameFree {
		if len(t.Small) == 0 {
			return "each of its least gaps was enough."
		}
		return "of the " + familyList(t.Small) + " nothing was recorded, since it is narrow only in a small place, where a weld may crack unnoticed."
	}
	s := "put down to the " + familyWords[t.Trials[0].Family] + ", which by vet's measure was the tightest."
	if *j.Outcome == gapscan.Free {
		s += " But vet called it free: was it printed in these layers, and at this scale and turn? If not, take the trial out of the file again."
	}
	return s
}

var cameWords = map[machine.Result]string{
	machine.CameFree: "came out free", machine.Stuck: "stuck", machine.Welded: "welded",
}

var familyWords = map[machine.Family]string{
	machine.FamilySide: "side gap", machine.FamilyBottom: "bottom gap", machine.FamilyRoof: "roof gap (vertical)",
}

func familyList(families []machine.Family) string {
	words := make([]string, len(families))
	for i, f := range families {
		words[i] = familyWords[f]
	}
	return andList(words)
}

// andList joins words as a sentence does.
func andList(words []string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
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
			flags = append(flags, "--side "+hundredths(*j.Asks.SideMM))
		case machine.FamilyBottom:
			flags = append(flags, "--bottom "+hundredths(*j.Asks.BottomMM))
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

// hundredths writes a gap as a person would type it.
func hundredths(mm float64) string { return number(math.Round(mm*100) / 100) }
