package mesh

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// forEach calls f with 0 to n-1, side by side, and waits. Results must be
// kept by index, so that their order does not depend on the processors.
func forEach(n int, f func(i int)) {
	workers := min(runtime.GOMAXPROCS(0), n)
	if workers <= 1 {
		for i := range n {
			f(i)
		}
		return
	}
	var nextJob atomic.Int64
	var wg sync.WaitGroup
	for range workers {
		wg.Go(func() {
			for i := int(nextJob.Add(1)) - 1; i < n; i = int(nextJob.Add(1)) - 1 {
				f(i)
			}
		})
	}
	wg.Wait()
}
