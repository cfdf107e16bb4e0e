package main

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/spf13/pflag"

	"playgauge/gapscan/machine"
	"playgauge/report"
)

// machineList lists the machines of the user's folder.
func (a *app) machineList(args []string) int {
	flags := newFlags("machine list")
	if err := flags.Parse(args); errors.Is(err, pflag.ErrHelp) {
		return a.print(machineListHelp(), statusOK)
	} else if err != nil {
		a.message("machine list: %s", flagError(err, flags))
		return statusUsage
	}
	if flags.NArg() > 0 {
		a.message("machine list: takes no machine, got %s; playgauge machine show %s shows one", flags.Arg(0), shellWord(flags.Arg(0)))
		return statusUsage
	}
	folder, err := machine.Folder()
	if err != nil {
		a.message("machine list: %s", err)
		return statusFile
	}
	files, err := machine.FilesIn(folder)
	if err != nil {
		a.message("machine list: %s: %s", folder, reason(err))
		return statusFile
	}
	if len(files) == 0 {
		return a.print(fmt.Sprintf("There is no machine yet in\n  %s\nBegin one:\n  playgauge machine new NAME\n", folder), statusOK)
	}
	status := statusOK
	var out bytes.Buffer
	for _, f := range files {
		mc, err := machine.Load(f.File)
		if err != nil {
			why, s := machineFault(err, "")
			a.message("machine list: %s", why)
			status = max(status, s)
			continue
		}
		if err := report.MachineLine(&out, f.Name, mc, a.style()); err != nil {
			a.message("machine list: %s", err)
			return statusFile
		}
	}
	return a.print(out.String(), status)
}

// machineListHelp is the help of machine list.
func machineListHelp() string {
	return `List the machines in your folder, each with its limits and what they rest on.

Usage: playgauge machine list

  playgauge machine list

The folder:

  ` + machinesFolder() + `

A file that cannot be read is told of on standard error, and the others are
listed.

Exit status: 0 all were read; 2 wrong use; 3 a file could not be read.
`
}
