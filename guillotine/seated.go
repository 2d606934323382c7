package guillotine

import (
	"math"
	"slices"
)

// seated reads a plan from a programme whose shapes are whole, whether its strips are
// or not: the pieces of each width are put on its lanes anew. Nil where a shape is not
// whole, or no plan was found.
func (p *priced) seated() []load {
	t, s := p.t, p.t.s
	for _, line := range p.byShape() {
		for _, v := range line {
			if f := v - math.Floor(v); f > 1e-5 && f < 1-1e-5 {
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
	lengths, count := t.s.ofWidth(w, t.count)
	if slices.Max(count) == 0 {
		return true
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
		at := slices.IndexFunc(free, func(b int) bool { return out[b].extent.cells >= along(lengths, strip) })
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

// ofWidth are the lengths of the sizes of a width, and how many of each.
func (s *slitter) ofWidth(w int, count []int) (lengths, of []int) {
	lo, hi := s.first[w], s.first[w+1]
	for _, q := range s.sizes[lo:hi] {
		lengths = append(lengths, q.length)
	}
	return lengths, count[lo:hi]
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
	lengths, _ := p.t.s.ofWidth(w, p.t.count)
	slices.SortStableFunc(out, func(a, b []int) int { return along(lengths, b) - along(lengths, a) })
	return out
}

// along is the length of a strip, given the lengths of its sizes.
func along(lengths, strip []int) int {
	n := 0
	for k, c := range strip {
		n += c * lengths[k]
	}
	return n
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
