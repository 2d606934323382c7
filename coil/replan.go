package coil

import (
	"cmp"
	"context"
	"errors"
	"slices"

	"coilwright/measure"
	"coilwright/pack"
)

// replan cuts all that is not yet formed anew, from the reels in use, where the
// pieces asked for fit in no other way; it returns those for which there is no room.
func (y *yard) replan(open []*ask) (left []*ask) {
	for len(open) > 0 {
		s, lot := stripOf(open[0].Setup), open[0].lot
		var mine, rest []*ask
		for _, a := range open {
			if stripOf(a.Setup) == s && a.lot == lot {
				mine = append(mine, a)
			} else {
				rest = append(rest, a)
			}
		}
		open = rest
		if !y.replanStrip(s, lot, mine, false) && !y.replanStrip(s, lot, mine, true) {
			left = append(left, mine...)
		}
	}
	return left
}

// replanStrip asks the exact solver; with fresh, coils of the stock not yet
// threaded may help, at a price, so that as few as can be do.
func (y *yard) replanStrip(s strip, lot string, asks []*ask, fresh bool) bool {
	var reels []*standing
	var cuts []Cut
	for _, r := range y.reels {
		if r.lotText() == lot && s.suits(r.Colour, r.Thickness, r.Width) && (fresh || !r.fresh) {
			reels = append(reels, r)
			cuts = append(cuts, r.toCut...)
		}
	}
	if fresh && !slices.ContainsFunc(reels, func(r *standing) bool { return r.fresh }) {
		return false
	}
	for _, a := range asks {
		cuts = append(cuts, a.Cut)
	}
	bins, ok := y.solveRest(s, cuts, reels)
	if !ok {
		return false
	}
	y.settle(reels, cuts, bins, asks)
	return true
}

func (y *yard) solveRest(s strip, cuts []Cut, reels []*standing) ([]bin, bool) {
	t := &task{strip: s, cuts: cuts, book: y.in.Book, money: newMoney(nil)}
	t.number()
	p := pack.Problem{Setup: int64(y.in.Book.Machine.ThreadingScrap), Items: t.items(), Steps: recutSteps}
	var from []source
	for i, r := range reels {
		left := r.Length - y.in.Book.Machine.Reserve - r.gone
		if r == y.current {
			left += y.in.Book.Machine.ThreadingScrap // its set-up is threaded already
		}
		if left <= 0 {
			continue
		}
		cost := int64(0)
		if r.fresh {
			cost = 1
		}
		p.Stocks, from = append(p.Stocks, pack.Stock{Length: int64(left), Cost: cost, Count: 1}), append(from, source{false, i})
	}
	plan, err := pack.Solve(context.Background(), p)
	if err != nil {
		if errors.Is(err, pack.ErrUndecided) {
			y.remedy.Bound.Optimal = false
		}
		return nil, false
	}
	bins := t.deal(p, plan, from)
	for _, b := range bins { // a current set-up not gone on with has its scrap to pay
		r := reels[b.source.index]
		if r == y.current && !slices.ContainsFunc(b.pieces, func(i int) bool { return cuts[i].Setup == y.setup }) &&
			t.used(b) > r.Length-y.in.Book.Machine.Reserve-r.gone {
			return nil, false
		}
	}
	return bins, true
}

// settle gives the bins' pieces to their reels; of pieces alike, those stay that are there.
func (y *yard) settle(reels []*standing, cuts []Cut, bins []bin, asks []*ask) {
	at := map[string]*standing{}
	for _, r := range reels {
		for _, c := range r.toCut {
			at[c.ID] = r
		}
	}
	type kind struct {
		length measure.Length
		setup  Setup
	}
	pool := map[kind][]Cut{}
	for _, c := range cuts {
		pool[kind{c.Length, c.Setup}] = append(pool[kind{c.Length, c.Setup}], c)
	}
	for _, r := range reels {
		r.toCut = nil
	}
	for _, stay := range [2]bool{true, false} {
		for i := range bins {
			r := reels[bins[i].source.index]
			bins[i].pieces = slices.DeleteFunc(bins[i].pieces, func(j int) bool {
				k := kind{cuts[j].Length, cuts[j].Setup}
				n := slices.IndexFunc(pool[k], func(c Cut) bool { return !stay || at[c.ID] == r })
				if n < 0 {
					return false
				}
				y.put(pool[k][n], at[pool[k][n].ID], r, asks)
				pool[k] = slices.Delete(pool[k], n, n+1)
				return true
			})
		}
	}
	for _, r := range reels {
		slices.SortStableFunc(r.toCut, func(a, b Cut) int { return y.before(a, b) })
	}
}

// put gives a piece to a reel and records where it came from.
func (y *yard) put(c Cut, from, to *standing, asks []*ask) {
	if from == nil {
		for _, a := range asks {
			if a.ID == c.ID {
				how := ByMoving
				if to.fresh {
					how = FromStock
				}
				y.give(a, to, how)
			}
		}
		return
	}
	to.fresh = false
	to.toCut = append(to.toCut, c)
}

// before orders pieces by set-up, the machine's own first, then as they are hung.
func (y *yard) before(a, b Cut) int {
	first := func(c Cut) int {
		if c.Setup == y.setup {
			return -1
		}
		return y.firstOf[c.Setup]
	}
	return cmp.Or(cmp.Compare(first(a), first(b)), cmp.Compare(y.hung[a.ID], y.hung[b.ID]))
}
