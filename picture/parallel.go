package picture

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// parallel calls do for 0 to n-1 on as many goroutines as there are processors.
func parallel(n int, do func(i int)) {
	var next atomic.Int64
	workers(n, func(int) {
		for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
			do(i)
		}
	})
}

// workers calls do on as many goroutines as there are processors, n at most, with the
// number of each.
func workers(n int, do func(worker int)) {
	var wait sync.WaitGroup
	for k := range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(func() { do(k) })
	}
	wait.Wait()
}

// inTurn calls do for 0 to n-1 as parallel does, but neighbours one after the other on
// one goroutine as far as may be: for work that shares with its neighbours what whoever
// comes first must make, while others would wait for it. Who has done with its own turns
// takes half of what another has left.
func inTurn(n int, do func(i int)) {
	count := max(1, min(n, runtime.GOMAXPROCS(0)))
	var lock sync.Mutex
	left := make([][2]int, count) // from and to of each worker
	for k := range left {
		left[k] = [2]int{k * n / count, (k + 1) * n / count}
	}
	take := func(worker int) int {
		lock.Lock()
		defer lock.Unlock()
		own := &left[worker]
		if own[0] == own[1] {
			most := own
			for k := range left {
				if l := &left[k]; l[1]-l[0] > most[1]-most[0] {
					most = l
				}
			}
			own[0], own[1] = (most[0]+most[1])/2, most[1]
			most[1] = own[0]
		}
		if own[0] == own[1] {
			return n
		}
		own[0]++
		return own[0] - 1
	}
	workers(n, func(worker int) {
		for i := take(worker); i < n; i = take(worker) {
			do(i)
		}
	})
}
