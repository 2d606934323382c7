package coil

import (
	"fmt"
	"math/big"
	"slices"

	"coilwright/measure"
	"coilwright/steel"
)

// Make plans the machine's run; see the package comment for what it holds best. It
// is deterministic. A piece with no length, or that no coil can give, is left out
// with the reason.
func Make(in Input) Plan {
	if in.Steps <= 0 {
		in.Steps = Thorough
	}
	p := &planner{in: in, money: newMoney(in.Book.Mill), names: map[string]int{}, plan: Plan{Bound: Bound{Optimal: true}, Lots: Lots{Kept: LotsMeet}}}
	p.dropImpossible()
	colours := byColour(&p.in, p.money)
	total, bound := purse{}, purse{}
	for _, c := range colours {
		c.steps = in.Steps / int64(max(1, len(colours)))
		a, b := p.colour(c)
		total, bound = total.plus(a), bound.plus(b)
	}
	p.plan.Bound.Price, p.plan.Bound.Coils = p.money.rat(bound.price), bound.coils
	p.plan.Bound.Optimal = p.plan.Bound.Optimal && p.money.exact && total.price == bound.price && total.coils == bound.coils
	p.ifMixed(colours)
	return p.plan
}

type planner struct {
	in    Input
	money money
	plan  Plan
	names map[string]int // of coils bought
	taken []string       // names that others have
	spent map[*colour]purse
}

// dropImpossible leaves out pieces that no coil can give.
func (p *planner) dropImpossible() {
	of := map[strip]longest{}
	var keep []Cut
	for _, c := range p.in.Cuts {
		s := stripOf(c.Setup)
		room, ok := of[s]
		if !ok {
			room = p.longest(s)
			of[s] = room
		}
		switch {
		case c.Length <= 0:
			p.plan.LeftOut = append(p.plan.LeftOut, LeftOut{c.ID, "it has no length; check its wall's sizes"})
		case room.bare == 0:
			p.plan.LeftOut = append(p.plan.LeftOut, LeftOut{c.ID, "the shop's book has no coil of " + s.text() + ", in stock or to buy"})
		case c.Length > room.bare:
			p.plan.LeftOut = append(p.plan.LeftOut, LeftOut{c.ID, "it is longer than any coil of " + s.text()})
		case c.Length > room.net:
			p.plan.LeftOut = append(p.plan.LeftOut, LeftOut{c.ID, "it is longer than what threading scrap, cut loss and reserve leave of any coil of " + s.text()})
		default:
			keep = append(keep, c)
		}
	}
	p.in.Cuts = keep
}

func (s strip) text() string {
	return fmt.Sprintf("%s strip %s wide and %s thick", s.colour, s.width.Text(measure.Imperial), s.thickness.Text(measure.Imperial))
}

// longest is the longest coil of a strip, 0 where there is none, and the longest piece that it can give.
type longest struct{ bare, net measure.Length }

func (p *planner) longest(s strip) longest {
	b, most := p.in.Book, measure.Length(0)
	for _, k := range b.Coils {
		if s.suits(k.Colour, k.Thickness, k.Width) {
			most = max(most, k.Length)
		}
	}
	for _, o := range b.Mill {
		if o.Price != nil && s.suits(o.Colour, o.Thickness, o.Width) {
			most = max(most, o.Length)
		}
	}
	return longest{most, most - b.Machine.Reserve - b.Machine.ThreadingScrap - b.Machine.CutLoss}
}

// colour plans one colour and adds it.
func (p *planner) colour(c *colour) (total, bound purse) {
	kept, best := c.plan()
	if !best.ok {
		kept, best = p.withLess(c)
	}
	c.inOrder(&best)
	if rank(kept) > rank(p.plan.Lots.Kept) {
		p.plan.Lots.Kept = kept
	}
	lotOn := map[string][]string{}
	done := make([]arranged, len(best.tasks))
	for i, t := range best.tasks {
		before := best.solutions[i].purse
		done[i] = t.arrange(&best.solutions[i])
		after := best.solutions[i].purse
		best.purse = purse{best.purse.price - before.price + after.price, best.purse.coils - before.coils + after.coils, best.purse.reels - before.reels + after.reels}
		p.addTask(t, best.solutions[i], done[i], lotOn)
	}
	p.addRuns(best.tasks, done)
	p.plan.Lots.Mixed = append(p.plan.Lots.Mixed, c.mixesOf(kept, lotOn)...)
	if p.spent == nil {
		p.spent = map[*colour]purse{}
	}
	p.spent[c] = best.purse
	return best.purse, best.bound
}

func rank(kept string) int { return slices.Index([]string{LotsMeet, LotsWall, LotsMixed}, kept) }

// ifMixed says what keeping lots apart costs, in all.
func (p *planner) ifMixed(colours []*colour) {
	sum, any := new(big.Rat), false
	for _, c := range colours {
		if r := c.priceIfMixed(p.spent[c]); r != nil {
			any = true
			sum.Add(sum, r)
		} else {
			sum.Add(sum, p.money.rat(p.spent[c].price))
		}
	}
	if any {
		p.plan.Lots.PriceIfMixed = sum
	}
}

// withLess plans what the stock can give where it cannot give all: pieces are
// taken in the order of hanging, or, where more find room so, the shortest. Of
// pieces of one set-up as many are cut as can be. What is left is planned as ever, by lots.
func (p *planner) withLess(c *colour) (kept string, best option) {
	c.groups, c.known = [][]int{c.all()}, nil
	keep := map[int]bool{}
	for _, s := range c.strips {
		for _, i := range c.roomFor(s) {
			keep[i] = true
		}
	}
	var cuts []Cut
	for i, k := range c.cuts {
		if keep[i] {
			cuts = append(cuts, k)
			continue
		}
		p.plan.LeftOut = append(p.plan.LeftOut, LeftOut{k.ID, "the stock does not suffice for it, and the shop's book offers no more of its strip"})
	}
	p.plan.Bound.Optimal = false
	c.cuts, c.lots = cuts, nil
	return c.plan()
}

// roomFor is the cuts of a strip that first fit finds room for.
func (c *colour) roomFor(s strip) []int {
	t := &task{strip: s, cuts: c.cuts, stock: c.stock(s, -1), book: c.in.Book, steps: max(1, c.steps/16)}
	t.number()
	if len(c.offers(s, -1)) > 0 {
		return c.ofStrip(s)
	}
	hanging := c.ofStrip(s)
	short := slices.Clone(hanging)
	slices.SortStableFunc(short, func(a, b int) int { return int(min(1, max(-1, c.cuts[a].Length-c.cuts[b].Length))) })
	best := t.firstFit(hanging)
	if b := t.firstFit(short); len(b) > len(best) {
		best = b
	}
	if b := t.shortest(short, len(best)); len(b) > len(best) {
		best = b
	}
	return best
}

// shortest is as many of the shortest pieces as the stock gives, if more than some
// number: of one set-up no other choice is larger, since a shorter piece fits wherever a longer one does.
func (t *task) shortest(rising []int, more int) []int {
	low, high := more, len(rising)
	for low < high {
		n := low + (high-low+1)/2
		some := *t
		some.cuts = nil
		for _, i := range rising[:n] {
			some.cuts = append(some.cuts, t.cuts[i])
		}
		if some.solve().ok {
			low = n
		} else {
			high = n - 1
		}
	}
	return rising[:low]
}

func (c *colour) ofStrip(s strip) []int {
	var out []int
	for i, k := range c.cuts {
		if stripOf(k.Setup) == s {
			out = append(out, i)
		}
	}
	return out
}

// firstFit is those of the pieces that find room in the stock, one after another.
func (t *task) firstFit(list []int) []int {
	tails := make([]tail, len(t.stock))
	for i, k := range t.stock {
		tails[i] = tail{k.Length - t.book.Machine.Reserve, map[Setup]bool{}}
	}
	var out []int
	for _, i := range list {
		c := t.cuts[i]
		for j := range tails {
			need := c.Length + t.book.Machine.CutLoss
			if !tails[j].setups[c.Setup] {
				need += t.book.Machine.ThreadingScrap
			}
			if tails[j].left >= need {
				tails[j].left -= need
				tails[j].setups[c.Setup] = true
				out = append(out, i)
				break
			}
		}
	}
	return out
}

// addTask records a task's reels, purchase and later aims.
func (p *planner) addTask(t *task, s solution, a arranged, lotOn map[string][]string) {
	if !s.ok {
		for _, c := range t.cuts {
			p.plan.LeftOut = append(p.plan.LeftOut, LeftOut{c.ID, "no plan was found for it within the work limit; allow more work"})
		}
		p.plan.Bound.Optimal = false
		return
	}
	m := p.in.Book.Machine
	first := len(p.plan.Reels)
	for _, b := range a.bins {
		r := p.reel(t, b)
		p.plan.Scrap += t.used(b) - t.bare(b)
		for _, i := range b.pieces {
			if lot := r.lotText(); !slices.Contains(lotOn[t.cuts[i].Wall], lot) {
				lotOn[t.cuts[i].Wall] = append(lotOn[t.cuts[i].Wall], lot)
			}
		}
		p.plan.Reels = append(p.plan.Reels, r)
	}
	for i, k := range a.spare {
		switch {
		case k >= len(a.bins):
			p.plan.Reels[first+i].Spare = t.stock[k-len(a.bins)].ID
		case k >= 0:
			p.plan.Reels[first+i].Spare = p.plan.Reels[first+k].ID
		}
	}
	for _, u := range s.unused {
		p.bought(t.strip, p.in.Book.Mill[u.index])
	}
	tail := t.longestTail(a.bins)
	p.plan.Strips = append(p.plan.Strips, Strip{
		Colour: t.strip.colour, Thickness: t.strip.thickness, Width: t.strip.width, Lot: t.lot, Reels: len(a.bins),
		ReelsBound: min(s.bound.reels, len(a.bins)), Tail: tail, TailBound: max(tail, s.tailBound+m.Reserve), Farthest: a.farthest,
	})
}

// bare is what a reel's pieces take without threading scrap.
func (t *task) bare(b bin) measure.Length {
	sum := measure.Length(0)
	for _, i := range b.pieces {
		sum += t.cuts[i].Length + t.book.Machine.CutLoss
	}
	return sum
}

func (r Reel) lotText() string {
	switch {
	case r.Bought:
		return lotToBuy
	case r.Lot == "":
		return lotUnstated
	}
	return r.Lot
}

// reel writes a bin down, and orders it where it is bought.
func (p *planner) reel(t *task, b bin) Reel {
	used := t.used(b)
	r := Reel{Colour: t.strip.colour, Thickness: t.strip.thickness, Width: t.strip.width, Length: b.length, Used: used, Tail: b.length - used}
	if b.source.bought {
		o := p.in.Book.Mill[b.source.index]
		r.ID, r.Nth = p.newName(t.strip, o)
		r.Bought, r.offer = true, b.source.index
		p.bought(t.strip, o)
	} else {
		k := t.stock[b.source.index]
		r.ID, r.Lot, r.PlusMinus = k.ID, k.Lot, k.PlusMinus
	}
	at, seen := measure.Length(0), map[Setup]bool{}
	for _, i := range b.pieces {
		c := t.cuts[i]
		at += c.Length + t.book.Machine.CutLoss
		if !seen[c.Setup] {
			seen[c.Setup] = true
			at += t.book.Machine.ThreadingScrap
		}
		r.Pieces = append(r.Pieces, c.ID)
		if r.PlusMinus > 0 && at > r.Length-r.PlusMinus-t.book.Machine.Reserve {
			r.InDoubt = append(r.InDoubt, c.ID)
		}
	}
	return r
}

// newName is a name that no coil of the stock has, and the number in it.
func (p *planner) newName(s strip, o steel.Mill) (id string, nth int) {
	name := fmt.Sprintf("new-%s-%.0fft", s.colour, o.Length.Feet())
	for {
		p.names[name]++
		id = fmt.Sprintf("%s-%d", name, p.names[name])
		if !slices.Contains(p.taken, id) && !slices.ContainsFunc(p.in.Book.Coils, func(c steel.Coil) bool { return c.ID == id }) {
			return id, p.names[name]
		}
	}
}

func (p *planner) bought(s strip, o steel.Mill) {
	price := new(big.Rat).Set(o.Price)
	for i := range p.plan.Buy {
		q := &p.plan.Buy[i]
		if q.Colour == s.colour && q.Thickness == s.thickness && q.Width == s.width && q.Length == o.Length {
			q.Count++
			q.Price.Add(q.Price, price)
			return
		}
	}
	p.plan.Buy = append(p.plan.Buy, Purchase{s.colour, s.thickness, s.width, o.Length, 1, price})
}

// addRuns lists the set-ups of a colour's tasks with their pieces, reel after reel.
func (p *planner) addRuns(tasks []*task, done []arranged) {
	first := len(p.plan.Runs)
	for k, t := range tasks {
		for _, s := range t.runs {
			i := slices.IndexFunc(p.plan.Runs[first:], func(r Run) bool { return r.Setup == s })
			if i < 0 {
				i = len(p.plan.Runs) - first
				p.plan.Runs = append(p.plan.Runs, Run{Setup: s})
			}
			run := &p.plan.Runs[first+i]
			for _, b := range done[k].bins {
				for _, j := range b.pieces {
					if t.cuts[j].Setup == s {
						run.Pieces = append(run.Pieces, t.cuts[j].ID)
					}
				}
			}
		}
	}
}
