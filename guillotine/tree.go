package guillotine

import (
	"math"
	"slices"
)

// tree is a search by branch and bound over the shapes of blanks: an extent, and a setup
// of lanes side by side. Whether the pieces of each width find strips on the lanes is
// another question for each width (decomposition of Benders 1962, from memory): what it
// asks of the lanes comes back as demands, rows of the programme over shapes. Columns of
// that are generated as they gain (Barnhart, Johnson, Nemhauser, Savelsbergh and Vance
// 1998, from memory).
type tree struct {
	s       *slitter
	count   []int
	rows    []int // sizes that are wanted
	setups  []setup
	tables  tables
	cuts    finder
	demands [][]*demand      // of each width: those found
	fitters []*fitter        // of each width
	all     [][]int32        // [extent]: setups of the shapes that cuts count
	past    map[rule]history // what trials of branches gave
	full    bool             // programmes have all shapes that are live
	open    []*part          // newest last
	givenUp int64            // no plan of the parts that were given up costs less
}

// setup says how many lanes of each width lie side by side; no lane more has room.
type setup []int

// part is one part of what is still to be searched.
type part struct {
	rules   []rule
	depth   int         // 0 at the root
	active  []int       // shapes to start from
	holds   [][]lpEntry // what each is in the programme
	basis   []seat
	latest  int         // of the rules are new
	inverse [][]float64 // of the node before; nil where it was let go
	age     int         // of the inverse
	lower   int64       // no plan in it costs less
	live    [][]int32   // [extent]: setups of the shapes that a better plan in it may have
}

// seat is a basic variable: a shape, or by its code in the programme what is no blank.
type seat struct {
	shape int
	code  int
}

const (
	// mostShapes bounds extents times setups, and so the tables of cuts.
	mostShapes = 60_000
	// mostKept bounds the nodes that wait with their inverses and columns.
	mostKept = 150
	// mostOpen bounds the nodes that wait.
	mostOpen = 8_000
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
	t.tables, t.givenUp, t.past = t.newTables(), math.MaxInt64, map[rule]history{}
	t.demands = make([][]*demand, len(s.widths))
	for w := range s.widths {
		t.fitters = append(t.fitters, t.newFitter(w))
	}
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
// that is proven then. Walks for better plans and the tree take turns; those of the walks
// are the shorter the longer they were of no use.
func (t *tree) grow() int64 {
	root, n := t.root()
	root.boundShapes()
	walk := t.newWalker(root)
	m := t.s.meter
	turn := min(m.left/turns, longestTurn)
	walked := m.spentBy(func() { walk.search(m.left-turn, n.lower) })
	grown := m.spentBy(func() { t.begin(root, n) })
	for !m.done && len(t.open) > 0 {
		grown += m.spentBy(func() { t.search(m.left - turn) })
		if walked*int64(1+walk.idle/patient) <= grown {
			walked += m.spentBy(func() { walk.search(m.left-turn, t.lower()) })
		}
	}
	return t.lower()
}

// whole is all that is to be searched.
func (t *tree) whole() *part {
	every := make([]int32, len(t.setups))
	for i := range every {
		every[i] = int32(i)
	}
	return &part{rules: t.firstDemands(), live: slices.Repeat([][]int32{every}, len(t.s.extents))}
}

// root solves the root, with its cuts.
func (t *tree) root() (*priced, *part) {
	n := t.whole()
	t.all = n.live
	return t.tighten(t.solve(n), n, (*priced).broken)
}

// begin goes on from the root: with cuts from sums, which count the shapes alone that a
// better plan may have, and if those are few with all of them in the programme.
func (t *tree) begin(root *priced, n *part) {
	if root.boundShapes(); n.lower >= t.s.cost {
		return
	}
	t.all = n.live
	root, n = t.tighten(root, n, (*priced).sums)
	root.boundShapes()
	root.complete()
	t.settle(root, n)
}

// turns is into how many turns the work limit is cut at least, longestTurn the work of the
// longest (assumed).
const turns, longestTurn = 8, 600_000_000

// search takes the nodes of least bound until the meter is down to floor.
func (t *tree) search(floor int64) {
	t.prune()
	for !t.s.meter.done && len(t.open) > 0 && t.s.meter.left > floor {
		n := t.take(t.lowest())
		t.settle(t.solve(n), n)
	}
}

// lowest is the newest of the nodes of least bound.
func (t *tree) lowest() int {
	at, lower := len(t.open)-1, t.leastOpen()
	for t.open[at].lower > lower && at > 0 {
		at--
	}
	return at
}

// lower is what no plan of the tree costs less than.
func (t *tree) lower() int64 {
	return min(t.leastOpen(), t.givenUp)
}

// leastOpen is what no plan of the nodes that wait costs less than.
func (t *tree) leastOpen() int64 {
	lower := t.s.cost
	for _, n := range t.open {
		lower = min(lower, n.lower)
	}
	return lower
}

// settle ends a node that was solved, or branches.
func (t *tree) settle(p *priced, n *part) {
	if n.lower >= t.s.cost {
		return
	}
	if t.s.meter.done || len(t.open) > mostOpen {
		t.s.meter.done = true
		t.open = append(t.open, n)
		return
	}
	p.boundShapes()
	choice, ok := p.choose()
	if !ok {
		t.seat(p, n)
		return
	}
	p.forgetBarred()
	up, down := p.child(choice.rule, 1, choice.above()), p.child(choice.rule, -1, choice.below())
	if choice.upwards {
		up, down = down, up
	}
	t.open = append(t.open, up, down)
	for i := max(0, len(t.open)-mostKept-2); i < len(t.open)-mostKept; i++ {
		t.open[i].inverse, t.open[i].holds = nil, nil
	}
}

// seat makes a plan of a node whose shapes are whole; where a width finds no seats on its
// lanes, every better plan has more lanes of it from some extent up, which is branched on.
func (t *tree) seat(p *priced, n *part) {
	if rows := p.short(); len(rows) > 0 {
		t.open = append(t.open, p.with(rows))
		return
	}
	plan, w, all := t.seated(p.wholeShapes())
	if plan != nil {
		t.s.offer(plan)
		t.prune()
		if n.lower < t.s.cost { // rounding: nothing is claimed
			t.givenUp = min(t.givenUp, n.lower)
		}
		return
	}
	if !all {
		t.givenUp = min(t.givenUp, n.lower)
	}
	t.open = append(t.open, p.roomier(w)...)
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
