package pack

import (
	"cmp"
	"math"
	"slices"
)

// dive rounds the linear programme again and again: what it buys wholly is
// bought, then its largest fractions, and what is left is solved anew, with a
// simple plan tried for it each time. skip sets the first choice aside, so
// that repeated dives differ.
type dive struct {
	s     *search
	fixed packing
	spent int64
	left  []int // per kind
	stock []int
	skip  int
}

func (s *search) dive(root *relaxation, skip int, w *meter) {
	d := &dive{s: s, left: s.m.demands(), stock: s.m.stock(), skip: skip}
	r := root
	pool := d.pool(r)
	for step := 0; !s.closed() && !w.done(); step++ {
		if !d.fix(r, pool) {
			return
		}
		if d.empty() {
			s.offer(slices.Clone(d.fixed))
			return
		}
		d.complete(step)
		if s.closed() {
			return
		}
		pool = d.usable(pool)
		r = newRelaxation(s.m.wholePart(d.left, make([]int, len(d.stock)), d.stock), d.toElems(pool), s.upper-d.spent)
		r.run(w, true)
		if d.spent+r.lower >= s.upper {
			return
		}
		pool = d.pool(r)
	}
}

// pool writes a relaxation's columns in kinds.
func (d *dive) pool(r *relaxation) []pattern {
	out := make([]pattern, len(r.cols))
	for i, c := range r.cols {
		out[i] = pattern{c.supply, r.part.toKinds(c.take)}
	}
	return out
}

// fix buys whole columns, or else the largest fractions that still fit.
func (d *dive) fix(r *relaxation, pool []pattern) bool {
	x := r.values()
	order := make([]int, 0, len(x))
	whole := false
	for j, v := range x {
		if v > 1e-4 {
			order = append(order, j)
			whole = whole || v >= 1-1e-4
		}
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(x[b], x[a]) })
	any := false
	if whole {
		for _, j := range order {
			if n := int(math.Floor(x[j] + 1e-4)); n > 0 {
				any = d.buy(pool[j], n) || any
			}
		}
	}
	room := 1 + len(order)/12
	for i := d.skip; i < len(order) && room > 0; i++ {
		j := order[i]
		if f := x[j] - math.Floor(x[j]+1e-4); f > 0.7 || !any && f > 0 {
			any = d.buy(pool[j], 1) || any
			room--
		}
	}
	if any {
		d.skip = 0
	} else if d.skip > 0 {
		d.skip = 0
		return d.fix(r, pool)
	}
	return any
}

func (d *dive) buy(c pattern, n int) bool {
	n = min(n, d.stock[c.supply])
	for _, e := range c.take {
		n = min(n, d.left[e.kind]/e.n)
	}
	if n <= 0 {
		return false
	}
	for _, e := range c.take {
		d.left[e.kind] -= n * e.n
	}
	d.stock[c.supply] -= n
	d.spent += d.s.m.supplies[c.supply].cost * int64(n)
	d.fixed = append(d.fixed, use{c, n})
	return true
}

// complete tries simple plans for what is left.
func (d *dive) complete(step int) {
	for _, nodes := range []int{1, 200 + 200*(step%3)} {
		rest := d.s.m.greedy(d.left, d.stock, d.s.m.pace(nodes), true)
		if rest != nil {
			d.s.offer(append(slices.Clone(d.fixed), rest...))
		}
	}
}

func (d *dive) empty() bool {
	return !slices.ContainsFunc(d.left, func(n int) bool { return n > 0 })
}

// usable keeps the columns that still fit demand and stock.
func (d *dive) usable(pool []pattern) []pattern {
	var out []pattern
	for _, c := range pool {
		fits := d.stock[c.supply] > 0
		for _, e := range c.take {
			fits = fits && d.left[e.kind] >= e.n
		}
		if fits {
			out = append(out, c)
		}
	}
	return out
}

// toElems renumbers kinds to the elements of a whole part of what is left.
func (d *dive) toElems(pool []pattern) []pattern {
	at := make([]int, len(d.left))
	n := 0
	for i, left := range d.left {
		at[i] = n
		if left > 0 {
			n++
		}
	}
	out := make([]pattern, len(pool))
	for i, c := range pool {
		take := make([]entry, len(c.take))
		for j, e := range c.take {
			take[j] = entry{at[e.kind], e.n}
		}
		out[i] = pattern{c.supply, take}
	}
	return out
}
