package coil

import (
	"cmp"
	"math"
	"math/big"
	"slices"

	"coilwright/measure"
	"coilwright/steel"
)

// colour is all pieces of one colour, whatever their strips: lots are kept by colour.
type colour struct {
	name   string
	cuts   []Cut
	strips []strip
	walls  []string           // in the order of hanging
	groups [][]int            // of cuts: what is cut from one lot
	bare   [][]measure.Length // by strip and group, its cuts' lengths together
	lots   []string           // that stock names, then "" for what is bought or names none
	in     *Input
	money  money
	steps  int64
	known  map[choice]option // of lots already worked out
	solved int
	cut    bool // the search over lots was cut short
}

// choice is the groups (as bits) that one lot gives.
type choice struct {
	lot    int
	groups uint64
}

// option is the tasks of a choice, one a strip, with their solutions.
type option struct {
	ok           bool
	tasks        []*task
	solutions    []solution
	purse, bound purse
}

// mostGroups that one colour is divided in: more are joined to the last.
const mostGroups = 24

// mostSolved is how many cutting-stock questions the search over lots may ask.
func (c *colour) mostSolved() int {
	if c.in.Steps <= Quick {
		return 24
	}
	return 1000
}

// byColour divides the cuts, colours in the order of their first piece.
func byColour(in *Input, m money) []*colour {
	var out []*colour
	for _, c := range in.Cuts {
		i := slices.IndexFunc(out, func(o *colour) bool { return o.name == c.Setup.Colour })
		if i < 0 {
			i = len(out)
			out = append(out, &colour{name: c.Setup.Colour, in: in, money: m})
		}
		o := out[i]
		o.cuts = append(o.cuts, c)
		if !slices.Contains(o.strips, stripOf(c.Setup)) {
			o.strips = append(o.strips, stripOf(c.Setup))
		}
		if !slices.Contains(o.walls, c.Wall) {
			o.walls = append(o.walls, c.Wall)
		}
	}
	return out
}

// stock gives the coils of a strip; of one lot, or of all with lot < 0.
func (c *colour) stock(s strip, lot int) []steel.Coil {
	var out []steel.Coil
	for _, k := range c.in.Book.Coils {
		if k.Length > 0 && s.suits(k.Colour, k.Thickness, k.Width) && (lot < 0 || k.Lot == c.lots[lot]) {
			out = append(out, k)
		}
	}
	slices.SortStableFunc(out, func(a, b steel.Coil) int { return cmp.Compare(b.Length, a.Length) })
	return out
}

// offers of a strip go with the coils of no stated lot.
func (c *colour) offers(s strip, lot int) []int {
	var out []int
	for i, o := range c.in.Book.Mill {
		if o.Length > 0 && o.Price != nil && s.suits(o.Colour, o.Thickness, o.Width) && (lot < 0 || c.lots[lot] == "") {
			out = append(out, i)
		}
	}
	return out
}

// nameLots lists the lots that stock of this colour names, the longest first.
func (c *colour) nameLots() {
	length := map[string]measure.Length{}
	for _, s := range c.strips {
		for _, k := range c.stock(s, -1) {
			if k.Lot != "" && length[k.Lot] == 0 {
				c.lots = append(c.lots, k.Lot)
			}
			length[k.Lot] += k.Length
		}
	}
	slices.SortStableFunc(c.lots, func(a, b string) int { return cmp.Compare(length[b], length[a]) })
	c.lots = append(c.lots, "")
}

// plan chooses lots as strictly as it can, and returns the tasks with their solutions.
func (c *colour) plan() (kept string, best option) {
	c.nameLots()
	if len(c.lots) == 1 {
		c.groups = [][]int{c.all()}
		return LotsMeet, c.option(choice{0, 1})
	}
	c.steps = max(1, c.steps/8)
	for _, level := range [2]string{LotsMeet, LotsWall} {
		c.divide(level)
		if best = c.assign(); best.ok {
			return level, best
		}
	}
	c.groups = [][]int{c.all()}
	return LotsMixed, c.option(choice{-1, 1})
}

func (c *colour) all() []int {
	out := make([]int, len(c.cuts))
	for i := range out {
		out[i] = i
	}
	return out
}

// divide groups the cuts by walls, or by walls that meet.
func (c *colour) divide(level string) {
	c.known, c.cut, c.groups, c.solved = map[choice]option{}, false, nil, 0
	root := map[string]string{}
	for _, w := range c.walls {
		root[w] = w
	}
	find := func(w string) string {
		for root[w] != w {
			w = root[w]
		}
		return w
	}
	if level == LotsMeet {
		for _, m := range c.in.Meet {
			if root[m[0]] != "" && root[m[1]] != "" {
				root[find(m[1])] = find(m[0])
			}
		}
	}
	at := map[string]int{}
	for i, k := range c.cuts {
		w := find(k.Wall)
		g, ok := at[w]
		if !ok {
			g = min(len(c.groups), mostGroups-1)
			at[w] = g
			if g == len(c.groups) {
				c.groups = append(c.groups, nil)
			}
		}
		c.groups[g] = append(c.groups[g], i)
	}
	c.bare = make([][]measure.Length, len(c.strips))
	for s := range c.bare {
		c.bare[s] = make([]measure.Length, len(c.groups))
	}
	for g, list := range c.groups {
		for _, i := range list {
			c.bare[slices.Index(c.strips, stripOf(c.cuts[i].Setup))][g] += c.cuts[i].Length
		}
	}
}

// assign gives every group a lot: depth first, the longest groups first, lots in
// stock before what is bought.
func (c *colour) assign() option {
	order := make([]int, len(c.groups))
	for i := range order {
		order[i] = i
	}
	all := func(group int) (sum measure.Length) {
		for s := range c.strips {
			sum += c.length(s, 1<<group)
		}
		return sum
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(all(b), all(a)) })
	a := &assignment{c: c, order: order, given: make([]uint64, len(c.lots))}
	a.search(0)
	if a.best.ok && c.cut {
		mixed := c.mixed()
		a.best.bound = purse{}
		if mixed.ok {
			a.best.bound = mixed.bound
		}
	}
	return a.best
}

// mixed is the plan without the rule of lots; none does better.
func (c *colour) mixed() option {
	return c.option(choice{-1, 1<<len(c.groups) - 1})
}

type assignment struct {
	c     *colour
	order []int
	given []uint64 // groups by lot
	best  option
	nodes int
}

const mostNodes = 100_000

func (a *assignment) search(i int) {
	if a.nodes++; a.c.solved > a.c.mostSolved() || a.nodes > mostNodes {
		a.c.cut = true
		return
	}
	if a.best.ok && a.c.leastPrice(a.given[len(a.given)-1]) > a.best.purse.price {
		return
	}
	if i == len(a.order) {
		a.leaf()
		return
	}
	for lot := range a.given {
		a.given[lot] |= 1 << a.order[i]
		if a.c.mayDo(lot, a.given[lot]) {
			a.search(i + 1)
		}
		a.given[lot] &^= 1 << a.order[i]
	}
}

// leaf adds an assignment up and keeps the best, and the least bound of all.
func (a *assignment) leaf() {
	sum := option{ok: true}
	for lot, groups := range a.given {
		if groups == 0 {
			continue
		}
		o := a.c.option(choice{lot, groups})
		if !o.ok {
			return
		}
		sum.tasks = append(sum.tasks, o.tasks...)
		sum.solutions = append(sum.solutions, o.solutions...)
		sum.purse, sum.bound = sum.purse.plus(o.purse), sum.bound.plus(o.bound)
	}
	least := sum.bound
	if a.best.ok && a.best.bound.less(least) {
		least = a.best.bound
	}
	if !a.best.ok || sum.purse.less(a.best.purse) {
		a.best = sum
	}
	a.best.bound = least
}

// leastPrice is a bound on what groups cost that are not cut from stated lots: the
// bare length at the cheapest price a foot. It is lowered by more than floating point can err.
func (c *colour) leastPrice(groups uint64) int64 {
	sum := 0.0
	unstated := len(c.lots) - 1
	for i, s := range c.strips {
		need := c.length(i, groups)
		for _, k := range c.stock(s, unstated) {
			need -= k.Length
		}
		rate := math.Inf(1)
		for _, o := range c.offers(s, unstated) {
			rate = min(rate, float64(c.money.price[o])/float64(c.in.Book.Mill[o].Length))
		}
		if need > 0 && !math.IsInf(rate, 1) {
			sum += float64(need) * rate
		}
	}
	return int64(sum * (1 - 1e-9))
}

// length of a strip's cuts in some groups.
func (c *colour) length(strip int, groups uint64) measure.Length {
	sum := measure.Length(0)
	for g, bare := range c.bare[strip] {
		if groups>>g&1 == 1 {
			sum += bare
		}
	}
	return sum
}

// mayDo is false where a lot is plainly too short for the groups, or lacks their strip.
func (c *colour) mayDo(lot int, groups uint64) bool {
	for i, s := range c.strips {
		if len(c.offers(s, lot)) > 0 {
			continue
		}
		room := -c.length(i, groups)
		for _, k := range c.stock(s, lot) {
			room += k.Length
		}
		if room < 0 {
			return false
		}
	}
	return true
}

// of is the cuts of a strip in some groups, in the order of hanging.
func (c *colour) of(s strip, groups uint64) []Cut {
	var at []int
	for g, list := range c.groups {
		if groups>>g&1 == 1 {
			at = append(at, list...)
		}
	}
	slices.Sort(at)
	var out []Cut
	for _, i := range at {
		if stripOf(c.cuts[i].Setup) == s {
			out = append(out, c.cuts[i])
		}
	}
	return out
}

// option works a choice out, once.
func (c *colour) option(k choice) option {
	if o, ok := c.known[k]; ok {
		return o
	}
	o := option{ok: true}
	for _, s := range c.strips {
		t := &task{strip: s, cuts: c.of(s, k.groups), stock: c.stock(s, k.lot), offers: c.offers(s, k.lot), book: c.in.Book, money: c.money, steps: c.steps}
		if len(t.cuts) == 0 {
			continue
		}
		if k.lot >= 0 {
			t.lot = c.lots[k.lot]
		}
		a := t.solve()
		if c.solved++; !a.decided {
			c.solved += c.mostSolved() / 10 // it took all its work: few more like it
		}
		o.ok = o.ok && a.ok
		o.tasks, o.solutions = append(o.tasks, t), append(o.solutions, a)
		o.purse, o.bound = o.purse.plus(a.purse), o.bound.plus(a.bound)
	}
	if c.known != nil {
		c.known[k] = o
	}
	return o
}

// inOrder puts tasks in the order of the first piece that hangs.
func (c *colour) inOrder(o *option) {
	first := func(i int) int {
		return slices.IndexFunc(c.cuts, func(k Cut) bool { return k.ID == o.tasks[i].cuts[0].ID })
	}
	order := make([]int, len(o.tasks))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return cmp.Compare(first(a), first(b)) })
	sorted := *o
	sorted.tasks, sorted.solutions = nil, nil
	for _, i := range order {
		sorted.tasks, sorted.solutions = append(sorted.tasks, o.tasks[i]), append(sorted.solutions, o.solutions[i])
	}
	*o = sorted
}

// mixesOf lists where a plan's lots are not one on walls that meet, or cannot be known to be.
func (c *colour) mixesOf(kept string, lotOn map[string][]string) []LotMix {
	var out []LotMix
	done := map[string]bool{}
	for _, group := range c.meeting() {
		var lots, walls []string
		for _, w := range group {
			if len(lotOn[w]) > 0 {
				walls = append(walls, w)
			}
			lots = append(lots, lotOn[w]...)
		}
		slices.Sort(lots)
		lots = slices.Compact(lots)
		if len(lots) > 1 && !done[group[0]] {
			done[group[0]] = true
			out = append(out, LotMix{Colour: c.name, Walls: walls, Lots: lots, Why: whyMixed(kept, lots)})
		}
	}
	return out
}

func whyMixed(kept string, lots []string) string {
	stated := slices.DeleteFunc(slices.Clone(lots), func(l string) bool { return l == lotUnstated || l == lotToBuy })
	switch {
	case len(stated) == 0:
		return "a coil of the stock names no lot: hold it against the new coil in daylight before these walls are cut"
	case kept == LotsWall:
		return "no lot in stock or on order gives all of these walls; each wall is kept to one lot"
	}
	return "no lot in stock or on order gives any of these walls whole; agree with the owner where the lots may meet"
}

const (
	lotToBuy    = "to buy"
	lotUnstated = "not stated"
)

// meeting groups this colour's walls by the corners they share.
func (c *colour) meeting() [][]string {
	c.divide(LotsMeet)
	var out [][]string
	for _, g := range c.groups {
		var walls []string
		for _, i := range g {
			if !slices.Contains(walls, c.cuts[i].Wall) {
				walls = append(walls, c.cuts[i].Wall)
			}
		}
		out = append(out, walls)
	}
	return out
}

// priceIfMixed is what the purchase would cost at least without the rule of lots, where that is less.
func (c *colour) priceIfMixed(paid purse) *big.Rat {
	if len(c.lots) < 2 || paid.price == 0 {
		return nil
	}
	if o := c.mixed(); o.ok && o.bound.price < paid.price {
		return c.money.rat(o.bound.price)
	}
	return nil
}
