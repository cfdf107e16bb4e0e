package main

import (
	"errors"
	"slices"
	"strings"

	"playgauge/gapscan"
)

// unitNames is how a person is told of the units.
const unitNames = "mm, cm, inch, m, foot or micron"

// setUnits reads a name of a unit, in letters large or small, and keeps the
// usual one.
func (w whatIf) setUnits(s string) error {
	name := strings.ToLower(s)
	for _, u := range gapscan.Units() {
		if u.Name == name || slices.Contains(u.Also, name) {
			w.Units = u.Name
			return nil
		}
	}
	return errors.New("must be " + unitNames)
}
