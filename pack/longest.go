package pack

import (
	"errors"
	"slices"
)

// Where pieces are few, exchanges may miss the longest tail; where they are many,
// some subset of them fills nearly every bin, and the search would only cost time.
const (
	fewPieces  = 64
	tailSteps  = 30_000_000 // for all questions of one tail
	tailAsksOf = 48         // questions: more than the halvings of any house's lengths
)

// longest searches by halves for the longest tail of any plan of the same cost and
// bins. A tail of T is room for one more piece, which takes T with its set-up: the
// exact search says whether such a piece fits without more cost or another bin.
func (s *search) longest(p Problem, plan Plan) Plan {
	if !plan.Optimal || plan.TailProven || plan.Count < 2 || s.m.count > fewPieces {
		return plan
	}
	unit, fold := s.unit(p)
	work := s.meter.share(tailSteps)
	low, top, proven := plan.Tail/unit, plan.TailBound/unit, plan.TailBound/unit
	short := int64(0)
	if s.m.setup > 0 {
		short = p.Setup // a shorter tail is of no use: nothing could be threaded on it
	}
	low = max(low, short/unit)
	for n := 0; low < top && n < tailAsksOf && !work.done(); n++ {
		at := low + (top-low+1)/2
		other, fits, decided := s.withTail(p, plan, at*unit, work)
		switch {
		case fits && other.Tail/unit < at: // the piece took a bin of its own
			return plan
		case fits:
			plan.Bins, plan.Tail = other.Bins, other.Tail
			low = plan.Tail / unit
		case decided:
			top, proven = at-1, at-1
		default:
			top = at - 1
		}
	}
	bound := min(plan.TailBound, s.tailBelow((proven+1)*unit, unit, fold))
	for low == proven && bound > max(plan.Tail, short) && !work.done() { // stocks whose length is no multiple of the unit
		other, fits, decided := s.withTail(p, plan, bound, work)
		if fits && other.Tail >= bound {
			plan.Bins, plan.Tail = other.Bins, other.Tail
		}
		if fits || !decided {
			break
		}
		bound = s.tailBelow(bound, unit, fold)
	}
	plan.TailBound = max(plan.Tail, bound)
	plan.TailProven = plan.Tail == plan.TailBound
	return plan
}

// unit divides every length that pieces and set-ups take of a bin, but for the
// set-up of a single class, fold, which every bin holds.
func (s *search) unit(p Problem) (unit, fold int64) {
	if s.m.setup == 0 {
		fold = p.Setup
	} else {
		unit = p.Setup
	}
	for _, it := range p.Items {
		if it.Count > 0 {
			unit = gcd(unit, it.Length)
		}
	}
	return unit, fold
}

// tailBelow is the longest tail below a limit that some stock could have.
func (s *search) tailBelow(limit, unit, fold int64) int64 {
	most := int64(0)
	for _, k := range s.m.supplies {
		over := (limit - 1 - (k.full - fold)) % unit
		if over < 0 {
			over += unit
		}
		most = max(most, limit-1-over)
	}
	return most
}

// withTail asks for a plan as cheap and of as few bins that leaves a tail.
func (s *search) withTail(p Problem, plan Plan, tail int64, work *meter) (other Plan, fits, decided bool) {
	stand := Item{Length: tail, Count: 1}
	for _, it := range p.Items {
		if it.Count > 0 {
			stand.Class = max(stand.Class, it.Class)
		}
	}
	if s.m.setup > 0 {
		stand.Class++
		stand.Length -= p.Setup
	}
	q := p
	q.Items = append(slices.Clone(p.Items), stand)
	m, err := newModel(q)
	if err != nil {
		return Plan{}, false, false
	}
	ask := &search{m: m, meter: work.share(tailSteps), upper: m.weigh(plan) + 1}
	before := ask.meter.left
	err = ask.run()
	work.spend(before - ask.meter.left)
	if ask.best == nil {
		return Plan{}, false, errors.Is(err, ErrInfeasible) || ask.closed()
	}
	return withoutStand(p, m.plan(q, ask.best)), true, true
}

// weigh is a plan's cost and bins as one number of the model.
func (m *model) weigh(plan Plan) int64 {
	if m.weight == 0 {
		return int64(plan.Count)
	}
	return plan.Cost*m.weight + int64(plan.Count)
}

// withoutStand takes the last item, which stood for the tail, out of a plan again.
func withoutStand(p Problem, plan Plan) Plan {
	plan.Tail = 0
	for i := range plan.Bins {
		b := &plan.Bins[i]
		b.Pieces = slices.DeleteFunc(b.Pieces, func(q Piece) bool { return q.Item == len(p.Items) })
		b.Used = usedBy(p, b.Pieces)
		b.Tail = p.Stocks[b.Stock].Length - b.Used
		plan.Tail = max(plan.Tail, b.Tail)
		if len(b.Pieces) == 0 {
			plan.Tail = 0
			return plan
		}
	}
	return plan
}
