package coil

import (
	"context"
	"errors"
	"slices"

	"coilwright/measure"
	"coilwright/pack"
	"coilwright/steel"
)

// strip is what a coil is made of.
type strip struct {
	colour           string
	thickness, width measure.Length
}

func stripOf(s Setup) strip { return strip{s.Colour, s.Thickness, s.Width} }

// suits says whether a coil or an offer is strip of that kind; zero fits any.
func (s strip) suits(colour string, thickness, width measure.Length) bool {
	return (colour == s.colour || colour == steel.AnyColour) &&
		(thickness == 0 || thickness == s.thickness) && (width == 0 || width == s.width)
}

// task is one cutting-stock question: pieces of one strip, in the order of hanging, from
// certain coils and offers.
type task struct {
	strip   strip
	lot     string
	cuts    []Cut
	stock   []steel.Coil
	offers  []int // of the book's mill
	book    *steel.Book
	money   money
	steps   int64
	runs    []Setup // in the order of their first pieces
	indexOf map[Setup]int
}

// purse is what a plan costs and opens, the dearest matter first.
type purse struct {
	price        int64
	coils, reels int
}

func (a purse) plus(b purse) purse {
	return purse{a.price + b.price, a.coils + b.coils, a.reels + b.reels}
}

func (a purse) less(b purse) bool {
	switch {
	case a.price != b.price:
		return a.price < b.price
	case a.coils != b.coils:
		return a.coils < b.coils
	}
	return a.reels < b.reels
}

// source is where a reel comes from: a coil of the stock, or the mill.
type source struct {
	bought bool
	index  int // of task.stock or of the book's mill
}

// bin is one reel with its pieces, by their place in task.cuts.
type bin struct {
	source source
	length measure.Length
	pieces []int
}

// solution is a plan of a task with what was proven of it.
type solution struct {
	ok        bool // else there is none, or none was found
	decided   bool // an answer that will not change with more work
	purse     purse
	bound     purse
	tailBound measure.Length
	bins      []bin
	unused    []source // bought for a minimum's sake and not threaded
}

// offer states while minimums are settled.
const (
	free   = iota // bought as needed
	closed        // not bought at all
	paid          // its minimum is bought, whatever is used of it
)

// solve plans a task. Offers with a minimum are settled by branching: where
// a plan buys fewer than a minimum, the offer is either closed or its minimum paid for.
func (t *task) solve() solution {
	t.number()
	states := make([]int, len(t.offers))
	return t.branch(states, t.steps)
}

func (t *task) number() {
	t.indexOf, t.runs = map[Setup]int{}, nil
	for _, c := range t.cuts {
		if _, ok := t.indexOf[c.Setup]; !ok {
			t.indexOf[c.Setup] = len(t.runs)
			t.runs = append(t.runs, c.Setup)
		}
	}
}

func (t *task) branch(states []int, steps int64) solution {
	s := t.relaxed(states, steps)
	if !s.ok {
		return s
	}
	o := t.underMinimum(s, states)
	if o < 0 {
		return s
	}
	without, with := slices.Clone(states), slices.Clone(states)
	without[o], with[o] = closed, paid
	a, b := t.branch(without, steps/2), t.branch(with, steps/2)
	best, other := b, a
	if a.ok && (!b.ok || a.purse.less(b.purse)) {
		best, other = a, b
	}
	if other.ok && other.bound.less(best.bound) {
		best.bound = other.bound
	}
	best.decided = a.decided && b.decided
	return best
}

// underMinimum is the first offer that a plan buys, but less of than its minimum.
func (t *task) underMinimum(s solution, states []int) int {
	for i, o := range t.offers {
		n := 0
		for _, b := range s.bins {
			if b.source == (source{true, o}) {
				n++
			}
		}
		if states[i] == free && n > 0 && n < t.book.Mill[o].Minimum {
			return i
		}
	}
	return -1
}

// question writes the task as pack's problem. Its money is price*scale + 1 for a
// coil bought, so that of equal prices the fewest coils win. from tells where a stock comes from.
func (t *task) question(states []int, steps int64) (p pack.Problem, from []source, scale int64, base purse) {
	m := t.book.Machine
	scale = t.mostBought() + 1
	p = pack.Problem{Setup: int64(m.ThreadingScrap), Steps: steps, Items: t.items()}
	add := func(length measure.Length, cost int64, count int, s source) {
		if room := length - m.Reserve; room > 0 {
			p.Stocks = append(p.Stocks, pack.Stock{Length: int64(room), Cost: cost, Count: count})
			from = append(from, s)
		}
	}
	for i, c := range t.stock {
		add(c.Length, 0, 1, source{false, i})
	}
	for i, o := range t.offers {
		each := t.money.price[o]*scale + 1
		if states[i] == paid {
			n := t.book.Mill[o].Minimum
			base = base.plus(purse{price: t.money.price[o] * int64(n), coils: n})
			add(t.book.Mill[o].Length, 0, n, source{true, o})
		}
		if states[i] != closed {
			add(t.book.Mill[o].Length, each, -1, source{true, o})
		}
	}
	return p, from, scale, base
}

// items are the kinds of pieces: one length of one set-up.
func (t *task) items() []pack.Item {
	type key struct {
		length measure.Length
		class  int
	}
	at := map[key]int{}
	var items []pack.Item
	for _, c := range t.cuts {
		k := key{c.Length + t.book.Machine.CutLoss, t.indexOf[c.Setup]}
		i, ok := at[k]
		if !ok {
			i = len(items)
			at[k] = i
			items = append(items, pack.Item{Length: int64(k.length), Class: k.class})
		}
		items[i].Count++
	}
	return items
}

// mostBought bounds the coils that a sensible plan buys: of each length, all but
// one are at least half full.
func (t *task) mostBought() int64 {
	load := measure.Length(0)
	for _, c := range t.cuts {
		load += c.Length + t.book.Machine.CutLoss + t.book.Machine.ThreadingScrap
	}
	n := int64(0)
	for _, o := range t.offers {
		if room := t.book.Mill[o].Length - t.book.Machine.Reserve; room > 0 {
			n += 2*int64(load/room) + 3
		}
	}
	return min(n, int64(len(t.cuts)))
}

// relaxed solves the task with the offers as they stand.
func (t *task) relaxed(states []int, steps int64) solution {
	p, from, scale, base := t.question(states, steps)
	if len(p.Items) == 0 {
		return solution{ok: true, decided: true, purse: base, bound: base}
	}
	plan, err := pack.Solve(context.Background(), p)
	if err != nil {
		return solution{decided: !errors.Is(err, pack.ErrUndecided)}
	}
	s := solution{ok: true, decided: plan.Optimal, tailBound: measure.Length(plan.TailBound)}
	s.purse = purse{plan.Cost / scale, int(plan.Cost % scale), plan.Count}.plus(base)
	s.bound = purse{plan.Bound.Cost / scale, int(plan.Bound.Cost % scale), plan.Bound.Bins}.plus(base)
	s.bins = t.deal(p, plan, from)
	s.unused = t.leftPaid(states, s.bins)
	return s
}

// leftPaid lists coils paid for by a minimum that no piece is cut from.
func (t *task) leftPaid(states []int, bins []bin) []source {
	var out []source
	for i, o := range t.offers {
		if states[i] != paid {
			continue
		}
		n := t.book.Mill[o].Minimum
		for _, b := range bins {
			if b.source == (source{true, o}) {
				n--
			}
		}
		for range max(0, n) {
			out = append(out, source{true, o})
		}
	}
	return out
}

// deal gives the plan's bins their pieces, those of a kind in the order of hanging.
func (t *task) deal(p pack.Problem, plan pack.Plan, from []source) []bin {
	waiting := make([][]int, len(p.Items))
	at := map[pack.Item]int{}
	for i, it := range p.Items {
		at[pack.Item{Length: it.Length, Class: it.Class}] = i
	}
	for i, c := range t.cuts {
		k := at[pack.Item{Length: int64(c.Length + t.book.Machine.CutLoss), Class: t.indexOf[c.Setup]}]
		waiting[k] = append(waiting[k], i)
	}
	var out []bin
	for _, b := range plan.Bins {
		for range b.Times {
			next := bin{source: from[b.Stock], length: measure.Length(p.Stocks[b.Stock].Length) + t.book.Machine.Reserve}
			for _, q := range b.Pieces {
				next.pieces = append(next.pieces, waiting[q.Item][:q.Count]...)
				waiting[q.Item] = waiting[q.Item][q.Count:]
			}
			out = append(out, next)
		}
	}
	return out
}
