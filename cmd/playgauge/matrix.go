package main

import (
	"bytes"
	"compress/flate"
	"errors"
	"io"
	"strings"

	"playgauge/gapscan"
	"playgauge/gapscan/batch"
	"playgauge/gapscan/machine"
	"playgauge/report"
)

// mostReports is the number of models up to which each gets a report of its
// own: more would scroll away.
const mostReports = 5

// wantsMatrix says whether models are told of in one matrix: where that is
// asked for, or a folder, or several machines; and as text also of many models.
func (o *vetOptions) wantsMatrix(models int, folder bool) bool {
	return o.matrix || o.csv || folder || len(o.machines) > 1 || !o.json && models > mostReports
}

// vetMatrix vets all models on all machines and tells of them worst first.
func (a *app) vetMatrix(found []source, o vetOptions, machines []machine.Machine) int {
	found = once(found)
	m := &report.Matrix{WhatIf: o.whatIf}
	var columns []batch.Column
	for _, mc := range machines {
		columns = append(columns, batch.Column{Machine: mc})
		m.Machines = append(m.Machines, o.whatIf.UsedBy(mc))
	}
	var files []batch.File
	for _, s := range found {
		files = append(files, a.batchFile(s))
	}
	opt := batch.Options{}
	if o.json {
		opt.Encode = packedJSON
	}
	a.bar.show(a.stderr, len(files))
	opt.Done = func(int) { a.bar.step() }
	rows, _, err := batch.Run(a.ctx, files, o.whatIf, columns, opt)
	if err != nil {
		return statusInterrupted // the context's: the program was stopped
	}
	a.bar.clear()
	status := a.tellFailed(rows)
	vetted := false
	for i := range rows {
		for k := range rows[i].Cells {
			status = max(status, statusOf(rows[i].Cells[k].Outcome))
			vetted = true
		}
	}
	batch.WorstFirst(rows)
	m.Rows = rows
	var out bytes.Buffer
	switch {
	case o.json:
		return a.putLines(rows, status)
	case o.csv:
		err = report.MatrixCSV(&out, m)
	case vetted:
		for i := range rows {
			rows[i].Name = shownRow(rows[i].Name)
		}
		err = report.MatrixText(&out, m, a.style())
	}
	if err != nil {
		a.message("vet: %s", err)
		return statusFile
	}
	return a.print(out.String(), status)
}

// batchFile is a source as the batch reads it. Its models are called by the
// whole path, so that equal names in several folders are told apart.
func (a *app) batchFile(s source) batch.File {
	return batch.File{Bytes: s.bytes, Models: func(yield func(batch.Model, error) bool) {
		models, c, err := a.open(s)
		if err != nil {
			yield(batch.Model{Name: s.file}, err)
			return
		}
		defer c.Close()
		for _, m := range models {
			soup, err := m.source.Read()
			if !yield(batch.Model{Name: m.inside(s.file), Soup: soup}, err) {
				return
			}
		}
	}}
}

// shownRow is how messages and the text call a row: a model from standard
// input as shownName does, with what it is called in there.
func shownRow(name string) string {
	file, inside, packed := strings.Cut(name, ": ")
	if file != stdinName {
		return name
	}
	if !packed {
		return shownName(file)
	}
	return shownName(file) + ": " + inside
}

// tellFailed writes a message for each model that was not vetted; a row's
// error loses the name of the file, which stands beside it.
func (a *app) tellFailed(rows []batch.Row) int {
	status := statusOK
	for i := range rows {
		if rows[i].Err != nil {
			rows[i].Err = errors.New(oneLine(reason(rows[i].Err)))
			a.message("vet: %s: %s", shownRow(rows[i].Name), rows[i].Err)
			status = statusFile
		}
	}
	return status
}

// packedJSON is a result as a line of JSON, packed: all lines are held until
// the order is known.
func packedJSON(r *gapscan.Result) ([]byte, error) {
	var b bytes.Buffer
	z, err := flate.NewWriter(&b, flate.DefaultCompression)
	if err == nil {
		err = report.JSON(z, r)
	}
	if err == nil {
		err = z.Close()
	}
	return b.Bytes(), err
}

// putLines writes a line of JSON for each model and machine, and one for a
// model that failed.
func (a *app) putLines(rows []batch.Row, status int) int {
	for i := range rows {
		var lines strings.Builder
		if err := rows[i].Err; err != nil {
			// A builder takes it, and texts can always be encoded.
			_ = writeFailed(&lines, rows[i].Name, err.Error())
		}
		for k := range rows[i].Cells {
			// What was packed in memory can be unpacked.
			_, _ = io.Copy(&lines, flate.NewReader(bytes.NewReader(rows[i].Cells[k].Encoded)))
		}
		if err := a.put(lines.String()); err != nil {
			return a.putFailed(err, status)
		}
	}
	return status
}

// findMachines reads the machines to judge by, or says why it cannot. Each
// must have a name of its own, by which it is told from the others.
func (a *app) findMachines(o vetOptions) ([]machine.Machine, int) {
	if len(o.machines) == 0 {
		return []machine.Machine{machine.BuiltIn()}, statusOK
	}
	var out []machine.Machine
	by := map[string]string{} // what was given, by the machine's name
	for _, given := range o.machines {
		mc, status := a.findMachine("vet", given)
		if status != statusOK {
			return nil, status
		}
		if before, there := by[mc.Name]; there {
			if sameFile(mc.File, out[len(out)-1].File) || before == given {
				a.message("vet: --machine %s is given twice", given)
			} else {
				a.message("vet: --machine %s and --machine %s are both called %q: give one of them another name", before, given, mc.Name)
			}
			return nil, statusUsage
		}
		by[mc.Name] = given
		out = append(out, mc)
	}
	return out, statusOK
}
