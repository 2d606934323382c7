package pack

import (
	"cmp"
	"math"
	"slices"
)

// gatherTail keeps weight and bins of a packing and gathers its remnants on
// one bin: every bin is upgraded to the longest stock of its cost, one bin is
// chosen to give up what the others can take, and pieces are exchanged
// between it and each other bin, by meeting in the middle over small subsets,
// until no exchange fills another bin further.
func gatherTail(m *model, p packing, w *meter) packing {
	bins := m.spread(m.upgrade(p))
	if len(bins) < 2 || len(bins) > maxTailBins {
		return p
	}
	slices.SortStableFunc(bins, func(a, b tailBin) int { return cmp.Compare(b.tail, a.tail) })
	donor := &bins[0]
	x := exchanger{m: m}
	for again := true; again && !w.done(); {
		again = false
		for i := range bins[1:] {
			if b := &bins[i+1]; b.tail > 0 && x.exchange(donor, b, w) {
				again = true
			}
		}
	}
	return collect(m, bins)
}

const maxTailBins = 5000

// tailBin is one bin with its pieces singly, by kind.
type tailBin struct {
	supply int
	pieces []int
	tail   int64
}

func (m *model) spread(p packing) []tailBin {
	var bins []tailBin
	for _, u := range p {
		for range u.times {
			if len(bins) > maxTailBins {
				return bins
			}
			b := tailBin{supply: u.supply, tail: m.supplies[u.supply].room - m.load(u.take)}
			for _, e := range u.take {
				for range min(e.n, maxTailPieces+1) {
					b.pieces = append(b.pieces, e.kind)
				}
			}
			if len(b.pieces) > maxTailPieces {
				return nil
			}
			bins = append(bins, b)
		}
	}
	return bins
}

const maxTailPieces = 10000

// upgrade swaps each bin for the longest stock of the same cost still free.
func (m *model) upgrade(p packing) packing {
	free := m.stock()
	for _, u := range p {
		free[u.supply] -= u.times
	}
	var out packing
	for _, u := range p {
		for k := 0; k < u.supply && u.times > 0; k++ {
			if n := min(u.times, free[k]); n > 0 && m.supplies[k].cost == m.supplies[u.supply].cost {
				out = append(out, use{pattern{k, u.take}, n})
				free[k] -= n
				free[u.supply] += n
				u.times -= n
			}
		}
		if u.times > 0 {
			out = append(out, u)
		}
	}
	return out
}

const halfSize = 10 // pieces of each bin an exchange looks at: 1024 subsets a side

// exchanger holds the sums of what either bin of a pair may give.
type exchanger struct {
	m          *model
	give, back halves
}

// exchange moves net length from the donor to b, as much as b's tail takes,
// by giving a subset of some donor pieces for a subset of some of b's. It says
// whether it did. Classes set up in either bin must stay as they are, so only
// pieces of classes that both bins hold, and not their last, may move.
func (x *exchanger) exchange(donor, b *tailBin, w *meter) bool {
	m := x.m
	give, back := movable(m, donor, b), movable(m, b, donor)
	improved := false
	for shift := 0; shift < 4 && b.tail > 0; shift++ {
		g, r := pick(give, shift), pick(back, shift)
		if !w.spend(int64(len(g)+len(r)) << halfSize) {
			return improved
		}
		m.sums(&x.give, g)
		m.sums(&x.back, r)
		toB, toDonor, gain := bestExchange(&x.give, &x.back, b.tail)
		if gain <= 0 {
			continue
		}
		swap(donor, b, chosen(g, toB), chosen(r, toDonor))
		donor.tail += gain
		b.tail -= gain
		improved = true
		give, back = movable(m, donor, b), movable(m, b, donor)
	}
	return improved
}

// movable lists the kinds in a that may go to b without changing set-ups.
func movable(m *model, a, b *tailBin) []int {
	if m.setup == 0 {
		return slices.Clone(a.pieces)
	}
	var out []int
	for i, k := range a.pieces {
		c := m.kinds[k].class
		same := func(j int) bool { return m.kinds[j].class == c }
		if slices.ContainsFunc(b.pieces, same) && slices.ContainsFunc(a.pieces[:i], same) {
			out = append(out, k)
		}
	}
	return out
}

// pick takes up to halfSize pieces, evenly over the list, begun at a shift.
func pick(list []int, shift int) []int {
	slices.Sort(list)
	if len(list) <= halfSize {
		return list
	}
	out := make([]int, 0, halfSize)
	for i := range halfSize {
		out = append(out, list[(i*len(list)/halfSize+shift)%len(list)])
	}
	return out
}

// sums lists all subsets of a few pieces, given by their kinds.
func (m *model) sums(h *halves, list []int) {
	var lengths [halfSize]int64
	for i, k := range list {
		lengths[i] = m.kinds[k].length
	}
	h.of(lengths[:len(list)], 0, math.MaxInt64)
}

// bestExchange is the subsets of xs and ys, as bits, whose difference is the greatest
// that is no more than room.
func bestExchange(xs, ys *halves, room int64) (x, y uint32, gain int64) {
	j := 0
	for i, s := range xs.sum {
		for j < len(ys.sum)-1 && s-ys.sum[j] > room {
			j++
		}
		if d := s - ys.sum[j]; d <= room && d > gain {
			x, y, gain = xs.mask[i], ys.mask[j], d
		}
	}
	return x, y, gain
}

func chosen(list []int, bits uint32) []int {
	var out []int
	for i, k := range list {
		if bits>>i&1 == 1 {
			out = append(out, k)
		}
	}
	return out
}

func swap(a, b *tailBin, toB, toA []int) {
	a.pieces = append(without(a.pieces, toB), toA...)
	b.pieces = append(without(b.pieces, toA), toB...)
}

func without(list, gone []int) []int {
	out := slices.Clone(list)
	for _, k := range gone {
		i := slices.Index(out, k)
		out = slices.Delete(out, i, i+1)
	}
	return out
}

// collect writes single bins as a packing again, bins alike together.
func collect(m *model, bins []tailBin) packing {
	var out packing
	for _, b := range bins {
		if len(b.pieces) == 0 {
			continue // an exchange emptied it: one bin less
		}
		slices.Sort(b.pieces)
		var take []entry
		for _, k := range b.pieces {
			if n := len(take); n > 0 && take[n-1].kind == k {
				take[n-1].n++
			} else {
				take = append(take, entry{k, 1})
			}
		}
		same := func(u use) bool { return u.supply == b.supply && slices.Equal(u.take, take) }
		if i := slices.IndexFunc(out, same); i >= 0 && len(out) < 2000 {
			out[i].times++
		} else {
			out = append(out, use{pattern{b.supply, take}, 1})
		}
	}
	return out
}

// gathered is the best packing with its remnants on one bin: by exchanges, or,
// where that leaves a longer tail, by going through the pieces in order over
// the longest stock of that weight.
func (s *search) gathered(p Problem) Plan {
	m := s.m
	best := gatherTail(m, s.best, s.meter.share(200_000_000))
	s.offer(best)
	plan := m.plan(p, best)
	if !m.chainable() {
		return plan
	}
	pieces, kinds := m.inOrder()
	number, _, bins := m.longestFor(s.upper)
	if bins == nil || number < 2 || plan.Tail >= m.tailBound(p, s.upper) {
		return plan
	}
	for _, longFirst := range [2]bool{false, true} {
		chained, _ := m.chain(pieces, kinds, bins, longFirst)
		if chained == nil || m.objective(chained) != s.upper {
			continue
		}
		if other := m.plan(p, chained); other.Tail > plan.Tail {
			plan = other
		}
	}
	return plan
}

// tailBound: the bins of a plan of that weight are together no longer than
// the longest ones that could make it up, every bin holds a set-up, and no
// tail is longer than the longest bin less its shortest piece.
func (m *model) tailBound(p Problem, weight int64) int64 {
	used, classes := int64(0), map[int]bool{}
	for _, it := range p.Items {
		used += it.Length * int64(it.Count)
		if it.Count > 0 {
			classes[it.Class] = true
		}
	}
	bins, room, _ := m.longestFor(weight)
	used += p.Setup * int64(max(bins, len(classes)))
	longest := m.supplies[0].full
	shortest := used
	for _, it := range p.Items {
		if it.Count > 0 {
			shortest = min(shortest, it.Length)
		}
	}
	return min(room-used, longest-p.Setup-shortest)
}

// longestFor bounds the number of bins and the length of stock that a plan of
// that weight opens; bins, where it found them, are such stock.
func (m *model) longestFor(weight int64) (number int, room int64, bins []int) {
	number = int(weight)
	if m.weight > 0 {
		number = int(weight % m.weight)
	}
	f := longer{m: m, best: -1, nodes: 20_000, now: make([]int, len(m.supplies))}
	f.search(0, number, weight, 0)
	if f.nodes > 0 && f.bins != nil {
		return number, f.best, f.bins
	}
	return number, f.most(0, number), nil
}

// longer searches for the longest stock of a number and weight.
type longer struct {
	m     *model
	now   []int
	best  int64
	bins  []int
	nodes int
}

// most is the length of so many of the longest bins from supply k on.
func (f *longer) most(k, number int) int64 {
	room := int64(0)
	for _, s := range f.m.supplies[k:] {
		n := min(number, s.avail)
		room += int64(n) * s.full
		number -= n
	}
	return room
}

func (f *longer) search(k, number int, weight, room int64) {
	f.nodes--
	if number == 0 && weight == 0 && room > f.best {
		f.best, f.bins = room, slices.Clone(f.now)
	}
	if number == 0 || k == len(f.m.supplies) || f.nodes <= 0 || room+f.most(k, number) <= f.best {
		return
	}
	s := f.m.supplies[k]
	for n := min(number, s.avail, int(weight/s.cost)); n >= 0 && f.nodes > 0; n-- {
		f.now[k] = n
		f.search(k+1, number-n, weight-int64(n)*s.cost, room+int64(n)*s.full)
	}
	f.now[k] = 0
}
