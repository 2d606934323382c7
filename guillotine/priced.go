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
	cols []int // the shape of each column of lp; noShape for what is no blank
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
	// kept is the most, in units of cost, that a column may lose to be handed on (assumed).
	kept = 12
	// rootFits and nodeFits are in how many rounds demands are sought, knownShort what
	// one that is known must be short of (assumed).
	rootFits, nodeFits, knownShort = 200, 1, 1e-3
	// idleNodes is for how many nodes a cut or demand stays that does not bind (assumed).
	idleNodes = 4
	// noShape is the shape of what is no blank.
	noShape = -1
)

// solve opens the node's programme and generates columns until none gains, the node's
// bound reaches the plan on hand, or the bound cannot rise by a whole unit; then adds the
// demands that its lanes do not meet, and goes on.
func (t *tree) solve(n *part) *priced {
	p := t.programme(n)
	for rounds := t.fits(n); ; rounds-- {
		p.columns()
		if n.lower >= t.s.cost || t.s.meter.done || rounds == 0 {
			return p
		}
		rows := p.short()
		if len(rows) == 0 {
			return p
		}
		p.handOn(n, rows)
		p = t.programme(n)
	}
}

// fits is in how many rounds demands are sought for a node: at the root till none is
// short.
func (t *tree) fits(n *part) int {
	if n.depth == 0 {
		return rootFits
	}
	return nodeFits
}

// columns generates columns.
func (p *priced) columns() {
	t, n := p.t, p.n
	for range mostRounds {
		was := p.lp.work
		p.lp.optimise(mostPivots)
		if p.lp.unsound() {
			if !p.lp.refactor() && !(p.lp.invert() && p.lp.dual(mostDual, math.Inf(1))) {
				p.lp.fresh()
			}
			p.lp.optimise(mostPivots)
		}
		t.s.meter.spend(p.lp.work - was)
		p.bound()
		all, richest := t.proposals(n.live)
		n.lower = max(n.lower, p.proves(richest))
		if n.lower >= t.s.cost || t.s.meter.done || !p.generate(all) {
			return
		}
	}
}

// short are demands that the lanes fall short of, and cuts that the blanks break: of those
// known, or else new demands.
func (p *priced) short() (out []rule) {
	t, rooms := p.t, p.rooms()
	for w, room := range rooms {
		var worst *demand
		most := knownShort
		for _, d := range t.demands[w] {
			if v := d.short(room); v > most {
				worst, most = d, v
			}
		}
		t.s.meter.spend(4 * len(t.demands[w]) * len(room))
		if worst != nil {
			out = append(out, worst.rule())
		}
	}
	if p.n.depth > 0 {
		out = append(out, p.brokenKnown()...)
	}
	if out != nil {
		return out
	}
	for w, room := range rooms {
		if d := t.fitters[w].short(room); d != nil {
			t.demands[w] = append(t.demands[w], d)
			out = append(out, d.rule())
		}
	}
	return out
}

// rooms counts the lanes of each width by extent, ascending.
func (p *priced) rooms() [][]room {
	t := p.t
	out := make([][]room, len(t.s.widths))
	for e, line := range p.byShape() {
		for w := range out {
			sum := 0.0
			for i, v := range line {
				sum += v * float64(t.setups[i][w])
			}
			if sum > 1e-9 {
				out[w] = append(out[w], room{e, sum})
			}
		}
	}
	return out
}

// programme opens the programme at the basis that the node was left with.
func (t *tree) programme(n *part) *priced {
	p := &priced{t: t, n: n, lp: &programme{lazy: true}}
	for i := range n.rules {
		p.lp.need = append(p.lp.need, n.rules[i].needs())
	}
	dear := float64(4 * t.s.extents[len(t.s.extents)-1].cost)
	for i := range p.lp.need {
		p.lp.columns = append(p.lp.columns, lpColumn{cost: dear, holds: []lpEntry{{i, 1}}})
		p.cols = append(p.cols, noShape)
	}
	at := map[int]int{}
	for i, c := range n.active {
		at[c] = len(p.cols)
		if n.holds == nil {
			p.put(c, p.holds(c))
		} else {
			p.put(c, n.holds[i])
		}
	}
	for _, b := range n.basis {
		if b.shape != noShape {
			b.code = at[b.shape]
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
	lp.age = p.n.age
	if before == nil || lp.age > mostAge {
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

// mostColumns is the most shapes that a programme has all of (assumed).
const mostColumns = 2500

// complete puts all shapes that are live into the programme, where they are not too many:
// what trials of branches give, and what is barred, is the truer.
func (p *priced) complete() {
	count := 0
	for _, setups := range p.n.live {
		count += len(setups)
	}
	if p.t.full = count <= mostColumns; !p.t.full {
		return
	}
	for e, setups := range p.n.live {
		for _, i := range setups {
			p.add(e*len(p.t.setups) + int(i))
		}
	}
	p.columns()
}

// add puts a blank at the end; false where one like it is there.
func (p *priced) add(shape int) bool {
	if slices.Contains(p.cols, shape) {
		return false
	}
	p.put(shape, p.holds(shape))
	return true
}

func (p *priced) put(shape int, holds []lpEntry) {
	cost := p.t.s.extents[shape/len(p.t.setups)].cost
	p.lp.columns = append(p.lp.columns, lpColumn{cost: float64(cost), holds: holds})
	p.cols = append(p.cols, shape)
}

// holds is a column of the programme: what the rules count of a blank.
func (p *priced) holds(shape int) (out []lpEntry) {
	for i := range p.n.rules {
		if v := p.n.rules[i].amount(p.t, shape); v != 0 {
			out = append(out, lpEntry{i, v})
		}
	}
	p.t.s.meter.spend(5 * len(p.n.rules))
	return out
}

// dualScale is what one unit of cost is in whole numbers.
const dualScale = 1 << 20

// bound sets the tables to the duals, rounded to whole numbers.
func (p *priced) bound() {
	t, y := p.t, p.lp.duals()
	t.tables.clear()
	for i := range p.n.rules {
		if v := wholeDual(y[i]); v > 0 {
			p.n.rules[i].pay(t, p.n.live, v)
		}
	}
}

// total is what everything is worth that the rules ask for, by the duals.
func (p *priced) total() int64 {
	y, total := p.lp.duals(), int64(0)
	for i := range p.n.rules {
		total += p.n.rules[i].gives(wholeDual(y[i]))
	}
	return total
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
	t, total := p.t, p.total()
	if total <= 0 {
		return 0
	}
	if richest.worth <= 0 { // no shape that is left helps
		return t.s.cost
	}
	cost := t.s.extents[richest.extent].cost
	if float64(total)*float64(cost)/float64(richest.worth) > 1e15 {
		return 0
	}
	return ceilDiv(total, cost, richest.worth)
}

// generate adds the blanks that gain most; false where none does, or where what the
// programme can still fall is no whole unit.
func (p *priced) generate(all []proposal) bool {
	t := p.t
	if p.n.depth > 0 && math.Ceil(p.lp.least()-1e-6) <= float64(p.n.lower) {
		return false
	}
	gain := func(o proposal) float64 { return float64(o.worth)/dualScale - float64(t.s.extents[o.extent].cost) }
	slices.SortStableFunc(all, func(a, b proposal) int { return cmp.Compare(gain(b), gain(a)) })
	added := 0
	for _, o := range all {
		if added == atATime || gain(o) < 1e-9*float64(t.s.extents[o.extent].cost) {
			break
		}
		if p.add(o.extent*len(t.setups) + o.setup) {
			added++
		}
	}
	return added > 0
}
