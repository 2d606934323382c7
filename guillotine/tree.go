package guillotine

import "slices"

// tree is a search by branch and price (Barnhart, Johnson, Nemhauser, Savelsbergh and
// Vance 1998, from memory). Its programme is over blanks: an extent, a setup of lanes
// side by side, and a strip for each lane. Strips of a width are counted over all
// blanks together, so a strip belongs to no blank until the plan is read.
type tree struct {
	s      *slitter
	count  []int
	rows   []int // sizes that are wanted
	setups []setup
	tables tables
	cuts   finder
	open   []*part // newest last
}

// setup says how many lanes of each width lie side by side; no lane more has room.
type setup []int

// part is one part of what is still to be searched.
type part struct {
	rules   []rule
	active  []*column   // to start from
	holds   [][]lpEntry // what each is in the programme; nil where that is to be found
	basis   []seat
	latest  int         // of the rules are new
	inverse [][]float64 // of the node before; nil where it was let go
	lower   int64       // no plan in it costs less
}

// seat is a basic variable: a column, or by its code in the programme what is no blank.
type seat struct {
	column *column
	code   int
}

const (
	// mostShapes bounds extents times setups, and so the tables of cuts.
	mostShapes = 60_000
	// mostKept bounds the inverses that are kept for nodes that wait.
	mostKept = 100
	// mostOpen bounds the nodes that wait.
	mostOpen = 20_000
)

// newTree is nil where the tables would be too large.
func (s *slitter) newTree(count []int) *tree {
	t := &tree{s: s, count: count}
	most := make([]int, len(s.widths))
	for k, n := range count {
		if n > 0 {
			t.rows = append(t.rows, k)
			most[s.sizes[k].lane] += n
		}
	}
	if len(t.rows) > mostRows || !t.listSetups(most, make(setup, len(s.widths)), 0, s.width) {
		return nil
	}
	t.tables = t.newTables()
	return t
}

// listSetups lists the setups that have room for no lane more; false where they are
// too many.
func (t *tree) listSetups(most []int, lanes setup, w, left int) bool {
	s := t.s
	if w == len(s.widths) {
		for i, width := range s.widths {
			if lanes[i] < most[i] && width <= left {
				return true
			}
		}
		t.setups = append(t.setups, slices.Clone(lanes))
		return t.s.meter.spend(20*len(lanes)) && len(t.setups)*len(s.extents) <= mostShapes
	}
	for n := min(most[w], left/s.widths[w]); n >= 0; n-- {
		lanes[w] = n
		if !t.listSetups(most, lanes, w+1, left-n*s.widths[w]) {
			return false
		}
	}
	lanes[w] = 0
	return true
}

// grow searches until bound and plan meet or the work limit comes, and gives the bound
// that is proven then. The tree and the search near the best plan take turns.
func (t *tree) grow() int64 {
	n := &part{}
	root := t.solve(n)
	root, n = t.tighten(root, n)
	near := &nearby{t: t, root: root, luck: 1}
	t.settle(root, n)
	for turn := t.s.meter.left / turns; !t.s.meter.done && len(t.open) > 0; {
		t.search(t.s.meter.left - turn)
		near.search(t.s.meter.left - turn)
	}
	return t.lower()
}

// turns is into how many turns the work limit is cut (assumed).
const turns = 4

// search takes nodes in turn until the meter is down to floor.
func (t *tree) search(floor int64) {
	t.prune()
	for next := (course{}); !t.s.meter.done && len(t.open) > 0 && t.s.meter.left > floor; {
		n := t.take(next.pick(t))
		if t.settle(t.solve(n), n) {
			next = course{}
		}
	}
}

// lower is what no plan of the tree costs less than.
func (t *tree) lower() int64 {
	lower := t.s.cost
	for _, n := range t.open {
		lower = min(lower, n.lower)
	}
	return lower
}

// settle ends a node that was solved, or branches; true where it gave a better plan.
func (t *tree) settle(p *priced, n *part) bool {
	if n.lower >= t.s.cost {
		return false
	}
	if t.s.meter.done || len(t.open) > mostOpen {
		t.s.meter.done = true
		t.open = append(t.open, n)
		return false
	}
	if plan := p.seated(); plan != nil {
		better := t.s.offer(plan)
		if t.prune(); n.lower >= t.s.cost {
			return better
		}
	}
	choice, ok := p.choose()
	if !ok {
		plan := p.plan()
		if plan == nil || !t.s.offer(plan) {
			t.open, t.s.meter.done = append(t.open, n), true // rounding: nothing is claimed
			return false
		}
		t.prune()
		return true
	}
	up, down := p.child(choice.rule, 1, choice.above()), p.child(choice.rule, -1, choice.below())
	if choice.upwards {
		up, down = down, up
	}
	if choice.rule.kind == arcs { // of a plan's shapes that find no strips: other shapes first
		up.inverse, down.inverse = nil, nil
		t.open = slices.Insert(t.open, 0, up, down)
		return false
	}
	t.open = append(t.open, up, down)
	for i := max(0, len(t.open)-mostKept-2); i < len(t.open)-mostKept; i++ {
		t.open[i].inverse = nil
	}
	return false
}

// prune forgets what cannot give a better plan.
func (t *tree) prune() {
	t.open = slices.DeleteFunc(t.open, func(n *part) bool { return n.lower >= t.s.cost })
}

// take takes node i out of those that wait.
func (t *tree) take(i int) *part {
	n := t.open[i]
	t.open = slices.Delete(t.open, i, i+1)
	return n
}

// course says which node comes next: for a while the newest that may give a plan
// within a target between bound and plan, so that plans are found; then for a while
// the one of least bound, so that the bound rises.
type course struct{ step, round int }

const (
	// diveNodes and boundNodes are how long a while is (assumed).
	diveNodes, boundNodes = 60, 20
)

func (c *course) pick(t *tree) int {
	if c.step++; c.step > diveNodes+boundNodes {
		c.step, c.round = 1, c.round+1
	}
	lower := t.lower()
	if c.step <= diveNodes {
		eighths := [...]int64{4, 6, 2, 8, 3, 5}
		target := lower + (t.s.cost-1-lower)*eighths[c.round%len(eighths)]/8
		for i := len(t.open) - 1; i >= 0; i-- {
			if t.open[i].lower <= target {
				return i
			}
		}
	}
	for i := len(t.open) - 1; i >= 0; i-- {
		if t.open[i].lower == lower {
			return i
		}
	}
	return len(t.open) - 1
}
