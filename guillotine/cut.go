package guillotine

import (
	"cmp"
	"math"
	"slices"
)

// cut is an inequality that every plan meets: blanks by extent and setup, each times
// its entry of the table, make at least need. The entries count in cutUnit.
//
// It comes from weighing pieces: what the lanes of a blank can hold of the weight, at
// most all of it, must add up to all of it over the blanks; and then, since blanks are
// whole, from rounding (mixed integer rounding: Nemhauser and Wolsey 1990, from
// memory).
type cut struct {
	table []int32
	need  int
}

// rule is the cut as a row.
func (c *cut) rule() rule { return rule{kind: shapes, sign: 1, need: c.need, cut: c} }

// short is what part of its need shapes in use fall short of the cut.
func (c *cut) short(t *tree, uses []use) float64 {
	have := 0.0
	for _, u := range uses {
		have += u.amount * float64(c.table[t.shape(u)])
	}
	return 1 - have/(cutUnit*float64(c.need))
}

// cutUnit is one in a cut's table; entries are rounded up, which keeps them true.
const cutUnit = 1 << cutBits

const (
	cutBits = 20
	// mostEntry bounds a table's entries, so that one times less than mostShifted fits.
	mostEntry, mostShifted = 1 << 29, 1 << 33
)

// counted is what a cut is rounded from: what a shape holds of it at most, and what there
// is of it in all.
type counted interface {
	holds(t *tree, shape int) int64
	sum() int64
}

// weighing is a weight of pieces: what the best strip of a width in an extent holds of
// it, and what there is of it in each width.
type weighing struct {
	strip [][]int64
	all   []int64
}

// weigh finds the best strips.
func (t *tree) weighed(weight []int64) weighing {
	s, g := t.s, weighing{}
	for w := range s.widths {
		row, all := make([]int64, s.longest+1), int64(0)
		for k := s.first[w]; k < s.first[w+1]; k++ {
			if t.count[k] == 0 || weight[k] == 0 {
				continue
			}
			all += weight[k] * int64(t.count[k])
			next := make([]int64, len(row))
			bounded(next, row, s.sizes[k].length, t.count[k], weight[k])
			row = next
		}
		strip := make([]int64, len(s.extents))
		for e, x := range s.extents {
			strip[e] = row[x.cells]
		}
		g.strip, g.all = append(g.strip, strip), append(g.all, all)
	}
	s.meter.spend(2 * len(s.sizes) * s.longest)
	return g
}

// times multiplies the weights of every width; 0 leaves the width out.
func (g weighing) times(factor []int64) weighing {
	out := weighing{strip: make([][]int64, len(g.all)), all: make([]int64, len(g.all))}
	for w, f := range factor {
		if f == 0 {
			continue
		}
		out.all[w] = f * g.all[w]
		out.strip[w] = g.strip[w]
		if f > 1 {
			out.strip[w] = slices.Clone(g.strip[w])
			for e := range out.strip[w] {
				out.strip[w][e] *= f
			}
		}
	}
	return out
}

// sum is the weight of all pieces.
func (g weighing) sum() int64 {
	n := int64(0)
	for _, v := range g.all {
		n += v
	}
	return n
}

// holds bounds what a blank of a setup can hold of the weight.
func (g weighing) holds(t *tree, shape int) int64 {
	v, extent := int64(0), shape/len(t.setups)
	for w, n := range t.setups[shape%len(t.setups)] {
		if n > 0 && g.all[w] > 0 {
			v += min(int64(n)*g.strip[w][extent], g.all[w])
		}
	}
	return v
}

// rounded is the cut of a weighing with a divisor that does not divide the sum: v/by
// counts whole, and what is over counts by its share of what is over of the sum. Nil
// where an entry would be too large.
func (t *tree) rounded(g counted, by int64) *cut {
	sum, P, looked := g.sum(), len(t.setups), 0
	over := sum % by
	c := &cut{need: int(sum/by) + 1, table: make([]int32, len(t.s.extents)*P)}
	for e, setups := range t.all {
		for _, i := range setups {
			at := e*P + int(i)
			v := g.holds(t, at)
			if v/by >= mostEntry/cutUnit {
				return nil
			}
			c.table[at] = int32(v/by*cutUnit + ceilMul(min(v%by, over), cutUnit, over))
		}
		looked += len(setups)
	}
	t.s.meter.spend(20*looked + len(c.table)/4)
	return c
}

// ceilMul is a*b/c rounded up.
func ceilMul(a, b, c int64) int64 {
	if a == 0 || b == 0 {
		return 0
	}
	return ceilDiv(a, b, c)
}

// use is a shape of blank that the programme uses.
type use struct {
	extent, setup int
	amount        float64
}

// shape is the shape in use.
func (t *tree) shape(u use) int { return u.extent*len(t.setups) + u.setup }

// alike says that two cuts say much the same of the shapes in use.
func (t *tree) alike(c, o *cut, uses []use) bool {
	cc, oo, co := 0.0, 0.0, 0.0
	for _, u := range uses {
		x, y := float64(c.table[t.shape(u)]), float64(o.table[t.shape(u)])
		cc, oo, co = cc+x*x, oo+y*y, co+x*y
	}
	return co > 0.98*math.Sqrt(cc*oo)
}

// broken is a cut in the making and how much the programme falls short of it.
type broken struct {
	of    counted
	by    int64
	short float64
}

// shortest finds the divisor by which the programme falls shortest of the cut.
func (t *tree) shortest(g counted, uses []use, divisors func(held []int64) []int64) broken {
	held := make([]int64, len(uses))
	for i, u := range uses {
		held[i] = g.holds(t, t.shape(u))
	}
	t.s.meter.spend(20 * len(uses))
	by, short := t.divide(held, g.sum(), uses, divisors(held))
	return broken{g, by, short}
}

// divide finds the divisor by which the programme falls shortest of a cut, given what each
// shape in use holds; nothing where it falls short of none.
func (t *tree) divide(held []int64, sum int64, uses []use, divisors []int64) (best int64, most float64) {
	for _, by := range divisors {
		over := sum % by
		if over*50 < by {
			continue
		}
		have, need := 0.0, float64(sum/by+1)
		for i, u := range uses {
			have += u.amount * (float64(held[i]/by) + min(1, float64(held[i]%by)/float64(over)))
		}
		if short := (need - have) / need; short > most {
			best, most = by, short
		}
	}
	t.s.meter.spend(len(uses) * 4 * len(divisors))
	return best, most
}

// inOrder puts the most broken first and leaves out what is hardly broken.
func inOrder(all []broken) []broken {
	all = slices.DeleteFunc(all, func(b broken) bool { return b.short < 1e-4 })
	slices.SortStableFunc(all, func(a, b broken) int { return cmp.Compare(b.short, a.short) })
	return all
}
