package guillotine

import "slices"

// tables price blanks for a node: what its rules add to a lane, or to a blank. All whole
// numbers.
type tables struct {
	weight []int64   // of each size, about what the rules make it worth
	lane   [][]int64 // [width][extent]
	blank  []int64   // [extent]
	shape  []int64   // [extent*setups+setup]
}

// never is less than any worth.
const never = -1 << 60

func (t *tree) newTables() tables {
	s, b := t.s, tables{}
	for range s.widths {
		b.lane = append(b.lane, make([]int64, len(s.extents)))
	}
	b.blank, b.weight = make([]int64, len(s.extents)), make([]int64, len(s.sizes))
	b.shape = make([]int64, len(s.extents)*len(t.setups))
	return b
}

// proposal is the best setup of an extent, and what it is worth.
type proposal struct {
	extent, setup int
	worth         int64
}

// worth is what a shape is worth.
func (t *tree) worth(e, i int) int64 {
	v := t.tables.shape[e*len(t.setups)+i] + t.tables.blank[e]
	for w, n := range t.setups[i] {
		if n > 0 {
			v += int64(n) * t.tables.lane[w][e]
		}
	}
	return v
}

// proposals gives the best blank of every extent, and the one worth most for its cost,
// among the shapes that are live.
func (t *tree) proposals(live [][]int32) (all []proposal, richest proposal) {
	s, looked := t.s, 0
	for e, setups := range live {
		best := proposal{e, 0, never}
		for _, i := range setups {
			if v := t.worth(e, int(i)); v > best.worth {
				best.setup, best.worth = int(i), v
			}
		}
		looked += len(setups)
		if best.worth == never {
			continue
		}
		all = append(all, best)
		if best.worth > 0 && (richest.worth <= 0 || more(best.worth, s.extents[richest.extent].cost, richest.worth, s.extents[e].cost)) {
			richest = best
		}
	}
	s.meter.spend(looked * len(s.widths))
	return all, richest
}

// boundShapes leaves out of the node the shapes that no better plan in it has any of, by the
// duals: scaled so that no blank is worth more than it costs, they leave the other blanks of
// the plan all that the shape itself is not worth (fixing by reduced costs).
func (p *priced) boundShapes() {
	t := p.t
	p.bound()
	_, richest := t.proposals(p.n.live)
	total, looked := p.total(), 0
	if richest.worth <= 0 {
		return
	}
	cost, live := t.s.extents[richest.extent].cost, slices.Clone(p.n.live)
	for e, setups := range live {
		barred := func(i int32) bool {
			least := t.s.extents[e].cost
			if rest := total - t.worth(e, int(i)); rest > 0 {
				least += ceilDiv(rest, cost, richest.worth)
			}
			return least >= t.s.cost
		}
		if slices.ContainsFunc(setups, barred) {
			live[e] = slices.DeleteFunc(slices.Clone(setups), barred)
		}
		looked += len(setups)
	}
	t.s.meter.spend(looked * 30)
	p.n.live = live
}

// clear forgets what rules added.
func (b *tables) clear() {
	clear(b.shape)
	clear(b.weight)
	clear(b.blank)
	for _, lane := range b.lane {
		clear(lane)
	}
}
