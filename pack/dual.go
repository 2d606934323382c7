package pack

import "math"

// shift changes the right-hand side and restores a solution by the dual
// simplex method (Lemke 1954, from memory), keeping the columns. It is false when the
// columns cannot meet the new side; the programme is then of no more use.
func (p *lp) shift(b []float64, w *meter) bool {
	n := p.rows
	p.side = b
	for r := range b {
		p.b[r] = perturbed(b[r], r)
		if p.equal && b[r] == 0 {
			p.b[r] = 0 // nothing may be left in such a row
		}
	}
	for i := range n {
		p.x[i] = 0
		for k, v := range p.inv[i*n : i*n+n] {
			p.x[i] += v * p.b[k]
		}
	}
	for range 20 * (n + 10) {
		r := p.mostNegative()
		if r < 0 {
			return true
		}
		v, d, ok := p.enteringDual(r)
		if !ok || !p.spend(w) {
			return false
		}
		p.direction(v)
		if p.dir[r] > -lpPivot {
			return false
		}
		p.pivotDual(r, v, d)
	}
	return false
}

func (p *lp) mostNegative() int {
	best, at := -lpPivot, -1
	for i, x := range p.x {
		if x < best {
			best, at = x, i
		}
	}
	return at
}

// enteringDual is the dual ratio test over row r of the inverse.
func (p *lp) enteringDual(r int) (v int, d float64, ok bool) {
	row := p.inv[r*p.rows : (r+1)*p.rows]
	best, steep := math.Inf(1), 0.0
	try := func(j int, a, cost float64) {
		if a >= -lpPivot {
			return
		}
		if q := max(0, cost) / -a; q < best-1e-12 || q <= best+1e-12 && -a > steep {
			best, steep, v, d, ok = q, -a, j, cost, true
		}
	}
	for j := range p.cols {
		if p.basic[j] || p.banned[j] {
			continue
		}
		c := &p.cols[j]
		a, val := 0.0, c.val
		for k, i := range c.row {
			a += row[i] * val[k]
		}
		if a < -lpPivot {
			try(j, a, p.reduced(*c))
		}
	}
	p.work += int64(4 * len(p.cols))
	if p.equal { // artificials come back where nothing else serves
		for i := range row {
			try(-1-p.rows-i, row[i], p.big-p.y[i])
		}
		return v, d, ok
	}
	for i := range row {
		if p.y[i] > lpZero || !p.slackBasic(i) {
			try(-1-i, -row[i], p.y[i])
		}
	}
	return v, d, ok
}

func (p *lp) slackBasic(r int) bool {
	for _, v := range p.basis {
		if v == -1-r {
			return true
		}
	}
	return false
}

// pivotDual is pivot with a negative value leaving over a negative element.
func (p *lp) pivotDual(r, v int, d float64) {
	step := p.x[r] / p.dir[r]
	p.x[r] = 0 // so that pivot, made for positive steps, moves nothing
	for i, u := range p.dir {
		if i != r {
			p.x[i] -= u * step
		}
	}
	p.pivot(r, v, d)
	p.x[r] = step
}

// turn moves to another solution of all but the same value: costs are bent by a
// fixed pattern of a hundred-thousandth, and straightened again.
func (p *lp) turn(n int, w *meter) {
	straight := p.cols
	p.cols = append([]lpColumn(nil), straight...)
	for j := range p.cols {
		p.cols[j].cost *= 1 + 1e-5*float64((j*7919+n*104729)%1013)/1013
	}
	p.price()
	p.solve(w)
	p.cols = straight
	p.price()
}

// clone copies the programme; columns themselves are shared, they never change.
func (p *lp) clone() *lp {
	q := *p
	q.b = append([]float64(nil), p.b...)
	if !p.equal { // an equality programme's columns are all there from the start
		q.cols = append([]lpColumn(nil), p.cols...)
	}
	q.banned = append([]bool(nil), p.banned...)
	q.basic = append([]bool(nil), p.basic...)
	q.inv = append([]float64(nil), p.inv...)
	q.basis = append([]int(nil), p.basis...)
	q.x = append([]float64(nil), p.x...)
	q.y = append([]float64(nil), p.y...)
	q.dir = append([]float64(nil), p.dir...)
	q.nonzero, q.hot, q.rate = nil, nil, nil
	return &q
}
