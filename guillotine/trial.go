package guillotine

import (
	"math"
	"slices"
)

const (
	// tryPivots bounds a trial, tryLoss the columns that take part in it (assumed).
	tryPivots, tryLoss = 20, 6
	// dearRow is what a trial pays for each whole that its rule is short of.
	dearRow = 500
)

// trials is a programme of the basis and the columns that lose little, on which rules
// are tried.
type trials struct {
	p       *priced
	columns []lpColumn
	of      []int
	basis   []int
}

func (p *priced) trials() *trials {
	q, y, index := &trials{p: p}, p.lp.duals(), make([]int, len(p.cols))
	for _, b := range p.lp.basis {
		if b >= 0 {
			index[b] = 1
		}
	}
	for j, c := range p.lp.columns {
		if index[j] == 1 || c.loss(y) <= tryLoss {
			index[j] = len(q.columns)
			q.columns, q.of = append(q.columns, c), append(q.of, p.cols[j])
		}
	}
	for _, b := range p.lp.basis {
		if b >= 0 {
			b = index[b]
		}
		q.basis = append(q.basis, b)
	}
	p.t.s.meter.spend(8 * len(p.cols))
	return q
}

// try is what the programme comes to with a rule more, after a few pivots.
func (q *trials) try(r rule, sign, need int) float64 {
	p, m := q.p, len(q.p.lp.need)
	r.sign, r.need = sign, sign*need
	lp := &programme{lazy: true, need: append(slices.Clone(p.lp.need), float64(r.need)), columns: slices.Clone(q.columns)}
	amounts := make([]float64, len(lp.columns))
	for j, c := range q.of {
		if c == noShape {
			continue
		}
		if v := r.amount(p.t, c); v != 0 {
			h := lp.columns[j].holds
			amounts[j], lp.columns[j].holds = v, append(h[:len(h):len(h)], lpEntry{m, v})
		}
	}
	lp.columns = append(lp.columns, lpColumn{cost: dearRow, holds: []lpEntry{{m, 1}}})
	cells, amount := make([]float64, (m+1)*(m+1)), 0.0
	last := cells[m*(m+1):]
	last[m] = -1
	for i, b := range q.basis {
		row := cells[i*(m+1) : (i+1)*(m+1)]
		copy(row, p.lp.inverse[i])
		lp.inverse = append(lp.inverse, row)
		if b < 0 || amounts[b] == 0 {
			continue
		}
		amount += amounts[b] * p.lp.x[i]
		for k, v := range p.lp.inverse[i] {
			last[k] += amounts[b] * v
		}
	}
	lp.inverse = append(lp.inverse, last)
	lp.basis = append(slices.Clone(q.basis), ^m)
	lp.x = append(slices.Clone(p.lp.x), amount-float64(r.need))
	lp.dual(tryPivots, math.Inf(1))
	p.t.s.meter.spend(lp.work + 2*m*m + 4*len(lp.columns))
	return lp.least()
}
