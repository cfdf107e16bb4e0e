package slot

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// eachWorker does 0..n-1 on all processors, each number once; start makes one
// worker's function, with memory of its own.
func eachWorker(n int, start func() func(k int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wg.Go(func() {
			do := start()
			for {
				k := int(next.Add(1)) - 1
				if k >= n {
					return
				}
				do(k)
			}
		})
	}
	wg.Wait()
}
