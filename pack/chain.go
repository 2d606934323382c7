package pack

import (
	"cmp"
	"slices"
)

// chains tries plans that go through the pieces class by class (see Sequence): a
// class is set up anew only where a bin ends, so set-ups are as few as they
// can be, and every bin but the last is nearly full.
func (s *search) chains() {
	m := s.m
	if !m.chainable() {
		return
	}
	more := int64(0)
	for range 4 {
		_, bins := m.buy(m.total+more, m.minBins(), s.lower)
		if bins == nil {
			return
		}
		left := s.throughAll(bins)
		if s.closed() || left == 0 {
			return
		}
		more += left + m.setup*int64(max(0, m.classes-1))
	}
}

// throughAll tries the bins in several orders on the pieces in several orders, and
// returns the least length that stayed without room.
func (s *search) throughAll(bins []int) int64 {
	m, least := s.m, s.m.total
	for order := range pieceOrders {
		pieces, kinds := m.ordered(order)
		for _, longFirst := range [2]bool{false, true} {
			plan, uncut := m.chain(pieces, kinds, bins, longFirst)
			s.offer(plan)
			least = min(least, uncut)
			if s.closed() || !s.meter.spend(200*int64(m.count)) {
				return least
			}
		}
	}
	return least
}

const pieceOrders = 4

// ordered lists the pieces in the caller's order, backwards, and by length either way.
func (m *model) ordered(order int) ([]LinePiece, []int) {
	pieces, kinds := m.inOrder()
	at := make([]int, len(pieces))
	for i := range at {
		at[i] = i
	}
	switch order {
	case 1:
		slices.Reverse(at)
	case 2:
		slices.SortStableFunc(at, func(a, b int) int { return cmp.Compare(pieces[b].Length, pieces[a].Length) })
	case 3:
		slices.SortStableFunc(at, func(a, b int) int { return cmp.Compare(pieces[a].Length, pieces[b].Length) })
	}
	sorted, of := make([]LinePiece, len(at)), make([]int, len(at))
	for to, from := range at {
		sorted[to], of[to] = pieces[from], kinds[from]
	}
	return sorted, of
}

// chainable: bins hold enough pieces for a window of them to fill one, and not
// too many pieces have to be gone through singly.
func (m *model) chainable() bool {
	return m.count <= 20_000 && int64(m.count)*m.supplies[0].room >= 6*m.total
}

// inOrder lists single pieces as the caller gave them, each with its kind.
func (m *model) inOrder() (pieces []LinePiece, kinds []int) {
	type group struct{ item, kind, n int }
	var groups []group
	for k, kind := range m.kinds {
		for _, src := range kind.source {
			groups = append(groups, group{src.Item, k, src.Count})
		}
	}
	slices.SortFunc(groups, func(a, b group) int { return cmp.Compare(a.item, b.item) })
	for _, g := range groups {
		for range g.n {
			pieces = append(pieces, LinePiece{m.kinds[g.kind].length, m.kinds[g.kind].class})
			kinds = append(kinds, g.kind)
		}
	}
	return pieces, kinds
}

// chain cuts the pieces in their order from the given bins; nil, with the
// length for which there is no room, where they do not suffice.
func (m *model) chain(pieces []LinePiece, kinds, bins []int, longFirst bool) (plan packing, uncut int64) {
	var supplies []int
	for k, n := range bins {
		for range n {
			supplies = append(supplies, k)
		}
	}
	if !longFirst {
		slices.Reverse(supplies)
	}
	line := Line{Pieces: pieces, Setup: m.setup, anyOrder: true}
	for _, k := range supplies {
		line.Bins = append(line.Bins, m.supplies[k].room)
	}
	cut, err := Sequence(line)
	if err != nil {
		return nil, m.total
	}
	for _, i := range cut.Uncut {
		uncut += pieces[i].Length
	}
	if uncut > 0 {
		return nil, uncut
	}
	for b, list := range cut.Bins {
		if len(list) > 0 {
			plan = append(plan, use{pattern{supplies[b], m.entries(list, kinds)}, 1})
		}
	}
	return plan, 0
}

// entries counts pieces by kind.
func (m *model) entries(list, kinds []int) []entry {
	sorted := make([]int, len(list))
	for i, p := range list {
		sorted[i] = kinds[p]
	}
	slices.Sort(sorted)
	var take []entry
	for _, k := range sorted {
		if n := len(take); n > 0 && take[n-1].kind == k {
			take[n-1].n++
		} else {
			take = append(take, entry{k, 1})
		}
	}
	return take
}
