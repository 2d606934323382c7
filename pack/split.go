package pack

import (
	"cmp"
	"math"
	"slices"
)

// splitSupply finds a supply of which the solution opens a fractional number of bins.
func splitSupply(r *relaxation, x []float64) (k, low int, ok bool) {
	if len(r.part.m.supplies) == 1 {
		return 0, 0, false
	}
	sum := make([]float64, len(r.part.m.supplies))
	for j, c := range r.cols {
		sum[c.supply] += x[j]
	}
	worst := 1e-3
	for i, v := range sum {
		if f := v - math.Floor(v); min(f, 1-f) > worst {
			k, low, ok, worst = i, int(math.Floor(v)), true, min(f, 1-f)
		}
	}
	return k, low, ok
}

// splitPair finds the two elements whose share of bins in common is nearest a
// half; of near equals the longer pair.
func splitPair(r *relaxation, x []float64) (a, b int, ok bool) {
	type key struct{ a, b int }
	share := map[key]float64{}
	for j, c := range r.cols {
		if x[j] < 1e-6 {
			continue
		}
		for i, e := range c.take {
			for _, f := range c.take[i+1:] {
				share[key{e.kind, f.kind}] += x[j]
			}
		}
	}
	best := 1e-3
	for q, v := range share {
		// Elements stand longest first: smaller numbers are longer pieces.
		score := min(v, 1-v)
		tie := math.Abs(score-best) < 1e-6 && ok && cmp.Or(cmp.Compare(q.a, a), cmp.Compare(q.b, b)) < 0
		if score > best+1e-6 || tie {
			a, b, ok = q.a, q.b, true
			best = max(best, score)
		}
	}
	return a, b, ok
}

// collect makes a plan of a solution in which every pair is whole: each
// element's bin is settled, whatever fractions of supplies it is spread over.
// The sets go to the supplies, longest set to longest bin.
func (t *tree) collect(r *relaxation, x []float64) {
	m := t.base.m
	var sets [][]entry
	done := make([]bool, len(r.part.elems))
	for j, c := range r.cols {
		if x[j] < 1e-3 || slices.ContainsFunc(c.take, func(e entry) bool { return done[e.kind] }) {
			continue
		}
		for _, e := range c.take {
			done[e.kind] = true
		}
		sets = append(sets, r.part.toKinds(c.take))
	}
	if slices.Contains(done, false) {
		return
	}
	bins := make([]int, len(m.supplies))
	sum := make([]float64, len(m.supplies))
	for j, c := range r.cols {
		sum[c.supply] += x[j]
	}
	for k := range bins {
		bins[k] = min(m.supplies[k].avail, int(math.Round(sum[k])))
	}
	slices.SortStableFunc(sets, func(a, b []entry) int { return cmp.Compare(m.load(b), m.load(a)) })
	var plan packing
	for k, i := 0, 0; i < len(sets); {
		for k < len(bins) && bins[k] == 0 {
			k++
		}
		if k == len(bins) || m.load(sets[i]) > m.supplies[k].room {
			return
		}
		bins[k]--
		plan = append(plan, use{pattern{k, sets[i]}, 1})
		i++
	}
	t.s.offer(m.downsize(plan, m.unused(plan)))
}

// unused is the stock a plan leaves.
func (m *model) unused(plan packing) []int {
	free := m.stock()
	for _, u := range plan {
		free[u.supply] -= u.times
	}
	return free
}
