package guillotine

import "slices"

// run bounds, then plans, then searches, and stops when bound and plan meet.
func (s *slitter) run() {
	count := make([]int, len(s.sizes))
	for k, q := range s.sizes {
		count[k] = q.count
	}
	p, start := s.newPrices(), s.meter.left
	s.prove(s.sideBySideWeights(), count, p)
	known := s.plans(count)
	if s.closed() {
		return
	}
	if n := s.rounds(); n > 0 && len(s.sizes) <= mostRows {
		// Strips that do not share their pieces give the stronger programme: the
		// lesser of both bounds is no hull of blanks.
		p.short = true
		r := s.relax(count, p)
		for _, b := range known {
			r.column(b.extent.cost, b.holds)
		}
		r.solve(n, s.cost)
		p.short = false
		s.prove(r.weight, count, p)
		if !s.closed() {
			s.dives(count, p, known, max(s.meter.left/2, start-diveSteps))
		}
	}
	if !s.closed() {
		s.branch(count)
	}
	if !s.closed() {
		s.search()
	}
}

// branch bounds and plans by branch and bound, with what the work limit leaves beside
// trying everything.
func (s *slitter) branch(count []int) {
	t := s.newTree(count)
	if t == nil {
		return
	}
	kept := s.kept()
	s.meter.left -= kept
	if lower := t.grow(); lower > s.lower {
		s.lower, s.proof.branched = lower, true
	}
	s.meter.left, s.meter.done = max(0, s.meter.left)+kept, s.meter.ctx.Err() != nil
}

func (s *slitter) closed() bool { return s.cost >= 0 && s.lower >= s.cost }

// kept is what the dives leave of the work limit for trying everything.
func (s *slitter) kept() int64 {
	pieces := 0
	for _, q := range s.sizes {
		pieces += q.count
	}
	if pieces > mostSearched {
		return 0
	}
	return s.meter.left / 2
}

// mostRows bounds the linear programme, whose inverse has that many rows and columns.
const mostRows = 400

// rounds of column generation that the work limit has room for beside the plans.
func (s *slitter) rounds() int {
	each := int64(2*s.work()+len(s.extents)*s.width*len(s.widths)) + 1
	return int(min(400, s.meter.left/2/each))
}

// prove keeps what weights prove, where it is more than was proven.
func (s *slitter) prove(weight []int64, count []int, p *prices) {
	for slices.Max(weight) > 0 && !p.set(weight, count) {
		return
	}
	total := int64(0)
	for k, w := range weight {
		total += w * int64(count[k])
	}
	e := p.richest()
	if e < 0 {
		return
	}
	if b := p.needs(total); b > s.lower {
		s.lower = b
		s.proof = proof{weight: slices.Clone(weight), total: total, cost: s.extents[e].cost, worth: p.total[e]}
	}
}

// proof is what weights prove: the blank that holds most for its cost.
type proof struct {
	weight             []int64
	total, cost, worth int64
	searched           bool // everything was tried
	branched           bool // branch and bound proved more
}
