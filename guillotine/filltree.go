package guillotine

import (
	"cmp"
	"slices"
)

// Steps of the subgradient at the root and at each node (assumed; more only cost
// time).
const (
	rootSteps = 600
	nodeSteps = 24
)

// run searches depth first. A node has strips chosen, widest first; it looks at the
// widest kind left: some strip of that width holds it, or none of it is taken.
func (f *filler) run() {
	count := make([]int, len(f.kinds))
	for k, q := range f.kinds {
		count[k] = q.count
	}
	n := &node{count: count, width: f.width, cap: f.length, multiplier: make([]int64, len(f.kinds))}
	f.node(n, rootSteps)
}

// node is what is left after some strips were chosen.
type node struct {
	chosen     [][]int
	value      int64 // of chosen
	count      []int
	width      int
	kind       int // the kind that the last strip was chosen for
	cap        int // most pieces of it in the next strip, so that equal choices come once
	multiplier []int64
}

// node searches what is left, or leaves its bound open at the work limit.
func (f *filler) node(n *node, steps int) {
	r := f.relax()
	r.count, r.width, r.multiplier = n.count, n.width, slices.Clone(n.multiplier)
	for k := range f.kinds {
		if n.count[k] > 0 && f.kinds[k].width <= n.width {
			r.top = k + 1
		}
	}
	if r.top == 0 {
		f.offer(n.chosen, n.value)
		return
	}
	r.descend(steps, n.chosen, n.value)
	if r.closed(r.bound, n.value) {
		return
	}
	if f.meter.done {
		f.open = max(f.open, n.value+r.bound/scale)
		return
	}
	f.branch(n, r)
}

func (f *filler) offer(chosen [][]int, value int64) {
	if value > f.value {
		f.value, f.best = value, slices.Clone(chosen)
	}
}

// child is one strip tried at a node, with the bound that the node's tables give.
type child struct {
	strip []int
	value int64
	bound int64 // times scale, on what this strip and all after it are worth
}

// branch tries every strip that holds the widest kind left and that may still lead
// to a better filling, the most promising first; then none of that kind.
func (f *filler) branch(n *node, r *relaxed) {
	top := r.top - 1
	limit := n.count[top]
	if top == n.kind {
		limit = min(limit, n.cap)
	}
	e := &enumerator{r: r, n: n, strip: make([]int, len(f.kinds))}
	e.spent = r.bound - r.sheet[r.width] + r.sheet[r.width-f.kinds[top].width]
	e.first(top, limit)
	slices.SortStableFunc(e.out, func(a, b child) int { return cmp.Compare(b.bound, a.bound) })
	multiplier := slices.Clone(r.multiplier)
	for _, c := range e.out {
		if r.closed(c.bound, n.value) {
			break // the others are no better
		}
		next := &node{chosen: append(slices.Clone(n.chosen), c.strip), value: n.value + c.value, count: slices.Clone(n.count),
			width: n.width - f.kinds[top].width, kind: top, cap: c.strip[top], multiplier: multiplier}
		for k, m := range c.strip {
			next.count[k] -= m
		}
		if f.meter.done {
			f.open = max(f.open, n.value+c.bound/scale)
			continue
		}
		f.node(next, nodeSteps)
	}
	without := *n
	without.count, without.multiplier = slices.Clone(n.count), multiplier
	without.count[top] = 0
	f.node(&without, nodeSteps)
}

// enumerator lists strips of one width that hold the widest kind and whose reduced
// value leaves room for a better filling. A strip to which a piece of another kind
// that is left could be added is passed over: that piece may as well move there.
type enumerator struct {
	r     *relaxed
	n     *node
	strip []int
	spent int64 // bound less the strip's own reduced value
	out   []child
}

// first sets the number of the widest kind, then the others from wide to narrow.
func (e *enumerator) first(top, limit int) {
	q := e.r.f.kinds[top]
	for c := min(limit, e.r.f.length/q.length); c >= 1; c-- {
		e.strip[top] = c
		e.next(top-1, top, e.r.f.length-c*q.length, int64(c)*(q.value*scale-e.r.multiplier[top]), int64(c)*q.value)
	}
	e.strip[top] = 0
}

func (e *enumerator) next(k, top, room int, gain, value int64) {
	f := e.r.f
	same := k >= 0 && f.kinds[k].width == f.kinds[top].width
	if k < 0 || f.exact && !same {
		e.take(top, room, gain, value)
		return
	}
	if e.r.closed(e.spent+gain+e.r.strip[k+1][room], e.n.value) || !f.meter.spend(8) {
		if f.meter.done {
			f.open = max(f.open, e.n.value+(e.spent+gain+e.r.strip[k+1][room])/scale)
		}
		return
	}
	q := f.kinds[k]
	each := q.value*scale - e.r.multiplier[k]
	for c := min(e.n.count[k], room/q.length); c >= 0; c-- {
		e.strip[k] = c
		e.next(k-1, top, room-c*q.length, gain+int64(c)*each, value+int64(c)*q.value)
	}
	e.strip[k] = 0
}

func (e *enumerator) take(top, room int, gain, value int64) {
	f := e.r.f
	if e.r.closed(e.spent+gain, e.n.value) {
		return
	}
	for k := range top {
		q := f.kinds[k]
		if e.n.count[k] > e.strip[k] && q.length <= room && (!f.exact || q.width == f.kinds[top].width) {
			return
		}
	}
	e.out = append(e.out, child{slices.Clone(e.strip), value, e.spent + gain})
}
