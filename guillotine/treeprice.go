package guillotine

import (
	"math"
	"slices"
)

// tables price blanks for a node: what the best strip of a width in an extent is worth,
// and what the node's rules add to an extent, a lane or a setup. All whole numbers.
type tables struct {
	weight []int64
	rows   [][]int64 // [size][cells]: best strip exactly so long of sizes of its width up to it
	strip  [][]int64 // [width][extent]: best strip that fits
	at     [][]int   // its cells
	lane   [][]int64 // [width][extent]: what rules add to a lane
	shape  []int64   // [extent*setups+setup]: what rules add to a blank
	arcs   [][]toll  // of each size
}

// toll is what a rule adds to a strip that takes n of a size from a place.
type toll struct {
	from, n int
	worth   int64
}

// never is less than any worth.
const never = math.MinInt64 / 4

func (t *tree) newTables() tables {
	s, b := t.s, tables{}
	for range s.sizes {
		b.rows = append(b.rows, make([]int64, s.longest+1))
	}
	for range s.widths {
		b.strip = append(b.strip, make([]int64, len(s.extents)))
		b.at = append(b.at, make([]int, len(s.extents)))
		b.lane = append(b.lane, make([]int64, len(s.extents)))
	}
	b.weight, b.arcs = make([]int64, len(s.sizes)), make([][]toll, len(s.sizes))
	b.shape = make([]int64, len(s.extents)*len(t.setups))
	return b
}

// price fills the rows and finds the best strips.
func (t *tree) price() {
	s, b := t.s, &t.tables
	for w := range s.widths {
		var below []int64
		for k := s.first[w]; k < s.first[w+1]; k++ {
			t.row(b.rows[k], below, k)
			below = b.rows[k]
		}
		best, at, x := int64(never), 0, 0
		for e, ext := range s.extents {
			for ; x <= ext.cells; x++ {
				if below[x] > best {
					best, at = below[x], x
				}
			}
			b.strip[w][e], b.at[w][e] = best, at
		}
		s.meter.spend((s.first[w+1] - s.first[w]) * s.longest * 2)
	}
}

// row is one row of the bounded knapsack with lengths met exactly, and with tolls.
func (t *tree) row(row, below []int64, k int) {
	q, weight := t.s.sizes[k], t.tables.weight[k]
	if below == nil {
		for x := range row {
			row[x] = never
		}
		for n := 0; n <= t.count[k] && n*q.length < len(row); n++ {
			row[n*q.length] = int64(n) * weight
		}
	} else {
		copy(row, below)
		for n := 1; n <= t.count[k] && n*q.length < len(row); n++ {
			add, to := int64(n)*weight, row[n*q.length:]
			for x, v := range below[:len(to)] {
				to[x] = max(to[x], v+add)
			}
		}
	}
	for _, a := range t.tables.arcs[k] {
		x := a.from + a.n*q.length
		if x >= len(row) {
			continue
		}
		row[x] = never
		for n := 0; n <= t.count[k] && n*q.length <= x; n++ {
			row[x] = max(row[x], t.step(below, k, x, n))
		}
	}
}

// step is what a strip is worth that comes to x by taking n of size k.
func (t *tree) step(below []int64, k, x, n int) int64 {
	from, v := x-n*t.s.sizes[k].length, int64(0)
	if below != nil {
		v = below[from]
	} else if from > 0 {
		v = never
	}
	if v < never/2 {
		return never
	}
	for _, a := range t.tables.arcs[k] {
		if a.from == from && a.n == n {
			v += a.worth
		}
	}
	return v + int64(n)*t.tables.weight[k]
}

// trace is the best strip of width w in extent e: how many of each size of the width.
func (t *tree) trace(w, e int) []int {
	s, x := t.s, t.tables.at[w][e]
	lo := s.first[w]
	out := make([]int, s.first[w+1]-lo)
	for k := s.first[w+1] - 1; k >= lo; k-- {
		var below []int64
		if k > lo {
			below = t.tables.rows[k-1]
		}
		for n := 0; n <= t.count[k] && n*s.sizes[k].length <= x; n++ {
			if t.step(below, k, x, n) == t.tables.rows[k][x] {
				out[k-lo] = n
				x -= n * s.sizes[k].length
				break
			}
		}
	}
	return out
}

// proposal is the best setup of an extent, and what it is worth.
type proposal struct {
	extent, setup int
	worth         int64
}

// proposals gives the best blank of every extent, and the one worth most for its cost.
func (t *tree) proposals() (all []proposal, richest proposal) {
	s, b := t.s, &t.tables
	lane := make([]int64, len(s.widths))
	for e := range s.extents {
		for w := range lane {
			lane[w] = b.strip[w][e] + b.lane[w][e]
		}
		best := proposal{e, 0, never}
		for p, lanes := range t.setups {
			v := b.shape[e*len(t.setups)+p]
			for w, n := range lanes {
				v += int64(n) * lane[w]
			}
			if v > best.worth {
				best.setup, best.worth = p, v
			}
		}
		all = append(all, best)
		if best.worth > 0 && (richest.worth <= 0 || more(best.worth, s.extents[richest.extent].cost, richest.worth, s.extents[e].cost)) {
			richest = best
		}
	}
	s.meter.spend(len(s.extents) * len(t.setups) * 3)
	return all, richest
}

// column is a blank of the programme: all lanes of a width carry the same strip.
type column struct {
	extent, setup int
	strips        [][]int // [width]: how many of each size of the width; nil where no lane
	holds         []int
}

// column builds what is proposed.
func (t *tree) column(o proposal) *column {
	s := t.s
	c := &column{extent: o.extent, setup: o.setup, strips: make([][]int, len(s.widths)), holds: make([]int, len(s.sizes))}
	for w, n := range t.setups[o.setup] {
		if n == 0 {
			continue
		}
		c.strips[w] = t.trace(w, o.extent)
		for i, m := range c.strips[w] {
			c.holds[s.first[w]+i] = n * m
		}
	}
	return c
}

// clear forgets what rules added.
func (b *tables) clear() {
	clear(b.shape)
	for _, lane := range b.lane {
		clear(lane)
	}
	for k := range b.arcs {
		b.arcs[k] = b.arcs[k][:0]
	}
	b.weight = slices.Repeat([]int64{0}, len(b.weight))
}
