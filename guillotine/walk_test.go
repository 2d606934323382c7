package guillotine_test

import (
	"math"
	"testing"

	"coilwright/guillotine"

	"pgregory.net/rapid"
)

// TestWalkKeepsAccount: what moves add to and take from what lanes hold is what counting
// the lanes anew gives.
func TestWalkKeepsAccount(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w, err := guillotine.NewWalker(drawCoil(t))
		if err != nil {
			t.Fatal(err)
		}
		if w == nil {
			return
		}
		heat := rapid.Float64Range(0, 20).Draw(t, "heat")
		for range rapid.IntRange(0, 200).Draw(t, "steps") {
			w.Step(heat)
		}
		kept, counted := w.Account()
		for i := range kept {
			if math.Abs(kept[i]-counted[i]) > 1e-6*(1+math.Abs(counted[i])) {
				t.Fatalf("%d: kept %v, counted %v", i, kept, counted)
			}
		}
	})
}

// TestWalkPlans: a walk's plans can be cut, and none is better than the best.
func TestWalkPlans(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := drawCoil(t)
		w, err := guillotine.NewWalker(c)
		if err != nil {
			t.Fatal(err)
		}
		if w == nil {
			return
		}
		p, _ := w.Walk(c, 5000)
		p.Bound, p.Optimal, p.BlanksProven = 0, false, false
		judgePlan(t, c, p)
		if length, _ := bruteSlit(c); p.Length < length {
			t.Fatalf("length %d; trying everything gives %d", p.Length, length)
		}
	})
}

// TestWalkAlonePlansAHouse: from each size by itself, walks come near the bound.
func TestWalkAlonePlansAHouse(t *testing.T) {
	c := house()
	w, err := guillotine.NewWalker(c)
	if err != nil {
		t.Fatal(err)
	}
	var p guillotine.Plan
	var bound int64
	for range 4 {
		p, bound = w.Walk(c, 200_000)
	}
	judgePlan(t, c, p)
	if 100*(p.Length-bound) > 2*p.Length {
		t.Errorf("%d, bound %d", p.Length, bound)
	}
	t.Logf("%d blanks, %.2f ft, bound %.2f ft", p.Count, float64(p.Length)/192, float64(bound)/192)
}

// TestWithin: pieces that find seats on lanes find them on others that these are within.
func TestWithin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lengths, count, _ := drawSeats(t)
		draw := rapid.SliceOfN(rapid.IntRange(0, 2), 4, 4)
		a, b := draw.Draw(t, "lanes"), draw.Draw(t, "others")
		unit := rapid.IntRange(1, 17).Draw(t, "unit")
		rooms := func(n []int) (out []int) {
			for e, v := range n {
				for range v {
					out = append(out, (e+1)*unit)
				}
			}
			return out
		}
		all := true
		for e := range a {
			x, y := 0, 0
			for i := e; i < len(a); i++ {
				x, y = x+a[i], y+b[i]
			}
			all = all && x <= y
		}
		if guillotine.Within(a, b) != all {
			t.Fatalf("%v within %v: %v", a, b, !all)
		}
		if all && canSeat(lengths, count, rooms(a)) && !canSeat(lengths, count, rooms(b)) {
			t.Fatalf("seats on %v and none on %v", rooms(a), rooms(b))
		}
	})
}
