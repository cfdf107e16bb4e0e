package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"unicode"

	"github.com/spf13/pflag"

	"playgauge/gapscan/machine"
)

// newOptions is what the command line of machine new says.
type newOptions struct {
	nozzleMM float64
	material string
}

func machineNewFlags(o *newOptions) *pflag.FlagSet {
	return newFlags("machine new",
		flagSpec{"nozzle", "MM", "the nozzle (default 0.4)", func(s string) (err error) {
			o.nozzleMM, err = parseNumber(s, machine.MinNozzleMM, machine.MaxNozzleMM, " mm")
			return err
		}},
		flagSpec{"material", "TEXT", "what it prints (default PLA)", func(s string) error {
			if strings.TrimSpace(s) == "" || oneLine(s) != s || len([]rune(s)) > machine.MaxTextLength {
				return fmt.Errorf("must be a word or two, at most %d characters", machine.MaxTextLength)
			}
			o.material = s
			return nil
		}})
}

// machineNew begins the file of a machine.
func (a *app) machineNew(args []string) int {
	o := newOptions{nozzleMM: machine.DefaultNozzleMM, material: machine.DefaultMaterial}
	flags := machineNewFlags(&o)
	if err := flags.Parse(args); errors.Is(err, pflag.ErrHelp) {
		return a.print(machineNewHelp(), statusOK)
	} else if err != nil {
		a.message("machine new: %s", flagError(err, flags))
		return statusUsage
	}
	name, err := oneMachine(flags.Args(), "machine new")
	if err != nil {
		a.message("machine new: %s", err)
		return statusUsage
	}
	called, file, err := newMachineFile(name)
	if err != nil {
		a.message("machine new: %s", err)
		return statusUsage
	}
	found := file // how the machine is found from now on
	if file == "" {
		found = called
		folder, err := machine.Folder()
		if err != nil {
			a.message("machine new: %s; give a file, as in ./%s", err, shellWord(called+machine.FileSuffix))
			return statusFile
		}
		file = filepath.Join(folder, called+machine.FileSuffix)
	}
	err = machine.Create(file, machine.NewText(called, o.nozzleMM, o.material), a.files.hold)
	switch {
	case errors.Is(err, fs.ErrExist):
		a.message("machine new: %s; it stays as it is: choose another name, or playgauge machine show %s", err, shellWord(found))
		return statusFile
	case err != nil:
		a.message("machine new: %s", err)
		return statusFile
	}
	return a.print(newText(found, file, o), statusOK)
}

// isMachineName says whether a file may be named so on every system, and typed
// without quotes but for a space.
func isMachineName(s string) bool {
	for i, r := range s {
		switch {
		case unicode.IsLetter(r), unicode.IsDigit(r), r == '_', r == '+':
		case (r == '-' || r == '.' || r == ' ') && i > 0:
		default:
			return false
		}
	}
	return s != "" && !strings.HasSuffix(s, ".") && !strings.HasSuffix(s, " ")
}

// newMachineFile says what a new machine is called, and its file where that
// was given instead of a name. A file gets the ending by which it is known.
func newMachineFile(nameOrFile string) (called, file string, err error) {
	base := filepath.Base(nameOrFile)
	called = strings.TrimSuffix(base, machine.FileSuffix)
	switch {
	case os.IsPathSeparator(nameOrFile[len(nameOrFile)-1]):
		return "", "", fmt.Errorf("%s is a folder; give a file in it, as in %s", nameOrFile, shellWord(nameOrFile+"shed"+machine.FileSuffix))
	case !isMachineName(called):
		return "", "", fmt.Errorf("%q cannot be the name of a machine; choose letters, digits, - and _", called)
	case len([]rune(called)) > machine.MaxTextLength:
		return "", "", fmt.Errorf("a name of %d characters is too long; at most %d", len([]rune(called)), machine.MaxTextLength)
	case nameOrFile == called:
		return called, "", nil
	case base == called:
		return called, nameOrFile + machine.FileSuffix, nil
	}
	return called, nameOrFile, nil
}

// newText says what was begun and what to do next.
func newText(found, file string, o newOptions) string {
	word := shellWord(found)
	coupon := "playgauge coupon --sheet sheet.png"
	if o.nozzleMM != machine.DefaultNozzleMM {
		coupon += " --nozzle " + number(o.nozzleMM)
	}
	if o.material != machine.DefaultMaterial {
		coupon += " --material " + shellWord(o.material)
	}
	return fmt.Sprintf(`Wrote %s

A new machine: %s mm nozzle, %s. Nothing is tested yet, so the built-in
cautious limits hold. Next, write the test piece and print it as you print toys:

  %s

Let it cool, try each cell as the sheet tells, and record what came of it:

  playgauge machine record %s --side 0.2=welds,0.25=sticks,0.3=free

playgauge machine record --help tells the rest.
`, file, number(o.nozzleMM), o.material, coupon, word)
}

// machineNewHelp is the help of machine new.
func machineNewHelp() string {
	return `Begin the file of a machine: one printer with one nozzle and one material.

Usage: playgauge machine new NAME [flags]

` + flagHelp(machineNewFlags(&newOptions{})) + `
  playgauge machine new shed
  playgauge machine new shed-petg --material PETG --nozzle 0.6
  playgauge machine new ./shed.toml

A plain name is kept as NAME.toml in this folder; a file is written where it
says:

  ` + machinesFolder() + `

The file holds no limits: nothing is tested yet. What else may be set stands in
it as comments. A file that is there already is left alone.

Exit status: 0 it was written; 2 wrong use; 3 it is there already, or could not
be written.
`
}
