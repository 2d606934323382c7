package coil

import (
	"cmp"
	"math/big"
	"slices"

	"coilwright/measure"
)

// fromTail gives a piece from the shortest tail of its lot that holds it, sooner
// where nothing need be threaded.
func (y *yard) fromTail(a *ask) bool {
	return y.fromSome(a, FromTail, func(s *standing) bool { return !s.fresh && s.lotText() == a.lot })
}

func (y *yard) fromStock(a *ask) bool {
	return y.fromSome(a, FromStock, func(s *standing) bool { return s.lotText() == a.lot })
}

// fromOtherLot breaks the rule of lots before it buys: what is bought would break it too.
func (y *yard) fromOtherLot(a *ask) bool {
	return y.fromSome(a, FromTail, func(s *standing) bool { return !s.fresh }) ||
		y.fromSome(a, FromStock, func(s *standing) bool { return true })
}

func (y *yard) fromSome(a *ask, how string, may func(*standing) bool) bool {
	var best *standing
	for _, s := range y.reels {
		if !may(s) || !y.suits(s, a.Cut) || y.room(s) < y.need(s, a.Cut) {
			continue
		}
		if best == nil || cmpReels(y.threads(s, a.Setup), y.room(s), y.threads(best, a.Setup), y.room(best)) < 0 {
			best = s
		}
	}
	if best == nil {
		return false
	}
	y.give(a, best, how)
	return true
}

func cmpReels(threadsA bool, roomA measure.Length, threadsB bool, roomB measure.Length) int {
	if threadsA != threadsB {
		if threadsB {
			return -1
		}
		return 1
	}
	return cmp.Compare(roomA, roomB)
}

// byMoving makes room on a reel of the piece's lot by one move, or by an exchange of two.
func (y *yard) byMoving(a *ask) bool {
	for _, two := range [2]bool{false, true} {
		for _, s := range y.reels {
			if s.fresh || s.lotText() != a.lot || !y.suits(s, a.Cut) {
				continue
			}
			if y.makeRoom(a, s, two) {
				y.give(a, s, ByMoving)
				return true
			}
		}
	}
	return false
}

// makeRoom moves one piece off a reel, the shortest that serves, for one of another reel when two.
func (y *yard) makeRoom(a *ask, s *standing, two bool) bool {
	short := y.need(s, a.Cut) - y.room(s)
	for _, i := range byLength(s.toCut) {
		out := s.toCut[i]
		if out.Length < short && out.Length+y.in.Book.Machine.ThreadingScrap < short {
			continue
		}
		for _, to := range y.reels {
			if to == s || to.fresh || to.lotText() != s.lotText() || !y.suits(to, out) {
				continue
			}
			if !two && y.tryMove(a, s, to, i, -1) {
				return true
			}
			for j := 0; two && j < len(to.toCut); j++ {
				if gain := out.Length - to.toCut[j].Length; gain > 0 && gain >= short-y.in.Book.Machine.ThreadingScrap && y.tryMove(a, s, to, i, j) {
					return true
				}
			}
		}
	}
	return false
}

func byLength(cuts []Cut) []int {
	order := make([]int, len(cuts))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(cuts[a].Length, cuts[b].Length) })
	return order
}

// tryMove moves piece i of s to the other reel, for its piece j unless negative, where both then hold
// what they should and s has room for the piece asked.
func (y *yard) tryMove(a *ask, s, to *standing, i, j int) bool {
	here, there := s.toCut, to.toCut
	out := here[i]
	s.toCut = slices.Delete(slices.Clone(here), i, i+1)
	to.toCut = slices.Clone(there)
	if j >= 0 {
		s.toCut = y.insert(s.toCut, there[j])
		to.toCut = slices.Delete(to.toCut, j, j+1)
	}
	to.toCut = y.insert(to.toCut, out)
	if y.room(to) < 0 || y.room(s) < y.need(s, a.Cut) {
		s.toCut, to.toCut = here, there
		return false
	}
	return true
}

// insert puts a piece among its set-up's, at the end.
func (y *yard) insert(list []Cut, c Cut) []Cut {
	at := len(list)
	for i, o := range list {
		if o.Setup == c.Setup {
			at = i + 1
		}
	}
	return slices.Insert(list, at, c)
}

// buy orders the cheapest coils for what nothing else can give, by strip.
func (y *yard) buy(open []*ask) {
	money := newMoney(y.in.Book.Mill)
	for len(open) > 0 {
		s := stripOf(open[0].Setup)
		var mine, rest []*ask
		for _, a := range open {
			if stripOf(a.Setup) == s {
				mine = append(mine, a)
			} else {
				rest = append(rest, a)
			}
		}
		open = rest
		y.buyStrip(s, mine, money)
	}
}

func (y *yard) buyStrip(s strip, asks []*ask, money money) {
	t := &task{strip: s, book: y.in.Book, money: money, steps: recutSteps}
	for _, a := range asks {
		t.cuts = append(t.cuts, a.Cut)
	}
	for i, o := range y.in.Book.Mill {
		if o.Length > 0 && o.Price != nil && s.suits(o.Colour, o.Thickness, o.Width) {
			t.offers = append(t.offers, i)
		}
	}
	sol := t.solve()
	if !sol.ok {
		for _, a := range asks {
			y.remedy.LeftOut = append(y.remedy.LeftOut, LeftOut{a.ID, "no coil that is left can give it, and the shop's book offers none of its strip that could"})
		}
		return
	}
	pl := &planner{in: y.in, names: map[string]int{}}
	for _, r := range y.reels {
		pl.taken = append(pl.taken, r.ID)
	}
	for _, b := range sol.bins {
		id, nth := pl.newName(s, y.in.Book.Mill[b.source.index])
		r := &standing{Reel: Reel{ID: id, Nth: nth, Colour: s.colour, Thickness: s.thickness, Width: s.width, Bought: true, Length: b.length}}
		pl.bought(s, y.in.Book.Mill[b.source.index])
		y.reels = append(y.reels, r)
		for _, i := range b.pieces {
			y.give(asks[i], r, ByBuying)
		}
	}
	for _, u := range sol.unused {
		pl.bought(s, y.in.Book.Mill[u.index])
	}
	y.remedy.Buy = append(y.remedy.Buy, pl.plan.Buy...)
	b := &y.remedy.Bound
	b.Price, b.Coils = new(big.Rat).Add(b.Price, money.rat(sol.bound.price)), b.Coils+sol.bound.coils
	b.Optimal = b.Optimal && money.exact && sol.purse.price == sol.bound.price && sol.purse.coils == sol.bound.coils
}

// report says where every piece stands now, and which coil each spoiled one comes from.
func (y *yard) report() {
	given := map[string]*Given{}
	for i := range y.remedy.Given {
		given[y.remedy.Given[i].Piece] = &y.remedy.Given[i]
	}
	for _, s := range y.reels {
		if s.fresh {
			continue
		}
		r := Rest{ID: s.ID, Lot: s.Lot, Used: y.used(s), Tail: s.Length - y.used(s)}
		for _, c := range s.toCut {
			r.ToCut = append(r.ToCut, c.ID)
			if g := given[c.ID]; g != nil {
				g.Coil, g.Thread = s.ID, !y.goesOn(s, c.Setup)
			} else if from := y.was[c.ID]; from != s.ID {
				y.remedy.Moved = append(y.remedy.Moved, Moved{c.ID, from, s.ID})
			}
		}
		y.remedy.Rest = append(y.remedy.Rest, r)
	}
}

// goesOn tells whether the plan has a reel on the machine in a set-up now, or later anyway.
func (y *yard) goesOn(s *standing, set Setup) bool {
	return s == y.current && set == y.setup ||
		slices.ContainsFunc(s.toCut, func(c Cut) bool { return c.Setup == set && y.was[c.ID] == s.ID })
}
