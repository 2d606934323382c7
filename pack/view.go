package pack

import (
	"cmp"
	"slices"
)

// view is a node seen as elements: single pieces tied together by its pairs.
type view struct {
	elems   []element
	members [][]int // per element its singles
	of      []int   // per single its element
	apart   [][]uint64
}

// view ties the pairs; false when a tie cannot be kept.
func (t *tree) view(n branchNode) (*view, bool) {
	root := make([]int, len(t.base.elems))
	for i := range root {
		root[i] = i
	}
	find := func(i int) int {
		for root[i] != i {
			root[i] = root[root[i]]
			i = root[i]
		}
		return i
	}
	for _, q := range n.pairs {
		if q.together {
			a, b := find(q.a), find(q.b)
			root[max(a, b)] = min(a, b)
		}
	}
	v := &view{of: make([]int, len(root))}
	groups := map[int][]int{}
	var heads []int
	for i := range root {
		h := find(i)
		if groups[h] == nil {
			heads = append(heads, h)
		}
		groups[h] = append(groups[h], i)
	}
	for _, h := range heads {
		v.elems = append(v.elems, t.tied(groups[h]))
		v.members = append(v.members, groups[h])
	}
	v.sort()
	return v, v.fits(t.base.m) && v.keepApart(n.pairs)
}

// tied is the element of some singles together.
func (t *tree) tied(singles []int) element {
	e := element{copies: 1}
	for _, i := range singles {
		one := t.base.elems[i]
		e.length += one.length
		e.classes |= one.classes
		e.kinds = append(e.kinds, one.kinds...)
	}
	return e
}

// sort puts elements longest first and notes where each single went.
func (v *view) sort() {
	order := make([]int, len(v.elems))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(v.elems[b].length, v.elems[a].length) })
	elems, members := v.elems, v.members
	v.elems, v.members = make([]element, len(order)), make([][]int, len(order))
	for to, from := range order {
		v.elems[to], v.members[to] = elems[from], members[from]
		for _, i := range members[from] {
			v.of[i] = to
		}
	}
}

func (v *view) fits(m *model) bool { return v.elems[0].length <= m.net(0) }

// keepApart fills the sets of elements that may not meet.
func (v *view) keepApart(pairs []pair) bool {
	words := (len(v.elems) + 63) / 64
	v.apart = make([][]uint64, len(v.elems))
	for _, q := range pairs {
		if q.together {
			continue
		}
		a, b := v.of[q.a], v.of[q.b]
		if a == b {
			return false
		}
		for _, e := range [2][2]int{{a, b}, {b, a}} {
			if v.apart[e[0]] == nil {
				v.apart[e[0]] = make([]uint64, words)
			}
			v.apart[e[0]][e[1]>>6] |= 1 << (e[1] & 63)
		}
	}
	return true
}

// part is the view as a question, with the cuts written in elements.
func (v *view) part(m *model, n branchNode, cuts []triple) *part {
	p := &part{m: m, elems: v.elems, lo: n.lo, hi: n.hi, apart: v.apart}
	for _, c := range cuts {
		row := subsetRow{members: []int{v.of[c[0]], v.of[c[1]], v.of[c[2]]}, most: 1}
		slices.Sort(row.members)
		p.cuts = append(p.cuts, row)
	}
	return p
}

// columns takes from the pool what the view allows, in elements.
func (v *view) columns(pool []pattern) []pattern {
	var out []pattern
	for _, c := range pool {
		if take, ok := v.translate(c.take); ok {
			out = append(out, pattern{c.supply, take})
		}
	}
	return out
}

// translate writes singles as elements; false when a tie is torn or two kept apart meet.
func (v *view) translate(singles []entry) ([]entry, bool) {
	var take []entry
	n := 0
	for _, s := range singles {
		e := v.of[s.kind]
		if slices.ContainsFunc(take, func(t entry) bool { return t.kind == e }) {
			continue
		}
		n += len(v.members[e])
		for _, t := range take {
			if a := v.apart[e]; a != nil && a[t.kind>>6]>>(t.kind&63)&1 == 1 {
				return nil, false
			}
		}
		take = append(take, entry{e, 1})
	}
	slices.SortFunc(take, func(a, b entry) int { return a.kind - b.kind })
	return take, n == len(singles)
}

// singles writes a column of elements as one of singles.
func (v *view) singles(c pattern) pattern {
	var take []entry
	for _, e := range c.take {
		for _, i := range v.members[e.kind] {
			take = append(take, entry{i, 1})
		}
	}
	slices.SortFunc(take, func(a, b entry) int { return a.kind - b.kind })
	return pattern{c.supply, take}
}
