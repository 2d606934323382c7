package guillotine

import (
	"cmp"
	"fmt"
	"slices"
)

// pool keeps blanks that plans were made of, so that good ones of different plans come
// together in one.
type pool struct {
	loads []load
	have  map[string]bool
}

const (
	// mostPooled bounds the pool; when it is full no more are taken (assumed).
	mostPooled = 4000
	// gathered is after how many new plans the pool is drawn on (assumed).
	gathered = 60
)

func (q *pool) add(b load) {
	if len(q.loads) >= mostPooled {
		return
	}
	key := fmt.Sprint(b.extent.cost, b.holds)
	if !q.have[key] {
		q.have[key] = true
		q.loads = append(q.loads, b)
	}
}

// recombine covers the count by blanks of the pool: the linear programme over them is
// rounded, one blank after another, each the one that it uses most; what no blank of
// the pool covers well is planned anew.
func (g *planner) recombine(count []int) []load {
	s, left := g.s, slices.Clone(count)
	var out []load
	for slices.Max(left) > 0 {
		b, ok := g.mostUsed(left)
		if !ok || !g.going() {
			return nil
		}
		for k, n := range b.holds {
			left[k] -= n
		}
		out = append(out, b)
		if len(out)*3 >= len(s.best)*2 { // the last third is planned anew
			if rest := g.greedy(left, g.luck.below(8)); rest != nil {
				return append(out, rest...)
			}
			return nil
		}
	}
	return out
}

// mostUsed is the blank that the programme over the pool uses most for what is left.
func (g *planner) mostUsed(left []int) (load, bool) {
	s := g.s
	var rows, need []int
	for k, n := range left {
		if n > 0 {
			rows, need = append(rows, k), append(need, n)
		}
	}
	p, loads := newProgramme(need), []load{}
	add := func(b load) {
		holds := make([]int, len(rows))
		for i, k := range rows {
			holds[i] = b.holds[k]
		}
		p.add(float64(b.extent.cost), holds)
		loads = append(loads, b)
	}
	for _, k := range rows {
		cost, holds := s.alone(k, left[k])
		add(load{extent: extent{cost: 2 * cost}, holds: holds}) // dear: only what the pool lacks
	}
	for _, b := range g.pool.loads {
		if b.times(left) > 0 {
			add(b)
		}
	}
	p.start()
	p.optimise(20 * len(rows))
	s.meter.spend(20 * len(p.columns) * len(rows))
	x := p.values()
	best := -1
	for j := len(rows); j < len(x); j++ {
		if x[j] > 1e-6 && (best < 0 || x[j] > x[best]+1e-9) {
			best = j
		}
	}
	if best < 0 {
		return load{}, false
	}
	return loads[best], true
}

// thin keeps the pool's blanks that waste least, when it is full.
func (q *pool) thin(s *slitter) {
	if len(q.loads) < mostPooled {
		return
	}
	waste := func(b load) int64 {
		area := int64(0)
		for k, n := range b.holds {
			area += int64(n) * int64(s.sizes[k].width) * int64(s.sizes[k].length)
		}
		return area * 1000 / (int64(b.extent.cells) * int64(s.width))
	}
	slices.SortStableFunc(q.loads, func(a, b load) int { return cmp.Compare(waste(b), waste(a)) })
	q.loads = q.loads[:mostPooled/2]
	clear(q.have)
	for _, b := range q.loads {
		q.have[fmt.Sprint(b.extent.cost, b.holds)] = true
	}
}
