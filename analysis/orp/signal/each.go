package signal

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Each does f for 0 … n-1 on all cores. f(i) must touch nothing that another f
// touches, so that the result does not depend on the number of cores.
func Each(n int, f func(i int)) {
	workers := min(n, runtime.GOMAXPROCS(0))
	if workers < 2 {
		for i := range n {
			f(i)
		}
		return
	}
	var next atomic.Int64
	var wg sync.WaitGroup
	for range workers {
		wg.Go(func() {
			for {
				i := int(next.Add(1)) - 1
				if i >= n {
					return
				}
				f(i)
			}
		})
	}
	wg.Wait()
}
