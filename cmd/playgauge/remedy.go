package main

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/spf13/pflag"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/gapscan/remedy"
	"playgauge/report"
)

// remedyOptions is what the command line of remedy says.
type remedyOptions struct {
	model    string
	machines []string // names or files; the first is the one to print on
	whatIf   gapscan.WhatIf
	json     bool
}

func remedyFlags(o *remedyOptions) *pflag.FlagSet {
	fs := newFlags("remedy",
		flagSpec{"machine", "NAME|FILE", "the machine to print on: a name in your machines\nfolder, or a file (default: the built-in cautious\none); given again, others to try the model on\n(default: all of the folder)", o.addMachine})
	addFlags(fs, placeFlags(&o.whatIf)...)
	addFlags(fs, settingFlags(&o.whatIf)...)
	fs.BoolVar(&o.json, "json", false, "print one line of JSON")
	return fs
}

func (o *remedyOptions) addMachine(s string) error {
	if s == "" {
		return errors.New("must be a name or a file")
	}
	o.machines = append(o.machines, s)
	return nil
}

// parseRemedy reads the command line of remedy, as parseVet that of vet.
func parseRemedy(args []string) (remedyOptions, error) {
	o := remedyOptions{whatIf: gapscan.AsIs()}
	flags := remedyFlags(&o)
	if err := flags.Parse(args); err != nil {
		return o, flagError(err, flags)
	}
	switch {
	case flags.NArg() == 0:
		return o, errors.New("which model? give a file, or - for standard input; see playgauge remedy --help")
	case flags.NArg() > 1:
		return o, fmt.Errorf("takes one model, got %d: ask for them one by one", flags.NArg())
	case flags.Arg(0) == "":
		return o, errors.New("a model needs a file name, got an empty one")
	}
	o.model = flags.Arg(0)
	return o, nil
}

// remedy looks for the changes that make a model print free.
func (a *app) remedy(args []string) int {
	o, err := parseRemedy(args)
	if errors.Is(err, pflag.ErrHelp) {
		return a.print(remedyHelp(), statusOK)
	}
	if err != nil {
		a.message("remedy: %s", err)
		return statusUsage
	}
	first := ""
	if len(o.machines) > 0 {
		first = o.machines[0]
	}
	mc, status := a.findMachine("remedy", first)
	if status != statusOK {
		return status
	}
	if err := checkWhatIf(o.whatIf, mc); err != nil {
		a.message("remedy: %s", err)
		return statusUsage
	}
	others, status := a.otherMachines(o, mc)
	if status != statusOK {
		return status
	}
	opt := remedy.Options{}
	for _, other := range others {
		opt.Others = append(opt.Others, other.machine)
	}
	var r *remedy.Result
	soup, err := readModel(o.model, a.stdin)
	if err == nil {
		r, err = remedy.Find(soup, o.whatIf, mc, opt)
	}
	if err != nil {
		a.message("remedy: %s: %s", shownName(o.model), oneLine(reason(err)))
		return statusFile
	}
	r.Model.File = modelName(o.model)
	for i := range r.Changes {
		c := &r.Changes[i]
		c.Flags = whatIfFlags(c.WhatIf, o.whatIf)
		if c.Machine >= 0 {
			c.Flags = append([]string{"--machine=" + others[c.Machine].called}, c.Flags...)
		}
	}
	var out bytes.Buffer
	if o.json {
		err = report.RemedyJSON(&out, r)
	} else {
		err = report.RemedyText(&out, r, a.vetCall(o, r, first), a.style())
	}
	if err != nil {
		a.message("remedy: %s: %s", shownName(o.model), oneLine(reason(err)))
		return statusFile
	}
	return a.print(out.String(), remedyStatus(r))
}

// remedyStatus is 0 where the model works or something makes it work.
func remedyStatus(r *remedy.Result) int {
	if len(r.Changes) > 0 {
		return statusOK
	}
	return statusOf(r.Before.Outcome)
}

// vetCall is the call of vet that the flags of the first change belong behind.
func (a *app) vetCall(o remedyOptions, r *remedy.Result, first string) string {
	call := ownCallName() + " vet " + shellWord(o.model)
	if first != "" && (len(r.Changes) == 0 || r.Changes[0].Machine < 0) {
		call += " --machine " + shellWord(first)
	}
	return call
}

// otherMachine is a machine with what a person calls it by.
type otherMachine struct {
	called  string
	machine machine.Machine
}

// otherMachines are the further machines that were asked for or, where none
// was, those of the user's folder. A file there that cannot be read is told of
// and left out.
func (a *app) otherMachines(o remedyOptions, mc machine.Machine) ([]otherMachine, int) {
	var out []otherMachine
	if len(o.machines) > 1 {
		for _, name := range o.machines[1:] {
			other, status := a.findMachine("remedy", name)
			if status != statusOK {
				return nil, status
			}
			out = append(out, otherMachine{name, other})
		}
		return out, statusOK
	}
	folder, err := machine.Folder()
	if err != nil {
		return nil, statusOK // no folder, no machines
	}
	files, err := machine.FilesIn(folder)
	if err != nil {
		a.message("remedy: %s: %s", folder, reason(err))
		return nil, statusOK
	}
	for _, f := range files {
		if mc.File != "" && sameFile(f.File, mc.File) {
			continue
		}
		other, err := machine.Load(f.File)
		if err != nil {
			why, _ := machineFault(err, "")
			a.message("remedy: left out: %s", why)
			continue
		}
		out = append(out, otherMachine{f.Name, other})
	}
	return out, statusOK
}
