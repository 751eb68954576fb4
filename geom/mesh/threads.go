package mesh

import (
	"runtime"
	"sync"
)

// No result in this package depends on the number of threads.

const (
	mostThreads = 8      // more share one memory to no end
	few         = 20_000 // faces or vertices: not worth a thread
)

func threads() int { return min(mostThreads, runtime.GOMAXPROCS(0)) }

// together runs f for each part at the same time.
func together(parts int, f func(part int)) {
	var all sync.WaitGroup
	for k := 1; k < parts; k++ {
		all.Go(func() { f(k) })
	}
	f(0)
	all.Wait()
}

// each runs f over stretches of 0..n, on several threads where there is much to do.
func each(n int, f func(from, to int)) {
	parts := threads()
	if n < few {
		parts = 1
	}
	together(parts, func(k int) { f(k*n/parts, (k+1)*n/parts) })
}
