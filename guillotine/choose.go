package guillotine

import (
	"cmp"
	"math"
	"slices"
)

// choice is a rule to branch on: what it counts is no whole number.
type choice struct {
	rule     rule
	value    float64
	score    float64
	up, down float64 // how much the programme rises, as far as is known
	upwards  bool    // the programme rises less there
}

func (c *choice) above() int { return int(math.Ceil(c.value)) }
func (c *choice) below() int { return int(math.Floor(c.value)) }

// part is what the value has over a whole number.
func (c *choice) part() float64 { return c.value - math.Floor(c.value) }

// choose gives what to branch on; false where all shapes are whole.
func (p *priced) choose() (choice, bool) {
	all := p.ofBlanks()
	if len(all) == 0 {
		return choice{}, false
	}
	slices.SortStableFunc(all, func(a, b choice) int { return cmp.Compare(b.score, a.score) })
	return p.strong(all[:min(len(all), looked)]), true
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
			all = consider(all, rule{kind: ones, setup: i, extent: e}, v, cost/2)
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
