package coil

import (
	"fmt"
	"math/big"
	"slices"
	"strings"
	"testing"

	"coilwright/measure"
	"coilwright/steel"
)

// verify re-checks a plan against its own figures alone: every piece once, on one
// reel of its strip, no reel over its length, used and tail adding up, the purchase
// adding up and within its minimums, set-ups holding what reels hold.
func verify(t *testing.T, cuts []Cut, b *steel.Book, p Plan) {
	t.Helper()
	by := map[string]Cut{}
	for _, c := range cuts {
		by[c.ID] = c
	}
	seen, formed := map[string]int{}, map[string]int{}
	bought := 0
	for _, r := range p.Reels {
		var used measure.Length
		setups := map[Setup]bool{}
		for _, id := range r.Pieces {
			seen[id]++
			used += by[id].Length + b.Machine.CutLoss
			setups[by[id].Setup] = true
			if by[id].Setup.Colour != r.Colour || by[id].Setup.Width != r.Width || by[id].Setup.Thickness != r.Thickness {
				t.Errorf("%s is cut from a strip that is not its own", id)
			}
		}
		used += measure.Length(len(setups)) * b.Machine.ThreadingScrap
		if used != r.Used || r.Used+r.Tail != r.Length || r.Used > r.Length-b.Machine.Reserve || len(r.Pieces) == 0 {
			t.Errorf("reel %s: used %v, says %v, tail %v of %v", r.ID, used, r.Used, r.Tail, r.Length)
		}
		if r.Bought {
			bought++
		}
		if r.Spare != "" {
			left := map[string]measure.Length{} // of coils that are not threaded, all
			for _, k := range b.Coils {
				left[k.ID] = k.Length
			}
			last, threaded := by[r.Pieces[len(r.Pieces)-1]], false
			for _, o := range p.Reels {
				left[o.ID] = o.Tail
				threaded = threaded || o.ID == r.Spare && slices.ContainsFunc(o.Pieces, func(id string) bool { return by[id].Setup == last.Setup })
			}
			need := last.Length + b.Machine.CutLoss + b.Machine.Reserve
			if !threaded {
				need += b.Machine.ThreadingScrap
			}
			if left[r.Spare] < need || r.Spare == r.ID {
				t.Errorf("reel %s cannot give %s, the last piece of %s: %v is left and %v asked", r.Spare, last.ID, r.ID, left[r.Spare], need)
			}
		}
		if (r.Nth > 0) != r.Bought || r.Bought && !strings.HasSuffix(r.ID, fmt.Sprintf("ft-%d", r.Nth)) {
			t.Errorf("reel %s is number %d of those alike", r.ID, r.Nth)
		}
	}
	for _, r := range p.Runs {
		for _, id := range r.Pieces {
			formed[id]++
			if by[id].Setup != r.Setup {
				t.Errorf("%s is formed in a set-up that is not its own", id)
			}
		}
	}
	for _, l := range p.LeftOut {
		seen[l.ID]++
		formed[l.ID]++
	}
	for _, c := range cuts {
		if seen[c.ID] != 1 || formed[c.ID] != 1 {
			t.Errorf("%s stands %d times on reels, %d in set-ups", c.ID, seen[c.ID], formed[c.ID])
		}
	}
	verifyPurchase(t, b, p, bought)
}

func verifyPurchase(t *testing.T, b *steel.Book, p Plan, bought int) {
	t.Helper()
	paid, coils := new(big.Rat), 0
	for _, q := range p.Buy {
		paid.Add(paid, q.Price)
		coils += q.Count
		var offer *steel.Mill
		for i, o := range b.Mill {
			if o.Length == q.Length && (o.Colour == q.Colour || o.Colour == "any") {
				offer = &b.Mill[i]
			}
		}
		if offer == nil || q.Count < offer.Minimum || q.Price.Cmp(new(big.Rat).Mul(offer.Price, big.NewRat(int64(q.Count), 1))) != 0 {
			t.Errorf("bought %+v, offered %+v", q, offer)
		}
	}
	if coils < bought {
		t.Errorf("%d coils bought, %d reels of them threaded", coils, bought)
	}
	if d := paid.Cmp(p.Bound.Price); d < 0 || p.Bound.Optimal && (d != 0 || coils != p.Bound.Coils) {
		t.Errorf("paid %v for %d, bound %v", paid, coils, p.Bound)
	}
}
