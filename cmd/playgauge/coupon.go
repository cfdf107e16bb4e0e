package main

import (
	"errors"
	"fmt"
	"io"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/pflag"

	"playgauge/gapscan"
	"playgauge/gapscan/coupon"
	"playgauge/gapscan/machine"
	"playgauge/mesh"
)

// couponOptions is what the command line of coupon says.
type couponOptions struct {
	out, sheet string
	design     coupon.Options
}

// couponFile is where the coupon is written unless told otherwise.
const couponFile = "coupon.stl"

func couponFlags(o *couponOptions) *pflag.FlagSet {
	return newFlags("coupon",
		flagSpec{"out", "FILE.stl", "where to write it (default " + couponFile + ")", o.setOut},
		flagSpec{"sheet", "FILE.png|FILE.txt", "write which cell is which, in testing\norder, and how to judge", o.setSheet},
		flagSpec{"nozzle", "MM", "the nozzle (default 0.4)", o.setNozzle},
		flagSpec{"layers", "REST|FIRST+REST", "layer heights in mm (default 0.2)", o.setLayers},
		flagSpec{"material", "TEXT", "told on the sheet (default PLA)", o.setMaterial},
		flagSpec{"family", "NAME,...", "side, bottom, roof, slope, bridge (default all)", o.setFamilies},
		flagSpec{"side", "MM,...", "the gaps of a family instead of its own", lengths(&o.design.Ladders.Side)},
		flagSpec{"bottom", "MM,...", "the same", lengths(&o.design.Ladders.Bottom)},
		flagSpec{"roof", "LAYERS,...", "the same, in layers of air", o.setRoof},
		flagSpec{"slope", "MM,...", "the same", lengths(&o.design.Ladders.Slope)},
		flagSpec{"bridge", "MM,...", "the same, as spans", lengths(&o.design.Ladders.Bridge)})
}

func (o *couponOptions) setOut(s string) error {
	if !strings.EqualFold(filepath.Ext(s), ".stl") {
		return errors.New("must be a file name that ends in .stl")
	}
	o.out = s
	return nil
}

func (o *couponOptions) setSheet(s string) error {
	if kind := sheetKind(s); kind != coupon.SheetPNG && kind != coupon.SheetText {
		return errors.New("must be a file name that ends in .png or .txt")
	}
	o.sheet = s
	return nil
}

// sheetKind is the kind of sheet that a file's name asks for.
func sheetKind(file string) string {
	return strings.TrimPrefix(strings.ToLower(filepath.Ext(file)), ".")
}

func (o *couponOptions) setNozzle(s string) (err error) {
	o.design.NozzleMM, err = parseNumber(s, 0.1, 2, " mm")
	return err
}

func (o *couponOptions) setLayers(s string) error {
	var w gapscan.WhatIf
	if err := (whatIf{&w}).setLayers(s); err != nil {
		return err
	}
	o.design.FirstMM, o.design.RestMM = w.FirstMM, w.RestMM
	return nil
}

func (o *couponOptions) setMaterial(s string) error {
	if strings.TrimSpace(s) == "" {
		return errors.New("must be a word or two")
	}
	o.design.Material = oneLine(s)
	return nil
}

func (o *couponOptions) setFamilies(s string) error {
	o.design.Families = nil
	for name := range strings.SplitSeq(s, ",") {
		f := coupon.Family(strings.TrimSpace(name))
		if !slices.Contains(coupon.Families(), f) {
			return errors.New("must be some of side, bottom, roof, slope, bridge, with commas between")
		}
		o.design.Families = append(o.design.Families, f)
	}
	return nil
}

// lengths sets a ladder of lengths in mm.
func lengths(ladder *[]float64) func(string) error {
	return func(s string) error {
		*ladder = nil
		for field := range strings.SplitSeq(s, ",") {
			v, err := parseNumber(strings.TrimSpace(field), 0.01, 1000, " mm")
			if err != nil {
				return errors.New("must be lengths in mm with commas between, as in 0.2,0.3,0.4")
			}
			*ladder = append(*ladder, v)
		}
		return nil
	}
}

func (o *couponOptions) setRoof(s string) error {
	o.design.Ladders.Roof = nil
	for field := range strings.SplitSeq(s, ",") {
		n, err := strconv.Atoi(strings.TrimSpace(field))
		if err != nil || n < 1 {
			return errors.New("must be numbers of layers with commas between, as in 1,2,3")
		}
		o.design.Ladders.Roof = append(o.design.Ladders.Roof, n)
	}
	return nil
}

// coupon writes the test piece for a machine.
func (a *app) coupon(args []string) int {
	o := couponOptions{out: couponFile}
	flags := couponFlags(&o)
	if err := flags.Parse(args); errors.Is(err, pflag.ErrHelp) {
		return a.print(couponHelp(), statusOK)
	} else if err != nil {
		a.message("coupon: %s", flagError(err, flags))
		return statusUsage
	}
	if flags.NArg() > 0 {
		a.message("coupon: takes no model, got %s; --out says where to write", flags.Arg(0))
		return statusUsage
	}
	c, err := coupon.Design(o.design)
	if err != nil {
		a.message("coupon: %s", err)
		return statusUsage
	}
	err = a.files.write(o.out, func(w io.Writer) error { return mesh.WriteSTL(w, c.Solid.Soup()) })
	if err != nil {
		a.message("coupon: %s: %s", o.out, reason(err))
		return statusFile
	}
	if o.sheet != "" {
		err := a.files.write(o.sheet, func(w io.Writer) error { return coupon.Sheet(w, c, sheetKind(o.sheet)) })
		if err != nil {
			a.message("coupon: %s: %s", o.sheet, reason(err))
			return statusFile
		}
		a.message("wrote %s", o.sheet)
	}
	return a.print(couponText(c, o), statusOK)
}

// longPrint is how many minutes a coupon should take at most.
const longPrint = 90

// couponText says what was written and what to do with it.
func couponText(c *coupon.Coupon, o couponOptions) string {
	var b strings.Builder
	d := c.Options
	fmt.Fprintf(&b, "%s: %d cells on %s x %s mm, %s mm tall; about %.0f minutes of printing\n", o.out,
		len(c.Cells), tenths(c.Size.X), tenths(c.Size.Y), tenths(c.Size.Z), c.Minutes)
	fmt.Fprintf(&b, "for a nozzle of %s mm, layers of %s mm (the first %s), %s;\nprint it without support, scaling or brim\n",
		number(d.NozzleMM), number(d.RestMM), number(d.FirstMM), d.Material)
	b.WriteString(`
Let it cool. Then try each cell, the widest gap first: free moves by finger,
sticks cracks with a nail and then moves, welds never moves. Work away from
yourself, and mind your eyes when you pry.
`)
	b.WriteString(recordWords(c))
	if c.Minutes > longPrint {
		b.WriteString("That is a long print: --family prints one family at a time.\n")
	}
	if o.sheet == "" {
		b.WriteString("Which cell is which: add --sheet sheet.png, or sheet.txt.\n")
	}
	return b.String()
}

// recordWords say how to record what came of a coupon: the very flags, to be
// filled in.
func recordWords(c *coupon.Coupon) string {
	d := c.Options
	var lines []string
	for _, f := range d.Families {
		switch f {
		case coupon.Side:
			lines = append(lines, "--side "+unfilled(c, f, d.Ladders.Side))
		case coupon.Bottom:
			lines = append(lines, "--bottom "+unfilled(c, f, d.Ladders.Bottom))
		case coupon.Roof:
			lines = append(lines, "--roof "+unfilled(c, f, d.Ladders.Roof))
		case coupon.Bridge:
			lines = append(lines, "--span "+unfilled(c, f, d.Ladders.Bridge))
		}
	}
	if len(lines) == 0 {
		return "\nThe cells of the slope family check the rule for slopes; nothing is recorded of\nthem.\n\n"
	}
	layers := number(d.RestMM)
	if d.FirstMM != d.RestMM {
		layers = number(d.FirstMM) + "+" + layers
	}
	lines = append(lines, "--layers "+layers)
	begin := "playgauge machine new NAME"
	if d.NozzleMM != machine.DefaultNozzleMM {
		begin += " --nozzle " + number(d.NozzleMM)
	}
	if d.Material != machine.DefaultMaterial {
		begin += " --material " + shellWord(d.Material)
	}
	s := "\nRecord every cell, with a letter for each dot, f free, s sticks, w welds"
	if slices.Contains(d.Families, coupon.Bridge) {
		s += ", and\nthe sag in mm for the dots of a span"
	}
	return s + ":\n\n  " + begin + "    (once)\n  playgauge machine record NAME \\\n    " +
		strings.Join(lines, " \\\n    ") + "\n\n"
}

// unfilled lists the levels of a family, with a dot for what came of each of
// their cells; for the sag of a deck, which is a number, with three.
func unfilled[T float64 | int](c *coupon.Coupon, f coupon.Family, ladder []T) string {
	levels := make([]string, len(ladder))
	for i, v := range ladder {
		cells := 0
		for _, cell := range c.Cells {
			if cell.Family == f && (cell.GapMM == float64(v) && f != coupon.Roof || cell.Layers == int(v) && f == coupon.Roof) {
				cells++
			}
		}
		if f == coupon.Bridge {
			cells = 3
		}
		levels[i] = number(float64(v)) + "=" + strings.Repeat(".", cells)
	}
	return strings.Join(levels, ",")
}

// tenths writes a length to a tenth of a millimetre.
func tenths(mm float64) string { return number(math.Round(mm*10) / 10) }

// couponHelp is the help of coupon; the flags tell of themselves.
func couponHelp() string {
	return `Write a test piece of graded gaps, from which a machine's limits are learned.

Usage: playgauge coupon [flags]

` + flagHelp(couponFlags(&couponOptions{})) + `
Print it as you print toys, without support, and try each cell when it has
cooled:

  playgauge coupon --sheet sheet.png
  playgauge coupon --nozzle 0.4 --layers 0.2 --family side,roof --out small.stl

Then record what came of the cells: playgauge machine record --help.

Each family teaches one limit, where nothing else decides: side (upright pins
and sliders, relieved at the bottom), bottom (the same without the relief),
roof (sliders under flat ceilings, the air in whole layers), slope (cones and a
level pin; they check the rule and are no limit of their own) and bridge (decks
over a low step).

Exit status: 0 it was written; 2 wrong use; 3 a file could not be written.
`
}
