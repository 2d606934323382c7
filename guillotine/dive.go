package guillotine

import (
	"cmp"
	"slices"
)

// diver makes plans from linear programmes: the blank that the programme uses most is
// cut, the programme solved anew for what is left, blanks generated as they are
// needed, and so on (diving; Gilmore and Gomory 1961 for the generating).
type diver struct {
	s      *slitter
	h      *shared
	pool   []load
	have   map[string]bool
	weight []int64 // of the programme for all pieces
	scale  float64
	luck   chance
	floor  int64 // steps left in the meter at which diving ends
}

const (
	// atOnce is how many blanks are generated before the programme is solved again.
	atOnce = 8
	// rootRounds and deepRounds bound the generating, for all pieces and on the way
	// down (assumed: more gave no better plans).
	rootRounds, deepRounds = 200, 2
	// mostDived bounds the pool that a programme starts from (assumed).
	mostDived = 250
	// worse bounds, in units of cost, how much worse a plan may become (assumed).
	worse = 3
)

func (d *diver) going() bool { return !d.s.meter.done && d.s.meter.left > d.floor }

// keep adds a blank to the pool.
func (d *diver) keep(b load) {
	if k := key(b.extent.cost, b.holds); !d.have[k] && b.lanes != nil {
		d.have[k] = true
		d.pool = append(d.pool, b)
	}
}

// generate adds blanks to the programme until none gains, or the rounds end; it gives
// the programme's cost.
func (d *diver) generate(m *master, rounds int) float64 {
	for range rounds {
		least := m.solve()
		weight, scale := m.weights()
		if !d.h.prices(weight, m.left) || !d.going() || d.columns(m, weight, scale) == 0 {
			return least
		}
	}
	return m.solve()
}

// columns adds the blanks that hold most for their cost.
func (d *diver) columns(m *master, weight []int64, scale float64) int {
	s, p := d.s, d.h.p
	added := 0
	done := make([]bool, len(s.extents))
	for added < atOnce {
		e := p.richestBut(done)
		if e < 0 || float64(p.total[e]) <= scale*float64(s.extents[e].cost)*(1+1e-6) {
			break
		}
		b, known := d.h.blank(e)
		if !known {
			continue
		}
		done[e] = true
		if float64(weigh(b, weight)) > scale*float64(b.extent.cost)*(1+1e-6) && m.add(b) {
			d.keep(b)
			added++
		}
	}
	return added
}

func weigh(b load, weight []int64) int64 {
	sum := int64(0)
	for k, n := range b.holds {
		sum += int64(n) * weight[k]
	}
	return sum
}

// dive plans the pieces of count for less than limit; nil where that fails.
func (d *diver) dive(count []int, limit int64) []load {
	s, left := d.s, slices.Clone(count)
	var out []load
	loads, fixed := d.start(left), int64(0)
	for slices.Max(left) > 0 {
		m := s.newMaster(left, loads)
		least := d.generate(m, deepRounds)
		if !d.going() || float64(fixed)+least > float64(limit-1)+1e-6 {
			return nil
		}
		b, times := m.mostUsed()
		for ; times > 0; times-- {
			out, fixed = append(out, b), fixed+b.extent.cost
			for k, n := range b.holds {
				left[k] -= n
			}
		}
		left, loads = slices.Clone(left), m.loads
	}
	return out
}

// mostUsed is the blank that the programme uses most, and how often it can be cut.
func (m *master) mostUsed() (load, int) {
	best := 0
	x := m.lp.values()
	for j, v := range x {
		if v > x[best]+1e-9 {
			best = j
		}
	}
	b := m.s.clip(m.loads[best], m.left)
	return b, max(1, min(int(x[best]+1e-6), b.times(m.left)))
}

// start chooses of the pool what holds most of the pieces wanted for its cost.
func (d *diver) start(left []int) []load {
	type rated struct {
		b     load
		worth float64
	}
	var all []rated
	for _, b := range d.pool {
		v := int64(0)
		for k, n := range b.holds {
			v += int64(min(n, left[k])) * d.weight[k]
		}
		if w := float64(v) / (d.scale * float64(b.extent.cost)); w > 0.5 {
			all = append(all, rated{b, w})
		}
	}
	d.s.meter.spend(2 * len(d.pool) * len(left))
	slices.SortStableFunc(all, func(a, b rated) int { return cmp.Compare(b.worth, a.worth) })
	var out []load
	for _, r := range all[:min(len(all), mostDived)] {
		out = append(out, r.b)
	}
	return out
}

// again takes a few blanks of a plan apart, those that hold least for their cost
// first, and dives for their pieces anew; nil where that takes more coil than a little
// over, which is let pass so that the search moves on.
func (d *diver) again(plan []load) []load {
	s := d.s
	lost := make([]int64, len(plan))
	order := make([]int, len(plan))
	for i, b := range plan {
		order[i] = i
		loss := float64(b.extent.cost) - float64(weigh(b, d.weight))/d.scale
		lost[i] = int64(loss*1000)*int64(50+d.luck.below(100))/100 + int64(d.luck.below(4000))
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(lost[b], lost[a]) })
	count := make([]int, len(s.sizes))
	var out []load
	was := int64(0)
	few := 3 + d.luck.below(4)
	for i, j := range order {
		if i >= few {
			out = append(out, plan[j])
			continue
		}
		was += plan[j].extent.cost
		for k, n := range plan[j].holds {
			count[k] += n
		}
	}
	anew := d.dive(count, was+1+int64(d.luck.below(worse)))
	if anew == nil {
		return nil
	}
	return append(out, anew...)
}

// dives offers plans from dives, starting from blanks that are known.
func (s *slitter) dives(count []int, p *prices, known []load, floor int64) {
	d := &diver{s: s, h: newShared(p), have: map[string]bool{}, luck: 1, floor: floor}
	for _, b := range known {
		d.keep(b)
	}
	m := s.newMaster(count, d.pool)
	d.generate(m, rootRounds)
	d.weight, d.scale = m.weights()
	plan := s.best
	if first := d.dive(count, s.cost); first != nil {
		s.offer(first)
		plan = first
	}
	for tries := 0; tries < 10*len(plan) && len(plan) > 1 && !s.closed() && d.going(); tries++ {
		if other := d.again(plan); other != nil {
			plan = other
			if s.offer(plan) {
				tries = 0
			}
		}
	}
}
