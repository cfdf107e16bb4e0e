// Package parallel spreads numbered work over the processors. Results are
// kept by number, so that nothing depends on how many there are.
package parallel

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Workers is how many workers there are at most.
func Workers() int { return runtime.GOMAXPROCS(0) }

// Each calls do with 0 to n-1, each number once, side by side, and waits.
func Each(n int, do func(i int)) {
	EachWorker(n, func() func(int) { return do })
}

// EachWorker is the same for work that keeps memory of its own: start makes
// one worker's function. With one processor nothing else runs.
func EachWorker(n int, start func() func(i int)) {
	workers := min(Workers(), n)
	if workers <= 1 {
		if n > 0 {
			do := start()
			for i := range n {
				do(i)
			}
		}
		return
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	for range workers {
		wg.Go(func() {
			do := start()
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	wg.Wait()
}

// Runs is the number of runs of a size that n numbers are cut into; the last
// may be shorter.
func Runs(n, size int) int { return (n + size - 1) / size }

// Block is how many numbers are done at a time where each is little work.
const Block = 1 << 15

// Blocks calls do for each run of Block numbers of 0 to n-1, with the number of
// the run and its bounds, side by side, and waits.
func Blocks(n int, do func(b, from, to int)) {
	Each(Runs(n, Block), func(b int) { do(b, b*Block, min(n, (b+1)*Block)) })
}
