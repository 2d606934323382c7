package guillotine

import (
	"cmp"
	"math"
	"slices"
)

const (
	// looked and tried bound the choices that are looked at, and those of them that are
	// tried by programmes; unbettered is how many in a row may fare no better (assumed).
	looked, tried, unbettered = 80, 12, 4
	// topDepth is down to which depth topTried choices are tried: much hangs on those
	// (assumed).
	topDepth, topTried = 4, 40
	// farthest bounds what one step is believed to add, in units of cost.
	farthest = 50
	// enough is by how much more than a node's gap a rise may count (assumed).
	enough = 0.2
	// setupsScore is what the score of setups is multiplied by: barring one shape commonly
	// raises little, where others do as well (assumed).
	setupsScore = 0.2
)

// history is what trials of a rule gave on either side for each whole that its value
// moved, in all.
type history struct {
	up, down float64
	trials   int
}

// strong chooses what raises the programme on both sides, by some pivots for the most
// promising (strong branching; Applegate, Bixby, Chvatal and Cook 1995, from memory). What
// trials gave in other nodes says what to try first, but does not stand for a trial
// (reliability branching): trees came out many times larger so.
func (p *priced) strong(all []choice) choice {
	p.estimate(all)
	base, few, patience := p.lp.least(), tried, unbettered
	if p.n.depth < topDepth {
		few, patience = topTried, topTried
	}
	best, top, idle, q := all[0], -1.0, 0, p.trials()
	for _, c := range all[:min(len(all), few)] {
		c.up = max(0, q.try(c.rule, 1, c.above())-base)
		c.down = max(0, q.try(c.rule, -1, c.below())-base)
		p.t.remember(c)
		if score := p.rate(c); score > top {
			best, top, idle = c, score, 0
			best.upwards = c.up < c.down
		} else if idle++; idle == patience {
			break
		}
	}
	return best
}

// estimate puts those first that promise most, by the trials of their rules or the first
// step of the dual simplex method.
func (p *priced) estimate(all []choice) {
	y, loss := p.lp.duals(), p.losses()
	for i := range all {
		c := &all[i]
		c.up, c.down = p.firstStep(c, y, loss)
		if h, ok := p.t.past[c.rule]; ok {
			n := float64(h.trials)
			c.up, c.down = max(c.up, h.up/n*(1-c.part())), max(c.down, h.down/n*c.part())
		}
		c.score = p.rate(*c) + 1e-6*c.score
	}
	slices.SortStableFunc(all, func(a, b choice) int { return cmp.Compare(b.score, a.score) })
}

// rate is how good a choice is: what it raises on both sides, as far as the node needs it.
func (p *priced) rate(c choice) float64 {
	gap := float64(p.t.s.cost-1) - p.lp.least() + enough
	score := max(min(c.up, gap), 1e-3) * max(min(c.down, gap), 1e-3)
	if c.rule.kind == likes || c.rule.kind == ones {
		score *= setupsScore
	}
	return score
}

// remember adds a trial to the history of its rule.
func (t *tree) remember(c choice) {
	h := t.past[c.rule]
	h.up, h.down, h.trials = h.up+c.up/(1-c.part()), h.down+c.down/c.part(), h.trials+1
	t.past[c.rule] = h
}

// losses are the columns' reduced costs.
func (p *priced) losses() []float64 {
	y, out := p.lp.duals(), make([]float64, len(p.cols))
	for j := range p.cols {
		out[j] = max(0, p.lp.columns[j].loss(y))
	}
	return out
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
	f := c.part()
	return min(up*(1-f), farthest), min(down*f, farthest)
}
