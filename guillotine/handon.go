package guillotine

import (
	"math"
	"slices"
)

// active are the columns worth handing on, as they are in the programme, and the basis.
func (p *priced) active() (cols []int, holds [][]lpEntry, basis []seat) {
	y, seated := p.lp.duals(), make([]bool, len(p.cols))
	for _, b := range p.lp.basis {
		if b >= 0 && p.cols[b] != noShape {
			seated[b] = true
			basis = append(basis, seat{shape: p.cols[b]})
		} else {
			basis = append(basis, seat{noShape, b})
		}
	}
	for j, c := range p.cols {
		if c != noShape && (seated[j] || (p.t.full || p.lp.columns[j].loss(y) < kept) && p.lives(c)) {
			cols, holds = append(cols, c), append(holds, p.lp.columns[j].holds)
		}
	}
	return cols, holds, basis
}

// lives says whether a better plan in the node may have the shape.
func (p *priced) lives(shape int) bool {
	P := len(p.t.setups)
	_, ok := slices.BinarySearch(p.n.live[shape/P], int32(shape%P))
	return ok
}

// child is the node with one rule more.
func (p *priced) child(r rule, sign, need int) *part {
	r.sign, r.need = sign, sign*need
	n := p.with([]rule{r})
	if r.bars() {
		n.live = without(n.live, r.extent, int32(r.setup))
	}
	return n
}

// without is live without one shape.
func without(live [][]int32, extent int, setup int32) [][]int32 {
	out := slices.Clone(live)
	out[extent] = slices.DeleteFunc(slices.Clone(live[extent]), func(i int32) bool { return i == setup })
	return out
}

// forgetBarred takes the rows that bar a shape out of the programme, and the shape: it is not
// live, and so comes back no more. Where the shape is basic, at nothing, the row's surplus
// takes its place.
func (p *priced) forgetBarred() {
	for i := range p.n.rules {
		r := &p.n.rules[i]
		if !r.bars() || slices.Contains(p.lp.basis, ^i) {
			continue
		}
		j := slices.Index(p.cols, r.shape(p.t))
		at := slices.Index(p.lp.basis, j)
		if j < 0 || at < 0 {
			continue
		}
		if d := p.lp.direction(^i); math.Abs(d[at]) > leastPivot {
			p.lp.exchange(at, ^i, d)
		}
		p.t.s.meter.spend(len(p.lp.need) * len(p.lp.need))
	}
}

// with is the node with more rules.
func (p *priced) with(rules []rule) *part {
	n := &part{rules: slices.Clone(p.n.rules), lower: p.n.lower, depth: p.n.depth + 1, live: p.n.live}
	p.handOn(n, rules)
	return n
}

// handOn gives a node the programme's columns and basis, without the cuts and demands
// that have long been idle, and more rules: what each has over is basic at first, and
// less than nothing where the programme breaks it.
func (p *priced) handOn(n *part, rules []rule) {
	n.active, n.holds, n.basis = p.active()
	n.inverse, n.age, n.latest = p.lp.inverse, p.lp.age, 0
	p.dropIdle(n)
	for _, r := range rules {
		if k := slices.IndexFunc(n.rules, r.like); k >= 0 {
			if n.rules[k].need >= r.need { // the programme is unsound: start anew
				n.basis, n.inverse = nil, nil
			}
			n.rules[k].need = max(n.rules[k].need, r.need)
			continue
		}
		row := len(n.rules)
		for j, c := range n.active {
			if v := r.amount(p.t, c); v != 0 {
				h := n.holds[j]
				n.holds[j] = append(h[:len(h):len(h)], lpEntry{row, v})
			}
		}
		n.rules, n.basis = append(n.rules, r), append(n.basis, seat{noShape, ^row})
		n.latest++
	}
	p.t.s.meter.spend(8 * len(rules) * len(n.active))
}

// dropIdle takes out of a node the rows that have not bound for long, and those that bar a
// shape which it has no more: the surplus of each is basic, so the inverse without its row
// and place is that of the basis without them.
func (p *priced) dropIdle(n *part) {
	place, idle := make([]int, len(n.rules)), 0
	for i := range place {
		place[i] = -1
	}
	for i, b := range p.lp.basis {
		if b < 0 {
			place[^b] = i
		}
	}
	gone := make([]bool, len(n.rules))
	for i := range n.rules {
		r := &n.rules[i]
		if r.bars() && place[i] >= 0 && !slices.Contains(n.active, r.shape(p.t)) {
			gone[i] = true
			idle++
		}
		if r.kind != shapes && r.kind != demands {
			continue
		}
		if r.slack++; place[i] < 0 || p.lp.x[place[i]] < 1e-6 {
			r.slack = 0
		}
		if r.slack > idleNodes {
			gone[i] = true
			idle++
		}
	}
	if idle == 0 {
		return
	}
	p.drop(n, gone, place)
}

// drop takes the rows out that are gone, given the place of each in the basis.
func (p *priced) drop(n *part, gone []bool, place []int) {
	to, out := make([]int, len(gone)), make([]bool, len(gone))
	rules, kept := n.rules[:0:0], 0
	for i, r := range n.rules {
		if to[i] = kept; gone[i] {
			out[place[i]] = true
			continue
		}
		rules, kept = append(rules, r), kept+1
	}
	n.rules = rules
	basis, inverse := n.basis[:0:0], make([][]float64, 0, kept)
	for i, b := range n.basis {
		if out[i] {
			continue
		}
		if b.shape == noShape && b.code < 0 {
			b.code = ^to[^b.code]
		} else if b.shape == noShape {
			b.code = to[b.code]
		}
		row := make([]float64, 0, kept)
		for k, v := range p.lp.inverse[i] {
			if !gone[k] {
				row = append(row, v)
			}
		}
		basis, inverse = append(basis, b), append(inverse, row)
	}
	n.basis, n.inverse = basis, inverse
	for j, h := range n.holds {
		fresh := make([]lpEntry, 0, len(h))
		for _, x := range h {
			if !gone[x.row] {
				fresh = append(fresh, lpEntry{to[x.row], x.count})
			}
		}
		n.holds[j] = fresh
	}
	p.t.s.meter.spend(kept*len(gone) + len(n.holds)*len(gone))
}
