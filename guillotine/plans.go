package guillotine

import "slices"

// chance is a sequence of numbers that looks random and is the same every time
// (multiplier and increment of Knuth's MMIX, from memory).
type chance uint64

// below gives a number from 0 to n-1.
func (c *chance) below(n int) int {
	*c = *c*6364136223846793005 + 1442695040888963407
	return int(uint64(*c) >> 33 % uint64(n))
}

// planner makes plans: blank after blank by worth, worths corrected by what each
// blank wasted (sequential value correction; Mukhacheva 2000, from memory), and the
// best plan's blanks taken apart and cut anew, a few at a time.
type planner struct {
	s      *slitter
	p      *prices
	base   []int64 // worth of a piece: what the proof gives it, or its area
	luck   chance
	budget int64 // steps left in the meter at which planning ends
	plan   []load
	pool   pool
}

// planSteps and diveSteps bound the work on plans before branch and bound takes over, the
// dives counted from the start (assumed).
const planSteps, diveSteps = 140_000_000, 250_000_000

// Attempts without gain after which planning ends (assumed).
const patience = 300

// plans offers plans and gives back the blanks that they were made of.
func (s *slitter) plans(count []int) []load {
	g := &planner{s: s, p: s.newPrices(), luck: 1, budget: s.meter.left - min(s.meter.left/5, planSteps), pool: pool{have: map[string]bool{}}}
	g.p.short = true
	for k, q := range s.sizes {
		w := int64(q.width) * int64(q.length)
		if s.proof.weight != nil {
			w = max(1, s.proof.weight[k]/int64(1+s.proof.worth>>40))
		}
		g.base = append(g.base, w)
	}
	s.offer(s.shelves(count))
	for i := 0; i < 6 && !s.closed() && g.going(); i++ {
		if plan := g.greedy(count, i); plan != nil {
			s.offer(plan)
		}
	}
	g.plan = s.best
	for round, tries := 1, 0; tries < patience && !s.closed() && g.going(); round, tries = round+1, tries+1 {
		better := g.again()
		if round%gathered == 0 {
			g.pool.thin(s)
			if plan := g.recombine(count); plan != nil {
				better = s.offer(plan) || better
				if cost(plan) <= cost(g.plan) {
					g.plan = plan
				}
			}
		}
		if better {
			tries = 0
		}
	}
	return append(g.pool.loads, s.best...)
}

func (g *planner) going() bool { return !g.s.meter.done && g.s.meter.left > g.budget }

// shelves is the plan of last resort: each size by itself, side by side.
func (s *slitter) shelves(count []int) []load {
	var out []load
	for k, n := range count {
		for n > 0 {
			b := s.abreast(k, n)
			for ; n >= b.holds[k]; n -= b.holds[k] {
				out = append(out, b)
			}
		}
	}
	return out
}

// greedy cuts blank after blank. The worth of long pieces is raised by bias, so that
// the short ones are left to fill the last blanks.
func (g *planner) greedy(count []int, bias int) []load {
	s := g.s
	left, worth := slices.Clone(count), make([]int64, len(g.base))
	for k, w := range g.base {
		worth[k] = w
		if bias > 0 {
			noise := int64(g.luck.below(10 * bias))
			worth[k] += w * (int64(bias*8*s.sizes[k].length/s.longestPiece()) + noise) / 100
		}
	}
	var out []load
	for slices.Max(left) > 0 {
		if !g.p.set(worth, left) {
			return nil
		}
		b := g.next()
		g.pool.add(b)
		for n := b.times(left); n > 0; n-- {
			for k, m := range b.holds {
				left[k] -= m
			}
			out = append(out, b)
		}
	}
	return out
}

// times is how often a blank can be cut before one of its pieces runs out.
func (b load) times(left []int) int {
	n := left[0] + 1<<30
	for k, m := range b.holds {
		if m > 0 {
			n = min(n, left[k]/m)
		}
	}
	return n
}

func (s *slitter) longestPiece() int {
	n := 0
	for _, q := range s.sizes {
		n = max(n, q.length)
	}
	return n
}

// weighed is how many extents are built before one is chosen: the tables promise more
// than strips that share their pieces give.
const weighed = 5

// next is the blank to cut: of the extents that promise most for their cost, the one
// that gives most.
func (g *planner) next() load {
	p, s := g.p, g.s
	var best load
	var most int64
	done := make([]bool, len(s.extents))
	for range weighed {
		e := -1
		for i, v := range p.total {
			if !done[i] && v > 0 && (e < 0 || more(v, s.extents[e].cost, p.total[e], s.extents[i].cost)) {
				e = i
			}
		}
		if e < 0 || best.lanes != nil && !more(p.total[e], best.extent.cost, most, s.extents[e].cost) {
			break
		}
		done[e] = true
		b := p.build(e)
		worth := int64(0)
		for k, n := range b.holds {
			worth += int64(n) * p.weight[k]
		}
		if best.lanes == nil || more(worth, best.extent.cost, most, b.extent.cost) {
			best, most = b, worth
		}
	}
	return best
}

// again takes a few blanks of the plan in hand apart and cuts their pieces anew. What
// is no worse takes its place, so that the search moves on; true where the best is
// bettered.
func (g *planner) again() bool {
	s := g.s
	n := len(g.plan)
	if n < 2 {
		return false
	}
	out := make([]bool, n)
	for range 2 + g.luck.below(min(3, n-1)) {
		out[g.luck.below(n)] = true
	}
	count := make([]int, len(s.sizes))
	var keep []load
	for i, b := range g.plan {
		if !out[i] {
			keep = append(keep, b)
			continue
		}
		for k, m := range b.holds {
			count[k] += m
		}
	}
	plan := g.greedy(count, g.luck.below(8))
	if plan == nil {
		return false
	}
	plan = append(keep, plan...)
	if cost(plan) <= cost(g.plan) {
		g.plan = plan
	}
	return s.offer(plan)
}
