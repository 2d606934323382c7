package coil

import (
	"cmp"
	"math/big"
	"slices"

	"coilwright/measure"
	"coilwright/steel"
)

// add records the reels that are used, in the order in which they are threaded,
// and what is bought of them.
func (p *Plan) add(m *material, reels []*reel, b *steel.Book) []*reel {
	place := map[string]int{}
	for _, s := range m.runs {
		for _, c := range m.cuts[s] {
			place[c.ID] = len(place)
		}
	}
	var used []*reel
	for _, r := range reels {
		if len(r.given) == 0 {
			continue
		}
		for _, cuts := range r.given {
			slices.SortFunc(cuts, func(a, b Cut) int { return cmp.Compare(place[a.ID], place[b.ID]) })
		}
		used = append(used, r)
	}
	slices.SortStableFunc(used, func(a, b *reel) int { return cmp.Compare(m.first(a, place), m.first(b, place)) })
	offers := m.offers(b)
	for _, r := range used {
		r.Tail = r.Length - r.Used
		for _, s := range m.runs {
			for _, c := range r.given[s] {
				r.Pieces = append(r.Pieces, c.ID)
			}
		}
		p.Scrap += measure.Length(len(r.given)) * b.Machine.ThreadingScrap
		p.Reels = append(p.Reels, r.Reel)
		if r.Bought {
			p.bought(r, offers[r.offer].Price)
		}
	}
	return used
}

func (m *material) first(r *reel, place map[string]int) int {
	for _, s := range m.runs {
		if cuts := r.given[s]; len(cuts) > 0 {
			return place[cuts[0].ID]
		}
	}
	return 0
}

func (p *Plan) bought(r *reel, price *big.Rat) {
	for i := range p.Buy {
		q := &p.Buy[i]
		if q.Colour == r.Colour && q.Thickness == r.Thickness && q.Width == r.Width && q.Length == r.Length {
			q.Count++
			q.Price.Add(q.Price, price)
			return
		}
	}
	p.Buy = append(p.Buy, Purchase{r.Colour, r.Thickness, r.Width, r.Length, 1, new(big.Rat).Set(price)})
}

// order lists the set-ups with their pieces, coil after coil.
func (p *Plan) order(m *material, used []*reel) {
	for _, s := range m.runs {
		run := Run{Setup: s}
		for _, r := range used {
			for _, c := range r.given[s] {
				run.Pieces = append(run.Pieces, c.ID)
			}
		}
		if len(run.Pieces) > 0 {
			p.Runs = append(p.Runs, run)
		}
	}
}

// Time gives every set-up its minutes: the change of the machine and the feed of
// its pieces.
func (p *Plan) Time(b *steel.Book, length map[string]measure.Length) {
	for i := range p.Runs {
		r := &p.Runs[i]
		r.Minutes = b.Machine.SetupMinutes
		if b.Machine.FeedFtPerMinute <= 0 {
			continue
		}
		for _, id := range r.Pieces {
			r.Minutes += length[id].Feet() / b.Machine.FeedFtPerMinute
		}
	}
}

// bound adds what no plan of this strip can beat: the cheapest purchase whose bare
// length, beside all of the stock, holds every cut and one threading of every
// set-up.
func (p *Plan) bound(m *material, stock []*reel, offers []steel.Mill, b *steel.Book) {
	short := m.need(b.Machine)
	for _, r := range stock {
		short -= r.Length - b.Machine.Reserve
	}
	counts, price := cheapest(offers, short, b.Machine.Reserve)
	for _, n := range counts {
		p.Bound.Coils += n
	}
	p.Bound.Price.Add(p.Bound.Price, price)
	paid := new(big.Rat)
	for _, q := range p.Buy {
		if q.Colour == m.colour && q.Thickness == m.thickness && q.Width == m.width {
			paid.Add(paid, q.Price)
		}
	}
	p.Bound.Optimal = p.Bound.Optimal && paid.Cmp(price) == 0
}
