package pack

import (
	"cmp"
	"slices"
)

// part is a question inside the search: these elements, from these supplies,
// between lo and hi bins of each, some pairs apart, some cuts in force.
type part struct {
	m      *model
	elems  []element
	lo, hi []int
	apart  [][]uint64 // per element the set of elements it may not meet; nil when none
	cuts   []subsetRow
	inCuts [][]member // per element
}

// subsetRow is the cut sum over patterns of floor(half the members in it) <=
// most, for three single pieces with most = 1 (Jepsen et al. 2008, from
// memory). Pieces tied together make an element a member more than once.
type subsetRow struct {
	members []int // elements, ascending, with repetition
	most    int
}

type member struct{ cut, n int }

func (p *part) words() int { return (len(p.elems) + 63) / 64 }

// wholePart is the model itself: one element per kind.
func (m *model) wholePart(left []int, lo, hi []int) *part {
	p := &part{m: m, lo: lo, hi: hi}
	for i, k := range m.kinds {
		if left[i] > 0 {
			p.elems = append(p.elems, element{k.length, left[i], m.classBit(k), []entry{{i, 1}}})
		}
	}
	return p
}

// classBit is the class as a set; past 64 classes, and without set-ups, none
// is kept: patterns then look cheaper than they are, which no bound minds.
func (m *model) classBit(k kind) uint64 {
	if m.setup == 0 || m.classes > 64 {
		return 0
	}
	return 1 << k.class
}

// singles splits every kind into single pieces.
func (m *model) singles(lo, hi []int) *part {
	p := &part{m: m, lo: lo, hi: hi}
	for i, k := range m.kinds {
		for range k.demand {
			p.elems = append(p.elems, element{k.length, 1, m.classBit(k), []entry{{i, 1}}})
		}
	}
	return p
}

// index lists for every element the cuts it is in.
func (p *part) index() {
	p.inCuts = make([][]member, len(p.elems))
	for c, r := range p.cuts {
		for _, i := range r.members {
			if n := len(p.inCuts[i]); n > 0 && p.inCuts[i][n-1].cut == c {
				p.inCuts[i][n-1].n++
			} else {
				p.inCuts[i] = append(p.inCuts[i], member{c, 1})
			}
		}
	}
}

// toKinds writes a pattern of elements as one of kinds.
func (p *part) toKinds(take []entry) []entry {
	count := map[int]int{}
	for _, e := range take {
		for _, k := range p.elems[e.kind].kinds {
			count[k.kind] += k.n * e.n
		}
	}
	out := make([]entry, 0, len(count))
	for k, n := range count {
		out = append(out, entry{k, n})
	}
	slices.SortFunc(out, func(a, b entry) int { return cmp.Compare(a.kind, b.kind) })
	return out
}

// column writes a pattern of elements as a column of the linear programme.
// Rows: elements, then cuts, then per supply at most hi and at least lo bins.
func (p *part) column(c pattern, unit float64) lpColumn {
	out := lpColumn{cost: float64(p.m.supplies[c.supply].cost) / unit}
	put := func(row int, v float64) {
		out.row = append(out.row, int32(row))
		out.val = append(out.val, v)
	}
	for _, e := range c.take {
		put(e.kind, float64(e.n))
	}
	for r, cut := range p.cuts {
		if n := cut.in(c.take) / 2; n > 0 {
			put(len(p.elems)+r, -float64(n))
		}
	}
	base := len(p.elems) + len(p.cuts) + 2*c.supply
	if p.limited(c.supply) {
		put(base, -1)
	}
	if p.lo[c.supply] > 0 {
		put(base+1, 1)
	}
	return out
}

// in counts the cut's members in a pattern.
func (c subsetRow) in(take []entry) int {
	n := 0
	for _, e := range take {
		for _, i := range c.members {
			if i == e.kind {
				n += e.n
			}
		}
	}
	return n
}

// limited tells whether a supply may run out before the pieces do.
func (p *part) limited(k int) bool { return p.hi[k] < p.m.count }

// demand is the right-hand side for those rows.
func (p *part) demand() []float64 {
	var b []float64
	for _, e := range p.elems {
		b = append(b, float64(e.copies))
	}
	for _, c := range p.cuts {
		b = append(b, -float64(c.most))
	}
	for k := range p.m.supplies {
		upper := 0.0
		if p.limited(k) {
			upper = -float64(p.hi[k])
		}
		b = append(b, upper, float64(p.lo[k]))
	}
	return b
}
