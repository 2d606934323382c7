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

// choose gives what to branch on; false where all shapes are whole.
func (p *priced) choose() (choice, bool) {
	all := p.ofBlanks()
	if len(all) == 0 {
		return choice{}, false
	}
	slices.SortStableFunc(all, func(a, b choice) int { return cmp.Compare(b.score, a.score) })
	return p.strong(all[:min(len(all), looked)]), true
}

// losses are the columns' reduced costs.
func (p *priced) losses() []float64 {
	y, out := p.lp.duals(), make([]float64, len(p.cols))
	for j := range p.cols {
		out[j] = max(0, p.lp.columns[j].loss(y))
	}
	return out
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
		if c := p.cols[j]; c != noShape && v > 1e-9 {
			e := c / len(t.setups)
			if y[e] == nil {
				y[e] = make([]float64, len(t.setups))
			}
			y[e][c%len(t.setups)] += v
		}
	}
	return y
}

const (
	// looked and tried bound the choices of which the first step is looked at, and those
	// tried by programmes (assumed).
	looked, tried = 40, 12
	// unbettered is how many in a row may be tried without a better one (assumed).
	unbettered = 4
	// farthest bounds what one step is believed to add, in units of cost.
	farthest = 50
)

// stepped puts those first that raise the programme on both sides by the first step of the
// dual simplex method.
func (p *priced) stepped(all []choice) {
	y, loss := p.lp.duals(), p.losses()
	for i := range all {
		c := &all[i]
		up, down := p.firstStep(c, y, loss)
		c.score = max(up, 1e-3)*max(down, 1e-3) + 1e-6*c.score
		c.upwards = up < down
	}
	slices.SortStableFunc(all, func(a, b choice) int { return cmp.Compare(b.score, a.score) })
}

// strong chooses what raises the programme on both sides (strong branching; Applegate,
// Bixby, Chvatal and Cook 1995, from memory): by the first step of the dual simplex
// method for all, by some pivots for the best.
func (p *priced) strong(all []choice) choice {
	p.stepped(all)
	base := p.lp.least()
	best, top, idle := all[0], -1.0, 0
	q := p.trials()
	for _, c := range all[:min(len(all), tried)] {
		up := q.try(c.rule, 1, c.above()) - base
		down := q.try(c.rule, -1, c.below()) - base
		if score := max(up, 1e-3) * max(down, 1e-3); score > top {
			best, top, idle = c, score, 0
			best.upwards = up < down
		} else if idle++; idle == unbettered {
			break
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
		if b < 0 || p.cols[b] == noShape {
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
		if p.cols[j] == noShape {
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
