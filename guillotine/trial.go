package guillotine

import "math"

const (
	// tryPivots bounds a trial (assumed).
	tryPivots = 40
	// dearRow is what a trial pays for each whole that its rule is short of.
	dearRow = 500
)

// trials is a programme of the basis and the shapes that are live, on which rules
// are tried, one after the other in the same place.
type trials struct {
	p       *priced
	columns []lpColumn
	of      []int
	basis   []int

	lp      programme
	cells   []float64 // of its inverse
	entries []lpEntry // of its columns that the rule counts
	amounts []float64 // what it counts of each
}

func (p *priced) trials() *trials {
	q, index := &trials{p: p}, make([]int, len(p.cols))
	for _, b := range p.lp.basis {
		if b >= 0 {
			index[b] = 1
		}
	}
	for j, c := range p.lp.columns {
		if index[j] == 1 || p.cols[j] != noShape && p.lives(p.cols[j]) {
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
	p, lp, m := q.p, &q.lp, len(q.p.lp.need)
	r.sign, r.need = sign, sign*need
	lp.lazy, lp.work = true, 0
	lp.need = append(append(lp.need[:0], p.lp.need...), float64(r.need))
	q.count(&r, m)
	amount := q.invert(m)
	lp.basis = append(append(lp.basis[:0], q.basis...), ^m)
	lp.x = append(append(lp.x[:0], p.lp.x...), amount-float64(r.need))
	lp.dual(tryPivots, math.Inf(1))
	p.t.s.meter.spend(lp.work + 2*m*m + 4*len(lp.columns))
	return lp.least()
}

// count gives the programme its columns, with what the rule counts of each in row m, and
// last what it pays for being short of that.
func (q *trials) count(r *rule, m int) {
	lp := &q.lp
	lp.columns, q.entries = append(lp.columns[:0], q.columns...), q.entries[:0]
	q.amounts = zeros(q.amounts, len(lp.columns))
	add := func(j int, v float64) {
		at := len(q.entries)
		q.entries = append(append(q.entries, lp.columns[j].holds...), lpEntry{m, v})
		lp.columns[j].holds = q.entries[at:len(q.entries):len(q.entries)]
	}
	for j, c := range q.of {
		if c == noShape {
			continue
		}
		if v := r.amount(q.p.t, c); v != 0 {
			q.amounts[j] = v
			add(j, v)
		}
	}
	lp.columns = append(lp.columns, lpColumn{cost: dearRow})
	add(len(lp.columns)-1, 1)
}

// invert adds the rule's row, whose surplus is basic, to the inverse, and gives what the
// rule counts of the basis.
func (q *trials) invert(m int) (amount float64) {
	p, lp := q.p, &q.lp
	q.cells = zeros(q.cells, (m+1)*(m+1))
	last := q.cells[m*(m+1):]
	last[m] = -1
	lp.inverse = lp.inverse[:0]
	for i, b := range q.basis {
		row := q.cells[i*(m+1) : (i+1)*(m+1)]
		copy(row, p.lp.inverse[i])
		lp.inverse = append(lp.inverse, row)
		if b < 0 || q.amounts[b] == 0 {
			continue
		}
		amount += q.amounts[b] * p.lp.x[i]
		for k, v := range p.lp.inverse[i] {
			last[k] += q.amounts[b] * v
		}
	}
	lp.inverse = append(lp.inverse, last)
	return amount
}
