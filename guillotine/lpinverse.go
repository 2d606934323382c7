package guillotine

import (
	"math"
	"slices"
)

// fresh starts from artificial columns, which come first, or where less than nothing
// is needed from surpluses.
func (p *programme) fresh() {
	p.basis, p.inverse, p.x = nil, nil, nil
	for i, n := range p.need {
		row := make([]float64, len(p.need))
		if n >= 0 {
			row[i] = 1
			p.basis = append(p.basis, i)
		} else {
			row[i] = -1
			p.basis = append(p.basis, ^i)
		}
		p.inverse, p.x = append(p.inverse, row), append(p.x, math.Abs(n))
	}
}

// refactor computes the inverse of the basis anew, and x; false where the basis is
// none, or x is not what a programme may have.
func (p *programme) refactor() bool {
	if !p.invert() {
		return false
	}
	for i, v := range p.x {
		if v < -1e-5 {
			return false
		}
		p.x[i] = max(0, v)
	}
	return true
}

// invert computes the inverse of the basis anew, and x; false where the basis is none.
func (p *programme) invert() bool {
	m := len(p.need)
	p.work += m * m * m / 2
	a := p.beside()
	for c := range m {
		best := c
		for i := c; i < m; i++ {
			if math.Abs(a[i][c]) > math.Abs(a[best][c]) {
				best = i
			}
		}
		if math.Abs(a[best][c]) < 1e-9 {
			return false
		}
		a[c], a[best] = a[best], a[c]
		eliminate(a, c)
	}
	p.inverse, p.x = make([][]float64, m), make([]float64, m)
	for i := range m {
		p.inverse[i] = a[i][m:]
	}
	p.solve()
	p.age = 0
	return true
}

// renew computes the inverse anew, where that gives what a programme may have.
func (p *programme) renew() {
	inverse, x := p.inverse, slices.Clone(p.x)
	if !p.refactor() {
		p.inverse, p.x = inverse, x
	}
}

// solve computes x from the inverse.
func (p *programme) solve() {
	for i, row := range p.inverse {
		p.x[i] = 0
		for j, v := range row {
			p.x[i] += v * p.need[j]
		}
	}
}

// beside is the basis with the unit matrix beside it.
func (p *programme) beside() [][]float64 {
	m := len(p.need)
	a := make([][]float64, m)
	for i := range a {
		a[i] = make([]float64, 2*m)
		a[i][m+i] = 1
	}
	for r, b := range p.basis {
		if b < 0 {
			a[^b][r] = -1
			continue
		}
		for _, h := range p.columns[b].holds {
			a[h.row][r] = h.count
		}
	}
	return a
}

// eliminate makes column c of a the unit column (Gauss and Jordan).
func eliminate(a [][]float64, c int) {
	f := 1 / a[c][c]
	for j := c; j < len(a[c]); j++ {
		a[c][j] *= f
	}
	for i := range a {
		if f := a[i][c]; i != c && f != 0 {
			for j := c; j < len(a[i]); j++ {
				a[i][j] -= f * a[c][j]
			}
		}
	}
}

// unsound says that rounding has spoilt the inverse: what the basis gives is not what
// is needed.
func (p *programme) unsound() bool {
	short := slices.Clone(p.need)
	for r, b := range p.basis {
		v := p.x[r]
		if b < 0 {
			short[^b] += v
			continue
		}
		for _, h := range p.columns[b].holds {
			short[h.row] -= h.count * v
		}
	}
	p.work += 8 * len(short)
	for _, v := range short {
		if !(math.Abs(v) < 1e-6) {
			return true
		}
	}
	return false
}

// loss is a column's reduced cost.
func (c *lpColumn) loss(y []float64) float64 {
	d := c.cost
	for _, h := range c.holds {
		d -= y[h.row] * h.count
	}
	return d
}
