package pack

import (
	"cmp"
	"math"
	"slices"
)

// dive rounds a relaxation again and again: what its solution opens wholly is
// kept, then the largest fractions, and what is left is solved anew from the
// basis there is, with a simple plan tried for it now and then. Where that
// leads nowhere it takes back the last choice and tries the next fraction,
// in a fixed number of tries.
type dive struct {
	s      *search
	w      *meter
	stride int // fractions kept at once on the first way down
	tries  int
}

// rest is what one level of a dive has fixed and what is left of it.
type rest struct {
	s     *search
	r     *relaxation
	fixed packing // of kinds
	spent int64
}

const completionNodes = 20000

const diveRounds = 12 // of column generation at one level

const diveWidth = 4 // fractions tried at one level

// dives rounds the root in turn by large and small steps, from its own and from other
// solutions of the same value.
func (s *search) dives(root *relaxation, from, to int) {
	for i := from; i < to && !s.closed() && !s.meter.done(); i++ {
		r := root.clone()
		if r.price.coarsen(); i > 1 {
			r.lp.turn(i, s.meter)
		}
		s.dive(r, 1+(1-i%2)*len(root.part.elems)/12, 8+i*i/2, s.meter)
	}
}

func (s *search) dive(root *relaxation, stride, tries int, w *meter) {
	d := &dive{s: s, w: w, stride: stride, tries: tries}
	d.down(&rest{s: s, r: root}, 0)
}

// down goes one level deeper by each of the leading fractions in turn.
func (d *dive) down(from *rest, depth int) {
	for c := 0; c < diveWidth && d.tries > 0 && !d.s.closed() && !d.w.done(); c++ {
		next := &rest{s: d.s, r: from.r.clone(), fixed: slices.Clone(from.fixed), spent: from.spent}
		stride := d.stride
		if c > 0 {
			stride = 1
		}
		if !next.fix(c, stride) {
			return
		}
		d.tries--
		if next.empty() {
			d.s.offer(next.fixed)
			return
		}
		if depth%4 == 0 || next.pieces() < 150 || d.s.m.count > 2*maxSingles {
			next.complete()
		}
		if !d.s.closed() && next.again(d.w) {
			d.down(next, depth+1)
		}
	}
}

// again solves what is left; false when nothing better can come of it.
func (d *rest) again(w *meter) bool {
	if live := d.live(); 3*live < 2*d.r.lp.rows {
		d.r = d.compact(live)
	} else if !d.r.lp.shift(d.r.part.demand(), w) {
		return false
	}
	r := d.r
	r.near, r.lower, r.exact, r.upper = math.Inf(-1), 0, false, d.s.upper-d.spent
	r.run(w, diveRounds)
	return r.lower < r.upper && r.value < float64(r.upper-1)+1e-5*r.unit
}

// live counts the elements that are left.
func (d *rest) live() int {
	n := 0
	for _, e := range d.r.part.elems {
		if e.copies > 0 {
			n++
		}
	}
	return n
}

// compact makes a programme of the elements that are left alone: its inverse
// is smaller. Cuts and pairs apart are dropped, for a dive may leave its node.
func (d *rest) compact(live int) *relaxation {
	old := d.r.part
	p := &part{m: old.m, lo: old.lo, hi: old.hi, elems: make([]element, 0, live)}
	at := make([]int, len(old.elems))
	for i, e := range old.elems {
		at[i] = len(p.elems)
		if e.copies > 0 {
			p.elems = append(p.elems, e)
		}
	}
	var pool []pattern
	for j, c := range d.r.cols {
		if !d.r.lp.basic[j] && d.r.lp.reduced(d.r.lp.cols[j]) > 0.05 || p.hi[c.supply] == 0 {
			continue
		}
		var take []entry
		for _, e := range c.take {
			if have := old.elems[e.kind].copies; have > 0 {
				take = append(take, entry{at[e.kind], min(e.n, have)})
			}
		}
		if len(take) > 0 {
			pool = append(pool, pattern{c.supply, take})
		}
	}
	return newRelaxation(p, pool, d.s.upper-d.spent)
}

// clone copies what a dive changes.
func (r *relaxation) clone() *relaxation {
	q, p, price := *r, *r.part, *r.price
	p.elems = slices.Clone(p.elems)
	p.lo, p.hi = slices.Clone(p.lo), slices.Clone(p.hi)
	p.cuts = slices.Clone(p.cuts)
	price.part = &p
	q.part, q.price, q.lp = &p, &price, r.lp.clone()
	q.cols, q.center = slices.Clone(r.cols), slices.Clone(r.center)
	return &q
}

// fix keeps whole columns, and the largest fractions that still fit; with
// skip, one smaller fraction goes before all.
func (d *rest) fix(skip, stride int) bool {
	x := d.r.values()
	var order []int
	for j, v := range x {
		if v > 1e-4 {
			order = append(order, j)
		}
	}
	part := func(j int) float64 { return x[j] - math.Floor(x[j]+1e-4) }
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(part(b), part(a)) })
	if skip > 0 {
		if skip >= len(order) || part(order[skip]) < 1e-3 || !d.keep(d.r.cols[order[skip]], 1) {
			return false
		}
		stride--
	}
	any := skip > 0
	for _, j := range order {
		if n := int(x[j] + 1e-4); n > 0 {
			any = d.keep(d.r.cols[j], n) || any
		}
	}
	for _, j := range order {
		if f := part(j); stride > 0 && (f > 0.8 || !any && f > 1e-4) {
			any = d.keep(d.r.cols[j], 1) || any
			stride--
		}
	}
	return any
}

// keep fixes a column up to n times. Pieces of it already given are left out,
// which is always allowed; cuts and stock limit the times.
func (d *rest) keep(c pattern, n int) bool {
	p := d.r.part
	n = min(n, p.hi[c.supply])
	var take []entry
	for _, e := range c.take {
		have := p.elems[e.kind].copies
		if have == 0 {
			continue
		}
		if have < e.n {
			e.n, n = have, min(n, 1)
		}
		n = min(n, have/e.n)
		take = append(take, e)
	}
	for _, cut := range p.cuts {
		if m := cut.in(take) / 2; m > 0 {
			n = min(n, cut.most/m)
		}
	}
	if n <= 0 || len(take) == 0 {
		return false
	}
	d.remove(take, c.supply, n)
	d.fixed = append(d.fixed, use{pattern{c.supply, p.toKinds(take)}, n})
	return true
}

func (d *rest) remove(take []entry, supply, n int) {
	p := d.r.part
	for i := range p.cuts {
		p.cuts[i].most -= n * (p.cuts[i].in(take) / 2)
	}
	for _, e := range take {
		p.elems[e.kind].copies -= n * e.n
	}
	p.hi[supply] -= n
	p.lo[supply] = max(0, p.lo[supply]-n)
	d.spent += d.s.m.supplies[supply].cost * int64(n)
}

// complete tries simple plans for what is left.
func (d *rest) complete() {
	left := make([]int, len(d.s.m.kinds))
	for _, e := range d.r.part.elems {
		for _, k := range e.kinds {
			left[k.kind] += k.n * e.copies
		}
	}
	if bins := int((max(d.s.lower, d.r.lower+d.spent) - d.spent) / d.s.m.supplies[0].cost); len(d.s.m.supplies) == 1 {
		if rest := d.s.m.completed(left, bins, completionNodes); rest != nil {
			d.s.offer(append(slices.Clone(d.fixed), rest...))
			return
		}
	}
	for _, nodes := range []int{1, 300} {
		if rest := d.s.m.greedy(left, d.r.part.hi, d.s.m.pace(nodes), true); rest != nil {
			d.s.offer(append(slices.Clone(d.fixed), rest...))
		}
	}
}

func (d *rest) empty() bool {
	return !slices.ContainsFunc(d.r.part.elems, func(e element) bool { return e.copies > 0 })
}

func (d *rest) pieces() int {
	n := 0
	for _, e := range d.r.part.elems {
		n += e.copies
	}
	return n
}
