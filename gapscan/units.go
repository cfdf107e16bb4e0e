package gapscan

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"playgauge/mesh"
)

// Unit is a unit of length that a file's numbers may be in.
type Unit struct {
	Name string
	MM   float64
	// Plural is what many are called, Also lists what else it is called.
	Plural string
	Also   []string
}

// Units lists the units, millimetres first. 3MF files say one of them.
func Units() []Unit {
	return []Unit{
		{"mm", 1, "mm", []string{"millimeter", "millimetre"}},
		{"cm", 10, "cm", []string{"centimeter", "centimetre"}},
		{"inch", 25.4, "inches", []string{"in", "inches"}},
		{"m", 1000, "metres", []string{"meter", "metre"}},
		{"foot", 304.8, "feet", []string{"ft", "feet"}},
		{"micron", 0.001, "microns", []string{"um"}},
	}
}

// UnitMM is the length of the unit; 1 where none is said.
func (w WhatIf) UnitMM() float64 { return unitMM(w.Units) }

func unitMM(name string) float64 {
	for _, u := range Units() {
		if u.Name == name {
			return u.MM
		}
	}
	return 1
}

// Largest dimensions that are taken for a toy, in mm. Below, hardly a joint
// could print: it takes a few lines of 0.4 mm on each side of a gap. Above,
// it fits no usual bed. A model drawn in inches, centimetres or metres and
// read as mm is too small by 25, 10 or 1000 times; one in microns too large.
const smallestToy, largestToy = 10.0, 500.0

// guessedUnits are what a file of a doubtful size may be in, the likeliest
// first.
var guessedUnits = []string{"inch", "cm", "m", "micron"}

// reading settles the units of a soup: those asked for, else what the file
// says, else mm. Where the file is overruled, or what comes of it has not the
// size of a toy, a warning is added to the soup that is returned, and given. size
// is the soup's.
func (w WhatIf) reading(s *mesh.Soup, size [3]float64) (by WhatIf, told *mesh.Soup, doubt string) {
	switch {
	case w.Units == "":
		w.Units = s.Unit
		if w.Units == "" {
			w.Units = "mm"
		}
		doubt = unitDoubt(s.Unit, size, w.Units)
	case s.Unit != "" && s.Unit != w.Units:
		doubt = fmt.Sprintf("the file says %s; read as %s, as asked", s.Unit, w.Units)
	}
	if doubt == "" {
		return w, s, ""
	}
	warned := *s // others may be reading s by another unit
	warned.Warnings = append(slices.Clip(s.Warnings), doubt)
	return w, &warned, doubt
}

// unitDoubt says what makes a unit doubtful, before turning and scaling, and
// what else the file may be in; empty where nothing does. told is what the file
// says, if anything, size its size in that unit.
func unitDoubt(told string, size [3]float64, unit string) string {
	most := max(size[0], size[1], size[2]) * unitMM(unit)
	how := "smaller than toys are"
	switch {
	case most >= smallestToy && most <= largestToy:
		return ""
	case most > largestToy:
		how = "larger than printers take"
	}
	said := "the file says no unit; read as " + unit
	if told != "" {
		said = "the file says " + unit
	}
	guess := guessUnits(size)
	if guess == "" {
		guess = "if the unit is another, say it by --units"
	}
	return fmt.Sprintf("%s, it is %s, %s; %s", said, sizeText(size, unitMM(unit)), how, guess)
}

// guessUnits says in which units what has a size in numbers would have that of
// a toy, and how to say so; empty where there is none.
func guessUnits(size [3]float64) string {
	if min(size[0], size[1], size[2]) == 0 {
		return "" // no unit makes it a solid
	}
	var guesses, flags []string
	for _, name := range guessedUnits {
		for _, u := range Units() {
			if m := max(size[0], size[1], size[2]) * u.MM; u.Name == name && m >= smallestToy && m <= largestToy {
				guesses = append(guesses, sizeText(size, u.MM)+" if "+u.Plural)
				flags = append(flags, "--units "+name)
			}
		}
	}
	if len(guesses) == 0 {
		return ""
	}
	return strings.Join(guesses, ", ") + ": say it by " + strings.Join(flags, " or ")
}

// orOtherUnits adds to an error about a size in which units it would be a
// toy's, where nothing was said of units or scale.
func (w WhatIf) orOtherUnits(err error, size [3]float64) error {
	guess := guessUnits(size)
	if guess == "" || w.Units != "" || w.Scale != AsIs().Scale {
		return err
	}
	return fmt.Errorf("%w %s", err, guess)
}

// sizeText is a size for people, to three digits.
func sizeText(size [3]float64, mm float64) string {
	var s [3]string
	for i, x := range size {
		x *= mm
		if x >= 100 {
			s[i] = strconv.FormatFloat(x, 'f', 0, 64)
		} else {
			s[i] = strconv.FormatFloat(x, 'g', 3, 64)
		}
	}
	return s[0] + " x " + s[1] + " x " + s[2] + " mm"
}
