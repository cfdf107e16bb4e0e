package parallel

import (
	"runtime"
	"sync/atomic"
	"testing"
)

func TestEachNumberOnce(t *testing.T) {
	for _, procs := range []int{1, 2, 7} {
		defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(procs))
		for _, n := range []int{0, 1, 2, 100} {
			seen := make([]atomic.Int32, n)
			var workers atomic.Int32
			EachWorker(n, func() func(int) {
				workers.Add(1)
				return func(i int) { seen[i].Add(1) }
			})
			for i := range seen {
				if c := seen[i].Load(); c != 1 {
					t.Errorf("on %d processors, %d of %d was done %d times", procs, i, n, c)
				}
			}
			if w := int(workers.Load()); w > procs || w > n || n > 0 && w == 0 {
				t.Errorf("%d workers on %d processors for %d numbers", w, procs, n)
			}
		}
	}
}
