package pack

import "math/bits"

// element is what a pattern may hold: copies of one kind, or, deeper in the
// search, single pieces and pieces tied together.
type element struct {
	length  int64
	copies  int
	classes uint64 // set of classes, for the set-ups
	kinds   []entry
}

// pricer finds heaviest patterns in whole numbers. A table over capacities
// (in cells, so that lengths to 1e14 work: lengths are rounded down, hence the
// table is never too small) bounds what the elements from j on can add, with
// set-ups, cuts and pairs apart left out; a depth-first search led by it is exact.
type pricer struct {
	part   *part
	layers []layer
	cell   int64
	coarse int64 // cell to begin with
	width  int   // cells of the longest supply, plus one
	table  []int64
	value  []int64
	penal  []int64 // per cut
	best   int64
	found  []int // layers of the best pattern
	stack  []int
	held   []int    // per cut, members in the pattern
	block  []uint64 // elements that may not join the pattern
	opened uint64
	nodes  int
}

// layer is mult copies of one element, taken or left as a whole: demands are
// split into 1, 2, 4, ... so that any number can be made.
type layer struct {
	elem, mult int
	length     int64
	value      int64
	cells      int
}

const tableCells = 1_000_000

func newPricer(p *part) *pricer {
	q := &pricer{part: p, value: make([]int64, len(p.elems)), penal: make([]int64, len(p.cuts)),
		held: make([]int, len(p.cuts)), block: make([]uint64, p.words())}
	rows := 1
	for _, e := range p.elems {
		rows += bits.Len(uint(p.fits(e)))
	}
	room := p.m.net(0)
	q.cell = max(1, ceilDiv(room*int64(min(rows, 1000)), tableCells))
	if limit := int64(tableCells / rows); room/q.cell > max(limit, 64) {
		q.cell = ceilDiv(room, max(limit, 64))
	}
	q.coarse = q.cell
	q.width = int(room/q.cell) + 1
	return q
}

// refine makes the table's cells finer, for a search that the coarse ones leave too
// long; false when they are as fine as they may be.
func (q *pricer) refine() bool {
	if q.cell == 1 || len(q.table) > 4*tableCells {
		return false
	}
	q.cell = max(1, q.cell/3)
	q.width = int(q.part.m.net(0)/q.cell) + 1
	return true
}

// coarsen undoes refine: quicker, where a pattern need not be the heaviest.
func (q *pricer) coarsen() {
	q.cell = q.coarse
	q.width = int(q.part.m.net(0)/q.cell) + 1
}

// fits is how many copies of an element the longest supply can hold.
func (p *part) fits(e element) int {
	return int(min(int64(e.copies), p.m.net(0)/e.length))
}

// load sets the values and fills the table.
func (q *pricer) load(w *meter) {
	q.layers = q.layers[:0]
	for i, e := range q.part.elems {
		if q.value[i] <= 0 {
			continue
		}
		for left, n := q.part.fits(e), 1; left > 0; n *= 2 {
			n = min(n, left)
			left -= n
			length := e.length * int64(n)
			q.layers = append(q.layers, layer{i, n, length, q.value[i] * int64(n), int(length / q.cell)})
		}
	}
	size := (len(q.layers) + 1) * q.width
	if cap(q.table) < size {
		q.table = make([]int64, size)
	}
	q.table = q.table[:size]
	w.spend(int64(size))
	clear(q.table[len(q.layers)*q.width:])
	for j := len(q.layers) - 1; j >= 0; j-- {
		q.fillRow(j)
	}
}

func (q *pricer) fillRow(j int) {
	l := q.layers[j]
	row, next := q.table[j*q.width:(j+1)*q.width], q.table[(j+1)*q.width:(j+2)*q.width]
	if l.cells >= q.width {
		copy(row, next)
		return
	}
	copy(row, next[:l.cells])
	with, without, to := next[:q.width-l.cells], next[l.cells:], row[l.cells:]
	for c, v := range with {
		to[c] = max(without[c], v+l.value)
	}
}

// bound is the most the layers from j on can add in that room. A room that
// still holds its first set-up is longer than the table, whose last cell is
// then the answer: no pattern has more than that for pieces.
func (q *pricer) bound(j int, room int64) int64 {
	if room < 0 {
		return 0
	}
	return q.table[j*q.width+int(min(room/q.cell, int64(q.width-1)))]
}

// heaviest returns a value no pattern of the room exceeds, and the best
// pattern found (nil if none beats floor). The value is exact unless the node limit came first.
func (q *pricer) heaviest(room int64, floor int64, nodes int) (int64, []entry) {
	q.nodes = nodes
	top := q.bound(0, room-q.part.m.setup)
	if top <= floor {
		return floor, nil
	}
	q.reset(floor, nodes)
	q.search(0, room, 0)
	if q.nodes <= 0 {
		return top, q.pattern()
	}
	return q.best, q.pattern()
}

// heaviestFrom is the best pattern above floor whose first layer is j.
func (q *pricer) heaviestFrom(j int, room, floor int64, nodes int) []entry {
	l := q.layers[j]
	q.reset(floor, nodes)
	fee := q.fee(l)
	if l.length+fee > room || l.value+q.bound(j+1, room-l.length-fee) <= floor {
		return nil
	}
	q.take(j, room, 0)
	return q.pattern()
}

func (q *pricer) reset(floor int64, nodes int) {
	q.best, q.nodes, q.found, q.stack, q.opened = floor, nodes, q.found[:0], q.stack[:0], 0
	clear(q.block)
	clear(q.held)
}

func (q *pricer) pattern() []entry {
	var out []entry
	for _, j := range q.found {
		l := q.layers[j]
		if n := len(out); n > 0 && out[n-1].kind == l.elem {
			out[n-1].n += l.mult
		} else {
			out = append(out, entry{l.elem, l.mult})
		}
	}
	return out
}

func (q *pricer) search(j int, room, value int64) {
	for ; q.nodes > 0; j++ {
		if value > q.best {
			q.best = value
			q.found = append(q.found[:0], q.stack...)
		}
		if j == len(q.layers) || value+q.bound(j, room) <= q.best {
			return
		}
		q.nodes--
		l := q.layers[j]
		fee := q.fee(l)
		if l.length+fee > room || q.blocked(l.elem) {
			continue
		}
		with := value + l.value + q.bound(j+1, room-l.length-fee)
		if with <= q.best {
			continue
		}
		if with >= value+q.bound(j+1, room) {
			q.take(j, room, value)
			continue
		}
		q.search(j+1, room, value)
		if with > q.best {
			q.take(j, room, value)
		}
		return
	}
}

// take puts layer j into the pattern, searches on, and takes it out again.
func (q *pricer) take(j int, room, value int64) {
	l := q.layers[j]
	fee := q.fee(l)
	opened := q.opened
	q.opened |= q.part.elems[l.elem].classes
	q.stack = append(q.stack, j)
	value += l.value - q.join(l, 1)
	saved := q.shut(l.elem)
	q.search(j+1, room-l.length-fee, value)
	q.open(l.elem, saved)
	q.join(l, -1)
	q.stack = q.stack[:len(q.stack)-1]
	q.opened = opened
}

// join counts a layer's pieces in the cuts they belong to and returns the
// penalty that adds.
func (q *pricer) join(l layer, sign int) int64 {
	if len(q.penal) == 0 {
		return 0
	}
	sum := int64(0)
	for _, c := range q.part.inCuts[l.elem] {
		before := q.held[c.cut] / 2
		q.held[c.cut] += sign * c.n * l.mult
		sum += int64(q.held[c.cut]/2-before) * q.penal[c.cut]
	}
	return sum
}

func (q *pricer) fee(l layer) int64 {
	if q.part.m.setup == 0 {
		return 0
	}
	return q.part.m.setup * int64(bits.OnesCount64(q.part.elems[l.elem].classes&^q.opened))
}

func (q *pricer) blocked(i int) bool {
	return q.part.apart != nil && q.block[i>>6]>>(i&63)&1 == 1
}

// shut blocks the elements kept apart from i; open restores what was.
func (q *pricer) shut(i int) []uint64 {
	if q.part.apart == nil || q.part.apart[i] == nil {
		return nil
	}
	saved := append([]uint64(nil), q.block...)
	for w, b := range q.part.apart[i] {
		q.block[w] |= b
	}
	return saved
}

func (q *pricer) open(_ int, saved []uint64) {
	if saved != nil {
		copy(q.block, saved)
	}
}
