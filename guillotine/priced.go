package guillotine

import (
	"math"
	"slices"
)

// priced is a node's programme, to which columns are added as they gain.
type priced struct {
	t    *tree
	n    *part
	lp   *programme
	cols []*column // of each column of lp; nil for what is no blank
	have map[string]bool
}

const (
	// atATime is how many blanks are added before the programme is solved again.
	atATime = 20
	// mostRounds bounds that.
	mostRounds = 400
	// mostPivots bounds one solution of the programme.
	mostPivots = 2000
	// kept is the most, in units of cost, that a column may lose to be handed on.
	kept = 30
)

// solve opens the node's programme and generates columns until none gains, the node's
// bound reaches the plan on hand, or the bound cannot rise by a whole unit.
func (t *tree) solve(n *part) *priced {
	p := t.begin(n)
	for range mostRounds {
		was := p.lp.work
		p.lp.optimise(mostPivots)
		if p.lp.unsound() && p.lp.refactor() {
			p.lp.optimise(mostPivots)
		}
		t.s.meter.spend(p.lp.work - was)
		scale := p.bound()
		all, richest := t.proposals()
		n.lower = max(n.lower, p.proves(richest))
		if n.lower >= t.s.cost || t.s.meter.done || !p.generate(all, scale) {
			break
		}
	}
	return p
}

// begin opens the programme at the basis that the node was left with.
func (t *tree) begin(n *part) *priced {
	p := &priced{t: t, n: n, have: map[string]bool{}}
	var need []int
	for _, k := range t.rows {
		need = append(need, t.count[k])
	}
	for _, r := range n.rules {
		need = append(need, r.need)
	}
	p.lp = newProgramme(need)
	p.lp.lazy = true
	dear := float64(4 * t.s.extents[len(t.s.extents)-1].cost)
	for i := range need {
		p.lp.columns = append(p.lp.columns, lpColumn{cost: dear, holds: []lpEntry{{i, 1}}})
		p.cols = append(p.cols, nil)
	}
	at := map[*column]int{}
	for _, c := range n.active {
		at[c] = len(p.cols)
		p.add(c)
	}
	for _, b := range n.basis {
		if b.column != nil {
			b.code = at[b.column]
		}
		p.lp.basis = append(p.lp.basis, b.code)
	}
	if len(n.basis) < len(need) || !p.lp.refactor() {
		p.lp.fresh()
	}
	t.s.meter.spend(len(need) * len(need) * len(need) / 2)
	return p
}

// add puts a blank at the end; false where one like it is there.
func (p *priced) add(c *column) bool {
	t := p.t
	k := key(int64(c.extent*len(t.setups)+c.setup), c.holds)
	if p.have[k] {
		return false
	}
	p.have[k] = true
	col := lpColumn{cost: float64(t.s.extents[c.extent].cost)}
	for i, k := range t.rows {
		if n := c.holds[k]; n > 0 {
			col.holds = append(col.holds, lpEntry{i, float64(n)})
		}
	}
	for i := range p.n.rules {
		if v := p.n.rules[i].amount(t, c); v != 0 {
			col.holds = append(col.holds, lpEntry{len(t.rows) + i, v})
		}
	}
	p.lp.columns, p.cols = append(p.lp.columns, col), append(p.cols, c)
	return true
}

// dualScale is what one unit of cost is in whole numbers.
const dualScale = 1 << 20

// bound sets the tables to the duals, rounded to whole numbers, and prices.
func (p *priced) bound() (scale float64) {
	t, y := p.t, p.lp.duals()
	t.tables.clear()
	for i, k := range t.rows {
		t.tables.weight[k] = wholeDual(y[i])
	}
	for i := range p.n.rules {
		if v := wholeDual(y[len(t.rows)+i]); v > 0 {
			p.n.rules[i].pay(t, v)
		}
	}
	t.price()
	return dualScale
}

// wholeDual rounds down; what is out of range is nothing, which is as true.
func wholeDual(y float64) int64 {
	if !(y > 0) || y > 1<<20 {
		return 0
	}
	return int64(y * dualScale)
}

// proves is the bound that the duals give when the richest blank is worth most for its
// cost (Farley 1990, from memory): duals scaled so that no blank is worth more than it
// costs.
func (p *priced) proves(richest proposal) int64 {
	t, total := p.t, int64(0)
	for _, k := range t.rows {
		total += t.tables.weight[k] * int64(t.count[k])
	}
	y := p.lp.duals()
	for i, r := range p.n.rules {
		total += wholeDual(y[len(t.rows)+i]) * int64(r.need)
	}
	if total <= 0 || richest.worth <= 0 {
		return 0
	}
	cost := t.s.extents[richest.extent].cost
	if float64(total)*float64(cost)/float64(richest.worth) > 1e15 {
		return 0
	}
	return ceilDiv(total, cost, richest.worth)
}

// generate adds the blanks that gain most; false where none does, or where what the
// programme can still fall is no whole unit.
func (p *priced) generate(all []proposal, scale float64) bool {
	t := p.t
	if p.n.rules != nil && math.Ceil(p.lp.least()-1e-6) <= float64(p.n.lower) {
		return false
	}
	gain := func(o proposal) float64 { return float64(o.worth)/scale - float64(t.s.extents[o.extent].cost) }
	slices.SortStableFunc(all, func(a, b proposal) int { return compareFloat(gain(b), gain(a)) })
	added := 0
	for _, o := range all {
		if added == atATime || gain(o) < 1e-9*float64(t.s.extents[o.extent].cost) {
			break
		}
		if p.add(t.column(o)) {
			added++
		}
	}
	return added > 0
}

// active are the columns worth handing on, and the basis.
func (p *priced) active() (cols []*column, basis []seat) {
	y, seated := p.lp.duals(), make([]bool, len(p.cols))
	for _, b := range p.lp.basis {
		if b >= 0 && p.cols[b] != nil {
			seated[b] = true
			basis = append(basis, seat{column: p.cols[b]})
		} else {
			basis = append(basis, seat{code: b})
		}
	}
	for j, c := range p.cols {
		if c != nil && (seated[j] || p.lp.columns[j].loss(y) < kept) {
			cols = append(cols, c)
		}
	}
	return cols, basis
}

// child is the node with one rule more. A rule that the programme breaks is met by its
// artificial column at first, one that it keeps by its surplus.
func (p *priced) child(r rule, sign, need int) *part {
	r.sign, r.need = sign, sign*need
	n := &part{rules: append(slices.Clone(p.n.rules), r), lower: p.n.lower}
	n.active, n.basis = p.active()
	amount := 0.0
	for j, v := range p.lp.values() {
		if v > 0 && p.cols[j] != nil {
			amount += v * r.amount(p.t, p.cols[j])
		}
	}
	code := len(p.lp.need)
	if amount >= float64(r.need) {
		code = ^code
	}
	n.basis = append(n.basis, seat{code: code})
	return n
}
