package cores_test

import (
	"runtime"
	"slices"
	"sync/atomic"
	"testing"

	"coilwright/cores"
)

// Each number comes once, and nobody returns before the last call has, on one processor
// and on more than there are numbers.
func TestEachNumberOnce(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(0))
	for _, processors := range []int{1, 2, 5} {
		runtime.GOMAXPROCS(processors)
		for _, n := range []int{0, 1, 3, 100} {
			for name, share := range map[string]func(int, func(int)){
				"each": cores.Each, "in turn": cores.InTurn,
				"bands": func(n int, do func(int)) {
					cores.Bands(n, 7, func(from, to int) {
						if to-from > 7 || to-from < 1 || from%7 != 0 {
							t.Errorf("a band from %d to %d of %d", from, to, n)
						}
						for i := from; i < to; i++ {
							do(i)
						}
					})
				},
			} {
				calls := make([]atomic.Int32, n)
				share(n, func(i int) {
					runtime.Gosched() // lets others overtake
					calls[i].Add(1)
				})
				for i := range calls {
					if c := calls[i].Load(); c != 1 {
						t.Errorf("%s, %d processors: %d of %d came %d times", name, processors, i, n, c)
					}
				}
			}
		}
	}
}

// Work in turn has neighbours one after the other: on one processor all, and who takes
// half of what another has left takes the later half.
func TestInTurnKeepsNeighbours(t *testing.T) {
	defer runtime.GOMAXPROCS(runtime.GOMAXPROCS(1))
	var order []int
	cores.InTurn(20, func(i int) { order = append(order, i) })
	if !slices.IsSorted(order) || len(order) != 20 {
		t.Errorf("on one processor the order is %v", order)
	}
	runtime.GOMAXPROCS(2)
	first, rest := make(chan bool), atomic.Int32{}
	cores.InTurn(20, func(i int) {
		if i == 0 { // held back until all others are done
			<-first
			return
		}
		if rest.Add(1) == 19 {
			close(first)
		}
	})
}
