package plane

import (
	"cmp"
	"slices"
)

// event is where a chain meets a line.
type event struct {
	x     Length
	chain int32
	start bool // the chain starts here, else it ends
}

// grouped orders items 0..n-1 by key, 0 <= key < keys, and keeps the order among
// equals: those of key k are order[start[k]:start[k+1]].
func grouped(n, keys int, key func(i int) int32) (order, start []int32) {
	order, start = make([]int32, n), make([]int32, keys+2)
	for i := range n {
		start[key(i)+2]++
	}
	for k := 2; k < len(start); k++ {
		start[k] += start[k-1]
	}
	for i := range n {
		at := &start[key(i)+1]
		order[*at] = int32(i)
		*at++
	}
	return order, start[:keys+1]
}

// side numbers the two sides of bands: where chain i/2 ends, or (i odd) starts.
func (s *sweep) side(i int) int32 {
	c := &s.chains[i>>1]
	floor := c.floorTo
	if i&1 != 0 {
		floor = c.floorFrom
	}
	if floor {
		return 2 * c.band
	}
	return 2*c.band + 1
}

// sides holds the events and level edges of every side, ascending in x.
type sides struct {
	events     []event
	start      []int32 // by side
	levels     []level
	levelStart []int32
}

func (s *sweep) bySide() sides {
	n := 2 * len(s.touching)
	var d sides
	order, start := grouped(2*len(s.chains), n, s.side)
	d.start, d.events = start, make([]event, len(order))
	for k, i := range order {
		c := &s.chains[i>>1]
		if i&1 != 0 {
			d.events[k] = event{s.vertices[c.first].X, i >> 1, true}
		} else {
			d.events[k] = event{s.vertices[c.end-1].X, i >> 1, false}
		}
	}
	order, d.levelStart = grouped(len(s.levels), n, func(i int) int32 { return s.levels[i].side })
	d.levels = make([]level, len(order))
	for k, i := range order {
		d.levels[k] = s.levels[i]
	}
	return d
}

// sortEvents sorts by x: by insertion, which suits what the walk left nearly
// sorted, and in n log n where that takes too many steps.
func sortEvents(ev []event) {
	steps := 8 * len(ev)
	for i := 1; i < len(ev); i++ {
		e := ev[i]
		j := i
		for ; j > 0 && ev[j-1].x > e.x; j-- {
			ev[j] = ev[j-1]
		}
		ev[j] = e
		if steps -= i - j; steps < 0 {
			slices.SortFunc(ev, func(a, b event) int { return cmp.Compare(a.x, b.x) })
			return
		}
	}
}

// link leads the end of every chain along one side to the start of the next. It
// says false where chains touch, so that more than their x decides.
func (s *sweep) link(d *sides, side int) bool {
	ev, levels := d.events[d.start[side]:d.start[side+1]], d.levels[d.levelStart[side]:d.levelStart[side+1]]
	sortEvents(ev)
	if len(levels) > 1 {
		slices.SortFunc(levels, func(a, b level) int { return cmp.Compare(a.a, b.a) })
	}
	if len(ev)&1 != 0 {
		return false
	}
	up := side&1 == 0
	at := d.levelStart[side]
	for i := 0; i < len(ev); i += 2 {
		from, to := ev[i], ev[i+1]
		if from.x >= to.x || i > 0 && ev[i-1].x >= from.x {
			return false
		}
		first := at
		for int(at) < int(d.levelStart[side+1]) && d.levels[at].b <= to.x {
			at++
		}
		if !up {
			from, to = to, from
		}
		if from.start || !to.start {
			return false
		}
		c := &s.chains[from.chain]
		c.next, c.levels = to.chain, [2]int32{first, at}
	}
	return true
}
