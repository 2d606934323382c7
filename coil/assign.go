package coil

import (
	"cmp"
	"fmt"
	"math/big"
	"slices"

	"coilwright/measure"
	"coilwright/steel"
)

// reel is a coil while pieces are assigned to it.
type reel struct {
	Reel
	given map[Setup][]Cut
	offer int // index of the offer it would be bought from
}

func sortReels(rs []*reel) {
	slices.SortStableFunc(rs, func(a, b *reel) int { return cmp.Compare(b.Length, a.Length) })
}

// room is what a cut of that set-up would take: its length, the loss of the cut,
// and the scrap of threading where the set-up is new to the reel.
func (r *reel) room(c Cut, m steel.Machine) measure.Length {
	n := c.Length + m.CutLoss
	if _, ok := r.given[c.Setup]; !ok {
		n += m.ThreadingScrap
	}
	return n
}

func (r *reel) take(c Cut, m steel.Machine) bool {
	n := r.room(c, m)
	if r.Used+n > r.Length-m.Reserve {
		return false
	}
	r.Used += n
	if r.given == nil {
		r.given = map[Setup][]Cut{}
	}
	r.given[c.Setup] = append(r.given[c.Setup], c)
	return true
}

// dropImpossible leaves out pieces that no reel can give.
func (m *material) dropImpossible(p *Plan, stock []*reel, offers []steel.Mill, b *steel.Book) {
	longest := measure.Length(0)
	for _, r := range stock {
		longest = max(longest, r.Length)
	}
	for _, o := range offers {
		longest = max(longest, o.Length)
	}
	longest -= b.Machine.Reserve + b.Machine.ThreadingScrap + b.Machine.CutLoss
	var runs []Setup
	for _, s := range m.runs {
		var keep []Cut
		for _, c := range m.cuts[s] {
			if c.Length <= longest {
				keep = append(keep, c)
				continue
			}
			p.LeftOut = append(p.LeftOut, LeftOut{c.ID, m.whyNot(len(stock)+len(offers) > 0)})
		}
		delete(m.cuts, s)
		if len(keep) > 0 {
			m.cuts[s] = keep
			runs = append(runs, s)
		}
	}
	m.runs = runs
}

func (m *material) whyNot(some bool) string {
	strip := fmt.Sprintf("%s strip %s wide and %s thick", m.colour, m.width.Text(measure.Imperial), m.thickness.Text(measure.Imperial))
	if some {
		return "it is longer than any coil of " + strip
	}
	return "the shop's book has no coil of " + strip + ", in stock or to buy"
}

// need is the strip that all cuts take at least: each set-up threaded once.
func (m *material) need(k steel.Machine) measure.Length {
	var n measure.Length
	for _, s := range m.runs {
		n += k.ThreadingScrap
		for _, c := range m.cuts[s] {
			n += c.Length + k.CutLoss
		}
	}
	return n
}

// purchase finds the cheapest coils with which, beside the stock, every cut finds
// a place: the least deficit is bought, and more only where the packing asks.
func (m *material) purchase(stock []*reel, offers []steel.Mill, b *steel.Book) []*reel {
	if len(offers) == 0 {
		return nil
	}
	short := m.need(b.Machine)
	for _, r := range stock {
		short -= r.Length - b.Machine.Reserve
	}
	least := offers[0].Length
	for _, o := range offers {
		least = min(least, o.Length)
	}
	for range 60 {
		counts, _ := cheapest(offers, short, b.Machine.Reserve)
		bought := m.buy(offers, counts)
		if len(m.packLongestFirst(append(clone(stock), clone(bought)...), b.Machine)) == 0 {
			return bought
		}
		short = max(short, 0) + max(least/8, measure.Foot)
	}
	return m.buy(offers, map[int]int{longestOf(offers): m.count()})
}

func longestOf(offers []steel.Mill) int {
	best := 0
	for i, o := range offers {
		if o.Length > offers[best].Length {
			best = i
		}
	}
	return best
}

func (m *material) count() int {
	n := 0
	for _, c := range m.cuts {
		n += len(c)
	}
	return n
}

func (m *material) buy(offers []steel.Mill, counts map[int]int) []*reel {
	var out []*reel
	for i, o := range offers {
		for k := range counts[i] {
			out = append(out, &reel{offer: i, Reel: Reel{
				ID: fmt.Sprintf("new-%s-%.0fft-%d", m.colour, o.Length.Feet(), k+1), Colour: m.colour,
				Thickness: m.thickness, Width: m.width, Bought: true, Length: o.Length,
			}})
		}
	}
	sortReels(out)
	return out
}

func clone(rs []*reel) []*reel {
	out := make([]*reel, len(rs))
	for i, r := range rs {
		c := reel{Reel: r.Reel, offer: r.offer}
		out[i] = &c
	}
	return out
}

// cheapest gives the counts of offers whose lengths, less the reserve of each,
// reach a deficit at the least price; fewest coils among equal prices. Exact: a
// search by offers, cheapest by the foot first, cut off by what is already found.
func cheapest(offers []steel.Mill, deficit, reserve measure.Length) (map[int]int, *big.Rat) {
	best, bestPrice, bestCoils := map[int]int{}, (*big.Rat)(nil), 0
	if deficit <= 0 {
		return best, new(big.Rat)
	}
	now := map[int]int{}
	var search func(i, coils int, left measure.Length, price *big.Rat)
	search = func(i, coils int, left measure.Length, price *big.Rat) {
		if bestPrice != nil && price.Cmp(bestPrice) > 0 {
			return
		}
		if left <= 0 {
			if bestPrice == nil || price.Cmp(bestPrice) < 0 || coils < bestCoils {
				bestPrice, bestCoils = price, coils
				best = map[int]int{}
				for k, n := range now {
					best[k] = n
				}
			}
			return
		}
		if i == len(offers) {
			return
		}
		each := offers[i].Length - reserve
		if each <= 0 {
			search(i+1, coils, left, price)
			return
		}
		for n := int((left + each - 1) / each); n >= 0; n-- {
			now[i] = n
			cost := new(big.Rat).Mul(offers[i].Price, big.NewRat(int64(n), 1))
			search(i+1, coils+n, left-measure.Length(n)*each, cost.Add(cost, price))
		}
		now[i] = 0
	}
	search(0, 0, deficit, new(big.Rat))
	if bestPrice == nil {
		bestPrice = new(big.Rat)
	}
	return best, bestPrice
}

// pack assigns every cut to a reel: in hanging order where that finds room for
// all, else longest first. It gives the cuts for which there was no room too.
func (m *material) pack(reels []*reel, k steel.Machine) (given []*reel, without []Cut) {
	inOrder := clone(reels)
	if m.packInOrder(inOrder, k) {
		return inOrder, nil
	}
	longest := clone(reels)
	without = m.packLongestFirst(longest, k)
	return longest, without
}

func (m *material) packInOrder(reels []*reel, k steel.Machine) bool {
	for _, s := range m.runs {
		for _, c := range m.cuts[s] {
			if !place(c, reels, k) {
				return false
			}
		}
	}
	return true
}

func (m *material) packLongestFirst(reels []*reel, k steel.Machine) (without []Cut) {
	for _, s := range m.runs {
		cuts := slices.Clone(m.cuts[s])
		slices.SortStableFunc(cuts, func(a, b Cut) int { return cmp.Compare(b.Length, a.Length) })
		for _, c := range cuts {
			if !place(c, reels, k) {
				without = append(without, c)
			}
		}
	}
	return without
}

func place(c Cut, reels []*reel, k steel.Machine) bool {
	for _, r := range reels {
		if r.take(c, k) {
			return true
		}
	}
	return false
}
