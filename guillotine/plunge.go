package guillotine

import "slices"

// nearby seeks better plans near the best: most of its blanks keep their extent and
// setup, while all strips are free, and what is let go is searched by branch and bound
// (large neighbourhood search; Shaw 1998, from memory).
type nearby struct {
	t    *tree
	root *priced
	luck chance
	idle int
	turn int
	won  [2]int // better plans of each way to choose branches

	plunged bool // from the root
}

const (
	// mostIdle is after how many searches without a better plan no more are made.
	mostIdle = 200
	// patient is after how many of them the search has half its time, and so on (assumed).
	patient = 20
	// mostNear and mostPlunged bound the nodes of one search, near the best plan and at
	// the end of a plunge; nearest is of how many neighbourhoods the best is taken (all
	// assumed).
	mostNear, mostPlunged, nearest = 60, 100, 3
	// fewOpen is how many blanks are left to be found when a plunge ends in a search.
	fewOpen = 4.5
)

// search goes on until the meter is down to floor.
func (g *nearby) search(floor int64) {
	t := g.t
	if !g.plunged {
		g.plunged = true
		t.plunge(g.root, make([]int, len(t.s.extents)*len(t.setups)))
	}
	for ; g.idle < mostIdle && !t.s.meter.done && t.s.meter.left > floor && g.root.n.lower < t.s.cost; g.idle++ {
		if g.near() {
			g.idle = -1
		}
	}
}

// near searches one neighbourhood for a plan that is better by a part of the gap: the
// more is asked for, the sooner a neighbourhood that does not have it is left.
func (g *nearby) near() bool {
	t, s, was := g.t, g.t.s, g.t.s.cost
	parts := [...]int64{3, 6, 12, 1000}
	g.turn++
	s.cost -= (was - g.root.n.lower) / parts[g.turn%len(parts)]
	asked := s.cost
	var p *priced
	for range nearest {
		if q := t.solve(g.root.with(t.atLeast(g.most()))); p == nil || q.lp.least() < p.lp.least() {
			p = q
		}
	}
	way := g.way(g.turn / len(parts))
	t.sure = way == 0
	if t.below(p, mostNear); s.cost < asked {
		g.won[way]++
		return true
	}
	s.cost = was
	return false
}

// way is how branches are chosen, by turns: mostly the way that gave more better plans.
func (g *nearby) way(round int) int {
	better := 0
	if g.won[1] > g.won[0] {
		better = 1
	}
	if g.won[0] == g.won[1] {
		return round % 2
	}
	if round%4 == 3 {
		return 1 - better
	}
	return better
}

// most counts the blanks of each shape of the best plan, less a few.
func (g *nearby) most() []int {
	t := g.t
	kept := make([]int, len(t.s.extents)*len(t.setups))
	gone := make([]bool, len(t.s.best))
	for range 3 + g.luck.below(4) {
		gone[g.luck.below(len(gone))] = true
	}
	for i, b := range t.s.best {
		if at := t.shapeOf(b); !gone[i] && at >= 0 {
			kept[at]++
		}
	}
	return kept
}

// shapeOf is the shape of a blank: its extent, and the first setup with its lanes; -1
// where there is none.
func (t *tree) shapeOf(b load) int {
	lanes := make([]int, len(t.s.widths))
	for _, l := range b.lanes {
		lanes[l.width]++
	}
	i := slices.IndexFunc(t.setups, func(s setup) bool { return atMost(lanes, s) })
	if i < 0 {
		return -1
	}
	return slices.Index(t.s.extents, b.extent)*len(t.setups) + i
}

// atLeast are rules that ask for so many blanks of each shape.
func (t *tree) atLeast(kept []int) (out []rule) {
	for at, n := range kept {
		if n > 0 {
			r := t.ofShape(at)
			r.sign, r.need = 1, n
			out = append(out, r)
		}
	}
	return out
}

// ofShape counts the blanks of a shape.
func (t *tree) ofShape(at int) rule {
	return rule{kind: exactly, extent: at / len(t.setups), setup: at % len(t.setups)}
}

// plunge makes shapes whole until few are not, each time the one that the programme
// bears best, and then searches below (diving over shapes). Kept counts the blanks of
// each shape that are.
func (t *tree) plunge(p *priced, kept []int) {
	for p.n.lower < t.s.cost && !t.s.meter.done {
		broken := p.keepWhole(kept)
		if len(broken) == 0 || p.open(kept) < fewOpen {
			t.below(p, mostPlunged)
			return
		}
		q, best, least := p.trials(), 0, 0.0
		for i, at := range broken {
			if v := q.try(t.ofShape(at), 1, kept[at]+1); i == 0 || v < least {
				best, least = at, v
			}
		}
		kept[best]++
		p = t.solve(p.with(t.atLeast(kept)))
	}
}

// keepWhole counts what is whole as kept, and lists the shapes that are not whole.
func (p *priced) keepWhole(kept []int) (broken []int) {
	P := len(p.t.setups)
	for e, line := range p.byShape() {
		for i, v := range line {
			kept[e*P+i] = max(kept[e*P+i], int(v+1e-5))
			if !whole(v) {
				broken = append(broken, e*P+i)
			}
		}
	}
	return broken
}

// open is how many blanks the programme uses beside those kept.
func (p *priced) open(kept []int) float64 {
	sum := 0.0
	for e, line := range p.byShape() {
		for i, v := range line {
			sum += max(0, v-float64(kept[e*len(p.t.setups)+i]))
		}
	}
	return sum
}

// below searches below a node that is solved, the newest first, for so many nodes.
func (t *tree) below(p *priced, nodes int) {
	sub := *t
	sub.open, sub.quick = nil, true
	sub.settle(p, p.n)
	for k := 0; k < nodes && len(sub.open) > 0 && !t.s.meter.done; k++ {
		if n := sub.take(len(sub.open) - 1); n.lower < t.s.cost {
			sub.settle(sub.solve(n), n)
		}
	}
}
