package guillotine

import "slices"

const (
	// tryPivots bounds a trial, tryLoss the columns that take part in it (assumed).
	tryPivots, tryLoss = 15, 6
	// dearRow is what a trial pays for each whole that its rule is short of.
	dearRow = 500
)

// trial is what the programme comes to with a rule more, after a few pivots on the
// columns on hand that lose little.
func (p *priced) trial(r rule, sign, need int) float64 {
	r.sign, r.need = sign, sign*need
	q, index, amounts := p.some(&r)
	m, amount := len(p.lp.need), 0.0
	last := make([]float64, m+1) // row of the inverse
	for i, b := range p.lp.basis {
		q.inverse = append(q.inverse, append(slices.Clone(p.lp.inverse[i]), 0))
		if b < 0 {
			q.basis = append(q.basis, b)
			continue
		}
		q.basis = append(q.basis, index[b])
		amount += amounts[b] * p.lp.x[i]
		for k, v := range p.lp.inverse[i] {
			last[k] -= amounts[b] * v
		}
	}
	last[m] = 1
	q.columns = append(q.columns, lpColumn{cost: dearRow, holds: []lpEntry{{m, 1}}})
	q.basis, q.inverse = append(q.basis, len(q.columns)-1), append(q.inverse, last)
	q.x = append(slices.Clone(p.lp.x), float64(r.need)-amount)
	q.optimise(tryPivots)
	p.t.s.meter.spend(q.work + 2*m*m)
	return q.least()
}

// some is a programme of the basis and the columns that lose little, with the rule's
// row; index says where each column is in it.
func (p *priced) some(r *rule) (q *programme, index []int, amounts []float64) {
	m, y := len(p.lp.need), p.lp.duals()
	q = &programme{lazy: true, need: append(slices.Clone(p.lp.need), float64(r.need))}
	index, amounts = make([]int, len(p.cols)), make([]float64, len(p.cols))
	for _, b := range p.lp.basis {
		if b >= 0 {
			index[b] = 1
		}
	}
	for j, c := range p.lp.columns {
		if index[j] == 0 && c.loss(y) > tryLoss {
			continue
		}
		index[j] = len(q.columns)
		if p.cols[j] != nil {
			if v := r.amount(p.t, p.cols[j]); v != 0 {
				amounts[j] = v
				c.holds = append(c.holds[:len(c.holds):len(c.holds)], lpEntry{m, v})
			}
		}
		q.columns = append(q.columns, c)
	}
	return q, index, amounts
}
