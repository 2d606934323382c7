package pack

import "math"

// lp is the restricted linear programme min cost*x, A*x >= b, x >= 0, solved
// by the primal simplex method on a dense inverse (Dantzig 1951, from memory). Columns come
// and the solver goes on from its last basis. It is in floating point: its
// duals are proposals only, and nothing is ever proved by them.
type lp struct {
	rows    int
	side    []float64 // the right-hand side
	b       []float64 // the same, perturbed
	equal   bool      // rows are equalities: no slack may enter
	big     float64   // cost of an artificial variable
	cols    []lpColumn
	basic   []bool // per column
	banned  []bool // per column of an equality programme: dear if basic, never entered
	inv     []float64
	basis   []int // column, or -1-r for the slack of row r, or -1-rows-r for its artificial
	x       []float64
	y       []float64
	dir     []float64
	nonzero []int32 // of the pivot row
	hot     []int   // columns that looked best, with how good they were
	rate    []float64
	work    int64 // steps since the meter was last told
	age     int   // pivots since the inverse was last made afresh
}

type lpColumn struct {
	cost float64
	row  []int32
	val  []float64
}

const (
	lpZero  = 1e-9
	lpPivot = 1e-7
)

// newLP starts from slacks and artificials. The right-hand side is perturbed by a
// fixed pattern of a ten-millionth, which ends the stalling of degenerate steps.
func newLP(b []float64, big float64) *lp {
	n := len(b)
	p := &lp{rows: n, big: big, side: b, b: make([]float64, n), inv: make([]float64, n*n),
		basis: make([]int, n), x: make([]float64, n), y: make([]float64, n), dir: make([]float64, n)}
	for r := range b {
		p.b[r] = perturbed(b[r], r)
		if p.b[r] > 0 {
			p.basis[r] = -1 - n - r
			p.inv[r*n+r] = 1
			p.y[r] = big
		} else {
			p.basis[r] = -1 - r
			p.inv[r*n+r] = -1
		}
		p.x[r] = math.Abs(p.b[r])
	}
	return p
}

func perturbed(b float64, r int) float64 {
	return b + 1e-7*(1+float64((r*7919+13)%1009)/1009)
}

func (p *lp) add(c lpColumn) {
	p.cols = append(p.cols, c)
	p.basic = append(p.basic, false)
	p.banned = append(p.banned, false)
}

func (p *lp) reduced(c lpColumn) float64 {
	d := c.cost
	for i, r := range c.row {
		d -= p.y[r] * c.val[i]
	}
	return d
}

// entering is the variable of most negative reduced cost, coded as in basis,
// among the columns that looked best at the last full look and the slacks;
// all columns are looked at when those are used up.
func (p *lp) entering() (v int, d float64) {
	d = -lpZero
	found := false
	for _, j := range p.hot {
		if e := p.reduced(p.cols[j]); !p.basic[j] && e < d {
			v, d, found = j, e, true
		}
	}
	if !found {
		v, d, found = p.scan()
	}
	for r, y := range p.y {
		if y < d && !p.equal {
			v, d, found = -1-r, y, true
		}
	}
	if !found {
		return 0, 0
	}
	return v, d
}

const hotColumns = 40

// scan looks at all columns and keeps the most promising as hot.
func (p *lp) scan() (v int, d float64, found bool) {
	d = -lpZero
	p.hot, p.rate = p.hot[:0], p.rate[:0]
	for j := range p.cols {
		if p.basic[j] || p.banned[j] {
			continue
		}
		p.work += int64(2 + len(p.cols[j].row))
		e := p.reduced(p.cols[j])
		if e >= -lpZero {
			continue
		}
		if e < d {
			v, d, found = j, e, true
		}
		p.heat(j, e)
	}
	return v, d, found
}

// heat keeps the list of hot columns short by replacing its mildest.
func (p *lp) heat(j int, e float64) {
	if len(p.hot) < hotColumns {
		p.hot, p.rate = append(p.hot, j), append(p.rate, e)
		return
	}
	mild := 0
	for i, r := range p.rate {
		if r > p.rate[mild] {
			mild = i
		}
	}
	if e < p.rate[mild] {
		p.hot[mild], p.rate[mild] = j, e
	}
}

// direction is the inverse times the entering column.
func (p *lp) direction(v int) {
	n := p.rows
	if v < -n {
		r := -1 - n - v
		for i := range n {
			p.dir[i] = p.inv[i*n+r]
		}
		return
	}
	if v < 0 {
		r := -1 - v
		for i := range n {
			p.dir[i] = -p.inv[i*n+r]
		}
		return
	}
	c := p.cols[v]
	for i := range n {
		row := p.inv[i*n : i*n+n]
		sum := 0.0
		for k, r := range c.row {
			sum += row[r] * c.val[k]
		}
		p.dir[i] = sum
	}
}

// leaving is the ratio test; of near ties the largest pivot wins.
func (p *lp) leaving() int {
	best, ratio := -1, math.Inf(1)
	for i, d := range p.dir {
		if d <= lpPivot {
			continue
		}
		q := max(0, p.x[i]) / d
		if q < ratio-1e-12 || q <= ratio+1e-12 && d > p.dir[best] {
			best, ratio = i, q
		}
	}
	return best
}

func (p *lp) pivot(r, v int, d float64) {
	n := p.rows
	row := p.inv[r*n : r*n+n]
	f := 1 / p.dir[r]
	for k := range row {
		row[k] *= f
	}
	step := max(0, p.x[r]) * f
	p.nonzero = p.nonzero[:0]
	for k, w := range row {
		if w != 0 {
			p.nonzero = append(p.nonzero, int32(k))
		}
	}
	sparse := 3*len(p.nonzero) < n
	p.work += int64(n * 8)
	for i, u := range p.dir {
		if i == r || u > -1e-13 && u < 1e-13 {
			continue
		}
		p.x[i] -= u * step
		p.work += int64(len(p.nonzero))
		other := p.inv[i*n : i*n+n]
		if sparse {
			for _, k := range p.nonzero {
				other[k] -= u * row[k]
			}
			continue
		}
		for k, w := range row {
			other[k] -= u * w
		}
	}
	for k, w := range row {
		p.y[k] += d * w
	}
	p.x[r] = step
	if old := p.basis[r]; old >= 0 {
		p.basic[old] = false
	}
	if v >= 0 {
		p.basic[v] = true
	}
	p.basis[r] = v
	p.age++
}

// solve pivots to optimality of the columns there are and returns the value.
func (p *lp) solve(w *meter) float64 {
	p.hot, p.rate = p.hot[:0], p.rate[:0]
	for range 50 * (p.rows + 10) {
		v, d := p.entering()
		if d == 0 {
			break
		}
		p.direction(v)
		r := p.leaving()
		if r < 0 || !p.spend(w) {
			break
		}
		p.pivot(r, v, d)
		if p.age > 150+p.rows {
			p.refresh()
		}
	}
	return p.value()
}

// spend tells the meter of the work done.
func (p *lp) spend(w *meter) bool {
	n := p.work
	p.work = 0
	return w.spend(n)
}

func (p *lp) cost(v int) float64 {
	switch {
	case v >= 0 && p.banned[v]:
		return 2 * p.big
	case v >= 0:
		return p.cols[v].cost
	case v < -p.rows:
		return p.big
	}
	return 0
}

// value is of the true right-hand side, before it was perturbed.
func (p *lp) value() float64 {
	sum := 0.0
	for r, y := range p.y {
		sum += y * p.side[r]
	}
	return sum
}

// artificial is how much of the demand no column covers yet.
func (p *lp) artificial() float64 {
	sum := 0.0
	for i, v := range p.basis {
		if v < -p.rows {
			sum += p.x[i]
		}
	}
	return sum
}

// price makes the duals afresh from the basis, after a change of costs.
func (p *lp) price() {
	n := p.rows
	clear(p.y)
	for i, v := range p.basis {
		if c := p.cost(v); c != 0 {
			for k := range n {
				p.y[k] += c * p.inv[i*n+k]
			}
		}
	}
}

// refresh inverts the basis anew when its residual shows drift.
func (p *lp) refresh() {
	p.age = 0
	if p.drift() < 1e-8 {
		p.price()
		return
	}
	n := p.rows
	a := make([]float64, n*n)
	for j, v := range p.basis {
		switch {
		case v >= 0:
			for k, r := range p.cols[v].row {
				a[int(r)*n+j] = p.cols[v].val[k]
			}
		case v < -n:
			a[(-1-n-v)*n+j] = 1
		default:
			a[(-1-v)*n+j] = -1
		}
	}
	if inv, ok := invert(a, n); ok {
		p.inv = inv
	}
	for i := range n {
		p.x[i] = 0
		for k, b := range p.b {
			p.x[i] += p.inv[i*n+k] * b
		}
	}
	p.price()
}

// drift is the largest violation of basis*x = b.
func (p *lp) drift() float64 {
	res := append([]float64(nil), p.b...)
	for i, v := range p.basis {
		switch {
		case v >= 0:
			for k, r := range p.cols[v].row {
				res[r] -= p.cols[v].val[k] * p.x[i]
			}
		case v < -p.rows:
			res[-1-p.rows-v] -= p.x[i]
		default:
			res[-1-v] += p.x[i]
		}
	}
	worst := 0.0
	for _, r := range res {
		worst = max(worst, math.Abs(r))
	}
	return worst
}

// invert is Gauss-Jordan elimination with row pivoting.
func invert(a []float64, n int) ([]float64, bool) {
	inv := make([]float64, n*n)
	for i := range n {
		inv[i*n+i] = 1
	}
	for c := range n {
		best := c
		for r := c + 1; r < n; r++ {
			if math.Abs(a[r*n+c]) > math.Abs(a[best*n+c]) {
				best = r
			}
		}
		if math.Abs(a[best*n+c]) < 1e-11 {
			return nil, false
		}
		if best != c {
			swapRows(a, best, c, n)
			swapRows(inv, best, c, n)
		}
		f := 1 / a[c*n+c]
		scaleRow(a[c*n:c*n+n], f)
		scaleRow(inv[c*n:c*n+n], f)
		for r := range n {
			if u := a[r*n+c]; r != c && u != 0 {
				addRow(a[r*n:r*n+n], a[c*n:c*n+n], -u)
				addRow(inv[r*n:r*n+n], inv[c*n:c*n+n], -u)
			}
		}
	}
	return inv, true
}

func swapRows(a []float64, i, j, n int) {
	for k := range n {
		a[i*n+k], a[j*n+k] = a[j*n+k], a[i*n+k]
	}
}

func scaleRow(row []float64, f float64) {
	for k := range row {
		row[k] *= f
	}
}

func addRow(to, from []float64, f float64) {
	for k, v := range from {
		to[k] += f * v
	}
}

// columnValues is the solution, per column.
func (p *lp) columnValues() []float64 {
	x := make([]float64, len(p.cols))
	for i, v := range p.basis {
		if v >= 0 {
			x[v] = max(0, p.x[i])
		}
	}
	return x
}
