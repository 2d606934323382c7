package pack

import (
	"slices"
	"sort"
)

// use is a pattern cut several times alike; packing is a whole plan of them.
type use struct {
	pattern
	times int
}

type packing []use

func (m *model) objective(p packing) int64 {
	sum := int64(0)
	for _, u := range p {
		sum += m.supplies[u.supply].cost * int64(u.times)
	}
	return sum
}

// filler looks for the pattern that leaves least slack in a room: depth first,
// longest kinds first, so that its first leaf is first fit decreasing and what
// follows is the least-slack search of Gupta and Ho (1999, from memory).
type filler struct {
	m      *model
	left   []int   // demand not yet packed
	suffix []int64 // length left in kinds i, i+1, ...
	opened []int   // per class, how many chosen kinds belong to it
	chosen []entry
	best   []entry
	slack  int64
	nodes  int
}

func newFiller(m *model) *filler {
	return &filler{m: m, left: m.demands(), suffix: make([]int64, len(m.kinds)+1), opened: make([]int, m.classes)}
}

// fill returns the best pattern found for a room in at most the given nodes;
// with lead the longest piece that fits must be part of it.
func (f *filler) fill(room int64, nodes int, lead bool) []entry {
	for i := len(f.left) - 1; i >= 0; i-- {
		f.suffix[i] = f.suffix[i+1] + int64(f.left[i])*f.m.kinds[i].length
	}
	f.best, f.slack, f.nodes, f.chosen = f.best[:0], room, nodes, f.chosen[:0]
	f.search(f.firstFit(0, room-f.m.setup), room, lead)
	return slices.Clone(f.best)
}

// firstFit is the first kind from i on that is no longer than the room.
func (f *filler) firstFit(i int, room int64) int {
	kinds := f.m.kinds[i:]
	return i + sort.Search(len(kinds), func(j int) bool { return kinds[j].length <= room })
}

func (f *filler) search(from int, room int64, lead bool) {
	if room < f.slack {
		f.slack = room
		f.best = append(f.best[:0], f.chosen...)
	}
	for i := f.firstFit(from, room); i < len(f.left); i++ {
		if room-f.suffix[i] >= f.slack || f.slack == 0 || f.nodes <= 0 {
			return
		}
		if f.left[i] == 0 {
			continue
		}
		k := f.m.kinds[i]
		fee := f.m.setup
		if fee > 0 && f.opened[k.class] > 0 {
			fee = 0
		}
		most := min(int64(f.left[i]), (room-fee)/k.length)
		if room < fee {
			most = 0
		}
		f.opened[k.class]++
		for n := most; n > 0 && f.nodes > 0 && f.slack > 0; n-- {
			f.nodes--
			f.chosen = append(f.chosen, entry{i, int(n)})
			f.search(i+1, room-fee-n*k.length, false)
			f.chosen = f.chosen[:len(f.chosen)-1]
		}
		f.opened[k.class]--
		if lead && most > 0 {
			return
		}
	}
}

// take removes a pattern from the demand as often as it fits, at most limit
// times, and returns how often that was.
func (f *filler) take(p []entry, limit int) int {
	times := limit
	for _, e := range p {
		times = min(times, f.left[e.kind]/e.n)
	}
	for _, e := range p {
		f.left[e.kind] -= times * e.n
	}
	return times
}

func (f *filler) empty() bool {
	return !slices.ContainsFunc(f.left, func(n int) bool { return n > 0 })
}

// greedy packs bin after bin, each time the supply that costs least for what
// it holds; it is given supplies' bins in stock. It returns nil when they run out.
func (m *model) greedy(left []int, stock []int, nodes int, lead bool) packing {
	f := newFiller(m)
	copy(f.left, left)
	stock = slices.Clone(stock)
	var plan packing
	for !f.empty() {
		k, take := m.nextBin(f, stock, nodes, lead)
		if len(take) == 0 {
			return nil
		}
		times := f.take(take, stock[k])
		stock[k] -= times
		plan = append(plan, use{pattern{k, take}, times})
	}
	return m.downsize(plan, stock)
}

// nextBin fills one bin of each supply and keeps the one that costs least for
// its load; a bin that takes all that is left is judged by its cost alone.
func (m *model) nextBin(f *filler, stock []int, nodes int, lead bool) (int, []entry) {
	best, rate := -1, 0.0
	var take []entry
	for k, s := range m.supplies {
		if stock[k] == 0 {
			continue
		}
		t := f.fill(s.room, nodes, lead)
		if len(t) == 0 {
			continue
		}
		r := float64(s.cost) / float64(m.load(t))
		if best < 0 || r < rate {
			best, rate, take = k, r, t
		}
	}
	return best, take
}

// targeted packs into exactly the given bins, longest supply first or last; nil when
// the pieces do not all find room.
func (m *model) targeted(bins []int, nodes int, lead, shortFirst bool) packing {
	f := newFiller(m)
	var plan packing
	for j := range bins {
		k := j
		if shortFirst {
			k = len(bins) - 1 - j
		}
		for left := bins[k]; left > 0; {
			take := f.fill(m.supplies[k].room, nodes, lead)
			if len(take) == 0 {
				break
			}
			times := f.take(take, left)
			left -= times
			plan = append(plan, use{pattern{k, take}, times})
		}
	}
	if !f.empty() {
		return nil
	}
	return plan
}

// downsize moves each pattern to the cheapest supply that still holds it.
func (m *model) downsize(plan packing, stock []int) packing {
	var out packing
	for _, u := range plan {
		load := m.load(u.take)
		for u.times > 0 {
			k := m.cheapestHolding(load, stock, u.supply)
			n := u.times
			if k != u.supply {
				n = min(n, stock[k])
				stock[k] -= n
				stock[u.supply] += n
			}
			out = append(out, use{pattern{k, u.take}, n})
			u.times -= n
		}
	}
	return out
}

func (m *model) cheapestHolding(load int64, stock []int, now int) int {
	best := now
	for k, s := range m.supplies {
		if stock[k] > 0 && s.room >= load && s.cost < m.supplies[best].cost {
			best = k
		}
	}
	return best
}
