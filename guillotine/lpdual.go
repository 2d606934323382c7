package guillotine

import (
	"math"
	"slices"
)

// dual makes a basis whose columns lose nothing, but of which a row has less than
// nothing, again one that can be (the dual simplex method; Lemke 1954, from memory), in
// at most so many pivots and for less than limit. It says whether it came to that.
func (p *programme) dual(pivots int, limit float64) bool {
	m, r, least := len(p.need), p.reduced(), p.least()
	p.norms = p.norms[:0]
	for _, row := range p.inverse {
		p.norms = append(p.norms, squares(row))
		p.work += m / 2
	}
	for n := range pivots {
		leave := p.shortest()
		if leave < 0 {
			return true
		}
		if n%50 == 49 {
			r = p.reduced()
		}
		p.work += m * m
		enter, step, found := p.entering(leave, r)
		if !found {
			return false
		}
		least -= step * p.x[leave]
		d := p.direction(enter)
		p.exchange(leave, enter, d)
		for i, v := range d {
			if v != 0 {
				p.norms[i] = squares(p.inverse[i])
				p.work += m / 2
			}
		}
		if least >= limit {
			break
		}
		r.step(step)
	}
	return p.shortest() < 0
}

// reduced are the reduced costs of surpluses and columns, carried from pivot to pivot, and
// what the row that leaves has of each.
type reduced struct{ surplus, column, ofSurplus, ofColumn []float64 }

// reduced computes the reduced costs anew.
func (p *programme) reduced() *reduced {
	r, n := &p.losses, len(p.columns)
	y := p.dualsIn(r.surplus)
	*r = reduced{y, zeros(r.column, n), zeros(r.ofSurplus, len(y)), zeros(r.ofColumn, n)}
	for j := range p.columns {
		r.column[j] = p.columns[j].loss(y)
		p.work += len(p.columns[j].holds)
	}
	return r
}

// step carries the reduced costs over a pivot.
func (r *reduced) step(step float64) {
	for i, v := range r.ofSurplus {
		r.surplus[i] += step * v
	}
	for j, v := range r.ofColumn {
		r.column[j] += step * v
	}
}

// shortest is the row that has least, measured by the length of its row of the inverse, if that
// is less than nothing; else -1 (steepest edge: Forrest and Goldfarb 1992, from memory).
func (p *programme) shortest() int {
	at, most := -1, 0.0
	for r, v := range p.x {
		if v < -1e-7 && v*v > most*p.norms[r] {
			at, most = r, v*v/p.norms[r]
		}
	}
	return at
}

// squares is the sum of the squares of a row.
func squares(row []float64) (v float64) {
	for _, x := range row {
		v += x * x
	}
	return v
}

// entering is the column that may take the row's place for the least loss, and what each
// of the row costs then.
func (p *programme) entering(leave int, r *reduced) (enter int, step float64, found bool) {
	row := p.inverse[leave]
	best, pivot := math.Inf(1), 0.0
	see := func(j int, alpha, d float64) {
		t := max(0, d) / -alpha
		if (t < best-1e-12 || t < best+1e-12 && alpha < pivot) && !slices.Contains(p.basis, j) {
			enter, found, best, pivot = j, true, t, alpha
		}
	}
	for i, v := range row {
		if r.ofSurplus[i] = -v; v > leastPivot {
			see(^i, -v, r.surplus[i])
		}
	}
	for j := range p.columns {
		c, alpha := &p.columns[j], 0.0
		for _, h := range c.holds {
			alpha += row[h.row] * h.count
		}
		if r.ofColumn[j] = alpha; alpha < -leastPivot {
			see(j, alpha, r.column[j])
		}
		p.work += len(c.holds)/2 + 1
	}
	return enter, best, found
}
