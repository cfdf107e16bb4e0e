package batch

import (
	"context"
	"sync/atomic"

	"golang.org/x/sync/semaphore"
)

// DefaultMemory is the bound where none is given, bytes: what a small computer
// has to spare. A model of a million triangles fits.
const DefaultMemory = 1 << 30

// What a model takes at most, in bytes. Measured as the peak of the heap, with
// what is not collected yet, over the way from file to result on three
// machines; models of 2 thousand to a million triangles and 300 to 5 million
// points in layers.
const (
	// costBase is what any model may take: the collector begins at 4 MiB.
	costBase = 8 << 20
	// costPerByte is for a byte of the file while it is read, beside what its
	// models take by themselves.
	costPerByte = 3
	// costPerTriangle is for a triangle while the model is placed, and after.
	costPerTriangle = 250
	// costPerPoint is for a point of the contours of all layers.
	costPerPoint = 110
)

func loadCost(bytes int64) int64 { return costBase + costPerByte*bytes }

func placeCost(triangles int) int64 { return costBase + costPerTriangle*int64(triangles) }

func judgeCost(triangles, points int) int64 {
	return placeCost(triangles) + costPerPoint*int64(points)
}

// budget is the memory that may be set aside. Only the one who reads and
// places models takes from it; those at work give back what was taken for them
// and wait for nothing, so that whoever waits gets what it needs in the end.
type budget struct {
	free *semaphore.Weighted
	held atomic.Int64
	most int64 // the most that was ever held; only the taker touches it
}

func newBudget(bound int64) *budget { return &budget{free: semaphore.NewWeighted(bound)} }

// take sets n bytes aside, n at most the bound less what the caller holds,
// and waits until they are free. Nothing is taken where n is not above 0. It
// tells what was taken; the error is the context's.
func (b *budget) take(ctx context.Context, n int64) (int64, error) {
	if n <= 0 {
		return 0, ctx.Err()
	}
	if err := b.free.Acquire(ctx, n); err != nil {
		return 0, err
	}
	b.most = max(b.most, b.held.Add(n))
	return n, nil
}

func (b *budget) give(n int64) {
	b.held.Add(-n)
	b.free.Release(n)
}
