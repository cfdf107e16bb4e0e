// Package batch vets many models on many machines: each model is loaded and
// placed once, sliced once for all machines that share layer heights, and
// judged on every machine, several models side by side within a bound on
// memory.
package batch

import (
	"context"
	"iter"
	"runtime"

	"golang.org/x/sync/semaphore"

	"playgauge/gapscan"
	"playgauge/gapscan/machine"
	"playgauge/mesh"
)

// File is where models come from: usually one, of an archive several.
type File struct {
	// Bytes is the file's size, 0 where that is not known.
	Bytes int64
	// Models reads its models one after another; an error beside a model's
	// name stands for a model that could not be read. It is called once, and
	// never beside that of another file.
	Models iter.Seq2[Model, error]
}

// Model is a model as it was read.
type Model struct {
	// Name is what its row and its results are called.
	Name string
	Soup *mesh.Soup
}

// Column is one machine, and the layers it prints.
type Column struct {
	Machine machine.Machine
	// FirstMM and RestMM are the heights of layer 1 and of the others; 0
	// stands for the what-if's.
	FirstMM, RestMM float64
}

// Options of a run.
type Options struct {
	// Memory bounds what the models at work take, in bytes as estimated by
	// cost; a model that is larger by itself waits until it is alone. 0 stands
	// for DefaultMemory.
	Memory int64
	// Workers is how many models are sliced and judged side by side; 0 stands
	// for GOMAXPROCS. One more is read and placed meanwhile.
	Workers int
	// Encode, if there, is handed each whole result, of any model at any time,
	// also several at once; what it returns is kept in Cell.Encoded. An error
	// fails the row.
	Encode func(*gapscan.Result) ([]byte, error)
	// Done, if there, is called after each file with how many are done.
	Done func(files int)
}

// Row is one model on every machine.
type Row struct {
	Name string
	// Err is why the model could not be vetted; there are no cells then.
	Err error
	// Cells holds the answers in the order of the columns.
	Cells []Cell
}

// Stats counts what a run did.
type Stats struct {
	Loaded, Placed, Sliced, Judged int
	// MostBytes is the most memory that was set aside at any time, by the
	// estimate.
	MostBytes int64
}

// Run vets the models of the files, by a what-if, on every column. The rows stand in the
// order of the files and their models and do not depend on how many processors
// there are. Whatever is wrong with a model is its row's error; Run's own is
// the context's, and the rows are nil then.
func Run(ctx context.Context, files []File, w gapscan.WhatIf, columns []Column, opt Options) ([]Row, Stats, error) {
	if opt.Memory <= 0 {
		opt.Memory = DefaultMemory
	}
	if opt.Workers <= 0 {
		opt.Workers = runtime.GOMAXPROCS(0)
	}
	b := &batch{
		whatIf: w, slicings: slicings(w, columns), columns: len(columns), opt: opt,
		memory: newBudget(opt.Memory), workers: semaphore.NewWeighted(int64(opt.Workers)),
	}
	for _, f := range files {
		if err := b.file(ctx, f); err != nil {
			break
		}
	}
	b.running.Wait()
	b.stats.MostBytes = b.memory.most
	if err := ctx.Err(); err != nil {
		return nil, b.stats, err
	}
	rows := make([]Row, len(b.rows))
	for i, r := range b.rows {
		rows[i] = *r
	}
	return rows, b.stats, nil
}
