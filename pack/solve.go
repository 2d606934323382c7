package pack

import (
	"context"
	"math"
	"slices"
)

// Solve cuts all pieces from the stock at least cost, then in fewest bins,
// then with the longest single tail; see the package comment for the objective
// on paper. The plan always carries a proven bound; Optimal says that it meets it.
//
// Errors: what Problem.Validate reports; *ErrInfeasible* when limited stock
// provably cannot give the pieces; *ErrUndecided* when the work limit came first.
// A done context ends the work early and is not an error: the best plan so far comes back.
func Solve(ctx context.Context, p Problem) (Plan, error) {
	if err := p.Validate(); err != nil {
		return Plan{}, err
	}
	m, err := newModel(p)
	if err != nil {
		return Plan{}, err
	}
	if m.count == 0 {
		return Plan{Optimal: true, TailProven: true}, nil
	}
	s := &search{m: m, meter: newMeter(ctx, p.Steps), upper: m.infinite()}
	if err := s.run(); err != nil {
		return Plan{}, err
	}
	return s.finish(p), nil
}

// search holds the best packing and the best bound, both in the model's weight.
type search struct {
	m     *model
	meter *meter
	best  packing
	upper int64 // weight of best, or more than any plan weighs
	lower int64

	cover   *cover // for the bound coverAt; without a list when that is too long
	coverAt int64
}

// infinite is one more than the heaviest plan there can be: every bin opened.
func (m *model) infinite() int64 {
	sum := int64(0)
	for _, s := range m.supplies {
		add, ok := mulFits(s.cost, int64(min(s.avail, m.most)))
		if !ok || sum > sumLimit-add {
			return sumLimit
		}
		sum += add
	}
	return sum + 1
}

func (s *search) offer(p packing) {
	if p == nil {
		return
	}
	if w := s.m.objective(p); w < s.upper {
		s.upper, s.best = w, p
	}
}

func (s *search) raise(lower int64) { s.lower = max(s.lower, lower) }

func (s *search) closed() bool { return s.lower >= s.upper }

// run goes from cheap to dear and stops when bound and plan meet.
func (s *search) run() error {
	m := s.m
	if m.overflows() {
		return ErrOverflow
	}
	weight, _ := m.buy(m.total, m.minBins(), 0)
	if weight == math.MaxInt64 {
		return ErrInfeasible
	}
	s.raise(weight)
	for _, try := range [...]func(){s.targetedPlans, s.chains, s.greedyPlans} {
		if try(); s.closed() {
			return nil
		}
	}
	s.branchAndPrice()
	switch {
	case s.best != nil:
		return nil
	case s.closed():
		return ErrInfeasible
	default:
		return ErrUndecided
	}
}

// overflows tells whether the heaviest sensible plan leaves the range of sums.
func (m *model) overflows() bool {
	for _, s := range m.supplies {
		if _, ok := mulFits(s.cost, int64(min(s.avail, m.most))); !ok {
			return true
		}
	}
	return false
}

// targetedPlans tries the bins of the bound, for a plan of exactly those is optimal at once.
func (s *search) targetedPlans() {
	m := s.m
	_, bins := m.buy(m.total, m.minBins(), s.lower)
	if bins == nil {
		return
	}
	for _, nodes := range []int{1, 300} {
		for _, lead := range []bool{true, false} {
			for _, short := range []bool{false, true} {
				if s.closed() {
					return
				}
				s.offer(m.targeted(bins, m.pace(nodes), lead, short))
			}
		}
	}
}

// greedyPlans fill bin after bin by value.
func (s *search) greedyPlans() {
	m := s.m
	for _, nodes := range []int{1, 300, 5000} {
		for _, lead := range []bool{true, false} {
			if s.closed() || !s.meter.spend(1000) {
				return
			}
			s.offer(m.greedy(m.demands(), m.stock(), m.pace(nodes), lead))
		}
	}
}

// pace limits the nodes a bin gets so that plans of very many bins stay quick.
func (m *model) pace(nodes int) int {
	bins := 1 + int(m.total/m.supplies[0].room)
	return max(1, min(nodes, 4_000_000/min(bins, len(m.kinds)*4)))
}

func (m *model) stock() []int {
	n := make([]int, len(m.supplies))
	for k, s := range m.supplies {
		n[k] = s.avail
	}
	return n
}

// finish turns the best packing into a plan in the caller's terms.
func (s *search) finish(p Problem) Plan {
	plan := s.gathered(p)
	plan.Bound = s.m.bound(p, min(s.lower, s.upper))
	plan.Optimal = plan.Bound == Bound{plan.Cost, plan.Count}
	plan.TailBound = max(plan.Tail, s.m.tailBound(p, s.upper))
	plan.TailProven = plan.Optimal && plan.Tail == plan.TailBound
	return s.longest(p, plan)
}

// bound splits a weight into money and bins.
func (m *model) bound(p Problem, weight int64) Bound {
	if m.weight == 0 {
		each := m.uniformCost(p)
		return Bound{Cost: each * weight, Bins: int(weight)}
	}
	return Bound{Cost: weight / m.weight, Bins: int(weight % m.weight)}
}

func (m *model) uniformCost(p Problem) int64 { return p.Stocks[m.supplies[0].source[0].Item].Cost }

// plan writes a packing with the items and stocks of the problem: kinds are
// dealt out to their items in order.
func (m *model) plan(p Problem, packed packing) Plan {
	d := newDealer(m)
	var plan Plan
	for _, u := range packed {
		for left := u.times; left > 0; {
			b, n := d.deal(u.pattern, left)
			b.Used = usedBy(p, b.Pieces)
			b.Tail = p.Stocks[b.Stock].Length - b.Used
			plan.Bins = append(plan.Bins, b)
			left -= n
			plan.Count += n
			plan.Cost += p.Stocks[b.Stock].Cost * int64(n)
			plan.Tail = max(plan.Tail, b.Tail)
		}
	}
	return plan
}

// usedBy is the length that pieces and their set-ups take from a bin.
func usedBy(p Problem, pieces []Piece) int64 {
	sum := int64(0)
	var classes []int
	for _, q := range pieces {
		it := p.Items[q.Item]
		sum += it.Length * int64(q.Count)
		if !slices.Contains(classes, it.Class) {
			classes = append(classes, it.Class)
			sum += p.Setup
		}
	}
	return sum
}
