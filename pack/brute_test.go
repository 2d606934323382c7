package pack_test

import (
	"context"
	"errors"
	"fmt"
	"math/rand/v2"
	"testing"

	"coilwright/pack"
)

// brute tries every way to divide a few single pieces into bins. It knows
// nothing of patterns, bounds or linear programmes: sets of pieces as bits, one
// bin after another, always with the lowest piece that is still without one.
type brute struct {
	p      pack.Problem
	single []int // item of every piece
	need   []int64
	memo   map[string]answer
}

// answer is the best that remains: money, bins, then the longest tail.
type answer struct {
	cost, bins, tail int64
	none             bool
}

func (a answer) better(b answer) bool {
	switch {
	case a.none || b.none:
		return !a.none
	case a.cost != b.cost:
		return a.cost < b.cost
	case a.bins != b.bins:
		return a.bins < b.bins
	}
	return a.tail > b.tail
}

func bruteForce(p pack.Problem) answer {
	b := &brute{p: p, memo: map[string]answer{}}
	for i, it := range p.Items {
		for range it.Count {
			b.single = append(b.single, i)
		}
	}
	b.need = make([]int64, 1<<len(b.single))
	for set := range b.need {
		b.need[set] = b.load(set)
	}
	counts := make([]int, len(p.Stocks))
	for k, s := range p.Stocks {
		counts[k] = s.Count
		if s.Count > len(b.single) {
			counts[k] = -1 // no limit
		}
	}
	return b.best(1<<len(b.single)-1, counts)
}

func (b *brute) load(set int) int64 {
	sum, seen := int64(0), map[int]bool{}
	for i, item := range b.single {
		if set>>i&1 == 1 {
			sum += b.p.Items[item].Length
			if c := b.p.Items[item].Class; !seen[c] {
				seen[c] = true
				sum += b.p.Setup
			}
		}
	}
	return sum
}

func (b *brute) best(set int, counts []int) answer {
	if set == 0 {
		return answer{}
	}
	key := fmt.Sprint(set, counts)
	if a, ok := b.memo[key]; ok {
		return a
	}
	low := set & -set
	out := answer{none: true}
	for sub := set; sub > 0; sub = (sub - 1) & set {
		if sub&low == 0 {
			continue
		}
		for k, s := range b.p.Stocks {
			now := counts[k]
			if now == 0 || b.need[sub] > s.Length {
				continue
			}
			if counts[k] > 0 {
				counts[k]--
			}
			a := b.best(set&^sub, counts)
			counts[k] = now
			a.cost += s.Cost
			a.bins++
			a.tail = max(a.tail, s.Length-b.need[sub])
			if a.better(out) {
				out = a
			}
		}
	}
	b.memo[key] = out
	return out
}

// randomTight draws ten pieces that fill one or two unlimited stocks nearly,
// so that simple plans seldom do and the linear programme has to speak.
func randomTight(r *rand.Rand) pack.Problem {
	p := pack.Problem{Setup: []int64{0, 3}[r.IntN(2)]}
	for left := 10; left > 0; {
		it := pack.Item{Length: 20 + r.Int64N(35), Count: 1 + r.IntN(min(left, 2)), Class: r.IntN(2)}
		left -= it.Count
		p.Items = append(p.Items, it)
	}
	p.Stocks = []pack.Stock{{Length: 100, Cost: 10, Count: -1}, {Length: 73 + r.Int64N(10), Cost: 7, Count: -1}, {Length: 60, Cost: 0, Count: r.IntN(2)}}
	return p
}

// randomSmall draws a problem that brute force can settle: up to eight pieces,
// several stocks of any price, some of them few, up to three classes. A cut loss is part of a
// piece's length, as the callers of Solve give it.
func randomSmall(r *rand.Rand) pack.Problem {
	var p pack.Problem
	longest := int64(0)
	loss := int64(r.IntN(3))
	for left := 1 + r.IntN(8); left > 0; {
		it := pack.Item{Length: 1 + r.Int64N(60) + loss, Count: 1 + r.IntN(min(left, 3)), Class: r.IntN(3) * 7}
		left -= it.Count
		longest = max(longest, it.Length)
		p.Items = append(p.Items, it)
	}
	p.Setup = []int64{0, 0, 1, 5, 20}[r.IntN(5)]
	for range 1 + r.IntN(4) {
		s := pack.Stock{Length: p.Setup + 1 + r.Int64N(longest+40), Count: r.IntN(5) - 1, Cost: []int64{0, 0, 3, 7, 10, 1 + r.Int64N(30)}[r.IntN(6)]}
		p.Stocks = append(p.Stocks, s)
	}
	if r.IntN(2) == 0 {
		p.Stocks[0].Length = longest + p.Setup + r.Int64N(60)
		p.Stocks[0].Count = -1
	}
	return p
}

// TestSmallAgainstBruteForce holds cost, bins, bound, Optimal, tail and every
// refusal against brute force.
func TestSmallAgainstBruteForce(t *testing.T) {
	solved, refused := 0, 0
	for seed := range uint64(5200) {
		r := rand.New(rand.NewPCG(seed, 31))
		p := randomSmall(r)
		if seed >= 5000 {
			p = randomTight(r)
		}
		want := bruteForce(p)
		plan, err := pack.Solve(context.Background(), p)
		if err != nil {
			refused++
			impossible := errors.Is(err, pack.ErrInfeasible) || errors.Is(err, pack.ErrTooLong) || errors.Is(err, pack.ErrNoStock)
			if !want.none || !impossible {
				t.Fatalf("seed %d: %v; brute force: %+v\n%+v", seed, err, want, p)
			}
			continue
		}
		solved++
		if err := judge(p, plan); err != nil {
			t.Fatalf("seed %d: %v\n%+v\n%+v", seed, err, p, plan)
		}
		if err := agrees(plan, want, p.Setup); err != nil {
			t.Fatalf("seed %d: %v\n%+v\n%+v", seed, err, p, plan)
		}
	}
	t.Logf("%d solved, %d refused", solved, refused)
}

// agrees holds a plan against the best there is. So small a problem is always proven, the tail too,
// unless it is too short to thread anything on.
func agrees(plan pack.Plan, want answer, setup int64) error {
	switch {
	case want.none:
		return fmt.Errorf("a plan where there can be none")
	case !plan.Optimal:
		return fmt.Errorf("not proven: bound %+v", plan.Bound)
	case plan.Cost != want.cost || int64(plan.Count) != want.bins:
		return fmt.Errorf("costs %d with %d bins, the best %d with %d", plan.Cost, plan.Count, want.cost, want.bins)
	case plan.Tail > want.tail || plan.TailBound < want.tail || plan.TailProven && plan.Tail != want.tail,
		!plan.TailProven && plan.TailBound > setup:
		return fmt.Errorf("tail %d, bound %d, proven %v; the best is %d", plan.Tail, plan.TailBound, plan.TailProven, want.tail)
	}
	return nil
}

// TestBruteForceByHand: the judge itself, on cases worked by hand.
func TestBruteForceByHand(t *testing.T) {
	p := pack.Problem{Setup: 1,
		Items:  []pack.Item{{Length: 4, Count: 2, Class: 1}, {Length: 3, Count: 1, Class: 2}},
		Stocks: []pack.Stock{{Length: 9, Cost: 5, Count: -1}, {Length: 5, Cost: 2, Count: 1}}}
	// 4+4 and one set-up fill a 9; the 3 and its set-up take the 5: money 7, tail 1.
	if got := bruteForce(p); got != (answer{cost: 7, bins: 2, tail: 1}) {
		t.Errorf("%+v", got)
	}
	p.Stocks = p.Stocks[1:]
	if got := bruteForce(p); !got.none {
		t.Errorf("%+v from one short length", got)
	}
}

// TestWorkLimitIsHonest: whatever the limit, what comes back is a plan that
// holds, with a bound that the best does not undercut; equal input, equal plan.
func TestWorkLimitIsHonest(t *testing.T) {
	for seed := range uint64(1500) {
		r := rand.New(rand.NewPCG(seed, 77))
		p := randomSmall(r)
		p.Steps = 1 + r.Int64N(3000)
		want := bruteForce(p)
		plan, err := pack.Solve(context.Background(), p)
		again, _ := pack.Solve(context.Background(), p)
		switch {
		case errors.Is(err, pack.ErrUndecided):
			continue
		case err != nil && !want.none:
			t.Fatalf("seed %d: %v; there is %+v\n%+v", seed, err, want, p)
		case err != nil:
			continue
		}
		if err := judge(p, plan); err != nil {
			t.Fatalf("seed %d: %v\n%+v\n%+v", seed, err, p, plan)
		}
		if b := plan.Bound; want.none || b.Cost > want.cost || b.Cost == want.cost && int64(b.Bins) > want.bins || plan.Tail > plan.TailBound {
			t.Fatalf("seed %d: bound %+v, the best %+v\n%+v", seed, b, want, p)
		}
		if fmt.Sprint(plan) != fmt.Sprint(again) {
			t.Fatalf("seed %d: two runs differ", seed)
		}
	}
}
