package guillotine

import (
	"cmp"
	"slices"
)

// seated puts the pieces of each width on the lanes of blanks of these shapes. Where that
// fails it names the width, and says whether all was tried.
func (t *tree) seated(shapes []int) (plan []load, width int, all bool) {
	s := t.s
	out, lanes := t.empty(shapes)
	left := slices.Clone(t.count)
	for w := range s.widths {
		if ok, all := t.seatWidth(w, out, lanes[w], left); !ok {
			return nil, w, all
		}
	}
	out = slices.DeleteFunc(out, func(b load) bool { return b.lanes == nil })
	for i := range out {
		s.shorten(&out[i])
	}
	return out, 0, true
}

// empty lists blanks of these shapes, the longest first, and the blank of every lane.
func (t *tree) empty(shapes []int) (out []load, lanes [][]int) {
	s, P := t.s, len(t.setups)
	lanes = make([][]int, len(s.widths))
	shapes = slices.Clone(shapes)
	slices.SortFunc(shapes, func(a, b int) int { return cmp.Or(b/P-a/P, a-b) })
	for _, at := range shapes {
		for w, n := range t.setups[at%P] {
			lanes[w] = append(lanes[w], slices.Repeat([]int{len(out)}, n)...)
		}
		out = append(out, load{extent: s.extents[at/P], holds: make([]int, len(s.sizes))})
	}
	return out, lanes
}

// wholeShapes lists the shapes of a programme's blanks, where they are whole.
func (p *priced) wholeShapes() (out []int) {
	for e, line := range p.byShape() {
		for i, v := range line {
			for range int(v + 0.5) {
				out = append(out, e*len(p.t.setups)+i)
			}
		}
	}
	return out
}

// seatWidth puts the pieces of one width on its lanes, given the blank of each, the
// longest first: from the shortest lane, from the longest, and last beside the strips
// that the fitter's programme cuts whole.
func (t *tree) seatWidth(w int, out []load, lanes []int, left []int) (ok, all bool) {
	lo, hi := t.s.first[w], t.s.first[w+1]
	count, shortest := t.count[lo:hi], slices.Clone(lanes)
	slices.Reverse(shortest)
	for _, order := range [][]int{shortest, lanes} {
		strips, all := t.seatIn(w, order, out, count)
		if strips != nil {
			t.give(w, out, order, strips, left)
			return true, true
		}
		if all {
			return false, true
		}
	}
	rest, free, given := slices.Clone(count), shortest, []int{}
	var kept [][]int
	for _, strip := range t.fitters[w].whole() {
		at := slices.IndexFunc(free, func(b int) bool { return out[b].extent.cells >= t.s.alongFrom(lo, strip) })
		if at < 0 || !atMost(strip, rest) {
			continue
		}
		for k, n := range strip {
			rest[k] -= n
		}
		kept, given = append(kept, strip), append(given, free[at])
		free = slices.Delete(free, at, at+1)
	}
	strips, _ := t.seatIn(w, free, out, rest)
	if strips == nil {
		return false, false
	}
	t.give(w, out, free, strips, left)
	t.give(w, out, given, kept, left)
	return true, true
}

// seatIn seats pieces of one width on the lanes of blanks, in that order; all says that
// where there are no strips there are none.
func (t *tree) seatIn(w int, order []int, out []load, count []int) (strips [][]int, all bool) {
	rooms := make([]int, len(order))
	for i, b := range order {
		rooms[i] = out[b].extent.cells
	}
	strips, all, work := seatPieces(t.fitters[w].lengths, count, rooms)
	t.s.meter.spend(work)
	return strips, all
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

// roomier are the parts of a node whose plans have more lanes of a width, from some
// extent up, than its programme, in which the width finds no seats: fewer from each
// extent up would not seat it either.
func (p *priced) roomier(w int) (out []*part) {
	for _, rules := range moreLanes(w, p.rooms()[w], len(p.t.s.extents)) {
		out = append(out, p.with(rules))
	}
	p.t.s.meter.spend(100 * len(out) * len(p.cols))
	return out
}

// moreLanes are rules for parts that share no plan: each has more lanes from one extent
// up, and no more from those of the parts before.
func moreLanes(w int, rooms []room, extents int) (out [][]rule) {
	above := 0
	for _, v := range rooms {
		above += int(v.lanes + 0.5)
	}
	var before []rule
	at := func(extent, most int) {
		r := rule{kind: lanes, width: w, extent: extent}
		out = append(out, append(slices.Clone(before), r.of(1, most+1)))
		before = append(before, r.of(-1, most))
	}
	at(0, above)
	for _, v := range rooms {
		if above -= int(v.lanes + 0.5); v.extent+1 < extents {
			at(v.extent+1, above)
		}
	}
	return out
}

// of is the rule with its sign and need.
func (r rule) of(sign, need int) rule {
	r.sign, r.need = sign, sign*need
	return r
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
