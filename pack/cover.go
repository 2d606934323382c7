package pack

import (
	"cmp"
	"encoding/binary"
	"math"
	"slices"
)

// cover decides whether listed patterns make up the demand exactly within a
// weight: depth first, on the kind with fewest patterns left; every node is
// closed by weights in whole numbers, which also strike out patterns it cannot
// use. Demands proven hopeless are remembered: a pattern struck out above is
// in no cover of what lies above, so the proof holds by whatever way they are met again.
type cover struct {
	m     *model
	list  []pattern
	w     *meter
	nodes int
	plan  packing
	dead  map[string]int64 // demand and stock left, with the weight that did not do
}

// coverNode is what is left to cover. Its programme goes on from its parent's
// basis: the rows are all kinds, the columns the whole list.
type coverNode struct {
	need   []int // demand left
	stock  []int
	target int64 // weight left
	cols   []int // patterns still allowed, by their place in the list
	lp     *lp
}

// verdict of a search that may be cut short.
type verdict int

const (
	unknown verdict = iota
	found
	none
)

// root is the node of the whole demand.
func (c *cover) root(target int64) *coverNode {
	n := &coverNode{need: c.m.demands(), stock: c.m.stock(), target: target}
	for j := range c.list {
		n.cols = append(n.cols, j)
	}
	return n
}

// decide searches a node; on found, plan holds the patterns.
func (c *cover) decide(n *coverNode, depth int) verdict {
	c.nodes--
	if c.nodes <= 0 || c.w.done() {
		return unknown
	}
	if !slices.ContainsFunc(n.need, func(d int) bool { return d > 0 }) {
		return found
	}
	key := n.key()
	if most, ok := c.dead[key]; ok && most >= n.target {
		return none
	}
	v := c.explore(n, depth)
	if v == none {
		c.dead[key] = n.target
	}
	return v
}

func (n *coverNode) key() string {
	out := make([]byte, 0, 2*(len(n.need)+len(n.stock)))
	for _, d := range n.need {
		out = binary.AppendUvarint(out, uint64(d))
	}
	for _, d := range n.stock {
		out = binary.AppendUvarint(out, uint64(d))
	}
	return string(out)
}

// explore narrows a node, probes its scarcest kinds and branches.
func (c *cover) explore(n *coverNode, depth int) verdict {
	if !c.narrow(n) {
		return none
	}
	best, open := c.probe(n)
	switch {
	case c.w.done():
		return unknown
	case !open:
		return none
	}
	sure := true
	for _, j := range best {
		switch c.decide(c.child(n, j), depth+1) {
		case found:
			c.plan = append(c.plan, use{c.list[j], 1})
			return found
		case unknown:
			sure = false
		}
		if c.nodes <= 0 || c.w.done() {
			return unknown
		}
	}
	if !sure {
		return unknown
	}
	return none
}

const probedKinds = 5

// probe looks one pattern ahead for each of the scarcest kinds, strikes out
// the patterns that lead nowhere, and returns those of the kind that keeps
// fewest, most wanted first; false when a kind keeps none.
func (c *cover) probe(n *coverNode) ([]int, bool) {
	var best []int
	least := math.Inf(1)
	for _, kind := range n.scarcest(c.list, probedKinds) {
		var live []int
		size := 0.0
		for _, j := range slices.Clone(n.cols) {
			if !holds(c.list[j], kind) {
				continue
			}
			if kid := c.child(n, j); c.narrow(kid) {
				live = append(live, j)
				size += float64(1 + len(kid.cols))
			} else if c.w.done() {
				return nil, true
			} else {
				n.strike(j)
			}
		}
		if len(live) == 0 {
			return nil, false
		}
		if score := float64(len(live))*1e6 + size; score < least {
			least, best = score, live
		}
		if len(live) == 1 {
			break
		}
	}
	if len(best) == 0 {
		return nil, false
	}
	x := n.lp.columnValues()
	slices.SortStableFunc(best, func(a, b int) int { return cmp.Compare(x[b], x[a]) })
	return best, true
}

func holds(p pattern, kind int) bool {
	return slices.ContainsFunc(p.take, func(e entry) bool { return e.kind == kind })
}

// child uses pattern j once.
func (c *cover) child(n *coverNode, j int) *coverNode {
	p := c.list[j]
	next := &coverNode{need: slices.Clone(n.need), stock: slices.Clone(n.stock), cols: slices.Clone(n.cols), lp: n.lp}
	next.target = n.target - c.m.supplies[p.supply].cost
	for _, e := range p.take {
		next.need[e.kind] -= e.n
	}
	next.stock[p.supply]--
	return next
}

// scarcest lists the kinds with demand left that have the fewest patterns.
func (n *coverNode) scarcest(list []pattern, most int) []int {
	count := make([]int, len(n.need))
	for _, j := range n.cols {
		for _, e := range list[j].take {
			count[e.kind]++
		}
	}
	var kinds []int
	for i, d := range n.need {
		if d > 0 {
			kinds = append(kinds, i)
		}
	}
	slices.SortStableFunc(kinds, func(a, b int) int { return cmp.Compare(count[a], count[b]) })
	return kinds[:min(most, len(kinds))]
}

func (n *coverNode) strike(j int) {
	i, _ := slices.BinarySearch(n.cols, j)
	n.cols = slices.Delete(n.cols, i, i+1)
	n.lp.banned[j] = true
}

// narrow strikes out patterns until few go any more; false when the node is
// proven empty. It leaves the node with a programme of its own.
func (c *cover) narrow(n *coverNode) bool {
	for first := true; ; first = false {
		c.strikeTooLarge(n)
		if !c.coverable(n) {
			return false
		}
		c.relax(n, first)
		before := len(n.cols)
		if c.w.done() {
			return true
		}
		if !c.weigh(n) {
			return false
		}
		if 20*(before-len(n.cols)) <= before {
			return true
		}
	}
}

func (c *cover) strikeTooLarge(n *coverNode) {
	n.cols = slices.DeleteFunc(n.cols, func(j int) bool {
		p := c.list[j]
		return n.stock[p.supply] == 0 || slices.ContainsFunc(p.take, func(e entry) bool { return e.n > n.need[e.kind] })
	})
}

// coverable tells whether every kind with demand left has a pattern.
func (c *cover) coverable(n *coverNode) bool {
	has := make([]bool, len(n.need))
	for _, j := range n.cols {
		for _, e := range c.list[j].take {
			has[e.kind] = true
		}
	}
	for i, d := range n.need {
		if d > 0 && !has[i] {
			return false
		}
	}
	return true
}

// relax solves the node's programme: afresh at the root, else from the
// parent's basis with the new demand and the patterns struck out banned.
func (c *cover) relax(n *coverNode, first bool) {
	side := make([]float64, len(n.need))
	for i, d := range n.need {
		side[i] = float64(d)
	}
	switch {
	case n.lp == nil:
		n.lp = c.programme(side)
	case first:
		n.lp = n.lp.clone()
		if !n.lp.shift(side, c.w) && !c.w.done() {
			n.lp = c.programme(side)
		}
	}
	for j := range n.lp.banned {
		n.lp.banned[j] = true
	}
	for _, j := range n.cols {
		n.lp.banned[j] = false
	}
	n.lp.price()
	n.lp.solve(c.w)
}

func (c *cover) programme(side []float64) *lp {
	unit := float64(c.dearest())
	p := newLP(side, 10)
	p.equal = true
	for _, q := range c.list {
		col := lpColumn{cost: float64(c.m.supplies[q.supply].cost) / unit}
		for _, e := range q.take {
			col.row = append(col.row, int32(e.kind))
			col.val = append(col.val, float64(e.n))
		}
		p.add(col)
	}
	return p
}

func (c *cover) dearest() int64 {
	most := int64(0)
	for _, s := range c.m.supplies {
		most = max(most, s.cost)
	}
	return most
}

// weigh makes whole weights of the duals, of either sign for the rows are
// equalities, and strikes out the patterns that no cover within the target can
// use; false when there is no cover at all. See enumerate for the arithmetic.
func (c *cover) weigh(n *coverNode) bool {
	largest, pieces := 1.0, 1
	for i, d := range n.need {
		if d > 0 {
			largest = max(largest, math.Abs(n.lp.y[i]))
			pieces += d
		}
	}
	dear := float64(c.dearest())
	scale := math.Exp2(58) / (largest * float64(pieces) * dear * max(dear, float64(n.target), 1))
	scale = min(scale, math.Exp2(40))
	weight := make([]int64, len(n.need))
	total := int64(0)
	for i, d := range n.need {
		if d > 0 {
			weight[i] = int64(math.Round(n.lp.y[i] * scale))
			total += weight[i] * int64(d)
		}
	}
	gain := make([]int64, len(n.cols))
	top, unit := int64(0), int64(1)
	for i, j := range n.cols {
		for _, e := range c.list[j].take {
			gain[i] += weight[e.kind] * int64(e.n)
		}
		if cost := c.m.supplies[c.list[j].supply].cost; gain[i] > 0 && cmpProducts(gain[i], unit, top, cost) > 0 {
			top, unit = gain[i], cost
		}
	}
	budget := n.target*top - unit*total
	to := 0
	for i, j := range n.cols {
		if c.m.supplies[c.list[j].supply].cost*top-unit*gain[i] <= budget {
			n.cols[to] = j
			to++
		}
	}
	n.cols = n.cols[:to]
	return budget >= 0
}
