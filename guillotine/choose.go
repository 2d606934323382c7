package guillotine

import (
	"cmp"
	"math"
	"slices"
)

// choice is a rule to branch on: what it counts is no whole number.
type choice struct {
	rule    rule
	value   float64
	score   float64
	upwards bool // the programme rises less there
}

func (c *choice) above() int { return int(math.Ceil(c.value)) }
func (c *choice) below() int { return int(math.Floor(c.value)) }

// choose gives what to branch on; false where everything is whole.
func (p *priced) choose() (choice, bool) {
	all := p.ofBlanks()
	if len(all) == 0 {
		return p.surest()
	}
	return p.strong(all), true
}

// surest is the arc that lacks least of a whole.
func (p *priced) surest() (best choice, ok bool) {
	for _, c := range p.ofArcs() {
		if lack := float64(c.above()) - c.value; !ok || lack < float64(best.above())-best.value-1e-6 {
			best, ok = c, true
		}
	}
	best.upwards = true
	return best, ok
}

// whole says that a value of the programme is a whole number, but for rounding.
func whole(v float64) bool {
	f := v - math.Floor(v)
	return f < 1e-5 || f > 1-1e-5
}

// consider adds a choice where its value is no whole number.
func consider(all []choice, r rule, value, weight float64) []choice {
	if whole(value) {
		return all
	}
	f := value - math.Floor(value)
	return append(all, choice{rule: r, value: value, score: min(f, 1-f) * weight})
}

// ofBlanks counts blanks, lanes and setups from the longest extent down.
func (p *priced) ofBlanks() (all []choice) {
	t, s := p.t, p.t.s
	y := p.byShape()
	count, lane, like := 0.0, make([]float64, len(s.widths)), make([]float64, len(t.setups))
	for e := len(s.extents) - 1; e >= 0; e-- {
		cost, any := float64(s.extents[e].cost), false
		for i, v := range y[e] {
			if v == 0 {
				continue
			}
			any = true
			count += v
			like[i] += v
			for w, n := range t.setups[i] {
				lane[w] += float64(n) * v
			}
			all = consider(all, rule{kind: likes, setup: i, extent: e}, like[i], cost/2)
		}
		if !any {
			continue
		}
		all = consider(all, rule{kind: blanks, extent: e}, count, cost)
		for w, v := range lane {
			all = consider(all, rule{kind: lanes, width: w, extent: e}, v, 2*cost*float64(s.widths[w])/float64(s.width))
		}
	}
	s.meter.spend(len(s.extents) * len(t.setups))
	return all
}

// byShape is how often blanks of each extent and setup are used.
func (p *priced) byShape() [][]float64 {
	t := p.t
	y := make([][]float64, len(t.s.extents))
	for j, v := range p.lp.values() {
		if c := p.cols[j]; c != nil && v > 1e-9 {
			if y[c.extent] == nil {
				y[c.extent] = make([]float64, len(t.setups))
			}
			y[c.extent][c.setup] += v
		}
	}
	return y
}

// arc is a place in the strips of a width: n of a size, taken where they come to from.
type arc struct{ width, size, from, n int }

// flow is how many strips pass each arc.
func (p *priced) flow() map[arc]float64 {
	t, s, out := p.t, p.t.s, map[arc]float64{}
	for j, v := range p.lp.values() {
		c := p.cols[j]
		if c == nil || v < 1e-9 {
			continue
		}
		for w, n := range t.setups[c.setup] {
			at := 0
			for i, m := range c.strips[w] {
				k := s.first[w] + i
				out[arc{w, k, at, m}] += v * float64(n)
				at += m * s.sizes[k].length
			}
		}
		s.meter.spend(30 * len(s.sizes))
	}
	return out
}

// ofArcs counts strips by their arcs, in an order of its own.
func (p *priced) ofArcs() (all []choice) {
	for a, v := range p.flow() {
		r := rule{kind: arcs, width: a.width, size: a.size, from: a.from, n: a.n}
		all = consider(all, r, v, float64(1+p.t.s.sizes[a.size].length*a.n))
	}
	slices.SortFunc(all, func(x, y choice) int {
		a, b := x.rule, y.rule
		return cmp.Or(cmp.Compare(y.score, x.score), a.size-b.size, a.from-b.from, a.n-b.n)
	})
	return all[:min(len(all), mostArcs)]
}

const (
	// mostArcs bounds the choices among arcs, tried those by programmes (assumed).
	mostArcs, stepped, tried = 60, 40, 3
	// farthest bounds what one step is believed to add, in units of cost.
	farthest = 50
)

// strong chooses what raises the programme on both sides (strong branching; Applegate,
// Bixby, Chvatal and Cook 1995, from memory): by the first step of the dual simplex
// method for all, by a few pivots for the best.
func (p *priced) strong(all []choice) choice {
	slices.SortStableFunc(all, func(a, b choice) int { return cmp.Compare(b.score, a.score) })
	all = all[:min(len(all), stepped)]
	base, y := p.lp.least(), p.lp.duals()
	loss := make([]float64, len(p.cols))
	for j := range p.cols {
		loss[j] = max(0, p.lp.columns[j].loss(y))
	}
	for i := range all {
		c := &all[i]
		up, down := p.firstStep(c, y, loss)
		c.score = max(up, 1e-3)*max(down, 1e-3) + 1e-6*c.score
	}
	slices.SortStableFunc(all, func(a, b choice) int { return cmp.Compare(b.score, a.score) })
	best, top, q := all[0], -1.0, p.trials()
	for _, c := range all[:min(len(all), tried)] {
		up := q.try(c.rule, 1, c.above()) - base
		down := q.try(c.rule, -1, c.below()) - base
		if score := max(up, 1e-3) * max(down, 1e-3); score > top {
			best, top = c, score
			best.upwards = up < down
		}
	}
	return best
}

// firstStep is what the first step of the dual simplex method adds on either side.
func (p *priced) firstStep(c *choice, y, loss []float64) (up, down float64) {
	r := c.rule
	r.sign = 1
	row := make([]float64, len(p.lp.need))
	for i, b := range p.lp.basis {
		if b < 0 || p.cols[b] == nil {
			continue
		}
		if a := r.amount(p.t, p.cols[b]); a != 0 {
			for k, v := range p.lp.inverse[i] {
				row[k] += a * v
			}
		}
	}
	up, down = math.Inf(1), math.Inf(1)
	see := func(alpha, loss float64) {
		if alpha > 1e-9 {
			up = min(up, loss/alpha)
		} else if alpha < -1e-9 {
			down = min(down, -loss/alpha)
		}
	}
	for i, v := range row {
		see(v, max(0, y[i]))
	}
	for j, col := range p.lp.columns {
		if p.cols[j] == nil {
			continue
		}
		alpha := r.amount(p.t, p.cols[j])
		for _, h := range col.holds {
			alpha -= row[h.row] * h.count
		}
		see(alpha, loss[j])
	}
	p.t.s.meter.spend(12*len(p.cols) + len(row)*len(row)/2)
	f := c.value - math.Floor(c.value)
	return min(up*(1-f), farthest), min(down*f, farthest)
}
