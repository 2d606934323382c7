package guillotine

import (
	"cmp"
	"fmt"
	"slices"
)

// relaxation is the linear programme over blanks for some counts, and the whole
// numbers read from it.
type relaxation struct {
	s      *slitter
	count  []int
	rows   []int // sizes that are wanted
	lp     *programme
	have   map[string]bool
	prices *prices

	weight []int64 // the best bound's, of every size
	bound  int64
}

// relax starts from blanks that hold one size alone.
func (s *slitter) relax(count []int, p *prices) *relaxation {
	r := &relaxation{s: s, count: count, prices: p, have: map[string]bool{}, weight: make([]int64, len(s.sizes))}
	var need []int
	for k, n := range count {
		if n > 0 {
			r.rows = append(r.rows, k)
			need = append(need, n)
		}
	}
	r.lp = newProgramme(need)
	for _, k := range r.rows {
		cost, holds := s.alone(k, count[k])
		r.column(cost, holds)
	}
	r.lp.start()
	return r
}

// alone is the pieces of one size side by side on the shortest blank, and its cost.
func (s *slitter) alone(k, count int) (cost int64, holds []int) {
	q := s.sizes[k]
	e := slices.IndexFunc(s.extents, func(x extent) bool { return x.cells >= q.length })
	holds = make([]int, len(s.sizes))
	holds[k] = min(count, s.width/q.width)
	return s.extents[e].cost, holds
}

// column adds one blank, as what it holds; false where it is there.
func (r *relaxation) column(cost int64, all []int) bool {
	holds := make([]int, len(r.rows))
	for i, k := range r.rows {
		holds[i] = all[k]
	}
	key := fmt.Sprint(cost, holds)
	if r.have[key] {
		return false
	}
	r.have[key] = true
	r.lp.add(float64(cost), holds)
	return true
}

// weights turns duals into whole numbers that add up safely; scale is what one unit
// of cost became.
func (r *relaxation) weights() (out []int64, scale float64) {
	return r.s.whole(r.lp.duals(), r.rows, r.count)
}

// solve generates columns until none gains, or the bound reaches target, or the
// rounds or the work limit end.
func (r *relaxation) solve(rounds int, target int64) {
	for range rounds {
		r.lp.optimise(50 * len(r.rows))
		r.s.meter.spend(len(r.rows) * len(r.rows) * 20)
		weight, scale := r.weights()
		if !r.prices.set(weight, r.count) {
			return
		}
		total := int64(0)
		for k, w := range weight {
			total += w * int64(r.count[k])
		}
		if b := r.prices.needs(total); b > r.bound || r.bound == 0 {
			r.bound, r.weight = b, weight
		}
		if r.bound >= target || !r.columns(scale) {
			return
		}
	}
}

// gain is what a blank of an extent would better the programme by.
type gain struct {
	extent int
	worth  float64
}

// columns adds the blanks that gain most; false where none gains.
func (r *relaxation) columns(scale float64) bool {
	var all []gain
	for e, v := range r.prices.total {
		cost := float64(r.s.extents[e].cost)
		if g := float64(v)/scale - cost; g > 1e-6*cost {
			all = append(all, gain{e, g})
		}
	}
	slices.SortStableFunc(all, func(a, b gain) int { return cmp.Compare(b.worth, a.worth) })
	added := 0
	for _, g := range all {
		if r.column(r.s.extents[g.extent].cost, r.prices.holds(g.extent)) {
			if added++; added == 6 {
				break
			}
		}
	}
	return added > 0
}
