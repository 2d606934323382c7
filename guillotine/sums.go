package guillotine

const (
	// sumUnit is what the greatest entry of a row counts in a sum of rows.
	sumUnit = 1 << 24
	// sumsAtOnce is how many cuts from sums are added in one round, mostFound after how many
	// cuts of all no more are sought (assumed).
	sumsAtOnce, mostFound = 20, 1500
	// leastDual is what a whole of a row must be worth that is added to others (assumed).
	leastDual = 1e-2
)

// addend is a demand or a cut, so many times; scaled so that its greatest entry is sumUnit.
type addend struct {
	rule  rule
	most  int64 // its greatest entry
	times int64
}

// added is a sum of such rows.
type added []addend

// holds is what a blank counts in the sum, rounded up.
func (a added) holds(t *tree, shape int) (v int64) {
	for _, x := range a {
		v += x.times * ceilMul(x.rule.entry(t, shape), sumUnit, x.most)
	}
	return v
}

// sum is what is asked of all blanks, rounded down.
func (a added) sum() (v int64) {
	for _, x := range a {
		v += x.times * floorMul(x.rule.asked(), sumUnit, x.most)
	}
	return v
}

// entry is what a demand or a cut counts of a blank, in its own whole numbers.
func (r *rule) entry(t *tree, shape int) int64 {
	if r.kind == shapes {
		return int64(r.cut.table[shape])
	}
	return int64(t.setups[shape%len(t.setups)][r.width]) * r.demand.strip[shape/len(t.setups)]
}

// asked is what it asks of all blanks, in the same.
func (r *rule) asked() int64 {
	if r.kind == shapes {
		return int64(r.need) * cutUnit
	}
	return r.demand.need
}

// sums seeks cuts in sums of two rows that cost the programme something: what rounding gains
// on one of them, the other one makes good elsewhere, so it is often their sum that gains
// (mixed integer rounding of aggregated rows; Marchand and Wolsey 2001, from memory).
func (p *priced) sums() []*cut {
	t := p.t
	if len(t.cuts.found) >= mostFound {
		return nil
	}
	uses, rows := p.uses(), p.addends()
	held := make([][]int64, len(rows))
	for i, a := range rows {
		for _, u := range uses {
			held[i] = append(held[i], added{a}.holds(t, t.shape(u)))
		}
	}
	t.s.meter.spend(20 * len(rows) * len(uses))
	var all []broken
	for i, a := range rows {
		all = append(all, t.shortest(added{a}, uses, parts))
		for j, b := range rows[:i] {
			for _, times := range [][2]int64{{1, 1}, {1, 2}, {2, 1}} {
				both, sum := make([]int64, len(uses)), added{a, b}
				sum[0].times, sum[1].times = times[0], times[1]
				for k := range both {
					both[k] = times[0]*held[i][k] + times[1]*held[j][k]
				}
				if by, short := t.divide(both, sum.sum(), uses, parts(both)); short > 0 {
					all = append(all, broken{sum, by, short})
				}
			}
		}
	}
	return t.worst(all, uses, sumsAtOnce)
}

// addends are the demands and cuts that cost the programme something.
func (p *priced) addends() (out []addend) {
	t, y, looked := p.t, p.lp.duals(), 0
	for i, r := range p.n.rules {
		if r.kind != shapes && r.kind != demands || y[i] < leastDual {
			continue
		}
		a := addend{r, 0, 1}
		for e, setups := range p.n.live {
			for _, k := range setups {
				a.most = max(a.most, r.entry(t, e*len(t.setups)+int(k)))
			}
			looked += len(setups)
		}
		if a.most > 0 {
			out = append(out, a)
		}
	}
	t.s.meter.spend(4 * looked)
	return out
}
