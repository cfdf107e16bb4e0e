package overhang

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// eachWorker calls a function for 0..n-1, on all processors, each number
// once; start makes one worker's function.
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
