package pack

import "slices"

// branchAndPrice closes the gap that simple plans and bounds leave: the linear
// programme over kinds, a few dives, then an exact cover by all the patterns
// that a plan of the bound's weight could use; more dives, and, where single
// pieces are few enough, a depth-first tree over pairs of pieces.
func (s *search) branchAndPrice() {
	m := s.m
	root := newRelaxation(m.wholePart(m.demands(), make([]int, len(m.supplies)), m.stock()), s.patterns(), s.upper)
	root.run(s.meter, 0)
	s.raise(root.lower)
	for i, steps := range coverSteps {
		s.dives(root, 3*i, 3*i+3)
		s.covers(root, steps)
	}
	if s.closed() || s.meter.done() || m.count > maxSingles || m.classes > 64 {
		return
	}
	t := &tree{s: s, base: m.singles(make([]int, len(m.supplies)), m.stock())}
	t.pool = t.spreadPool(root)
	t.explore()
}

// coverSteps are the shares of work that the cover gets in turn with the
// dives: dives find tight plans, the cover proves that there is none.
var coverSteps = [...]int64{100_000_000, 400_000_000, 1_500_000_000, 3_000_000_000}

// covers raises the bound, or finds the plan that meets it, by the list of all
// patterns that can matter, where that is short enough.
func (s *search) covers(root *relaxation, steps int64) {
	for !s.closed() && !s.meter.done() && len(s.m.kinds) <= coverKinds {
		c := s.coverFor(root)
		if c == nil {
			return
		}
		c.w, c.nodes = s.meter.share(steps), coverNodes
		given := c.w.left
		v := c.decide(c.root(s.lower), 0)
		s.meter.spend(given - c.w.left)
		switch v {
		case found:
			s.offer(c.plan)
			return
		case none:
			s.raise(s.m.wholePart(s.m.demands(), nil, nil).lift(s.lower + 1))
		default:
			return
		}
	}
}

// coverFor lists the patterns for the present bound, or goes on with the list
// and the dead ends of the last time.
func (s *search) coverFor(root *relaxation) *cover {
	if s.cover == nil || s.coverAt != s.lower {
		list, ok := root.enumerate(s.lower, s.meter)
		s.coverAt, s.cover = s.lower, &cover{}
		if ok {
			s.cover = &cover{m: s.m, list: list, dead: map[string]int64{}}
		}
	}
	if s.cover.list == nil {
		return nil
	}
	return s.cover
}

const (
	coverNodes = 20_000
	coverKinds = 400 // rows of a dense inverse kept at every level
)

const maxSingles = 600 // pieces up to which the tree is tried: its inverse is dense

// patterns of the best plan so far, to begin from.
func (s *search) patterns() []pattern {
	var out []pattern
	for _, u := range s.best {
		out = append(out, u.pattern)
	}
	return out
}

// tree is the search over single pieces. Two pieces are tied together or kept
// apart (Ryan and Foster 1981, from memory); before that the number of bins of
// each supply is made whole. Every leaf is closed by a proven bound.
type tree struct {
	s     *search
	base  *part
	pool  []pattern // columns, of singles
	seen  int       // nodes
	nodes []branchNode
}

// branchNode is one open question; lower is what its parent proved.
type branchNode struct {
	pairs  []pair
	lo, hi []int
	cuts   []triple // of singles
	lower  int64
}

type pair struct {
	a, b     int // singles
	together bool
}

// explore works the open nodes last in first out. What stays open when the
// work limit comes keeps its parents' bound.
func (t *tree) explore() {
	s := t.s
	t.nodes = []branchNode{{lo: t.base.lo, hi: t.base.hi, lower: s.lower}}
	for len(t.nodes) > 0 && !s.closed() {
		n := t.nodes[len(t.nodes)-1]
		if n.lower < s.upper && s.meter.done() {
			break
		}
		t.nodes = t.nodes[:len(t.nodes)-1]
		if n.lower < s.upper && !t.work(n) {
			t.nodes = append(t.nodes, n)
			break
		}
	}
	open := s.upper
	for _, n := range t.nodes {
		open = min(open, n.lower)
	}
	s.raise(open)
}

// work closes a node or puts its children in its place; false when the work
// limit came before either.
func (t *tree) work(n branchNode) bool {
	t.seen++
	v, ok := t.view(n)
	if !ok {
		return true // a tie that fits nowhere: no plan below
	}
	r, cuts := t.bound(n, v)
	if r.lower >= t.s.upper {
		return true
	}
	if !r.exact {
		return false
	}
	if t.seen%8 == 1 {
		t.s.dive(r, 3, 40, t.s.meter.share(300_000_000))
	}
	return t.branch(n, v, r, cuts)
}

// bound generates columns, adds violated subset rows and goes on, as long as
// that lifts the value.
func (t *tree) bound(n branchNode, v *view) (*relaxation, []triple) {
	cuts := n.cuts
	for round := 0; ; round++ {
		p := v.part(t.base.m, n, cuts)
		r := newRelaxation(p, v.columns(t.pool), t.s.upper)
		from := len(r.cols)
		r.run(t.s.meter, 0)
		for _, c := range r.cols[min(from, len(r.cols)):] {
			t.pool = append(t.pool, v.singles(c))
		}
		t.prune()
		if !r.exact || r.lower >= t.s.upper || round >= maxCutRounds {
			return r, cuts
		}
		cuts = active(r, cuts)
		fresh := separate(v, r, cuts)
		if len(fresh) == 0 {
			return r, cuts
		}
		cuts = append(slices.Clone(cuts), fresh...)
	}
}

const maxCutRounds = 12

// prune keeps the pool of columns bounded, newest last.
func (t *tree) prune() {
	if most := 20000; len(t.pool) > most {
		t.pool = slices.Clone(t.pool[len(t.pool)-most/2:])
	}
}

// branch picks the question that splits the fractional solution most evenly.
func (t *tree) branch(n branchNode, v *view, r *relaxation, cuts []triple) bool {
	n.cuts, n.lower = cuts, max(n.lower, r.lower)
	x := r.values()
	if k, low, ok := splitSupply(r, x); ok {
		down, up := n, n
		down.hi = slices.Clone(n.hi)
		down.hi[k] = low
		up.lo = slices.Clone(n.lo)
		up.lo[k] = low + 1
		t.nodes = append(t.nodes, down, up)
		return true
	}
	a, b, ok := splitPair(r, x)
	if !ok {
		t.collect(r, x)
		return n.lower >= t.s.upper || t.exactly(r, x)
	}
	apart, together := n, n
	q := pair{a: v.members[a][0], b: v.members[b][0]}
	apart.pairs = append(slices.Clone(n.pairs), q)
	q.together = true
	together.pairs = append(slices.Clone(n.pairs), q)
	t.nodes = append(t.nodes, apart, together)
	return true
}

// exactly tells whether an integral solution costs what the node's programme does, so
// that collecting it has closed the node.
func (t *tree) exactly(r *relaxation, x []float64) bool {
	return float64(t.s.upper) <= r.value+0.5
}

// spreadPool writes the columns of kinds as columns of singles, turning
// through the copies of a kind.
func (t *tree) spreadPool(r *relaxation) []pattern {
	m := t.base.m
	start := make([]int, len(m.kinds)+1)
	for i, k := range m.kinds {
		start[i+1] = start[i] + k.demand
	}
	turn := make([]int, len(m.kinds))
	var out []pattern
	for _, c := range r.cols {
		var take []entry
		for _, e := range r.part.toKinds(c.take) {
			for range e.n {
				take = append(take, entry{start[e.kind] + turn[e.kind]%m.kinds[e.kind].demand, 1})
				turn[e.kind]++
			}
		}
		slices.SortFunc(take, func(a, b entry) int { return a.kind - b.kind })
		out = append(out, pattern{c.supply, take})
	}
	return out
}
