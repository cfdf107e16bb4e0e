package main

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/report"
)

// recordOptions is what the command line of machine record says.
type recordOptions struct {
	side, bottom, roof, bridge []machine.Trial
	date                       string
	flow                       float64  // 0 where not said
	trimMM                     *float64 // nil stands for the machine's
	print                      string   // a model; empty where a test piece was printed
	joints                     jointResults
	samples                    []sampleResult
	whatIf                     gapscan.WhatIf
}

func machineRecordFlags(o *recordOptions) *pflag.FlagSet {
	w := whatIf{&o.whatIf}
	fs := newFlags("machine record",
		flagSpec{"side", "MM=RESULT,...", "side gaps above the bottom layers, as drawn, and\nwhat came of each: free, sticks or welds", levels(&o.side, machine.FamilySide)},
		flagSpec{"bottom", "MM=RESULT,...", "side gaps in the bottom layers, as drawn", levels(&o.bottom, machine.FamilyBottom)},
		flagSpec{"roof", "LAYERS=RESULT,...", "roof gaps (vertical), in whole layers of air", roofLevels(&o.roof)},
		flagSpec{"span", "MM=SAG,...", "spans of bridges and how far each sagged, mm", spanLevels(&o.bridge)},
		flagSpec{"print", "MODEL", "a real print: the file of its model, or - for\nstandard input; the gaps are measured", o.setPrint},
		flagSpec{"joint", "A+B=RESULT,...", "what came of its joints, each by the numbers of\nits two parts, as vet gives them, or by its own\nof --json; all=free for those not named", o.joints.set},
		flagSpec{"sample", "FILE=RESULT,...", "trial prints cut out by playgauge sample, and what\ncame of the joint of each; the gaps are measured", o.addSamples},
		flagSpec{"date", "YYYY-MM-DD", "the day it was printed (default today)", o.setDate},
		flagSpec{"flow", "SHARE", "the share of the nominal material, as in 0.95\nor 95%", o.setFlow},
		flagSpec{"trim", "MM", "what was cut off each side of the bottom layers\n(default the machine's trim_mm)", o.setTrim},
		flagSpec{"inset", "MM", "what every wall receded by, as set in the slicing", w.setInset},
		flagSpec{"lift", "MM", "what the print was shifted by against the layers", w.setLift})
	addFlags(fs, placeFlags(&o.whatIf)...)
	return fs
}

func (o *recordOptions) setPrint(s string) error {
	if s == "" {
		return errors.New("must be the file of a model")
	}
	o.print = s
	return nil
}

func (o *recordOptions) setDate(s string) error {
	d, err := time.Parse(time.DateOnly, s)
	if err != nil || d.Year() < 1 {
		return errors.New("must be a date such as 2026-05-31")
	}
	if d.After(time.Now().AddDate(0, 0, 1)) { // it may be tomorrow elsewhere
		return errors.New("is yet to come; give the day of the print")
	}
	o.date = s
	return nil
}

func (o *recordOptions) setFlow(s string) error {
	var err error
	if p, ok := strings.CutSuffix(s, "%"); ok {
		o.flow, err = parseNumber(p, 100*machine.MinFlow, 100*machine.MaxFlow, "%")
		o.flow = inMicrons(o.flow / 100)
	} else {
		o.flow, err = parseNumber(s, machine.MinFlow, machine.MaxFlow, "")
	}
	if err != nil {
		return fmt.Errorf("must be from %s to %s, or a percentage, as in 95%%", number(machine.MinFlow), number(machine.MaxFlow))
	}
	return nil
}

// inMicrons rounds to a thousandth of a micron, so that 0.3 and twice 0.05 are
// the 0.4 a person would write.
func inMicrons(v float64) float64 { return math.Round(v*1e6) / 1e6 }

func (o *recordOptions) setTrim(s string) error {
	v, err := parseNumber(s, machine.MinTrimMM, machine.MaxTrimMM, " mm")
	o.trimMM = &v
	return err
}

// check finds what does not go together. set says whether a flag was given.
func (o *recordOptions) check(set func(flag string) bool) error {
	typed := len(o.side)+len(o.bottom)+len(o.roof)+len(o.bridge) > 0
	switch {
	case o.print != "" && typed:
		return errors.New("--print measures the gaps itself; record the test piece and the print one by one")
	case len(o.samples) > 0 && typed:
		return errors.New("--sample measures the gaps itself; record the test piece and the sample one by one")
	case len(o.samples) > 0 && o.print != "":
		return errors.New("--print is of a whole model, --sample of a joint that was cut out of one; record them one by one")
	case len(o.samples) > 0:
		return firstSet(set, "is of a print; a sample is turned and scaled already, and has one joint to tell of", "joint", "turn", "scale", "units")
	case o.print == "" && !typed && !o.joints.empty():
		return errors.New("--joint is of a print: say of which model, with --print MODEL")
	case o.print == "" && !typed:
		return errors.New("nothing to record: give --side, --bottom, --roof, --span, --sample, or --print with --joint; see playgauge machine record --help")
	case o.print != "":
		return nil
	}
	return firstSet(set, "is of a print: say of which model, with --print MODEL", "joint", "turn", "scale", "units", "lift", "reach")
}

// firstSet refuses the first of some flags that was given.
func firstSet(set func(flag string) bool, why string, flags ...string) error {
	for _, flag := range flags {
		if set(flag) {
			return fmt.Errorf("--%s %s", flag, why)
		}
	}
	return nil
}

// typed completes the trials that were typed in. Gaps are kept as both walls'
// receding left them, those of the bottom layers as if nothing had been trimmed:
// what was cut off both sides is added.
func (o *recordOptions) typed(trim float64) []machine.Trial {
	trials := slices.Concat(o.side, o.bottom, o.roof, o.bridge)
	for i := range trials {
		t := &trials[i]
		t.FirstHeightMM, t.LayerHeightMM = o.whatIf.FirstMM, o.whatIf.RestMM
		switch inset := o.whatIf.InsetMM; t.Family {
		case machine.FamilySide:
			t.GapMM = inMicrons(t.GapMM + float64(2*inset))
		case machine.FamilyBottom:
			t.GapMM = inMicrons(t.GapMM + float64(2*(trim+inset)))
		}
	}
	return trials
}

// machineRecord adds trials to the file of a machine.
func (a *app) machineRecord(args []string) int {
	o := recordOptions{whatIf: gapscan.AsIs(), date: time.Now().Format(time.DateOnly)}
	flags := machineRecordFlags(&o)
	if err := flags.Parse(args); errors.Is(err, pflag.ErrHelp) {
		return a.print(machineRecordHelp(), statusOK)
	} else if err != nil {
		a.message("machine record: %s", flagError(err, flags))
		return statusUsage
	}
	name, err := oneMachine(flags.Args(), "machine record")
	if err == nil {
		err = o.check(flags.Changed)
	}
	if err != nil {
		a.message("machine record: %s", err)
		return statusUsage
	}
	mc, status := a.ownMachine("machine record", name)
	if status != statusOK {
		return status
	}
	trim := mc.TrimMM
	if o.trimMM != nil {
		trim = *o.trimMM
	}
	var trials []machine.Trial
	var notes string // on each joint of a print
	if o.print == "" && len(o.samples) == 0 {
		trials = o.typed(trim)
	} else if trials, notes, status = a.printTrials(&o, mc, trim); status != statusOK {
		return status
	}
	for i := range trials {
		trials[i].Date, trials[i].Flow = o.date, o.flow
	}
	if err := machine.Record(mc.File, trials, a.files.hold); err != nil {
		var te *machine.TrialError
		why, status := machineFault(err, "")
		if errors.As(err, &te) {
			status = statusUsage
		}
		a.message("machine record: nothing was recorded: %s", why)
		return status
	}
	for _, doubt := range recordDoubts(mc, trials, o.date) {
		a.message("machine record: %s", doubt)
	}
	after, err := machine.Load(mc.File) // what others recorded meanwhile counts too
	if err != nil {
		a.message("machine record: %s", err)
		return statusFile
	}
	text, err := recordText(after, trials, notes, trim, o.whatIf.InsetMM, a.style())
	if err != nil {
		a.message("machine record: %s", err)
		return statusFile
	}
	return a.print(text, statusOK)
}

// recordText says what was recorded, and what the limits are now.
func recordText(mc machine.Machine, trials []machine.Trial, notes string, trim, inset float64, style report.Style) (string, error) {
	var b bytes.Buffer
	if len(trials) == 0 {
		b.WriteString("Nothing was recorded into " + mc.File + "\n")
	} else {
		n := "1 trial"
		if len(trials) > 1 {
			n = fmt.Sprintf("%d trials", len(trials))
		}
		b.WriteString("Recorded " + n + " into " + mc.File + "\n")
		if err := report.Trials(&b, trials, style); err != nil {
			return "", err
		}
	}
	of := func(f machine.Family) bool {
		return slices.ContainsFunc(trials, func(t machine.Trial) bool { return t.Family == f })
	}
	if inset > 0 && (of(machine.FamilySide) || of(machine.FamilyBottom)) {
		b.WriteString(wrap(fmt.Sprintf("Gaps are kept as the inset left them: as drawn and twice %s mm.", number(inset)), style.Width))
	}
	if trim > 0 && of(machine.FamilyBottom) {
		b.WriteString(wrap(fmt.Sprintf("Bottom gaps are kept as if nothing were trimmed: as drawn and twice the trim of %s mm.", number(trim)), style.Width))
	}
	if notes != "" {
		b.WriteString("\n" + notes)
	}
	b.WriteString("\nThe limits of " + oneLine(mc.Name) + " now:\n")
	if err := report.Limits(&b, mc, style); err != nil {
		return "", err
	}
	return b.String(), nil
}

// machineRecordHelp is the help of machine record.
func machineRecordHelp() string {
	return `Record what came of a test piece or of a real print. From these trials the
limits of the machine are learned.

Usage: playgauge machine record NAME [flags]

` + flagHelp(machineRecordFlags(&recordOptions{})) + `
RESULT is free (it moves by finger), sticks (it cracks with a nail or a small
lever, then moves) or welds (it never moves).

A test piece in layers of 0.2 mm, one of its three cells of 0.3 mm stuck:

  playgauge machine record shed --side 0.2=welds,0.25=sticks,0.3=ffs
  playgauge machine record shed --roof 1=sticks,2=free --span 20=0.1,30=0.4

Write down every cell, those of one gap by their letters in a row (f, s or w):
they may come out differently, and all count. Gaps are as drawn, the figures on
the sheet of the coupon. Of a bottom gap the file keeps what it would be if
nothing were trimmed: if your slicing cuts trim_mm off each side of the bottom
layers, twice that is added. If it let all walls recede, say so with --inset:
twice that is added to every side gap.

A real print, sliced in layers of 0.2 mm, the first 0.28; all joints moved but
that of parts 3 and 4:

  playgauge machine record shed --print chain.stl --layers 0.28+0.2 \
      --joint all=free,3+4=sticks

Give the layers, scale, turn and inset it was printed with. Of a joint that came
out free the least side gap, bottom gap and roof gap are recorded as free: each
was enough. Left out is one that is short by vet's measure and only in a small
place, where a weld may crack unnoticed. Of a joint that did not come out free
only the gap that decides by vet's measure is recorded, since the others need
not be to blame; nothing, where two were about as tight, where it was tightest
along a slope, which is none of the gaps that limits are learned from, or where
all its gaps were twice what the machine needs.

A joint that was cut out of a model and printed alone (playgauge sample) tells
the same of its gaps:

  playgauge machine record shed --sample try.stl=free

The joint is the worst in the file, and the answer names it. Give the layers it
was printed with; turned and scaled it is already.

Trials are added at the end of the file; what stands in it stays as it is. A
trial recorded by mistake is taken out with an editor: delete its [[trial]]
table.

Exit status: 0 done; 2 wrong use, or no such machine, and nothing was recorded;
3 a file could not be read or written.
`
}
