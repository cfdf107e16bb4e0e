package gapscan

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// eachParallel calls do for 0..n-1, on all processors, each number once.
func eachParallel(n int, do func(i int)) {
	eachWorker(n, func() func(int) { return do })
}

// eachWorker is the same for work that keeps memory of its own: start makes
// one worker's function.
func eachWorker(n int, start func() func(i int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wg.Go(func() {
			do := start()
			for {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				do(i)
			}
		})
	}
	wg.Wait()
}
