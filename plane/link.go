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

// grouping is the order of items by key: those of key k are
// order[start[k]:start[k+1]].
type grouping struct{ order, start []int32 }

func (g grouping) of(k int) []int32 { return g.order[g.start[k]:g.start[k+1]] }

// group orders items 0..n-1 by key, 0 <= key < keys, in the memory of g, and keeps
// the order among equals.
func (g *grouping) group(n, keys int, key func(i int) int32) {
	g.order, g.start = zeroed(g.order, n), zeroed(g.start, keys+2)
	for i := range n {
		g.start[key(i)+2]++
	}
	for k := 2; k < len(g.start); k++ {
		g.start[k] += g.start[k-1]
	}
	for i := range n {
		at := &g.start[key(i)+1]
		g.order[*at] = int32(i)
		*at++
	}
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

// sides holds the events and level edges of every side, ascending in x once linked.
type sides struct {
	events   []event
	levels   []level
	eventsOf grouping
	levelsOf grouping
}

// bySide lists what meets every side.
func (s *sweep) bySide() {
	n, d := 2*len(s.touching), &s.byLine
	d.eventsOf.group(2*len(s.chains), n, s.side)
	d.events = emptied(d.events, 2*len(s.chains))
	for _, i := range d.eventsOf.order {
		c := &s.chains[i>>1]
		if i&1 != 0 {
			d.events = append(d.events, event{s.vertices[c.first].X, i >> 1, true})
		} else {
			d.events = append(d.events, event{s.vertices[c.end-1].X, i >> 1, false})
		}
	}
	d.levelsOf.group(len(s.levels), n, func(i int) int32 { return s.levels[i].side })
	d.levels = emptied(d.levels, len(s.levels))
	for _, i := range d.levelsOf.order {
		d.levels = append(d.levels, s.levels[i])
	}
}

// eventsOn and levelsOn give what meets sides a to b-1.
func (d *sides) eventsOn(a, b int) []event { return d.events[d.eventsOf.start[a]:d.eventsOf.start[b]] }
func (d *sides) levelsOn(a, b int) []level { return d.levels[d.levelsOf.start[a]:d.levelsOf.start[b]] }

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
func (s *sweep) link(side int) bool {
	d := &s.byLine
	ev, levels := d.eventsOn(side, side+1), d.levelsOn(side, side+1)
	sortEvents(ev)
	if len(levels) > 1 {
		slices.SortFunc(levels, func(a, b level) int { return cmp.Compare(a.a, b.a) })
	}
	if len(ev)&1 != 0 {
		return false
	}
	up := side&1 == 0
	at, end := d.levelsOf.start[side], d.levelsOf.start[side+1]
	for i := 0; i < len(ev); i += 2 {
		from, to := ev[i], ev[i+1]
		if from.x >= to.x || i > 0 && ev[i-1].x >= from.x {
			return false
		}
		first := at
		for at < end && d.levels[at].b <= to.x {
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
