package batch

import (
	"errors"
	"strings"
	"testing"

	"playgauge/gapscan"
)

func TestWorstFirst(t *testing.T) {
	row := func(name string, margin float64, outcomes ...gapscan.Outcome) Row {
		r := Row{Name: name}
		for _, o := range outcomes {
			c := Cell{Outcome: o}
			if o != gapscan.NoJoint {
				c.Margin = &margin
			}
			r.Cells = append(r.Cells, c)
		}
		return r
	}
	const welds, sticks, closeTo, free, none = gapscan.Welds, gapscan.Sticks, gapscan.Close, gapscan.Free, gapscan.NoJoint
	// As they should come out: the machine that does best decides first.
	want := []Row{
		{Name: "broken", Err: errors.New("broken")},
		{Name: "broken too", Err: errors.New("broken")},
		row("nowhere, contact", 0, welds, welds, welds),
		row("nowhere", 0.3, welds, welds, welds),
		row("cracks on one", 0.1, welds, sticks, welds),
		row("close on one", 0.9, closeTo, welds, sticks),
		row("free on one", 0.1, welds, welds, free),
		row("free on one, sticks on one", 0.1, sticks, free, welds),
		row("free on two", 0.8, free, sticks, free),
		row("free on two, equal to the one before", 0.8, free, free, sticks),
		row("free on all", 1.3, free, free, free),
		row("no joint", 0, none, none, none),
	}
	for _, order := range [][]int{
		{0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11},
		{11, 10, 8, 9, 7, 6, 5, 4, 3, 2, 0, 1},
		{5, 8, 0, 3, 11, 9, 1, 6, 10, 4, 2, 7},
	} {
		var rows []Row
		for _, i := range order {
			rows = append(rows, want[i])
		}
		WorstFirst(rows)
		var got, names []string
		for i := range rows {
			got, names = append(got, rows[i].Name), append(names, want[i].Name)
		}
		if strings.Join(got, "|") != strings.Join(names, "|") {
			t.Errorf("%q, want %q", got, names)
		}
	}
}
