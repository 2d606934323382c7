package guillotine

import "math"

// dual makes a basis whose columns lose nothing, but of which a row has less than
// nothing, again one that can be (the dual simplex method; Lemke 1954, from memory), in
// at most so many pivots and for less than limit. It says whether it came to that.
func (p *programme) dual(pivots int, limit float64) bool {
	y, m := p.duals(), len(p.need)
	for n := range pivots {
		leave := p.shortest()
		if leave < 0 {
			return true
		}
		if n%50 == 49 {
			y = p.duals()
		}
		p.work += m * m
		enter, loss, found := p.entering(leave, y)
		if !found {
			return false
		}
		p.exchange(leave, enter, p.direction(enter))
		if n%10 == 9 && p.least() >= limit {
			break
		}
		for i, v := range p.inverse[leave] {
			y[i] += loss * v
		}
	}
	return p.shortest() < 0
}

// shortest is the row that has least, if that is less than nothing; else -1.
func (p *programme) shortest() int {
	at, least := -1, -1e-7
	for r, v := range p.x {
		if v < least {
			at, least = r, v
		}
	}
	return at
}

// entering is the column that may take the row's place for the least loss, and what it
// loses.
func (p *programme) entering(leave int, y []float64) (enter int, loss float64, found bool) {
	row := p.inverse[leave]
	best, pivot := math.Inf(1), 0.0
	see := func(j int, alpha, d float64) {
		if alpha > -1e-7 {
			return
		}
		d = max(0, d)
		if t := d / -alpha; t < best-1e-12 || t < best+1e-12 && alpha < pivot {
			enter, loss, found, best, pivot = j, d, true, t, alpha
		}
	}
	for i, v := range row {
		see(^i, -v, y[i])
	}
	for j := range p.columns {
		c := &p.columns[j]
		alpha, d := 0.0, c.cost
		for _, h := range c.holds {
			alpha += row[h.row] * h.count
			d -= y[h.row] * h.count
		}
		see(j, alpha, d)
		p.work += len(c.holds) + 1
	}
	return enter, loss, found
}
