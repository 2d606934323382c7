package guillotine

import "slices"

// fitter asks whether the pieces of a width can be cut from lanes of given extents,
// fractions allowed: a linear programme over strips, generated as they gain. Where they
// cannot, its duals are a demand that the lanes do not meet.
type fitter struct {
	t       *tree
	w       int
	lengths []int
	count   []int
	rows    [][]int64 // the knapsack's tables of strips, of each size
	strips  []cutStrip
	have    map[string]bool

	lp      *programme
	classes []int // extents that have lanes, ascending
	of      []int // strip of each column after the artificial ones
}

// cutStrip is a strip: how many of each size, and its cells.
type cutStrip struct {
	holds []int
	cells int
}

const (
	// mostFits bounds the rounds of generating strips, mostStrips those kept.
	mostFits, mostStrips = 60, 150
	// shortBy is by how much of a full strip lanes must fall short to count as short.
	shortBy = 1e-5
	// deep is which part of what the programme is short of a demand shows that ends the
	// generating (assumed).
	deep = 0.6
)

func (t *tree) newFitter(w int) *fitter {
	s := t.s
	f := &fitter{t: t, w: w, have: map[string]bool{}}
	for k := s.first[w]; k < s.first[w+1]; k++ {
		f.lengths, f.count = append(f.lengths, s.sizes[k].length), append(f.count, t.count[k])
		f.rows = append(f.rows, make([]int64, s.longest+1))
	}
	for k := range f.lengths {
		one := make([]int, len(f.lengths))
		one[k] = 1
		f.keep(one)
	}
	return f
}

// keep adds a strip to those known; false where it is one of them.
func (f *fitter) keep(holds []int) bool {
	id := key(0, holds)
	if f.have[id] {
		return false
	}
	f.have[id] = true
	cells := 0
	for k, n := range holds {
		cells += n * f.lengths[k]
	}
	f.strips = append(f.strips, cutStrip{holds, cells})
	return true
}

// short is a demand that the lanes do not meet; nil where their pieces fit, fractions
// allowed, or nearly so.
func (f *fitter) short(rooms []room) *demand {
	f.open(rooms)
	for range mostFits {
		was := f.lp.work
		f.lp.optimise(mostPivots)
		f.t.s.meter.spend(f.lp.work - was)
		least := f.lp.least() / float64(f.t.s.longest)
		if least < shortBy || f.t.s.meter.done {
			return nil
		}
		d, more := f.price(), false
		if by := d.short(rooms); by < deep*least {
			more = f.generate(d)
		}
		if !more {
			if d.short(rooms) < shortBy {
				return nil
			}
			return d
		}
	}
	return nil
}

// open sets the programme up: pieces to be covered by artificial columns, which cost
// their lengths, or by strips; and no more strips from an extent up than lanes.
func (f *fitter) open(rooms []room) {
	f.lp, f.classes, f.of = &programme{lazy: true}, f.classes[:0], f.of[:0]
	for _, r := range rooms {
		f.classes = append(f.classes, r.extent)
	}
	lp, K := f.lp, len(f.lengths)
	for k, n := range f.count {
		lp.need = append(lp.need, float64(n))
		lp.columns = append(lp.columns, lpColumn{cost: float64(f.lengths[k]), holds: []lpEntry{{k, 1}}})
	}
	for range f.classes {
		lp.need = append(lp.need, 0)
	}
	lanes := 0.0
	for j := len(f.classes) - 1; j >= 0; j-- {
		lanes += rooms[j].lanes
		lp.need[K+j] = -lanes
	}
	f.fresh()
	if len(f.strips) > mostStrips {
		f.forget()
	}
	for i := range f.strips {
		f.column(i)
	}
}

// fresh starts from the artificial columns and from lanes without strips.
func (f *fitter) fresh() {
	lp := f.lp
	m := len(lp.need)
	cells := make([]float64, m*m)
	for i, n := range lp.need {
		row, b, x := cells[i*m:(i+1)*m], i, n
		row[i] = 1
		if i >= len(f.lengths) {
			row[i], b, x = -1, ^i, -n
		}
		lp.inverse, lp.basis, lp.x = append(lp.inverse, row), append(lp.basis, b), append(lp.x, x)
	}
}

// column adds strip i to the programme, where a lane is long enough.
func (f *fitter) column(i int) {
	strip, K := f.strips[i], len(f.lengths)
	c := lpColumn{}
	for k, n := range strip.holds {
		if n > 0 {
			c.holds = append(c.holds, lpEntry{k, float64(n)})
		}
	}
	at := slices.IndexFunc(f.classes, func(e int) bool { return f.t.s.extents[e].cells >= strip.cells })
	if at < 0 {
		return
	}
	for j := 0; j <= at; j++ {
		c.holds = append(c.holds, lpEntry{K + j, -1})
	}
	f.lp.columns, f.of = append(f.lp.columns, c), append(f.of, i)
}

// price turns the duals of the pieces into a demand, and fills the tables of strips.
func (f *fitter) price() *demand {
	y, weight := f.lp.duals(), make([]int64, len(f.lengths))
	for k := range weight {
		weight[k] = int64(max(0, y[k]) * weightScale / float64(f.t.s.longest))
	}
	return f.demand(weight)
}

// demand finds the best strips, exactly, for weights that are not negative.
func (f *fitter) demand(weight []int64) *demand {
	d := &demand{width: f.w, weight: weight}
	var below []int64
	for k, v := range weight {
		bounded(f.rows[k], below, f.lengths[k], f.count[k], v)
		below, d.need = f.rows[k], d.need+v*int64(f.count[k])
	}
	d.read(f.t.s, below)
	return d
}

// generate adds the strips that are worth more than their lane; false where none is.
func (f *fitter) generate(d *demand) (more bool) {
	y, K, lane := f.lp.duals(), len(f.lengths), 0.0
	for j, e := range f.classes {
		lane += y[K+j]
		if float64(d.strip[e]) <= lane*weightScale/float64(f.t.s.longest)+weightScale*1e-7 {
			continue
		}
		if f.keep(f.trace(d, f.t.s.extents[e].cells)) {
			f.column(len(f.strips) - 1)
			more = true
		}
	}
	return more
}

// trace is the best strip up to so many cells.
func (f *fitter) trace(d *demand, x int) []int {
	out := make([]int, len(f.lengths))
	for k := len(out) - 1; k >= 0; k-- {
		for n := 0; n <= f.count[k] && n*f.lengths[k] <= x; n++ {
			v := int64(0)
			if k > 0 {
				v = f.rows[k-1][x-n*f.lengths[k]]
			}
			if v+int64(n)*d.weight[k] == f.rows[k][x] {
				out[k] = n
				x -= n * f.lengths[k]
				break
			}
		}
	}
	return out
}

// forget keeps the newer half of the strips, and each size by itself.
func (f *fitter) forget() {
	K := len(f.lengths)
	f.strips = append(f.strips[:K:K], f.strips[len(f.strips)-mostStrips/2:]...)
	clear(f.have)
	for _, strip := range f.strips {
		f.have[key(0, strip.holds)] = true
	}
}

// whole are the strips that the programme cuts whole times, the longest first.
func (f *fitter) whole() (out [][]int) {
	K := len(f.lengths)
	for j, v := range f.lp.values() {
		if j < K {
			continue
		}
		for range int(v + 1e-6) {
			out = append(out, f.strips[f.of[j-K]].holds)
		}
	}
	s := f.t.s
	slices.SortStableFunc(out, func(a, b []int) int { return s.alongFrom(s.first[f.w], b) - s.alongFrom(s.first[f.w], a) })
	return out
}
