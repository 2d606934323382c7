package guillotine

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
// among the shapes that a better plan may have.
func (t *tree) proposals() (all []proposal, richest proposal) {
	s, looked := t.s, 0
	for e, setups := range t.live {
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

// keep leaves out the shapes that are not to be kept, of a list that may be shared.
func (t *tree) keep(kept func(shape int) bool) {
	P, n := len(t.setups), 0
	for _, setups := range t.live {
		n += len(setups)
	}
	all, live := make([]int32, 0, n), make([][]int32, len(t.live))
	for e, setups := range t.live {
		from := len(all)
		for _, i := range setups {
			if kept(e*P + int(i)) {
				all = append(all, i)
			}
		}
		live[e] = all[from:len(all):len(all)]
	}
	t.live = live
}

// bar leaves out the shapes that no plan that is sought in the node has any of, by the duals
// of p: scaled so that no blank is worth more than it costs, they leave the other blanks
// of the plan all that the shape itself is not worth (fixing by reduced costs).
func (p *priced) bar() {
	t := p.t
	p.bound()
	_, richest := t.proposals()
	total, P := p.total(), len(t.setups)
	if richest.worth <= 0 {
		return
	}
	cost := t.s.extents[richest.extent].cost
	t.keep(func(shape int) bool {
		least := t.s.extents[shape/P].cost
		if rest := total - t.worth(shape/P, shape%P); rest > 0 {
			least += ceilDiv(rest, cost, richest.worth)
		}
		if p.n.depth == 0 {
			t.least[shape] = max(t.least[shape], min(least, t.over))
		}
		return least < t.over
	})
	t.s.meter.spend(30 * t.living())
	if t.climbing {
		p.n.live = t.live
	}
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
