package batch

import (
	"context"
	"sync"

	"golang.org/x/sync/semaphore"

	"playgauge/gapscan"
	"playgauge/mesh"
)

// batch is one run. Files are read, and their models placed, one after
// another by whoever calls Run; each placed model is then sliced and judged by
// a goroutine of its own.
type batch struct {
	whatIf   gapscan.WhatIf
	slicings []slicing
	columns  int
	opt      Options
	memory   *budget
	workers  *semaphore.Weighted
	running  sync.WaitGroup
	rows     []*Row

	mu    sync.Mutex // guards what follows, and calls of Options.Done
	stats Stats
	files int // done
}

// file reads the models of a file and sets each to work. The error is the
// context's.
func (b *batch) file(ctx context.Context, f File) error {
	// Half is left for the models, however large the file.
	held, err := b.memory.take(ctx, min(loadCost(f.Bytes), b.opt.Memory/2))
	if err != nil {
		return err
	}
	defer b.memory.give(held)
	var models sync.WaitGroup
	for m, readErr := range f.Models {
		if err := ctx.Err(); err != nil {
			return err
		}
		row := &Row{Name: m.Name, Err: readErr}
		b.rows = append(b.rows, row)
		if readErr != nil {
			continue
		}
		b.count(func(s *Stats) { s.Loaded++ })
		if err := b.model(ctx, row, m.Soup, b.opt.Memory-held, &models); err != nil {
			return err
		}
	}
	b.running.Go(func() {
		models.Wait()
		b.mu.Lock()
		defer b.mu.Unlock()
		b.files++
		if b.opt.Done != nil && ctx.Err() == nil {
			b.opt.Done(b.files)
		}
	})
	return nil
}

// model places a model and sets it to be sliced and judged. The error is the
// context's.
func (b *batch) model(ctx context.Context, row *Row, soup *mesh.Soup, most int64, models *sync.WaitGroup) error {
	triangles := soup.Triangles()
	held, err := b.memory.take(ctx, min(placeCost(triangles), most))
	if err != nil {
		return err
	}
	placed, err := gapscan.Place(soup, b.whatIf)
	points := 0
	if err == nil {
		b.count(func(s *Stats) { s.Placed++ })
		points, err = b.points(placed)
	}
	if err != nil {
		row.Err = err
		b.memory.give(held)
		return nil
	}
	more, err := b.memory.take(ctx, min(judgeCost(triangles, points), most)-held)
	if err == nil {
		held += more
		err = b.workers.Acquire(ctx, 1)
	}
	if err != nil {
		b.memory.give(held)
		return err
	}
	models.Add(1)
	b.running.Go(func() {
		defer models.Done()
		defer b.memory.give(held)
		defer b.workers.Release(1)
		row.Cells, row.Err = b.judge(ctx, row.Name, placed)
	})
	return nil
}

// points is about how many points the layers of a placed model will have, at
// the layer heights that give the most.
func (b *batch) points(p *gapscan.Placed) (most int, err error) {
	for _, s := range b.slicings {
		n, err := p.Crossings(s.whatIf)
		if err != nil {
			return 0, err
		}
		most = max(most, n)
	}
	return most, nil
}

// judge slices a placed model by each of the layer heights, and judges it on
// the machines that share them.
func (b *batch) judge(ctx context.Context, name string, placed *gapscan.Placed) ([]Cell, error) {
	cells := make([]Cell, b.columns)
	for _, by := range b.slicings {
		sliced, err := placed.Slice(by.whatIf)
		if err != nil {
			return nil, err
		}
		b.count(func(s *Stats) { s.Sliced++ })
		for _, c := range by.columns {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			r := sliced.Judge(by.whatIf, c.machine)
			r.Model.File = name
			b.count(func(s *Stats) { s.Judged++ })
			cells[c.at] = cellOf(r)
			if b.opt.Encode != nil {
				if cells[c.at].Encoded, err = b.opt.Encode(r); err != nil {
					return nil, err
				}
			}
		}
	}
	return cells, nil
}

func (b *batch) count(add func(*Stats)) {
	b.mu.Lock()
	defer b.mu.Unlock()
	add(&b.stats)
}
