// Package cores shares work among the processors of the machine. Who calls decides how the
// work is divided, so that an answer does not depend on how many there are.
package cores

import (
	"runtime"
	"sync"
	"sync/atomic"
)

// Each calls do for 0 to n-1 on as many goroutines as there are processors, and returns
// when all calls have.
func Each(n int, do func(i int)) {
	var next atomic.Int64
	workers(n, func(int) {
		for i := int(next.Add(1)) - 1; i < n; i = int(next.Add(1)) - 1 {
			do(i)
		}
	})
}

// Bands calls do as Each does, for bands of so many rows of a picture's: from a row up to
// another, the last band with what is left.
func Bands(rows, each int, do func(from, to int)) {
	Each((rows+each-1)/each, func(i int) { do(i*each, min(rows, (i+1)*each)) })
}

// InTurn calls do for 0 to n-1 as Each does, but neighbours one after the other on one
// goroutine as far as may be: for work that shares with its neighbours what whoever
// comes first must make, while others would wait for it. Who has done with its own turns
// takes half of what another has left.
func InTurn(n int, do func(i int)) {
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

// workers calls do on as many goroutines as there are processors, n at most, with the
// number of each.
func workers(n int, do func(worker int)) {
	var wait sync.WaitGroup
	for k := range min(n, runtime.GOMAXPROCS(0)) {
		wait.Go(func() { do(k) })
	}
	wait.Wait()
}
