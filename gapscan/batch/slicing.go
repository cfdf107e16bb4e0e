package batch

import (
	"playgauge/gapscan"
	"playgauge/gapscan/machine"
)

// slicing is the machines that share layer heights.
type slicing struct {
	whatIf  gapscan.WhatIf
	columns []column
}

// column is a machine and its place in the rows.
type column struct {
	at      int
	machine machine.Machine
}

// slicings gathers the columns by layer heights, in the order of their first
// columns. The machines' trials are fitted here, once for all models.
func slicings(w gapscan.WhatIf, columns []Column) []slicing {
	var out []slicing
	at := map[[2]float64]int{}
	for i, c := range columns {
		by := w
		if c.FirstMM != 0 {
			by.FirstMM = c.FirstMM
		}
		if c.RestMM != 0 {
			by.RestMM = c.RestMM
		}
		heights := [2]float64{by.FirstMM, by.RestMM}
		k, ok := at[heights]
		if !ok {
			k = len(out)
			at[heights] = k
			out = append(out, slicing{whatIf: by})
		}
		out[k].columns = append(out[k].columns, column{i, c.Machine.WithFits()})
	}
	return out
}
