package guillotine

import "slices"

// shared makes prices exact where it matters. The tables say what n strips of a width
// are worth at most; here the strips share their pieces, so that a blank that is read
// from them can be cut. Only sets that some blank asks for are looked into: each is a
// multiple knapsack, filled by search, strip after strip of falling worth.
type shared struct {
	p     *prices
	exact [][]bool    // [width][n*extents+e]: looked into
	fill  [][][][]int // the strips found there, as pieces of each size of the width
	order [][]int     // sizes of each width, by worth of a length

	best   []int64 // tables of one blank
	chosen [][]int

	set knapsack // in hand
}

// knapsack is a set of n strips of one width in the making.
type knapsack struct {
	lane, n, room int
	left          []int
	strips        [][]int
	worth, most   int64 // of the best found, and what none exceeds
	slack         int64 // what is not worth looking for
	found         [][]int
	nodes         int
	from, used    []int32
}

// mostNodes bounds the search for one set; beyond, the table's bound stands (assumed).
const mostNodes = 300

func newShared(p *prices) *shared {
	s := p.s
	h := &shared{p: p, order: make([][]int, len(s.widths)), best: make([]int64, s.width+1)}
	h.set.from, h.set.used = make([]int32, s.longest+1), make([]int32, s.longest+1)
	for w := range s.widths {
		h.exact = append(h.exact, make([]bool, len(p.value[w])))
		h.fill = append(h.fill, make([][][]int, len(p.value[w])))
		h.chosen = append(h.chosen, make([]int, s.width+1))
	}
	return h
}

// prices fills the tables anew; false where the work limit came first.
func (h *shared) prices(weight []int64, count []int) bool {
	s := h.p.s
	for w := range s.widths {
		clear(h.exact[w])
		clear(h.fill[w])
		lo, hi := s.first[w], s.first[w+1]
		h.order[w] = h.order[w][:0]
		for k := lo; k < hi; k++ {
			h.order[w] = append(h.order[w], k-lo)
		}
		slices.SortStableFunc(h.order[w], func(a, b int) int {
			x, y := weight[lo+a]*int64(s.sizes[lo+b].length), weight[lo+b]*int64(s.sizes[lo+a].length)
			switch {
			case x > y:
				return -1
			case x < y:
				return 1
			}
			return 0
		})
	}
	return h.p.set(weight, count)
}

// blank is the best blank of an extent that can be cut, or the nearest found; false
// where looking into its strips changed what it is worth, so that another may be
// better now.
func (h *shared) blank(e int) (load, bool) {
	p, s, E := h.p, h.p.s, len(h.p.s.extents)
	p.sideBySide(e, h.best, h.chosen)
	s.meter.spend(s.width * len(s.widths))
	if worth := h.best[s.width]; worth < p.total[e] {
		p.total[e] = worth
		return load{}, false
	}
	b, known := load{extent: s.extents[e], holds: make([]int, len(s.sizes))}, true
	y := s.width
	for w := len(s.widths) - 1; w >= 0; w-- {
		n := h.chosen[w][y]
		y -= n * s.widths[w]
		if at := n*E + e; n > 0 && !h.exact[w][at] {
			h.lookInto(w, n, e)
			known = false
		} else if n > 0 {
			h.take(&b, w, h.fill[w][at])
		}
	}
	if known && b.lanes != nil {
		s.shorten(&b)
	}
	return b, known
}

func (h *shared) take(b *load, w int, strips [][]int) {
	s := h.p.s
	for _, strip := range strips {
		l, any := lane{w, make([]int, len(s.sizes))}, false
		for i, n := range strip {
			l.holds[s.first[w]+i] = n
			b.holds[s.first[w]+i] += n
			any = any || n > 0
		}
		if any {
			b.lanes = append(b.lanes, l)
		}
	}
}

// lookInto bounds n strips of width w in extent e by what they can hold. The answer
// serves the shorter extents too that the strips found fit.
func (h *shared) lookInto(w, n, e int) {
	p, s, E := h.p, h.p.s, len(h.p.s.extents)
	most := p.value[w][n*E+e]
	worth := h.solve(w, n, e, most)
	longest := 0
	for _, strip := range h.set.found {
		longest = max(longest, h.long(w, strip))
	}
	for f := e; f >= 0; f-- {
		at := n*E + f
		if s.extents[f].cells >= longest && !h.exact[w][at] {
			h.exact[w][at], h.fill[w][at] = true, h.set.found
		}
		p.value[w][at] = min(p.value[w][at], worth)
	}
}

func (h *shared) long(w int, strip []int) int {
	x := 0
	for i, n := range strip {
		x += n * h.p.s.sizes[h.p.s.first[w]+i].length
	}
	return x
}

// solve is what the set is worth at most; found is the best of it that was found.
func (h *shared) solve(w, n, e int, most int64) int64 {
	p, s, q := h.p, h.p.s, &h.set
	q.lane, q.n, q.room = w, n, min(s.extents[e].cells, p.reach(w))
	q.left = append(q.left[:0], p.count[s.first[w]:s.first[w+1]]...)
	q.strips, q.found, q.worth, q.most, q.slack, q.nodes = q.strips[:0], nil, -1, most, most>>20, mostNodes
	h.guess()
	if q.worth+q.slack < most {
		h.strip(0, 1<<62, 0)
	}
	s.meter.spend(40 * (mostNodes - q.nodes))
	if q.nodes <= 0 {
		return most
	}
	return min(most, q.worth+q.slack)
}
