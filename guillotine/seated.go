package guillotine

import "slices"

// seated reads a plan from a programme whose shapes are whole, whether its strips are
// or not: the pieces of each width are put on its lanes anew. Nil where a shape is not
// whole, or no plan was found.
func (p *priced) seated() []load {
	t, s := p.t, p.t.s
	for _, line := range p.byShape() {
		for _, v := range line {
			if !whole(v) {
				return nil
			}
		}
	}
	out, lanes := p.empty()
	left := slices.Clone(t.count)
	for w := range s.widths {
		if !t.seatWidth(w, out, lanes[w], left, p.wholeStrips(w)) {
			return nil
		}
	}
	out = slices.DeleteFunc(out, func(b load) bool { return b.lanes == nil })
	for i := range out {
		s.shorten(&out[i])
	}
	return out
}

// seatWidth puts the pieces of one width on its lanes, given the blank of each, the
// longest first: from the shortest lane, from the longest, and last beside the strips
// that are whole already.
func (t *tree) seatWidth(w int, out []load, lanes []int, left []int, whole [][]int) bool {
	lo, hi := t.s.first[w], t.s.first[w+1]
	count, lengths := t.count[lo:hi], make([]int, hi-lo)
	if slices.Max(count) == 0 {
		return true
	}
	for i, q := range t.s.sizes[lo:hi] {
		lengths[i] = q.length
	}
	shortest := slices.Clone(lanes)
	slices.Reverse(shortest)
	for _, order := range [][]int{shortest, lanes} {
		if strips := t.seatIn(order, out, lengths, count); strips != nil {
			t.give(w, out, order, strips, left)
			return true
		}
	}
	rest, free, given := slices.Clone(count), shortest, []int{}
	var kept [][]int
	for _, strip := range whole {
		at := slices.IndexFunc(free, func(b int) bool { return out[b].extent.cells >= t.s.alongFrom(t.s.first[w], strip) })
		if at < 0 || !atMost(strip, rest) {
			continue
		}
		for k, n := range strip {
			rest[k] -= n
		}
		kept, given = append(kept, strip), append(given, free[at])
		free = slices.Delete(free, at, at+1)
	}
	strips := t.seatIn(free, out, lengths, rest)
	if strips == nil {
		return false
	}
	t.give(w, out, free, strips, left)
	t.give(w, out, given, kept, left)
	return true
}

// seatIn seats pieces of one width on the lanes of blanks, in that order.
func (t *tree) seatIn(order []int, out []load, lengths, count []int) [][]int {
	rooms := make([]int, len(order))
	for i, b := range order {
		rooms[i] = out[b].extent.cells
	}
	strips, work := seatPieces(lengths, count, rooms)
	t.s.meter.spend(work)
	return strips
}

// give puts strips of a width on their blanks.
func (t *tree) give(w int, out []load, order []int, strips [][]int, left []int) {
	for i, strip := range strips {
		if strip == nil {
			continue
		}
		holds := make([]int, len(t.s.sizes))
		copy(holds[t.s.first[w]:], strip)
		out[order[i]].add(lane{w, holds}, left)
	}
}

// wholeStrips are the strips of a width that the programme cuts whole times, the
// longest first.
func (p *priced) wholeStrips(w int) (out [][]int) {
	times := map[string]float64{}
	for j, v := range p.lp.values() {
		c := p.cols[j]
		if c == nil || v < 1e-9 || c.strips[w] == nil {
			continue
		}
		id := key(0, c.strips[w])
		was := int(times[id] + 1e-6)
		times[id] += v * float64(p.t.setups[c.setup][w])
		for range int(times[id]+1e-6) - was {
			out = append(out, c.strips[w])
		}
	}
	s := p.t.s
	slices.SortStableFunc(out, func(a, b []int) int { return s.alongFrom(s.first[w], b) - s.alongFrom(s.first[w], a) })
	return out
}

// atMost says that there are pieces enough for the strip.
func atMost(strip, left []int) bool {
	for k, n := range strip {
		if n > left[k] {
			return false
		}
	}
	return true
}
