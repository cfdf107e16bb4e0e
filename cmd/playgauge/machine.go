package main

import (
	"errors"
	"os"
	"strings"

	"playgauge/gapscan/machine"
	"playgauge/report"
)

// machineCommands lists the commands of machine as its help does.
func machineCommands() []command {
	return []command{
		{"new", (*app).machineNew},
		{"record", (*app).machineRecord},
		{"show", (*app).machineShow},
		{"list", (*app).machineList},
	}
}

// machineHelps are their helps.
func machineHelps() map[string]func() string {
	return map[string]func() string{
		"new": machineNewHelp, "record": machineRecordHelp, "show": machineShowHelp, "list": machineListHelp,
	}
}

// machine keeps the files of machines.
func (a *app) machine(args []string) int {
	if len(args) == 0 {
		a.message("machine: new, record, show or list? see playgauge machine --help")
		return statusUsage
	}
	switch args[0] {
	case "-h", "--help":
		return a.print(machineHelp(), statusOK)
	case "help":
		return a.helpOfMachine(args[1:])
	}
	for _, c := range machineCommands() {
		if c.name == args[0] {
			return c.run(a, args[1:])
		}
	}
	return a.unknownMachineCommand(args[0])
}

func (a *app) unknownMachineCommand(name string) int {
	var names []string
	for _, c := range machineCommands() {
		names = append(names, c.name)
	}
	hint := "; it is one of " + strings.Join(names, ", ")
	if near := nearest(name, names); near != "" {
		hint = "; did you mean machine " + near + "?"
	}
	a.message("unknown command \"machine %s\"%s", name, hint)
	return statusUsage
}

// helpOfMachine is the help of machine, or of one of its commands.
func (a *app) helpOfMachine(args []string) int {
	if len(args) == 0 {
		return a.print(machineHelp(), statusOK)
	}
	if help, ok := machineHelps()[args[0]]; ok {
		return a.print(help(), statusOK)
	}
	return a.unknownMachineCommand(args[0])
}

// oneMachine takes the one name that a command is given.
func oneMachine(args []string, command string) (string, error) {
	switch {
	case len(args) == 0:
		return "", errors.New("which machine? give its name or its file; see playgauge " + command + " --help")
	case len(args) > 1:
		words := make([]string, len(args))
		for i, w := range args {
			words[i] = shellWord(w)
		}
		return "", errors.New("takes one machine, got " + strings.Join(words, " and ") + "; lists have commas and no spaces")
	case args[0] == "":
		return "", errors.New("a machine needs a name or a file, got an empty one")
	}
	return args[0], nil
}

// ownMachine reads a machine that is to be shown or recorded into, or says why
// it cannot.
func (a *app) ownMachine(command, nameOrFile string) (machine.Machine, int) {
	mc, err := machine.Find(nameOrFile)
	if err == nil {
		return mc, statusOK
	}
	why, status := machineFault(err, "")
	var missing *machine.NotFoundError
	if errors.As(err, &missing) && !strings.HasSuffix(why, "?") {
		why += "; begin it with playgauge machine new " + shellWord(nameOrFile)
	}
	a.message("%s: %s", command, why)
	return mc, status
}

// style is how text is set on standard output.
func (a *app) style() report.Style {
	return report.Style{Color: useColor(a.stdout, os.Getenv), Width: textWidth(a.stdout, os.Getenv)}
}

// machineHelp is the help of machine.
func machineHelp() string {
	return `Keep what a printer has been shown to keep open: one file for each nozzle and
material.

Usage: playgauge machine COMMAND ...

  new NAME      begin the file of a machine
  record NAME   add what came of a test piece or of a real print
  show NAME     its limits, what they rest on, and the curves
  list          the machines there are

From a new printer to limits that vet can use:

  playgauge machine new shed
  playgauge coupon --sheet sheet.png
  (print it, let it cool, try each cell; the sheet tells how)
  playgauge machine record shed --side 0.2=welds,0.25=sticks,0.3=free
  playgauge vet gate-hinge.stl --machine shed

And after each real print, or sample of a joint, which makes the next verdict
better:

  playgauge machine record shed --print gate-hinge.stl --joint 1+2=free
  playgauge machine record shed --sample try.stl=free

NAME is a name, kept as NAME.toml in the folder below, or a file that ends in
.toml or has a path:

  ` + machinesFolder() + `

The file is text and yours: nothing that you write into it is ever changed or
thrown away; record adds at its end. Each command has a --help of its own.

Exit status: 0 done; 2 wrong use, or no such machine; 3 a file could not be
read or written.
`
}
