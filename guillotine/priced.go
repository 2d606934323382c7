package guillotine

import (
	"cmp"
	"math"
	"slices"
)

// priced is a node's programme, to which columns are added as they gain.
type priced struct {
	t    *tree
	n    *part
	lp   *programme
	cols []*column // of each column of lp; nil for what is no blank
}

const (
	// atATime is how many blanks are added before the programme is solved again.
	atATime = 20
	// mostRounds bounds that.
	mostRounds = 400
	// mostPivots bounds one solution of the programme.
	mostPivots = 2000
	// mostDual bounds the pivots of the dual method (assumed).
	mostDual, dualOver = 400, 200
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
		if p.lp.unsound() {
			if !p.lp.refactor() {
				p.lp.fresh()
			}
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
	p := &priced{t: t, n: n}
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
	for i, c := range n.active {
		at[c] = len(p.cols)
		holds := n.holds[i]
		if holds == nil {
			holds = p.holds(c)
		}
		p.put(c, holds)
	}
	for _, b := range n.basis {
		if b.column != nil {
			b.code = at[b.column]
		}
		p.lp.basis = append(p.lp.basis, b.code)
	}
	p.start()
	t.s.meter.spend(p.lp.work)
	return p
}

// start goes from the node's basis to one that can be: by the dual method, or where that
// is long, through the artificial columns of the rules that are new.
func (p *priced) start() {
	lp, n := p.lp, p.n
	if len(lp.basis) < len(lp.need) || !p.inherit() {
		lp.fresh()
		return
	}
	basis := slices.Clone(lp.basis)
	if lp.dual(mostDual, float64(p.t.s.cost)+dualOver) && !lp.unsound() {
		return
	}
	lp.basis = basis
	if !p.inherit() {
		lp.fresh()
		return
	}
	for i := len(lp.basis) - n.latest; i < len(lp.basis); i++ {
		if lp.x[i] < 0 {
			lp.basis[i] = i
		}
	}
	if !lp.refactor() {
		lp.fresh()
	}
}

// inherit takes the inverse from the node before, where it was kept, and adds the rows of
// the rules that are new, whose surpluses are basic; else it computes it.
func (p *priced) inherit() bool {
	lp, before := p.lp, p.n.inverse
	if before == nil {
		return lp.invert()
	}
	m := len(lp.need)
	lp.inverse, lp.x = make([][]float64, m), make([]float64, m)
	cells := make([]float64, m*m)
	for i := range m {
		lp.inverse[i] = cells[i*m : (i+1)*m]
		if i < len(before) {
			copy(lp.inverse[i], before[i])
		}
	}
	for i := len(before); i < m; i++ {
		row := lp.inverse[i]
		row[i] = -1
		for r, b := range lp.basis[:len(before)] {
			if b < 0 {
				continue
			}
			for _, h := range lp.columns[b].holds {
				if h.row == i {
					for k, v := range before[r] {
						row[k] += h.count * v
					}
				}
			}
		}
	}
	lp.solve()
	return true
}

// add puts a blank at the end; false where one like it is there.
func (p *priced) add(c *column) bool {
	for _, o := range p.cols {
		if o != nil && o.extent == c.extent && o.setup == c.setup && slices.Equal(o.holds, c.holds) {
			return false
		}
	}
	p.put(c, p.holds(c))
	return true
}

func (p *priced) put(c *column, holds []lpEntry) {
	p.lp.columns = append(p.lp.columns, lpColumn{cost: float64(p.t.s.extents[c.extent].cost), holds: holds})
	p.cols = append(p.cols, c)
}

// holds is a column of the programme: the pieces of a blank, and what the rules count.
func (p *priced) holds(c *column) (out []lpEntry) {
	t := p.t
	for i, k := range t.rows {
		if n := c.holds[k]; n > 0 {
			out = append(out, lpEntry{i, float64(n)})
		}
	}
	for i := range p.n.rules {
		if v := p.n.rules[i].amount(t, c); v != 0 {
			out = append(out, lpEntry{len(t.rows) + i, v})
		}
	}
	return out
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
	slices.SortStableFunc(all, func(a, b proposal) int { return cmp.Compare(gain(b), gain(a)) })
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

// active are the columns worth handing on, as they are in the programme, and the basis.
func (p *priced) active() (cols []*column, holds [][]lpEntry, basis []seat) {
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
			cols, holds = append(cols, c), append(holds, p.lp.columns[j].holds)
		}
	}
	return cols, holds, basis
}

// child is the node with one rule more.
func (p *priced) child(r rule, sign, need int) *part {
	r.sign, r.need = sign, sign*need
	return p.with([]rule{r})
}

// with is the node with more rules; what each has over is basic at first, and less than
// nothing where the programme breaks it.
func (p *priced) with(rules []rule) *part {
	n := &part{rules: slices.Clone(p.n.rules), lower: p.n.lower}
	n.active, n.holds, n.basis = p.active()
	n.inverse = p.lp.inverse
	for _, r := range rules {
		if k := slices.IndexFunc(n.rules, r.like); k >= 0 {
			n.rules[k].need = max(n.rules[k].need, r.need)
			continue
		}
		row := len(p.t.rows) + len(n.rules)
		for j, c := range n.active {
			if v := r.amount(p.t, c); v != 0 {
				h := n.holds[j]
				n.holds[j] = append(h[:len(h):len(h)], lpEntry{row, v})
			}
		}
		n.rules, n.basis = append(n.rules, r), append(n.basis, seat{code: ^row})
		n.latest++
	}
	return n
}
