package main

import (
	"bytes"
	"errors"
	"io"

	"github.com/spf13/pflag"

	"playgauge/report"
)

func machineShowFlags(curve *string) *pflag.FlagSet {
	return newFlags("machine show",
		flagSpec{"curve", "FILE.png", "write the curves as a picture; an earlier picture\nis replaced, no other file", func(s string) error {
			*curve = s
			return needsEnding(s, ".png")
		}})
}

// machineShow tells what is known of a machine.
func (a *app) machineShow(args []string) int {
	curve := ""
	flags := machineShowFlags(&curve)
	if err := flags.Parse(args); errors.Is(err, pflag.ErrHelp) {
		return a.print(machineShowHelp(), statusOK)
	} else if err != nil {
		a.message("machine show: %s", flagError(err, flags))
		return statusUsage
	}
	name, err := oneMachine(flags.Args(), "machine show")
	if err != nil {
		a.message("machine show: %s", err)
		return statusUsage
	}
	mc, status := a.ownMachine("machine show", name)
	if status != statusOK {
		return status
	}
	if curve != "" {
		err := isEarlier(curve, "PNG picture", pngSignature)
		if err != nil {
			a.message("machine show: --curve %s: %s", curve, reason(err))
			return statusUsage
		}
		err = a.files.write(curve, func(w io.Writer) error { return report.Curve(w, mc) })
		if err != nil {
			a.message("machine show: --curve %s: %s", curve, reason(err))
			return statusFile
		}
		a.message("wrote %s", curve)
	}
	var out bytes.Buffer
	style := a.style()
	err = report.MachineHead(&out, mc, style)
	section := func(write func() error) {
		if err == nil {
			out.WriteByte('\n')
			err = write()
		}
	}
	section(func() error { return report.Limits(&out, mc, style) })
	if len(mc.Trials) > 0 {
		section(func() error { return report.Trials(&out, mc.Trials, style) })
		section(func() error { return report.CurveText(&out, mc, style) })
	} else {
		out.WriteString("\nNo trials yet: playgauge machine record " + shellWord(name) + " adds them.\n")
	}
	if err != nil {
		a.message("machine show: %s", err)
		return statusFile
	}
	return a.print(out.String(), statusOK)
}

// machineShowHelp is the help of machine show.
func machineShowHelp() string {
	curve := ""
	return `Show what is known of a machine: its limits, what each rests on, the trials,
and the chance of coming out free over the gap.

Usage: playgauge machine show NAME [flags]

` + flagHelp(machineShowFlags(&curve)) + `
  playgauge machine show shed
  playgauge machine show shed --curve shed.png

A limit is, in this order: what you set by hand under [tested] in the file; the
gap that comes out free with 95 % by the trials; while these are too few to say
so, the smallest gap that came out free; else the built-in cautious one.

Exit status: 0 shown; 2 wrong use, or no such machine; 3 a file could not be
read or written.
`
}
