package analysis

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// parallel calls do for 0 … n-1, on all cores. Each call writes only what is its
// own, so that the result does not depend on the number of cores.
func parallel(n int, do func(i int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), n) {
		wg.Go(func() {
			for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
				do(i)
			}
		})
	}
	wg.Wait()
}
