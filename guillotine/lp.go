package guillotine

import (
	"math"
	"slices"
)

// programme is a covering linear programme, minimise cost*x with columns*x >= need,
// x >= 0, to which columns are added as they are found (Gilmore and Gomory 1961):
// the revised simplex method with an explicit inverse. It only proposes; nothing
// that it says is believed without whole numbers.
type programme struct {
	need    []float64
	columns []lpColumn
	basis   []int       // column of each row; ^i is the surplus of row i
	inverse [][]float64 // of the basis
	x       []float64   // of the basis
	some    []int       // places, in hand
	along   []float64   // direction, in hand
	losses  reduced     // in hand
	norms   []float64   // of the inverse's rows, squared, in hand
	age     int         // exchanges since the inverse was computed anew
	work    int         // elementary steps so far
	lazy    bool        // duals are carried from pivot to pivot, and computed anew now and then
}

type lpColumn struct {
	cost  float64
	holds []lpEntry
}

// lpEntry is how many of a row a column holds.
type lpEntry struct {
	row   int
	count float64
}

// add puts a column at the end; holds has a number for every row.
func (p *programme) add(cost float64, holds []int) {
	c := lpColumn{cost: cost}
	for i, n := range holds {
		if n != 0 {
			c.holds = append(c.holds, lpEntry{i, float64(n)})
		}
	}
	p.columns = append(p.columns, c)
}

// newProgramme has no columns yet.
func newProgramme(need []int) *programme {
	p := &programme{}
	for _, n := range need {
		p.need = append(p.need, float64(n))
	}
	return p
}

// start takes the first columns, each of one row alone, as the basis.
func (p *programme) start() {
	for i, n := range p.need {
		row := make([]float64, len(p.need))
		row[i] = 1 / p.columns[i].holds[0].count
		p.inverse = append(p.inverse, row)
		p.basis = append(p.basis, i)
		p.x = append(p.x, n*row[i])
	}
}

func (p *programme) cost(column int) float64 {
	if column < 0 {
		return 0
	}
	return p.columns[column].cost
}

// duals are the worth of one piece of each kind.
func (p *programme) duals() []float64 { return p.dualsIn(nil) }

// dualsIn puts them where there is room.
func (p *programme) dualsIn(y []float64) []float64 {
	y = zeros(y, len(p.need))
	for r, b := range p.basis {
		if c := p.cost(b); c != 0 {
			for i, v := range p.inverse[r] {
				y[i] += c * v
			}
		}
	}
	return y
}

const (
	// tiny is below what a column must gain to enter; only speed and the quality of
	// proposals hang on it, and on the rest here.
	tiny = 1e-9
	// leastPivot is the least number that is pivoted on, mostAge after how many exchanges
	// the inverse is computed anew (assumed: rounding spoils fewer inverses).
	leastPivot, mostAge = 1e-5, 100
)

// optimise pivots until no column on hand gains, or for at most that many pivots. A column
// of the basis gains by rounding alone, and never enters.
func (p *programme) optimise(pivots int) {
	y := p.duals()
	for n := range pivots {
		if n > 0 && (!p.lazy || n%50 == 0) {
			if p.lazy && p.age > mostAge {
				p.renew()
			}
			y = p.duals()
		}
		p.work += len(y) * len(y)
		enter, gain, found := 0, -tiny, false
		for i, v := range y {
			if v < gain && !slices.Contains(p.basis, ^i) {
				enter, gain, found = ^i, v, true
			}
		}
		for j := range p.columns {
			d := p.columns[j].loss(y)
			p.work += len(p.columns[j].holds) + 1
			if d < gain && !slices.Contains(p.basis, j) {
				enter, gain, found = j, d, true
			}
		}
		if !found {
			return
		}
		at := p.pivot(enter)
		if at < 0 {
			return
		}
		for i, v := range p.inverse[at] {
			y[i] += gain * v
		}
	}
}

// pivot brings a column into the basis, and says in whose place; -1 where it cannot.
func (p *programme) pivot(enter int) int {
	d := p.direction(enter)
	leave, least := -1, math.Inf(1)
	for r, v := range d {
		if v < leastPivot {
			continue
		}
		t := p.x[r] / v
		if t < least-1e-12 || t < least+1e-12 && leave >= 0 && v > d[leave] {
			leave, least = r, t
		}
	}
	if leave < 0 {
		return -1
	}
	p.exchange(leave, enter, d)
	for r, v := range p.x {
		p.x[r] = max(0, v)
	}
	return leave
}

// exchange puts a column into the basis in the place of row leave, given what it is in
// terms of the basis.
func (p *programme) exchange(leave, enter int, d []float64) {
	scale := 1 / d[leave]
	row, amount := p.inverse[leave], p.x[leave]*scale
	p.some = p.some[:0] // where the row is not zero
	for i := range row {
		if row[i] *= scale; row[i] != 0 {
			p.some = append(p.some, i)
		}
	}
	for r, v := range d {
		if r == leave || v == 0 {
			continue
		}
		other := p.inverse[r][:len(row)]
		for _, i := range p.some {
			other[i] -= v * row[i]
		}
		p.x[r] -= v * amount
	}
	p.x[leave], p.basis[leave] = amount, enter
	p.age++
}

// direction is a column in terms of the basis; it serves until the next is asked for.
func (p *programme) direction(enter int) []float64 {
	p.along = zeros(p.along, len(p.need))
	if enter < 0 {
		for r := range p.along {
			p.along[r] = -p.inverse[r][^enter]
		}
		return p.along
	}
	for r, row := range p.inverse {
		v := 0.0
		for _, h := range p.columns[enter].holds {
			v += row[h.row] * h.count
		}
		p.along[r] = v
	}
	return p.along
}

// least is the cost of the basis.
func (p *programme) least() float64 {
	sum := 0.0
	for r, b := range p.basis {
		sum += p.cost(b) * p.x[r]
	}
	return sum
}

// values gives each column's amount.
func (p *programme) values() []float64 {
	out := make([]float64, len(p.columns))
	for r, b := range p.basis {
		if b >= 0 {
			out[b] = p.x[r]
		}
	}
	return out
}

// zeros are n zeros, in the place of x where it has room.
func zeros(x []float64, n int) []float64 {
	if cap(x) < n {
		return make([]float64, n)
	}
	x = x[:n]
	clear(x)
	return x
}
