package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"strconv"

	"github.com/spf13/pflag"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/report"
)

// vetOptions is what the command line of vet says.
type vetOptions struct {
	models   []string // files, folders and patterns
	machines []string // names or files; empty for the built-in machine
	whatIf   gapscan.WhatIf
	matrix   bool
	json     bool
	csv      bool
	targets  []target // files to write
}

// vetFlags makes the flags of vet, which fill in o.
func vetFlags(o *vetOptions) *pflag.FlagSet {
	fs := newFlags("vet")
	judgeFlags(fs, o, "; may be given again, for a matrix")
	fs.BoolVar(&o.matrix, "matrix", false, "print one matrix, models down and machines across,\nworst first, where each model would have a report")
	fs.BoolVar(&o.csv, "csv", false, "print the matrix as CSV, a record a model and\nmachine")
	fs.BoolVar(&o.json, "json", false, "print one line of JSON a model and machine, one\nalso of a model that failed")
	targetFlags(fs, o)
	return fs
}

// judgeFlags adds the flags that say which machine judges, and how a model is
// placed, sliced and looked at. more ends what is told of the machine.
func judgeFlags(fs *pflag.FlagSet, o *vetOptions, more string) {
	addFlags(fs, flagSpec{"machine", "NAME|FILE", "the machine to judge by: a name in your machines\nfolder, or a file (default: the built-in cautious\none)" + more, o.setMachine})
	addFlags(fs, placeFlags(&o.whatIf)...)
	addFlags(fs, settingFlags(&o.whatIf)...)
}

func (o *vetOptions) setMachine(s string) error {
	if s == "" {
		return errors.New("must be a name or a file")
	}
	o.machines = append(o.machines, s)
	return nil
}

// machine is the machine of a command that takes one: the last that was given,
// empty for the built-in one.
func (o *vetOptions) machine() string {
	if len(o.machines) == 0 {
		return ""
	}
	return o.machines[len(o.machines)-1]
}

// parseVet reads the command line of vet. The error is pflag.ErrHelp where
// help is asked for, otherwise one line about wrong use.
func parseVet(args []string) (vetOptions, error) {
	o := vetOptions{whatIf: gapscan.AsIs()}
	flags := vetFlags(&o)
	if err := flags.Parse(args); err != nil {
		return o, flagError(err, flags)
	}
	o.models = flags.Args()
	if len(o.models) == 0 {
		return o, errors.New("which model? give a file, a folder, or - for standard input; see playgauge vet --help")
	}
	stdins := 0
	for _, m := range o.models {
		switch m {
		case "":
			return o, errors.New("a model needs a file name, got an empty one")
		case stdinName:
			stdins++
		}
	}
	if stdins > 1 {
		return o, errors.New("standard input (-) can be read only once")
	}
	if o.csv && o.json {
		return o, errors.New("--csv and --json are two ways to print: choose one")
	}
	return o, nil
}

// checkSingle refuses to write files of more than one model on one machine.
func (o *vetOptions) checkSingle(models int, matrix bool) error {
	if len(o.targets) == 0 || models == 1 && !matrix {
		return nil
	}
	flag := o.targets[0].flag
	switch {
	case models > 1:
		return fmt.Errorf("--%s takes one model, got %d: vet them one by one", flag, models)
	case len(o.machines) > 1:
		return fmt.Errorf("--%s takes one machine, got %d: vet on them one by one", flag, len(o.machines))
	}
	return fmt.Errorf("--%s goes with the report of one model, not with the matrix: name the file", flag)
}

// flagError puts an error of the flag library in our words, on one line.
func flagError(err error, flags *pflag.FlagSet) error {
	var (
		unknown *pflag.NotExistError
		missing *pflag.ValueRequiredError
		invalid *pflag.InvalidValueError
		number  *strconv.NumError
	)
	switch {
	case errors.As(err, &unknown):
		if short := unknown.GetSpecifiedShortnames(); short != "" {
			return fmt.Errorf("unknown flag -%s; see playgauge %s --help", short, flags.Name())
		}
		name := unknown.GetSpecifiedName()
		var names []string
		flags.VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		if near := nearest(name, names); near != "" {
			return fmt.Errorf("unknown flag --%s; did you mean --%s?", name, near)
		}
		return fmt.Errorf("unknown flag --%s; see playgauge %s --help", name, flags.Name())
	case errors.As(err, &missing):
		f := missing.GetFlag()
		return fmt.Errorf("--%s needs a value, as in --%s %s", f.Name, f.Name, f.Value.Type())
	case errors.As(err, &invalid):
		why := invalid.Unwrap().Error()
		if errors.As(err, &number) {
			why = "must be true or false"
		}
		return fmt.Errorf("--%s %q: %s", invalid.GetFlag().Name, invalid.GetValue(), why)
	}
	return err
}

// vet measures and judges models.
func (a *app) vet(args []string) int {
	o, err := parseVet(args)
	if errors.Is(err, pflag.ErrHelp) {
		return a.print(vetHelp(), statusOK)
	}
	if err != nil {
		a.message("vet: %s", err)
		return statusUsage
	}
	machines, status := a.findMachines(o)
	if status != statusOK {
		return status
	}
	for _, mc := range machines {
		if err := checkWhatIf(o.whatIf, mc); err != nil {
			a.message("vet: %s", err)
			return statusUsage
		}
	}
	found, folder := findModels(o.models)
	matrix := o.wantsMatrix(len(found), folder)
	if err := o.checkSingle(len(found), matrix); err != nil {
		a.message("vet: %s", err)
		return statusUsage
	}
	if matrix {
		return a.vetMatrix(found, o, machines)
	}
	mc := machines[0]
	if status := a.checkTargets("vet", o, mc); status != statusOK {
		return status
	}
	style := a.style()
	a.bar.show(a.stderr, len(found))
	defer a.bar.clear()
	between := "" // what stands before the next report
	for _, src := range found {
		one := func(vet func(out *bytes.Buffer) int) error {
			var out bytes.Buffer
			status = max(status, vet(&out))
			if out.Len() == 0 {
				return nil
			}
			err := a.put(between + out.String())
			if !o.json {
				between = "\n"
			}
			return err
		}
		if err := a.vetSource(src, o, mc, style, one); err != nil {
			return a.putFailed(err, status)
		}
		a.bar.step()
	}
	return status
}

// vetSource judges every model in a file. What each comes to goes to one, which
// prints it and fails where that fails.
func (a *app) vetSource(s source, o vetOptions, mc machine.Machine, style report.Style, one func(func(*bytes.Buffer) int) error) error {
	models, c, err := a.open(s)
	if err != nil {
		return one(func(out *bytes.Buffer) int { return a.failed(out, model{file: s.file}, o, err) })
	}
	defer c.Close()
	if len(o.targets) > 0 && len(models) > 1 {
		a.message("vet: --%s takes one model, %s holds %d: unpack the one you want", o.targets[0].flag, shownName(s.file), len(models))
		return one(func(*bytes.Buffer) int { return statusUsage })
	}
	for _, m := range models {
		if err := one(func(out *bytes.Buffer) int { return a.vetOne(out, m, o, mc, style) }); err != nil {
			return err
		}
	}
	return nil
}

// failed tells of a model that could not be read or judged.
func (a *app) failed(out *bytes.Buffer, m model, o vetOptions, err error) int {
	why := oneLine(reason(err))
	a.message("vet: %s: %s", m.shown(), why)
	if o.json {
		// A buffer takes it, and texts can always be encoded.
		_ = writeFailed(out, m.name(), why)
	}
	return statusFile
}

// vetOne judges one model, sets its report into out, and writes its pictures.
func (a *app) vetOne(out *bytes.Buffer, m model, o vetOptions, mc machine.Machine, style report.Style) int {
	var j judged
	soup, err := m.source.Read()
	if err == nil {
		setCollector(soup)
		j, err = judgeFor(m.name(), soup, o, mc)
	}
	if err == nil {
		err = o.fits(j)
	}
	if err == nil && o.json {
		err = report.JSON(out, j.result)
	} else if err == nil {
		err = report.Text(out, titled(j.result, m), style)
	}
	if err != nil {
		return a.failed(out, m, o, err)
	}
	status := statusOf(j.result.Outcome)
	j.result = titled(j.result, m)
	for _, t := range o.targets {
		err := a.files.write(t.file, func(w io.Writer) error { return t.fill(w, j) })
		if err != nil {
			a.message("vet: %s: %s", t.file, reason(err))
			status = statusFile
			continue
		}
		a.message("wrote %s", t.file)
	}
	return status
}

// titled is a result whose model is called what a person calls it.
func titled(r *gapscan.Result, m model) *gapscan.Result {
	if m.file != stdinName {
		return r
	}
	t := *r
	t.Model.File = m.shown()
	return &t
}

// findMachine reads the machine a command is to judge by, or says why it
// cannot.
func (a *app) findMachine(command, nameOrFile string) (machine.Machine, int) {
	if nameOrFile == "" {
		return machine.BuiltIn(), statusOK
	}
	mc, err := machine.Find(nameOrFile)
	if err == nil {
		return mc, statusOK
	}
	why, status := machineFault(err, "--machine ")
	if status == statusUsage {
		why = "--machine: " + why
	}
	a.message("%s: %s", command, why)
	return mc, status
}

// machineFault says what is wrong with a machine or its file, what may have
// been meant, and with which status that ends. flag stands before a file that
// is proposed.
func machineFault(err error, flag string) (why string, status int) {
	var (
		missing *machine.NotFoundError
		fault   *machine.FileError
	)
	switch {
	case errors.As(err, &missing):
		hint := ""
		if here := "./" + missing.Name + machine.FileSuffix; isFile(here) {
			hint = "; did you mean " + flag + shellWord(here) + "?"
		} else if near := nearest(missing.Name, missing.Known); near != "" {
			hint = "; did you mean " + near + "?"
		}
		return err.Error() + hint, statusUsage
	case errors.As(err, &fault):
		if near := nearest(fault.Key, fault.Known); near != "" && near != fault.Key {
			return err.Error() + "; did you mean " + near + "?", statusFile
		}
	}
	return err.Error(), statusFile
}

// isFile says whether there is a file of a name.
func isFile(name string) bool {
	info, err := os.Stat(name)
	return err == nil && info.Mode().IsRegular()
}
