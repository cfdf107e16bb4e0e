package main

import (
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"playgauge/gapscan/machine"
)

const helpText = `playgauge tells, before you print, whether a print-in-place toy will come off
the bed moving: how many parts it prints as, what it asks of a machine, and
which joint welds at which layer.

Usage: playgauge COMMAND [flags] ...

  vet MODEL...    measure models, or folders of them, and judge every joint
  remedy MODEL    find the smallest changes that make it print free
  sample MODEL    cut the worst joint out as a small trial print
  coupon          write a test piece of graded gaps for your machine
  machine ...     begin, record into, show and list machines
  demo [DIR]      write models of garden toys and vet them
  help [COMMAND]  show this, or the help of a command
  version         show the version

Begin with the models the program carries:

  playgauge demo

Then vet a model of your own:

  playgauge vet gate-hinge.stl
  playgauge vet gate-hinge.stl --layers 0.28+0.2 --strip gate-hinge.png

` + outcomesHelp + `
Exit status: 0 all joints free or close, or no joint; 1 something sticks or
welds; 2 wrong use; 3 a file could not be read or written.
`

// outcomesHelp tells the words of an outcome.
const outcomesHelp = `The outcome of a joint, and of a model, which is its worst joint's:

  free      a quarter more room than the machine needs, or more
  close     as much as it needs, with little to spare
  sticks    less, but the weld is small: expect to crack it free by hand
  welds     less, and the weld is larger than that
  no joint  (of a model) no two parts are near each other
`

// vetHelp is the help of vet; the flags tell of themselves.
func vetHelp() string {
	return `Measure models and judge every joint on a machine.

Usage: playgauge vet MODEL... [flags]

MODEL is an STL, 3MF, OBJ or PLY file, plain or in a .zip or .gz, a folder of
them (those in its folders too), a pattern, or - for standard input. Up to five
models are reported one by one, in the order given. A folder, more models or
several machines make one matrix: models down, machines across, worst first -
by the machine that does best with a model, then by the next best.

` + flagHelp(vetFlags(&vetOptions{})) + `
Will this toy move, on a machine of which nothing is known?

  playgauge vet gate-hinge.stl

The same on your own machine, and half as large again:

  playgauge vet gate-hinge.stl --machine shed --scale 150%

A machine file is a few lines of TOML, one for each nozzle and material:

  name = "shed"
  nozzle_mm = 0.4
  material = "PLA"
  [tested]           # the smallest that came out free; each optional
  side_mm = 0.30
  roof_mm = 0.40
  bottom_mm = 0.45
  bridge_mm = 30     # the longest that held

playgauge machine new begins one, and playgauge machine record learns its limits
from what you printed. Give the file, --machine ./shed.toml, or keep it in this
folder and give its name, --machine shed:

  ` + machinesFolder() + `

A model drawn in inches and lying on its side, with a picture of the margin
in every layer:

  playgauge vet gate-hinge.stl --units inch --turn 90,0,0 --strip strip.png

A page to look at in a browser, layer by layer:

  playgauge vet gate-hinge.stl --page gate-hinge.html

Which of all these downloads will print on which of my machines?

  playgauge vet downloads --machine shed --machine loft

Models are judged side by side as far as about 1 GB of memory goes; a model that
takes more waits until it is alone. The same as CSV, for a spreadsheet:

  playgauge vet downloads --machine shed --machine loft --csv > downloads.csv

For a program, the outcome of many models, one line of JSON each; those of a
matrix worst first, with the whole path as "file", machines in the order given:

  playgauge vet *.stl --json

A model that could not be read or judged has a line there too, with an "error":

  {"schema":"playgauge.vet/1","model":{"file":"gone.stl"},"error":"..."}

Text is as wide as COLUMNS says, if that is set, else as the terminal, and at
most 100 columns; 80 where there is no terminal. NO_COLOR turns colour off,
FORCE_COLOR turns it on.

` + outcomesHelp + `
Exit status: 0 all joints free or close, or no joint; 1 something sticks or
welds; 2 wrong use; 3 a file could not be read or written (the others are
still reported). For several models the highest counts.
`
}

// remedyHelp is the help of remedy.
func remedyHelp() string {
	return `Find the smallest changes that make a model print free on a machine.

Usage: playgauge remedy MODEL [flags]

MODEL is a file, or - for standard input.

` + flagHelp(remedyFlags(&remedyOptions{})) + `
What would make this toy move, on a machine of mine?

  playgauge remedy gate-hinge.stl --machine shed

The same for a program:

  playgauge remedy gate-hinge.stl --machine shed --json

A change works when vet says free or close after it; where it is close
already, when vet says free. Tried are, alone and in pairs: other layer
heights, trimming the bottom layers, another face down; less flow, and an inset
of all walls; a scale, in whole percents, and of some axes only; the other
machines, as it is. What costs the model nothing stands first. Every change
was vetted: its flags, given to vet, show the same outcome.

A change is steady when it also works with the model shifted by 0.03 mm up and
down against the layers and, of a scale, at the next two percents: how the
layers fall on a roof gap decides how much air it prints with, and that can be
luck.

Exit status: 0 it works as it is, or a change makes it work; 1 nothing that
was tried does; 2 wrong use; 3 a file could not be read.
`
}

const demoHelp = `Write models of garden toys, vet them on the built-in cautious machine, and
draw the heat-strip of each beside it. Of every toy there is one that prints
free, and one or two that fail in the way their names say.

Usage: playgauge demo [DIR]

DIR is made if it is not there (default ./playgauge-demo). Files that an
earlier demo wrote are replaced; others are left alone.

  playgauge demo
  playgauge demo garden

Exit status: 0 the models were written and vetted, whatever they show; 2 wrong
use; 3 a file could not be read or written.
`

// flagHelp lists flags in two columns.
func flagHelp(flags *pflag.FlagSet) string {
	var b strings.Builder
	flags.VisitAll(func(f *pflag.Flag) {
		head := "--" + f.Name
		if kind := f.Value.Type(); kind != "bool" {
			head += " " + kind
		}
		for line := range strings.Lines(f.Usage + "\n") {
			fmt.Fprintf(&b, "  %-27s%s", head, line)
			head = ""
		}
	})
	return b.String()
}

// machinesFolder is where the help says machine files belong.
func machinesFolder() string {
	folder, err := machine.Folder()
	if err != nil {
		return "playgauge/machines of your configuration folder"
	}
	return folder
}
