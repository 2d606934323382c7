package guillotine

import (
	"cmp"
	"slices"
)

// finder keeps the weighings that count long pieces, from which cuts are sought.
type finder struct {
	classes []weighing
	known   bool
	found   []*cut
}

const (
	// cutsAtOnce is how many cuts are added in one round (assumed).
	cutsAtOnce = 12
	// poorRounds is after how many rounds that raise the programme by less than
	// poorRise of a unit no more are made (assumed).
	poorRounds, poorRise = 3, 0.05
	// mostClasses bounds the classes of long pieces (assumed).
	mostClasses = 6
	// mostMasked bounds the widths of which all sets are tried.
	mostMasked = 7
)

// tighten adds the cuts that find finds at the root, while they raise the programme.
func (t *tree) tighten(p *priced, n *part, find func(*priced) []*cut) (*priced, *part) {
	was := p.lp.least()
	for poor := 0; poor < poorRounds && n.lower < t.s.cost && !t.s.meter.done; {
		cuts := find(p)
		if len(cuts) == 0 {
			break
		}
		n = p.withCuts(cuts)
		p = t.solve(n)
		if now := p.lp.least(); now < was+poorRise {
			poor++
		} else {
			was, poor = now, 0
		}
	}
	return p, n
}

// withCuts is the node with more cuts.
func (p *priced) withCuts(cuts []*cut) *part {
	p.t.cuts.found = append(p.t.cuts.found, cuts...)
	var rules []rule
	for _, c := range cuts {
		rules = append(rules, c.rule())
	}
	n := p.with(rules)
	n.depth = 0
	return n
}

const (
	// mostBroken is how many cuts that are known come back to a node at once, brokenBy of
	// what part of its need each must be short (assumed).
	mostBroken, brokenBy = 3, 2e-3
)

// brokenKnown are the known cuts that the programme breaks most: rows long idle are let go.
func (p *priced) brokenKnown() (out []rule) {
	t, uses := p.t, p.uses()
	var all []brokenCut
	for _, c := range t.cuts.found {
		if by := c.short(t, uses); by > brokenBy {
			all = append(all, brokenCut{c, by})
		}
	}
	t.s.meter.spend(4 * len(t.cuts.found) * len(uses))
	slices.SortStableFunc(all, func(a, b brokenCut) int { return cmp.Compare(b.by, a.by) })
	for _, b := range all[:min(len(all), mostBroken)] {
		out = append(out, b.of.rule())
	}
	return out
}

// brokenCut is a cut and what part of its need a programme is short of.
type brokenCut struct {
	of *cut
	by float64
}

// broken seeks cuts that the programme breaks.
func (p *priced) broken() []*cut {
	t, uses := p.t, p.uses()
	var all []broken
	for _, g := range t.classes() {
		t.multiples(g, make([]int64, len(g.all)), 0, 0, func(g weighing) {
			all = append(all, t.shortest(g, uses, upTo))
		})
	}
	p.bound()
	for _, g := range t.worths() {
		for mask := 1; mask < 1<<min(len(g.all), mostMasked); mask++ {
			all = append(all, t.shortest(g.times(asFactors(mask, len(g.all))), uses, parts))
		}
	}
	return t.worst(all, uses, cutsAtOnce)
}

// worst are the cuts that the programme breaks most, without such as are nearly alike.
func (t *tree) worst(all []broken, uses []use, most int) (out []*cut) {
	for _, b := range inOrder(all) {
		c := t.rounded(b.of, b.by)
		if c != nil && !slices.ContainsFunc(out, func(o *cut) bool { return t.alike(c, o, uses) }) {
			out = append(out, c)
		}
		if len(out) == most {
			break
		}
	}
	return out
}

// uses lists the shapes of blanks that the programme uses.
func (p *priced) uses() (out []use) {
	for e, setups := range p.byShape() {
		for i, v := range setups {
			if v > 0 {
				out = append(out, use{e, i, v})
			}
		}
	}
	return out
}

// classes count the pieces of at least a length, for a few lengths over a third of the
// longest blank.
func (t *tree) classes() []weighing {
	if t.cuts.known {
		return t.cuts.classes
	}
	t.cuts.known = true
	var lengths []int
	for _, k := range t.rows {
		if l := t.s.sizes[k].length; 3*l > t.s.longest {
			lengths = append(lengths, l)
		}
	}
	slices.Sort(lengths)
	lengths = slices.Compact(lengths)
	for len(lengths) > mostClasses { // every other one, the longest kept
		var some []int
		for i := (len(lengths) - 1) % 2; i < len(lengths); i += 2 {
			some = append(some, lengths[i])
		}
		lengths = some
	}
	for _, l := range lengths {
		weight := make([]int64, len(t.s.sizes))
		for k, q := range t.s.sizes {
			if q.length >= l {
				weight[k] = 1
			}
		}
		t.cuts.classes = append(t.cuts.classes, t.weighed(weight))
	}
	return t.cuts.classes
}

// multiples walks through small multiples of up to three widths without a common
// divisor.
func (t *tree) multiples(g weighing, factor []int64, w, used int, see func(weighing)) {
	if w == len(factor) {
		common := int64(0)
		for _, f := range factor {
			common = gcd(f, common)
		}
		if common == 1 {
			see(g.times(factor))
		}
		return
	}
	t.multiples(g, factor, w+1, used, see)
	for f := 1; used < 3 && f <= 4-used && g.all[w] > 0; f++ {
		factor[w] = int64(f)
		t.multiples(g, factor, w+1, used+1, see)
	}
	factor[w] = 0
}

// worths weighs pieces by the tables' weights and by their area, all and the longer
// ones.
func (t *tree) worths() (out []weighing) {
	for _, tenths := range []int{0, 3, 5} {
		byDual, byArea := make([]int64, len(t.s.sizes)), make([]int64, len(t.s.sizes))
		for _, k := range t.rows {
			if q := t.s.sizes[k]; 10*q.length >= tenths*t.s.longest {
				byDual[k], byArea[k] = t.tables.weight[k]>>6, int64(q.length)*int64(q.width)
			}
		}
		out = append(out, t.weighed(byDual), t.weighed(byArea))
	}
	return out
}

func asFactors(mask, n int) []int64 {
	out := make([]int64, n)
	for w := range out {
		out[w] = int64(mask >> w & 1)
	}
	return out
}

// upTo are the divisors from 2 to the most that a blank holds.
func upTo(held []int64) (out []int64) {
	for by := int64(2); by <= slices.Max(held); by++ {
		out = append(out, by)
	}
	return out
}

// parts are what blanks hold, and halves and thirds of it.
func parts(held []int64) (out []int64) {
	for _, v := range held {
		out = append(out, v, v/2, v/3)
	}
	slices.Sort(out)
	out = slices.Compact(out)
	return slices.DeleteFunc(out, func(v int64) bool { return v <= 0 })
}
